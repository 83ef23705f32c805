//! From a draft to a study: defaults, ranges, consistency; all faults at once.

use std::collections::HashMap;

use toml::Spanned;

use crate::air::Air;
use crate::grille::Grille;
use crate::study::draft::Draft;
use crate::study::fabric_fault::FabricFault;
use crate::study::fault::{FaultKind, StudyFault};
use crate::study::file::{AirTable, GrilleTable, RunTable, StudyFile};
use crate::study::findings::{Findings, Table, span_of};
use crate::study::vent_table::FaceSize;
use crate::study::{
    FORMAT, Place, Study, fabric_table, fan_table, fan_view_table, grille_table, limits,
    meter_table, other_fans_table, panel_table, place_table, run_table, series_table, smoke_table,
    told_units, vent_table,
};

/// Standard pressure at sea level, hPa. Source: U.S. Standard Atmosphere, 1976, table 2.
const SEA_LEVEL_PRESSURE_HPA: f64 = 1013.25;

impl Draft {
    /// Applies the defaults and checks everything.
    ///
    /// `read_file` gives the content of a file that the study names (a fan curve), by the path as written there, or the reason why not.
    ///
    /// # Errors
    /// Every fault of the study and of the files that it names, in the order of the study file.
    pub fn resolve(
        &self,
        read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
    ) -> Result<Study, Vec<StudyFault>> {
        let mut findings = Findings::new(&self.source);
        let study = resolve_file(&mut findings, &self.file, read_file);
        match study {
            Some(study) if findings.count() == 0 => Ok(study),
            _ => {
                debug_assert!(findings.count() > 0, "a study fails only with a fault");
                Err(findings.into_faults())
            }
        }
    }
}

