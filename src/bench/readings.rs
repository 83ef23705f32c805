//! Readings from a bench, out of a CSV text: one reading per line.
//!
//! ```text
//! design,value,unit,time,remount,note
//! bare fan,3.31,m/s,14:05,1,
//! honeycomb,2.84,m/s,14:09,1,hose moved
//! ```
//!
//! `design`, `value` and `unit` must be there. `order` (a number) or `time` (a clock time) tells drift; without them the lines count. `remount` numbers how often the
//! grille was put in anew: readings of one remount are one repeat. Commas, semicolons or tabs separate; lines that start with `#` are comments; a line without value is not yet filled in.

use crate::bench::reading_fault::{ReadingFault, ReadingFaultKind};
use crate::units::{CUBIC_FEET_PER_MINUTE, CUBIC_METRES_PER_HOUR};

/// Names of the columns.
pub const COLUMNS: [&str; 7] = [
    "design", "value", "unit", "order", "time", "remount", "note",
];

/// Longest text, bytes.
pub const LONGEST_TEXT: usize = 1 << 20;

/// Most readings.
pub const MOST_READINGS: usize = 10_000;

/// Largest value of any unit.
const LARGEST_VALUE: f64 = 1e6;

/// Most faults that are told.
const MOST_FAULTS: usize = 20;

/// Longest piece of the text that a message shows, characters.
const LONGEST_QUOTE: usize = 40;

/// What was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    /// Volume flow.
    Flow,
    /// Air speed at a meter.
    Speed,
    /// Per cent of the bare fan, reckoned by the maker.
    Percent,
}

impl Quantity {
    /// In words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Flow => "flow",
            Self::Speed => "air speed",
            Self::Percent => "per cent of the bare fan",
        }
    }
}

/// Unit of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// m³/h.
    CubicMetresPerHour,
    /// CFM.
    CubicFeetPerMinute,
    /// l/s.
    LitresPerSecond,
    /// m/s.
    MetresPerSecond,
    /// ft/min.
    FeetPerMinute,
    /// Per cent of the bare fan.
    Percent,
}

impl Unit {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::CubicMetresPerHour,
        Self::CubicFeetPerMinute,
        Self::LitresPerSecond,
        Self::MetresPerSecond,
        Self::FeetPerMinute,
        Self::Percent,
    ];

    /// How it is written.
    pub fn word(self) -> &'static str {
        match self {
            Self::CubicMetresPerHour => "m3/h",
            Self::CubicFeetPerMinute => "CFM",
            Self::LitresPerSecond => "l/s",
            Self::MetresPerSecond => "m/s",
            Self::FeetPerMinute => "ft/min",
            Self::Percent => "%",
        }
    }

    /// The unit that is written so; capital letters do not matter.
    pub fn of_word(word: &str) -> Option<Self> {
        match word.trim().to_lowercase().as_str() {
            "m3/h" | "m³/h" | "m^3/h" | "m3h" | "cbm/h" => Some(Self::CubicMetresPerHour),
            "cfm" | "ft3/min" | "ft³/min" => Some(Self::CubicFeetPerMinute),
            "l/s" => Some(Self::LitresPerSecond),
            "m/s" => Some(Self::MetresPerSecond),
            "ft/min" | "fpm" => Some(Self::FeetPerMinute),
            "%" | "percent" | "per cent" => Some(Self::Percent),
            _ => None,
        }
    }

    /// What it is a unit of.
    pub fn quantity(self) -> Quantity {
        match self {
            Self::CubicMetresPerHour | Self::CubicFeetPerMinute | Self::LitresPerSecond => {
                Quantity::Flow
            }
            Self::MetresPerSecond | Self::FeetPerMinute => Quantity::Speed,
            Self::Percent => Quantity::Percent,
        }
    }

    /// One of it in m³/s, m/s or per cent.
    pub fn in_si(self) -> f64 {
        match self {
            Self::CubicMetresPerHour => CUBIC_METRES_PER_HOUR.recip(),
            Self::CubicFeetPerMinute => CUBIC_FEET_PER_MINUTE.recip(),
            Self::LitresPerSecond => 1e-3,
            Self::MetresPerSecond | Self::Percent => 1.0,
            Self::FeetPerMinute => 0.3048 / 60.0,
        }
    }
}

