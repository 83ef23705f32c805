//! Rows of a table that an earlier run left, so that a command goes on where it ended.

use std::path::Path;

/// The rows that are there; none where there is no table.
pub(crate) fn kept_rows(path: &Path) -> Result<Vec<Vec<String>>, Box<dyn std::error::Error>> {
    if !path.exists() {
        return Ok(Vec::new());
    }
    let mut table = csv::Reader::from_path(path)?;
    let row = |row: Result<csv::StringRecord, csv::Error>| -> Result<Vec<String>, csv::Error> {
        Ok(row?.iter().map(str::to_owned).collect())
    };
    Ok(table.records().map(row).collect::<Result<_, _>>()?)
}