fn resolve_file(
    findings: &mut Findings<'_>,
    file: &StudyFile,
    read_file: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Option<Study> {
    let top = Table {
        name: "the study",
        span: 0..0,
    };
    check_format(findings, &top, file);
    let named = resolve_name(findings, &top, file);
    let default_air = Spanned::new(0..0, AirTable::default());
    let air = resolve_air(findings, file.air.as_ref().unwrap_or(&default_air));
    let has_vent = file.vent.is_some();
    let vent = match &file.vent {
        Some(table) => vent_table::resolve(findings, table).map(Some),
        None => Some(None),
    };
    let fan = if let Some(table) = &file.fan {
        fan_table::resolve(findings, table, has_vent, read_file)
    } else {
        let hint = "add a [fan] table with at least bore_mm, hub_mm and a curve";
        findings.missing(&top, "[fan]", hint);
        None
    };
    let place = if let Some(table) = &file.place {
        place_table::resolve(findings, table, has_vent)
    } else {
        let hint = "add a [place] table with side = \"intake\" or side = \"exhaust\"";
        findings.missing(&top, "[place]", hint);
        None
    };
    let bore_mm = file
        .fan
        .as_ref()
        .and_then(|fan| fan.get_ref().bore_mm.as_ref())
        .map(|bore_mm| *bore_mm.get_ref())
        .filter(|bore_mm| limits::BORE_MM.includes(*bore_mm));
    let size = match (has_vent, vent) {
        (true, vent) => vent.flatten().map(FaceSize::Vent),
        (false, _) => bore_mm.map(|diameter_mm| FaceSize::Bore { diameter_mm }),
    };
    let meter = match &file.meter {
        Some(table) if has_vent => {
            findings.report(&table.span(), FaultKind::NeedsBore { key: "[meter]" });
            None
        }
        Some(table) => meter_table::resolve(findings, table, bore_mm).map(Some),
        None => Some(None),
    };
    let openings = |place: &Place| place.pc_case.loss_coefficient(1.0, 1.0) > 0.0;
    let has_openings = place.as_ref().is_none_or(openings);
    let other_fans = other_fans_table::resolve(findings, &file.other_fans, has_openings, read_file);
    let fabrics = fabric_table::resolve(findings, file);
    let fabric_names = file.fabric.iter().filter_map(|table| {
        let name = table.get_ref().name.as_ref()?;
        Some(name.get_ref().trim())
    });
    // Without a bore nothing can be said about the face; that fault is noted already.
    let hub_diameter = fan.as_ref().map_or(0.0, |fan| fan.hub_diameter);
    let grilles = resolve_grilles(findings, &top, file, size, hub_diameter);
    let panels = panel_table::resolve(
        findings,
        &file.panel,
        &fabric_names.collect::<Vec<_>>(),
        grilles.as_deref(),
    );
    let run = match &file.run {
        Some(table) => run_table::resolve(findings, table.get_ref()),
        None => run_table::resolve(findings, &RunTable::default()),
    };
    let smoke = smoke_table::resolve(findings, file.smoke.as_ref());
    let fan_view = fan_view_table::resolve(
        findings,
        file.fan_view.as_ref(),
        has_vent,
        place.as_ref(),
        fan.as_ref().map(|fan| &fan.supply),
        run.map(|run| run.quality),
    );
    let told_units = told_units::resolve(findings, file, read_file);
    let (name, notes) = named?;
    let study = Study {
        name,
        notes,
        told_units: told_units?,
        air: air?,
        fan: fan?,
        vent: vent?,
        place: place?,
        meter: meter?,
        other_fans: other_fans?,
        panels: panels?,
        fabrics: fabrics?,
        fan_view,
        smoke: smoke?,
        grilles: grilles?,
        run: run?,
    };
    check_fabric_laws(findings, file, &study);
    Some(study)
}

/// Every fabric must have a law, with this fan: a share of the bare fan's flow says nothing where the fan has nothing to spare.
fn check_fabric_laws(findings: &mut Findings<'_>, file: &StudyFile, study: &Study) {
    for (table, fabric) in file.fabric.iter().zip(&study.fabrics) {
        if let Err(error) = study.fabric_law(fabric) {
            let fabric = fabric.name.clone();
            let fault = FabricFault::Readings { fabric, error };
            findings.report(&table.span(), FaultKind::Fabric(fault));
        }
    }
}

fn check_format(findings: &mut Findings<'_>, top: &Table, file: &StudyFile) {
    match &file.format {
        None => findings.missing(top, "format", "start the file with the line format = 1"),
        Some(format) if *format.get_ref() != i64::from(FORMAT) => {
            let kind = FaultKind::UnknownFormat {
                found: *format.get_ref(),
                supported: FORMAT,
            };
            findings.report(&format.span(), kind);
        }
        Some(_) => {}
    }
}

fn resolve_name(
    findings: &mut Findings<'_>,
    top: &Table,
    file: &StudyFile,
) -> Option<(String, String)> {
    let Some(table) = &file.study else {
        findings.missing(top, "[study]", "add a [study] table with a name");
        return None;
    };
    let name = findings.name(&Table::new("[study]", table), &table.get_ref().name)?;
    let notes = table.get_ref().notes.as_ref();
    Some((
        name,
        notes.map_or_else(String::new, |notes| notes.get_ref().clone()),
    ))
}

fn resolve_air(findings: &mut Findings<'_>, table: &Spanned<AirTable>) -> Option<Air> {
    let air = table.get_ref();
    let temperature_c = findings.number_or(
        "temperature_c",
        &air.temperature_c,
        &limits::TEMPERATURE_C,
        20.0,
    );
    findings.at_most_one(&[
        ("pressure_hpa", span_of(air.pressure_hpa.as_ref())),
        ("altitude_m", span_of(air.altitude_m.as_ref())),
    ]);
    let pressure_hpa = match &air.altitude_m {
        Some(altitude_m) => findings
            .number("altitude_m", altitude_m, &limits::ALTITUDE_M)
            .map(standard_pressure_hpa),
        None => findings.number_or(
            "pressure_hpa",
            &air.pressure_hpa,
            &limits::PRESSURE_HPA,
            SEA_LEVEL_PRESSURE_HPA,
        ),
    };
    Air::new(temperature_c?, pressure_hpa? * 100.0, None).ok()
}

/// Pressure of the standard atmosphere, hPa, at a height above the sea in m, to 0.01 hPa.
///
/// ```text
/// p = 1013.25 (288.15 / (288.15 - 0.0065 H))^(-g M / (R 0.0065))    H = r h / (r + h): geopotential height, m;  r: 6 356 766 m
///                                                                   g: 9.80665 m/s^2;  M: 28.9644 kg/kmol;  R: 8314.32 J/(kmol K)
/// ```
///
/// # References
/// U.S. Standard Atmosphere, 1976, equations 18 and 33a.
fn standard_pressure_hpa(altitude_m: f64) -> f64 {
    let geopotential = 6_356_766.0 * altitude_m / (6_356_766.0 + altitude_m);
    let exponent = 9.80665 * 28.9644 / (8314.32 * 0.0065);
    let ratio = (288.15 - 0.0065 * geopotential) / 288.15;
    (SEA_LEVEL_PRESSURE_HPA * ratio.powf(exponent) * 100.0).round() / 100.0
}

/// All grilles, those of the series after the others. `None` only after a fault.
fn resolve_grilles(
    findings: &mut Findings<'_>,
    top: &Table,
    file: &StudyFile,
    size: Option<FaceSize>,
    hub_diameter: f64,
) -> Option<Vec<Grille>> {
    if file.grille.is_empty() {
        findings.report(&top.span, FaultKind::NoGrille);
    }
    let mut first_lines = HashMap::new();
    let mut resolve_one = |findings: &mut Findings<'_>, table: &Spanned<GrilleTable>| {
        let name = resolve_grille_name(findings, table, &mut first_lines);
        grille_table::resolve(findings, table, name, size, hub_diameter)
    };
    let mut sound_bases = Vec::new();
    let mut grilles = Vec::new();
    for table in &file.grille {
        let faults_before = findings.count();
        grilles.push(resolve_one(findings, table));
        if findings.count() == faults_before {
            sound_bases.push(table);
        }
    }
    for series in &file.series {
        let made = series_table::expand(findings, series, &file.grille);
        let count = grilles.len() + made.len();
        if count > limits::MOST_GRILLES {
            let limit = limits::MOST_GRILLES;
            findings.report(&series.span(), FaultKind::TooManyGrilles { count, limit });
            return None;
        }
        // A faulty base has been reported; its series would only repeat that.
        let base = series.get_ref().base.as_ref().map(Spanned::get_ref);
        let is_sound = sound_bases.iter().any(|table| {
            let name = table.get_ref().name.as_ref().map(Spanned::get_ref);
            name.map(|name| name.trim()) == base.map(|base| base.trim())
        });
        if is_sound {
            for table in &made {
                grilles.push(resolve_one(findings, table));
            }
        }
    }
    grilles.into_iter().collect()
}