/// A reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Line of the text, from 1.
    pub line: u64,
    /// Name of the design as written, or of the bare fan.
    pub design: String,
    /// Value as typed.
    pub value: f64,
    /// Unit as typed.
    pub unit: Unit,
    /// When: a number in order, a clock time in minutes, or the number of the line.
    pub order: f64,
    /// Which remount, if that was told.
    pub remount: Option<u32>,
}

impl Reading {
    /// The value in m³/s, m/s or per cent.
    pub fn si(&self) -> f64 {
        self.value * self.unit.in_si()
    }
}

/// What `order` counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OrderKind {
    /// The numbers of the column `order`.
    Number,
    /// Minutes of the clock.
    Minutes,
    /// Lines of the file.
    Lines,
}

/// A file of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// The readings, by the line.
    pub readings: Vec<Reading>,
    /// What their order counts.
    pub order: OrderKind,
    /// Lines without a value.
    pub empty_count: usize,
}

/// Where each column stands.
#[derive(Default)]
struct Header {
    places: [Option<usize>; COLUMNS.len()],
}

impl Header {
    fn field<'r>(&self, record: &'r csv::StringRecord, name: &str) -> &'r str {
        let column = COLUMNS.iter().position(|known| *known == name);
        let place = column.and_then(|column| self.places[column]);
        place
            .and_then(|place| record.get(place))
            .unwrap_or("")
            .trim()
    }

    fn has(&self, name: &str) -> bool {
        let column = COLUMNS.iter().position(|known| *known == name);
        column.is_some_and(|column| self.places[column].is_some())
    }
}

/// Reads readings from the bytes of a CSV file.
///
/// # Errors
/// The faults in the order of the text, twenty at most.
///
/// # Examples
/// ```
/// let found = ventwright::bench::readings::read_readings(b"design,value,unit\nbare fan,62,CFM\n").unwrap();
/// assert_eq!(found.readings.len(), 1);
/// ```
pub fn read_readings(bytes: &[u8]) -> Result<Readings, Vec<ReadingFault>> {
    let whole = |kind| vec![ReadingFault { line: None, kind }];
    if bytes.len() > LONGEST_TEXT {
        return Err(whole(ReadingFaultKind::TooLong {
            found: bytes.len(),
            what: "bytes",
            allowed: LONGEST_TEXT,
        }));
    }
    let text = std::str::from_utf8(bytes).map_err(|_| whole(ReadingFaultKind::NotText))?;
    let text = text.trim_start_matches('\u{feff}');
    if text.contains('\0') {
        return Err(whole(ReadingFaultKind::NotText));
    }
    let separator = separator(text);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .comment(Some(b'#'))
        .flexible(true)
        .has_headers(false)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut records = reader.records();
    let first = match records.next() {
        None => return Err(whole(ReadingFaultKind::NoReadings)),
        Some(Err(error)) => {
            let why = error.to_string();
            return Err(whole(ReadingFaultKind::Unreadable { why }));
        }
        Some(Ok(first)) => first,
    };
    let header = header(&first)?;
    let mut readings = Vec::new();
    let (mut faults, mut empty_count, mut last_time) = (Vec::new(), 0, None);
    for record in records {
        if faults.len() >= MOST_FAULTS {
            break;
        }
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let why = error.to_string();
                faults.push(ReadingFault {
                    line: error.position().map(csv::Position::line),
                    kind: ReadingFaultKind::Unreadable { why },
                });
                break;
            }
        };
        if readings.len() >= MOST_READINGS {
            return Err(whole(ReadingFaultKind::TooLong {
                found: readings.len() + 1,
                what: "readings or more",
                allowed: MOST_READINGS,
            }));
        }
        let line = record.position().map_or(0, csv::Position::line);
        if header.field(&record, "value").is_empty() {
            empty_count += usize::from(record.iter().any(|field| !field.is_empty()));
            continue;
        }
        let numbers = Numbers {
            has_decimal_comma: separator != b',',
        };
        match reading(&record, line, &header, &numbers, &mut last_time) {
            Ok(reading) => readings.push(reading),
            Err(kinds) => faults.extend(kinds.into_iter().map(|kind| ReadingFault {
                line: Some(line),
                kind,
            })),
        }
    }
    if !faults.is_empty() {
        faults.truncate(MOST_FAULTS);
        return Err(faults);
    }
    if readings.is_empty() {
        return Err(whole(ReadingFaultKind::NoReadings));
    }
    let order = if header.has("order") {
        OrderKind::Number
    } else if header.has("time") {
        OrderKind::Minutes
    } else {
        OrderKind::Lines
    };
    Ok(Readings {
        readings,
        order,
        empty_count,
    })
}

