//! A fan curve out of a CSV text.
//!
//! The first line that is no comment names the columns and with them the units. Lines that start with `#` are comments.
//! The lines are taken apart here rather than by a CSV library because each fault names the column in characters.

use crate::fan::FanCurve;
use crate::fan::curve::{WrittenPoint, checked, whole};
use crate::fan::curve_fault::{CurveFault, CurveFaultKind, CurvePlace, LONGEST_TEXT, MOST_POINTS};
use crate::units::{FlowUnit, PressureUnit};

/// A value of a line: its text without blanks and quotes, and its first column, in characters from 1.
type Field<'a> = (usize, &'a str);

/// Longest piece of the text that a message shows, characters.
const LONGEST_QUOTE: usize = 40;

/// What the first line says.
struct Header {
    flow: (usize, FlowUnit),
    pressure: (usize, PressureUnit),
    column_count: usize,
}

impl FanCurve {
    /// A curve from the bytes of a CSV file: see [`FanCurve::from_csv`].
    ///
    /// # Errors
    /// As there; bytes that are no UTF-8 text are a fault too.
    pub fn from_csv_bytes(bytes: &[u8]) -> Result<Self, Vec<CurveFault>> {
        if bytes.len() > LONGEST_TEXT {
            return Err(vec![too_long(bytes.len())]);
        }
        match std::str::from_utf8(bytes) {
            Ok(text) => Self::from_csv(text),
            Err(_) => Err(vec![whole(CurveFaultKind::NotText)]),
        }
    }

    /// A curve from a CSV text with a line of column names: `flow_m3_per_h` or `flow_cfm`, `pressure_pa` or `pressure_mmh2o`.
    ///
    /// # Errors
    /// All faults at once, in the order of the text.
    ///
    /// # Examples
    /// ```
    /// use ventwright::fan::FanCurve;
    /// let curve = FanCurve::from_csv("# bench, 21 °C\nflow_m3_per_h,pressure_pa\n0,25\n60,14\n110,0\n").unwrap();
    /// assert_eq!(curve.flow.len(), 3);
    /// let faults = FanCurve::from_csv("flow_m3_per_h,pressure_pa\n0,25\n60,1O\n").unwrap_err();
    /// assert_eq!(faults[0].to_string(), "line 3, column 4: pressure_pa is `1O`, which is not a number");
    /// ```
    pub fn from_csv(text: &str) -> Result<Self, Vec<CurveFault>> {
        if text.len() > LONGEST_TEXT {
            return Err(vec![too_long(text.len())]);
        }
        if text.contains('\0') {
            return Err(vec![whole(CurveFaultKind::NotText)]);
        }
        let mut lines = text
            .trim_start_matches('\u{feff}')
            .lines()
            .enumerate()
            .map(|(index, line)| (index + 1, line))
            .filter(|(_, line)| !line.trim().is_empty() && !line.trim_start().starts_with('#'));
        let (number, first) = lines
            .next()
            .ok_or_else(|| vec![whole(CurveFaultKind::Empty)])?;
        let header = read_header(number, first)?;
        let mut faults = Vec::new();
        let line_count = lines.clone().count();
        if line_count > MOST_POINTS {
            return Err(vec![whole(CurveFaultKind::TooLong {
                found: line_count,
                what: "points",
                allowed: MOST_POINTS,
            })]);
        }
        let points: Vec<WrittenPoint> = lines
            .filter_map(|(number, line)| read_line(number, line, &header, &mut faults))
            .collect();
        match checked(points, header.flow.1, header.pressure.1, &mut faults) {
            Some(curve) if faults.is_empty() => Ok(curve),
            _ => Err(faults),
        }
    }
}

/// The fault of a text beyond [`LONGEST_TEXT`].
fn too_long(found: usize) -> CurveFault {
    whole(CurveFaultKind::TooLong {
        found,
        what: "bytes",
        allowed: LONGEST_TEXT,
    })
}

/// Reads the names of the columns.
fn read_header(line: usize, text: &str) -> Result<Header, Vec<CurveFault>> {
    let fields = split(text);
    let fault = |column: usize, kind: CurveFaultKind| CurveFault {
        place: CurvePlace::Text { line, column },
        kind,
    };
    for separator in [';', '\t'] {
        let found = text.chars().position(|character| character == separator);
        if let (Some(at), false) = (found, text.contains(',')) {
            return Err(vec![fault(at + 1, CurveFaultKind::Separator { separator })]);
        }
    }
    if fields.iter().all(|(_, value)| value.parse::<f64>().is_ok()) {
        let value = quoted(text);
        return Err(vec![fault(1, CurveFaultKind::NoHeader { value })]);
    }
    let mut faults = Vec::new();
    let (mut flow, mut pressure) = (None, None);
    for (index, &(column, name)) in fields.iter().enumerate() {
        let is_double = match name {
            "flow_m3_per_h" => flow
                .replace((index, FlowUnit::CubicMetresPerHour))
                .is_some(),
            "flow_cfm" => flow
                .replace((index, FlowUnit::CubicFeetPerMinute))
                .is_some(),
            "pressure_pa" => pressure.replace((index, PressureUnit::Pascals)).is_some(),
            "pressure_mmh2o" => pressure
                .replace((index, PressureUnit::MillimetresOfWater))
                .is_some(),
            _ => {
                let value = quoted(name);
                faults.push(fault(column, CurveFaultKind::UnknownColumn { value }));
                false
            }
        };
        if is_double {
            let value = quoted(name);
            let what = if name.starts_with("flow") {
                "flow"
            } else {
                "pressure"
            };
            faults.push(fault(column, CurveFaultKind::DoubleColumn { value, what }));
        }
    }
    for (what, is_missing) in [("flow", flow.is_none()), ("pressure", pressure.is_none())] {
        if is_missing {
            faults.push(fault(1, CurveFaultKind::MissingColumn { what }));
        }
    }
    match (flow, pressure) {
        (Some(flow), Some(pressure)) if faults.is_empty() => Ok(Header {
            flow,
            pressure,
            column_count: fields.len(),
        }),
        _ => Err(faults),
    }
}

