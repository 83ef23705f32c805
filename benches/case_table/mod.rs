//! Tables of solved cases: what names a case, then its results.

use std::path::Path;

/// Columns that name a case, in the order of its `names`.
pub(crate) const NAMES: [&str; 7] = [
    "shape",
    "free_area_ratio",
    "thickness_over_diameter",
    "twist_deg",
    "lean_deg",
    "inflow_deg",
    "hole_reynolds_number",
];

/// Writes a table: the columns that name a case, those of its results, and the rows.
pub(crate) fn write<'a>(
    path: &Path,
    results: &[&str],
    rows: impl Iterator<Item = &'a Vec<String>>,
) -> Result<(), Box<dyn std::error::Error>> {
    let mut table = csv::Writer::from_path(path)?;
    table.write_record(NAMES.iter().chain(results))?;
    for row in rows {
        table.write_record(row)?;
    }
    table.flush()?;
    Ok(())
}