/// The sign that separates most often in the first line that is no comment.
fn separator(text: &str) -> u8 {
    let first = text
        .lines()
        .find(|line| !line.trim().is_empty() && !line.starts_with('#'))
        .unwrap_or("");
    let count = |sign: u8| first.bytes().filter(|byte| *byte == sign).count();
    let best = [b',', b';', b'\t']
        .into_iter()
        .rev()
        .max_by_key(|sign| count(*sign));
    best.unwrap_or(b',')
}

fn header(record: &csv::StringRecord) -> Result<Header, Vec<ReadingFault>> {
    let mut header = Header::default();
    let mut faults = Vec::new();
    let mut fault = |kind| {
        faults.push(ReadingFault {
            line: record.position().map(csv::Position::line),
            kind,
        });
    };
    for (place, field) in record.iter().enumerate().take(64) {
        let name = field.to_lowercase();
        match COLUMNS.iter().position(|known| *known == name) {
            Some(column) if header.places[column].is_some() => {
                fault(ReadingFaultKind::DoubleColumn { name });
            }
            Some(column) => header.places[column] = Some(place),
            None if name.is_empty() => {}
            None => fault(ReadingFaultKind::UnknownColumn {
                name: quoted(field),
            }),
        }
    }
    for name in ["design", "value", "unit"] {
        if !header.has(name) {
            fault(ReadingFaultKind::MissingColumn { name });
        }
    }
    faults.truncate(MOST_FAULTS);
    if faults.is_empty() {
        Ok(header)
    } else {
        Err(faults)
    }
}

/// How numbers are written.
struct Numbers {
    has_decimal_comma: bool,
}

impl Numbers {
    fn read(&self, name: &'static str, text: &str) -> Result<f64, ReadingFaultKind> {
        let plain = if self.has_decimal_comma {
            text.replacen(',', ".", 1)
        } else {
            text.to_owned()
        };
        match plain.parse::<f64>() {
            Ok(value) if (0.0..=LARGEST_VALUE).contains(&value) => Ok(value),
            _ => Err(ReadingFaultKind::NotNumeric {
                name,
                value: quoted(text),
            }),
        }
    }
}

fn reading(
    record: &csv::StringRecord,
    line: u64,
    header: &Header,
    numbers: &Numbers,
    last_time: &mut Option<f64>,
) -> Result<Reading, Vec<ReadingFaultKind>> {
    let mut faults = Vec::new();
    let design = header.field(record, "design").to_owned();
    if design.is_empty() {
        faults.push(ReadingFaultKind::NoDesign);
    }
    let value = keep(
        numbers.read("value", header.field(record, "value")),
        &mut faults,
    );
    let word = header.field(record, "unit");
    let unit = Unit::of_word(word);
    if unit.is_none() {
        let value = quoted(word);
        faults.push(ReadingFaultKind::UnknownUnit { value });
    }
    let order = if header.has("order") {
        keep(
            numbers.read("order", header.field(record, "order")),
            &mut faults,
        )
    } else if header.has("time") {
        keep(
            minutes(header.field(record, "time"), last_time),
            &mut faults,
        )
    } else {
        Some(line as f64)
    };
    let text = header.field(record, "remount");
    let remount = match text.parse::<u32>() {
        _ if text.is_empty() => None,
        Ok(remount) => Some(remount),
        Err(_) => {
            let (name, value) = ("remount", quoted(text));
            faults.push(ReadingFaultKind::NotNumeric { name, value });
            None
        }
    };
    match (value, unit, order) {
        (Some(value), Some(unit), Some(order)) if faults.is_empty() => Ok(Reading {
            line,
            design,
            value,
            unit,
            order,
            remount,
        }),
        _ => Err(faults),
    }
}

fn keep<T>(read: Result<T, ReadingFaultKind>, faults: &mut Vec<ReadingFaultKind>) -> Option<T> {
    read.map_err(|fault| faults.push(fault)).ok()
}