/// The name of a grille, which no grille before it has.
fn resolve_grille_name(
    findings: &mut Findings<'_>,
    table: &Spanned<GrilleTable>,
    first_lines: &mut HashMap<String, usize>,
) -> Option<String> {
    let written = table.get_ref().name.as_ref();
    let name = findings.name(&Table::new("[[grille]]", table), &table.get_ref().name)?;
    let span = written?.span();
    if let Some(first_line) = first_lines.get(&name).copied() {
        findings.report(&span, FaultKind::DuplicateName { name, first_line });
        return None;
    }
    first_lines.insert(name.clone(), findings.line(&span));
    Some(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pressure_falls_with_height_as_the_standard_atmosphere_has_it() {
        // By an independent program: the general-purpose Python library `fluids` 1.3.1, ATMOSPHERE_1976 (heights as here, not geopotential).
        for (altitude_m, pressure_pa) in [
            (-400.0, 106_223.741),
            (1000.0, 89_876.285),
            (2500.0, 74_691.756),
            (5000.0, 54_048.286),
        ] {
            let difference = standard_pressure_hpa(altitude_m) - pressure_pa / 100.0;
            // The result is rounded to 0.01 hPa.
            assert!(
                difference.abs() < 0.006,
                "{altitude_m} m: {difference} hPa off"
            );
        }
    }
}
