//! Readings from a bench, out of a CSV text: one reading per line.
//!
//! ```text
//! design,value,unit,time,remount,speed_rpm,temperature_c,place,note
//! bare fan,3.31,m/s,14:05,1,1180,21.5,centre,
//! honeycomb,2.84,m/s,14:09,1,1183,21.5,centre,hose moved
//! ```
//!
//! `design`, `value` and `unit` must be there. `order` (a number) or `time` (a clock time) shows drift; without them the lines count. `remount` numbers how often the
//! grille was taken out and put back: readings of one remount are averaged, whatever the column `reading` calls them. `place` is where the meter stood: each reading is
//! set against the bare fan at the same place. Commas, semicolons or tabs separate; lines that start with `#` are comments; a line without value is not yet filled in.
//! The apostrophe that `ventwright plan` puts before names like `=comb` for the sake of spreadsheets is no part of the name.

use crate::rig::reading_fault::{ReadingFault, ReadingFaultKind};
use crate::rig::reading_line::{Line, quoted};
use crate::rig::unit::Unit;
use crate::text::unguarded;

/// Names of the columns.
pub const COLUMNS: [&str; 11] = [
    "design",
    "value",
    "unit",
    "order",
    "time",
    "remount",
    "reading",
    "speed_rpm",
    "temperature_c",
    "place",
    "note",
];

/// Longest text, bytes.
pub const LONGEST_TEXT: usize = 1 << 20;

/// Most readings.
pub const MOST_READINGS: usize = 10_000;

/// Most faults that are told.
const MOST_FAULTS: usize = 20;

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
    /// Which remount, if that was given.
    pub remount: Option<u32>,
    /// Speed of the fan, rpm, if that was given.
    pub speed_rpm: Option<f64>,
    /// Temperature of the room, °C, if that was given.
    pub temperature_c: Option<f64>,
    /// Where the meter stood, in small letters; empty where that was not given.
    pub place: String,
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
pub(super) struct Header {
    places: [Option<usize>; COLUMNS.len()],
}

impl Header {
    pub(super) fn field<'r>(&self, record: &'r csv::StringRecord, name: &str) -> &'r str {
        let column = COLUMNS.iter().position(|known| *known == name);
        let place = column.and_then(|column| self.places[column]);
        let field = place.and_then(|place| record.get(place)).unwrap_or("");
        unguarded(field.trim())
    }

    pub(super) fn has(&self, name: &str) -> bool {
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
/// let found = ventwright::rig::readings::read_readings(b"design,value,unit\nbare fan,62,CFM\n").unwrap();
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
        let taken_apart = Line {
            record: &record,
            number: line,
            header: &header,
            has_decimal_comma: separator != b',',
        };
        match taken_apart.reading(&mut last_time) {
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
        assert!(faults("design,value,unit,colour\n")[0].contains("unknown column `colour`"));
        assert!(faults("design,value,unit,unit\n")[0].contains("twice"));
        assert!(
            faults("").len() == 1 && faults("design,value,unit\na,,\n")[0].contains("no reading")
        );
        assert!(faults("design,value,unit,time\na,1,CFM,25:00\n")[0].contains("14:05"));
    }

    #[test]
    fn what_a_bench_varies_by_has_columns_of_its_own() {
        let text = "design;value;unit;speed_rpm;temperature_c;place;reading\nbare fan;62;CFM;1180,5;-2;Centre;1\nbare fan;61;CFM;;;;2\n";
        let found = read_readings(text.as_bytes()).unwrap().readings;
        assert_eq!(found[0].speed_rpm, Some(1180.5));
        assert_eq!(found[0].temperature_c, Some(-2.0));
        assert_eq!(
            (found[0].place.as_str(), found[1].place.as_str()),
            ("centre", "")
        );
        assert_eq!((found[1].speed_rpm, found[1].temperature_c), (None, None));
        let told = faults("design,value,unit,speed_rpm,temperature_c\na,1,CFM,12,300\n");
        assert!(
            told[0].contains("speed_rpm is `12`, allowed is a number from 50 to 50000"),
            "{told:?}"
        );
        assert!(
            told[1].contains("temperature_c is `300`, allowed is a number from -40 to 80"),
            "{told:?}"
        );
    }

    #[test]
    fn a_text_beyond_bounds_is_refused() {
        assert!(read_readings(&vec![b'a'; LONGEST_TEXT + 1]).is_err());
        assert!(read_readings(&[0xff, 0xfe, 0x00]).is_err());
        let many = "design,value,unit\n".to_owned() + &"a,1,CFM\n".repeat(MOST_READINGS + 1);
        assert!(read_readings(many.as_bytes()).is_err());
    }
}