/// A clock time in minutes; one that is more than half a day earlier than the line before belongs to the next day.
fn minutes(text: &str, last: &mut Option<f64>) -> Result<f64, ReadingFaultKind> {
    let mut parts = text.split(':').map(str::parse::<u8>);
    let time = match (parts.next(), parts.next(), parts.next(), parts.next()) {
        (Some(Ok(hours)), Some(Ok(minutes)), seconds, None) if hours < 24 && minutes < 60 => {
            let seconds = match seconds {
                None => Some(0),
                Some(Ok(seconds)) if seconds < 60 => Some(seconds),
                Some(_) => None,
            };
            let of_day = 60.0 * f64::from(hours) + f64::from(minutes);
            seconds.map(|seconds| of_day + f64::from(seconds) / 60.0)
        }
        _ => None,
    };
    let Some(mut time) = time else {
        let value = quoted(text);
        return Err(ReadingFaultKind::NotTime { value });
    };
    if let Some(before) = *last {
        let days = (before / 1440.0_f64).floor();
        time += 1440.0 * days;
        if time < before - 720.0 {
            time += 1440.0;
        }
    }
    *last = Some(last.map_or(time, |before: f64| before.max(time)));
    Ok(time)
}

/// A piece of the text as a message may show it: not too long, and without characters that a terminal would obey.
pub(super) fn quoted(text: &str) -> String {
    let shown = text.trim().chars().take(LONGEST_QUOTE);
    let mut shown: String = shown
        .map(|letter| {
            if letter.is_control() {
                '\u{fffd}'
            } else {
                letter
            }
        })
        .collect();
    if text.trim().chars().count() > LONGEST_QUOTE {
        shown.push('…');
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    fn faults(text: &str) -> Vec<String> {
        let faults = read_readings(text.as_bytes()).unwrap_err();
        faults.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn one_line_is_one_reading() {
        let text = "# my bench\ndesign,value,unit,time,remount,note\nbare fan,3.31,m/s,23:58,1,\n\"comb, fine\",2.84,m/s,0:03:30,1,moved\ncomb,,m/s,,2,\n";
        let found = read_readings(text.as_bytes()).unwrap();
        assert_eq!(found.readings.len(), 2);
        assert_eq!(found.empty_count, 1);
        assert_eq!(found.order, OrderKind::Minutes);
        assert_eq!(found.readings[1].design, "comb, fine");
        assert_eq!(found.readings[1].line, 4);
        let passed = found.readings[1].order - found.readings[0].order;
        assert!((passed - 5.5).abs() < 1e-9);
    }

    #[test]
    fn semicolons_go_with_decimal_commas() {
        let found = read_readings("design;value;unit\nbare fan;62,5;CFM\n".as_bytes()).unwrap();
        assert!((found.readings[0].value - 62.5).abs() < 1e-12);
        assert_eq!(found.order, OrderKind::Lines);
    }

    #[test]
    fn all_faults_are_told_with_their_lines() {
        let text = "design,value,unit,remount\nbare fan,6O,CFM,1\n,50,bushels,x\ncomb,-3,m/s,1\ncomb,NaN,m/s,\n";
        let told = faults(text);
        assert_eq!(told.len(), 6, "{told:#?}");
        assert!(told[0].starts_with("line 2: value is `6O`"));
        assert!(told[2].contains("`bushels`, allowed are m3/h, CFM"));
        assert!(faults("design,value\n")[0].contains("the column unit is missing"));
        assert!(faults("design,value,unit,colour\n")[0].contains("`colour` is not known"));
        assert!(faults("design,value,unit,unit\n")[0].contains("twice"));
        assert!(
            faults("").len() == 1 && faults("design,value,unit\na,,\n")[0].contains("no reading")
        );
        assert!(faults("design,value,unit,time\na,1,CFM,25:00\n")[0].contains("14:05"));
    }

    #[test]
    fn units_are_what_they_are_defined_to_be() {
        // 1 CFM = 1.699 m³/h, 1 m/s = 196.85 ft/min: definitions of foot and minute.
        let si = |unit: Unit| unit.in_si();
        assert!(
            (si(Unit::CubicFeetPerMinute) / si(Unit::CubicMetresPerHour) - 1.699_010_796).abs()
                < 1e-8
        );
        assert!((si(Unit::MetresPerSecond) / si(Unit::FeetPerMinute) - 196.850_394).abs() < 1e-5);
        for unit in Unit::ALL {
            assert_eq!(Unit::of_word(unit.word()), Some(unit));
        }
    }

    #[test]
    fn a_text_beyond_bounds_is_refused() {
        assert!(read_readings(&vec![b'a'; LONGEST_TEXT + 1]).is_err());
        assert!(read_readings(&[0xff, 0xfe, 0x00]).is_err());
        let many = "design,value,unit\n".to_owned() + &"a,1,CFM\n".repeat(MOST_READINGS + 1);
        assert!(read_readings(many.as_bytes()).is_err());
    }
}
