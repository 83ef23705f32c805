//! Indented JSON with short things on one line: a number with its range, a list of angles.

use std::io;

/// Most columns of an object or a list on one line; a list of numbers alone may be longer.
const COLUMNS: usize = 180;

/// Rewrites indented JSON, as `serde_json` writes it, line by line: an object or a list stands on one line if all that it holds does and the line is short.
pub(super) fn folded(indented: &str) -> String {
    let mut lines: Vec<String> = Vec::new();
    // First lines of the objects and lists that are open.
    let mut open: Vec<usize> = Vec::new();
    for line in indented.lines() {
        if is_end(line)
            && let Some(first) = open.pop()
        {
            if let Some(whole) = on_one_line(&lines[first..], line) {
                lines.truncate(first);
                lines.push(whole);
                continue;
            }
        } else if is_start(line) {
            open.push(lines.len());
        }
        lines.push(line.to_owned());
    }
    lines.join("\n")
}

/// An object or a list on one line, from its first line to its last; `None` where it keeps its lines.
fn on_one_line(lines: &[String], last: &str) -> Option<String> {
    let (first, parts) = lines.split_first()?;
    if parts.iter().any(|part| is_start(part) || is_end(part)) {
        return None;
    }
    let parts: Vec<&str> = parts.iter().map(|part| part.trim_start()).collect();
    let are_numbers = parts.iter().all(|part| !part.contains(['"', '[', '{']));
    let whole = format!("{first}{}{}", parts.join(" "), last.trim_start());
    (are_numbers || whole.len() <= COLUMNS).then_some(whole)
}

/// Whether a line begins an object or a list that goes on below: a text ends with its quotation mark.
fn is_start(line: &str) -> bool {
    line.ends_with(['{', '['])
}

/// Whether a line ends one that began above.
fn is_end(line: &str) -> bool {
    line.trim_start().starts_with(['}', ']'])
}

/// Writes a value so, with a line end at the end.
///
/// # Errors
/// What `out` reports.
pub(super) fn write_folded(
    value: &impl serde::Serialize,
    out: &mut impl io::Write,
) -> Result<(), serde_json::Error> {
    let text = folded(&serde_json::to_string_pretty(value)?);
    writeln!(out, "{text}").map_err(serde_json::Error::io)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    #[test]
    fn what_is_short_stands_on_one_line_and_so_do_numbers() {
        let value = json!({
            "answer": "a [list]: {",
            "empty": [],
            "flow": { "high": 3.5, "low": null, "value": 2.0 },
            "list": vec![123; 50],
            "pairs": [{ "a": 1 }, { "b": "]" }],
            "long": [{ "words": "w".repeat(90) }, { "words": "v".repeat(90) }],
        });
        let text = folded(&serde_json::to_string_pretty(&value).unwrap());
        let long = format!(
            "  \"long\": [\n    {{\"words\": \"{}\"}},\n    {{\"words\": \"{}\"}}\n  ],\n",
            "w".repeat(90),
            "v".repeat(90)
        );
        let numbers = vec!["123"; 50].join(", ");
        assert_eq!(
            text,
            format!(
                "{{\n  \"answer\": \"a [list]: {{\",\n  \"empty\": [],\n  \"flow\": {{\"high\": 3.5, \"low\": null, \"value\": 2.0}},\n  \"list\": [{numbers}],\n{long}  \
                 \"pairs\": [{{\"a\": 1}}, {{\"b\": \"]\"}}]\n}}"
            )
        );
        assert_eq!(serde_json::from_str::<Value>(&text).unwrap(), value);
    }
}
