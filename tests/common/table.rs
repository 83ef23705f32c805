//! Reference tables under `tests/reference`.

use std::path::Path;

/// A CSV file with a header.
pub(crate) struct Table {
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// Reads `tests/reference/NAME`.
    pub(crate) fn read(name: &str) -> Self {
        Self::of_project(&format!("tests/reference/{name}"))
    }

    /// Reads a file of the project.
    pub(crate) fn of_project(name: &str) -> Self {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
        let mut reader = csv::Reader::from_path(&path)
            .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        let header = reader
            .headers()
            .expect("a CSV file with a header")
            .iter()
            .map(str::to_owned)
            .collect();
        let rows = reader
            .records()
            .map(|row| {
                row.expect("rows as long as the header")
                    .iter()
                    .map(str::to_owned)
                    .collect()
            })
            .collect();
        Self { header, rows }
    }

    /// Number of rows.
    pub(crate) fn rows(&self) -> usize {
        self.rows.len()
    }

    /// A cell as text.
    pub(crate) fn text(&self, row: usize, column: &str) -> &str {
        let index = self
            .header
            .iter()
            .position(|name| name == column)
            .unwrap_or_else(|| panic!("no column {column}"));
        &self.rows[row][index]
    }

    /// A cell as a number.
    pub(crate) fn number(&self, row: usize, column: &str) -> f64 {
        self.text(row, column)
            .parse()
            .unwrap_or_else(|_| panic!("row {row}, {column} is no number"))
    }
}