/// Reads one point; `None`, and a fault more, when that cannot be done.
fn read_line(
    line: usize,
    text: &str,
    header: &Header,
    faults: &mut Vec<CurveFault>,
) -> Option<WrittenPoint> {
    let fields = split(text);
    if fields.len() != header.column_count {
        let (column, kind) = count_fault(text, &fields, header.column_count);
        faults.push(CurveFault {
            place: CurvePlace::Text { line, column },
            kind,
        });
        return None;
    }
    let mut number = |index: usize, name: &'static str| {
        let (column, value) = fields[index];
        let place = CurvePlace::Text { line, column };
        if let Ok(number) = value.parse::<f64>() {
            return Some((number, place));
        }
        let value = quoted(value);
        let kind = if value.replacen(',', ".", 1).parse::<f64>().is_ok() {
            CurveFaultKind::DecimalComma { value }
        } else {
            CurveFaultKind::NotNumeric { name, value }
        };
        faults.push(CurveFault { place, kind });
        None
    };
    let flow = number(header.flow.0, header.flow.1.column_name());
    let pressure = number(header.pressure.0, header.pressure.1.column_name());
    Some(WrittenPoint {
        flow: flow?,
        pressure: pressure?,
    })
}

/// Why a line has another number of values than there are columns, and in which column to point at it.
fn count_fault(text: &str, fields: &[Field<'_>], expected: usize) -> (usize, CurveFaultKind) {
    for separator in [';', '\t'] {
        if let Some(at) = text.chars().position(|character| character == separator) {
            return (at + 1, CurveFaultKind::Separator { separator });
        }
    }
    let all_numeric = fields.iter().all(|(_, value)| value.parse::<f64>().is_ok());
    if fields.len() > expected && all_numeric {
        let value = quoted(text);
        return (fields[0].0, CurveFaultKind::DecimalComma { value });
    }
    let found = fields.len();
    (fields[0].0, CurveFaultKind::FieldCount { found, expected })
}

/// A piece of the text as a message may show it: not too long, and without characters that a terminal would obey.
fn quoted(text: &str) -> String {
    let text = text.trim();
    let mut shown: String = text
        .chars()
        .take(LONGEST_QUOTE)
        .map(|character| {
            if character.is_control() {
                '\u{fffd}'
            } else {
                character
            }
        })
        .collect();
    if text.chars().count() > LONGEST_QUOTE {
        shown.push('…');
    }
    shown
}

/// The values of a line. A comma within double quotes does not separate.
fn split(line: &str) -> Vec<Field<'_>> {
    let mut fields = Vec::new();
    let (mut start, mut start_column, mut is_quoted) = (0, 1, false);
    let mut finish = |start: usize, end: usize, column: usize| {
        let raw = &line[start..end];
        let blanks = raw.chars().take_while(|c| c.is_whitespace()).count();
        fields.push((column + blanks, raw.trim().trim_matches('"').trim()));
    };
    for (index, (at, character)) in line.char_indices().enumerate() {
        match character {
            '"' => is_quoted = !is_quoted,
            ',' if !is_quoted => {
                finish(start, at, start_column);
                start = at + 1;
                start_column = index + 2;
            }
            _ => {}
        }
    }
    finish(start, line.len(), start_column);
    fields
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEADER: &str = "flow_m3_per_h,pressure_pa\n";

    fn faults(text: &str) -> Vec<String> {
        FanCurve::from_csv(text)
            .unwrap_err()
            .iter()
            .map(|fault| format!("{}: {fault}", fault.code()))
            .collect()
    }

    #[test]
    fn columns_may_stand_in_any_order_and_unit() {
        let text =
            "\u{feff}# bench\r\n\r\n \"pressure_mmh2o\" , flow_cfm\r\n2.0, 0\r\n  0 ,100\r\n";
        let curve = FanCurve::from_csv(text).unwrap();
        assert!((curve.pressure[0] - 19.6133).abs() < 1e-9);
        assert!((curve.flow[1] - 0.047_194_745).abs() < 1e-9);
    }

    #[test]
    fn faults_of_many_lines_come_at_once_with_their_places() {
        let text =
            format!("{HEADER}0,25\n10,abc\n20,-3\n30,NaN\n30,inf\n40\n# note\n50,1,2\nx;y\n");
        assert_eq!(
            faults(&text),
            [
                "curve-not-numeric: line 3, column 4: pressure_pa is `abc`, which is not a number",
                "curve-negative: line 4, column 4: pressure_pa is -3, but must not be negative",
                "curve-not-finite: line 5, column 4: pressure_pa is NaN, but must be finite",
                "curve-duplicate-flow: line 6, column 1: flow_m3_per_h is 30 again",
                "curve-not-finite: line 6, column 4: pressure_pa is inf, but must be finite",
                "curve-field-count: line 7, column 1: values in this line: 1, columns: 2",
                "curve-decimal-comma: line 9, column 1: `50,1,2` looks like numbers with decimal commas",
                "curve-separator: line 10, column 2: columns are separated by `;`, but must be separated by a comma",
            ]
        );
    }

    #[test]
    fn decimal_commas_and_semicolons_are_named_as_such() {
        assert_eq!(
            faults(&format!("{HEADER}0,0,25,5\n12,5,20,1\n")),
            [
                "curve-decimal-comma: line 2, column 1: `0,0,25,5` looks like numbers with decimal commas",
                "curve-decimal-comma: line 3, column 1: `12,5,20,1` looks like numbers with decimal commas",
            ]
        );
        assert_eq!(
            faults(&format!("{HEADER}\"12,5\",20\n1,2\n")),
            [
                "curve-decimal-comma: line 2, column 1: `12,5` looks like numbers with decimal commas"
            ]
        );
        assert_eq!(
            faults("flow_m3_per_h;pressure_pa\n0;25\n"),
            [
                "curve-separator: line 1, column 14: columns are separated by `;`, but must be separated by a comma"
            ]
        );
    }

    #[test]
    fn headers_are_checked() {
        assert_eq!(
            faults("0,25\n10,20\n"),
            [
                "curve-no-header: line 1, column 1: the first line is `0,25`, but it must name the columns"
            ]
        );
        let starts = |text: &str, expected: &[&str]| {
            let found = faults(text);
            assert_eq!(found.len(), expected.len(), "{found:?}");
            for (fault, start) in found.iter().zip(expected) {
                assert!(fault.starts_with(start), "{fault}");
            }
        };
        starts(
            "flow,pressure_pa,flow_cfm,flow_m3_per_h\n0,25\n",
            &[
                "curve-unknown-column: line 1, column 1: unknown column `flow`",
                "curve-double-column: line 1, column 27: column `flow_m3_per_h` gives the flow again",
            ],
        );
        starts(
            "flow_cfm,power_w\n0,25\n",
            &[
                "curve-unknown-column: line 1, column 10: unknown column `power_w`",
                "curve-missing-column: line 1, column 1: there is no column for the pressure",
            ],
        );
    }

    #[test]
    fn what_is_no_curve_at_all_is_refused() {
        assert_eq!(faults(""), ["curve-empty: the fan curve is empty"]);
        assert_eq!(
            faults("# only words\n\n"),
            ["curve-empty: the fan curve is empty"]
        );
        assert_eq!(faults(HEADER), ["curve-empty: the fan curve is empty"]);
        assert_eq!(
            faults(&format!("{HEADER}10,5\n")),
            ["curve-one-point: the fan curve has only one point, but at least two are needed"]
        );
        assert_eq!(
            faults("PK\0\u{3}"),
            ["curve-not-text: the fan curve is not a text file"]
        );
        let binary = FanCurve::from_csv_bytes(&[0xff, 0xfe, 0x00, 0x81]).unwrap_err();
        assert_eq!(binary[0].code(), "curve-not-text");
        let huge = vec![b'1'; LONGEST_TEXT + 1];
        assert_eq!(
            FanCurve::from_csv_bytes(&huge).unwrap_err()[0].code(),
            "curve-too-long"
        );
    }

    #[test]
    fn messages_show_neither_endless_lines_nor_control_characters() {
        let text = format!("{HEADER}0,\u{1b}[31m{}\n1,2\n3,1\n", "x".repeat(5000));
        let found = faults(&text);
        assert_eq!(found.len(), 1);
        assert!(
            found[0].len() < 150 && !found[0].contains('\u{1b}'),
            "{found:?}"
        );
        let endless = format!("{HEADER}{}", "bad,line\n".repeat(50_000));
        assert_eq!(
            faults(&endless),
            ["curve-too-long: the fan curve has 50000 points; the limit is 2000"]
        );
    }

    #[test]
    fn a_second_point_at_the_same_flow_points_at_the_later_line() {
        let text = format!("{HEADER}50,5\n0,25\n50,6\n");
        assert_eq!(
            faults(&text),
            ["curve-duplicate-flow: line 4, column 1: flow_m3_per_h is 50 again"]
        );
    }
}
