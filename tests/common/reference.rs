//! Tables of published and independently computed values in `tests/reference/`.

use std::collections::HashMap;

/// A row: text by column name.
pub(crate) type Row = HashMap<String, String>;

/// All rows of `tests/reference/FILE`.
pub(crate) fn table(file: &str) -> Vec<Row> {
    let path = format!("{}/tests/reference/{file}", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::Reader::from_path(&path).expect("the table is in the repository");
    let rows: Result<Vec<Row>, _> = reader.deserialize().collect();
    rows.expect("every row has all columns")
}

/// The number in `column`; fails if there is none.
#[track_caller]
pub(crate) fn number(row: &Row, column: &str) -> f64 {
    match row.get(column).map(|text| text.parse()) {
        Some(Ok(value)) => value,
        other => panic!("no number in column {column}: {other:?}"),
    }
}
