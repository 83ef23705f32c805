//! `[fabric.knit]`: hosiery by denier, pitch and stretch, or as another knit at another stretch.

use toml::Spanned;

use crate::fabric::{Knit, NYLON_DENSITY};
use crate::study::fabric_fault::FabricFault;
use crate::study::fault::FaultKind;
use crate::study::file::{KnitTable, MarksTable, Number, StudyFile};
use crate::study::findings::{Findings, Table, span_of};
use crate::study::limits;

/// Checks `[fabric.knit]`. `None` only after a fault.
pub(super) fn resolve(
    findings: &mut Findings<'_>,
    file: &StudyFile,
    table: &Spanned<KnitTable>,
    name: &str,
) -> Option<Knit> {
    let own = table.get_ref();
    let thread = match &own.same_as {
        Some(base) => base_of(findings, file, own, base)?,
        None => table,
    };
    let header = Table::new("the table of the knit", thread);
    let knit = thread.get_ref();
    let denier = findings.required_number(&header, "denier", &knit.denier, &limits::DENIER);
    let filament_count = findings.whole_or("filaments", &knit.filaments, &limits::FILAMENTS, 1);
    let across = Pitch {
        keys: ["pitch_across_mm", "openings_across_per_10_mm"],
        in_mm: &knit.pitch_across_mm,
        per_10_mm: &knit.openings_across_per_10_mm,
    };
    let across_mm = across.resolve(findings, &header);
    let along = Pitch {
        keys: ["pitch_along_mm", "openings_along_per_10_mm"],
        in_mm: &knit.pitch_along_mm,
        per_10_mm: &knit.openings_along_per_10_mm,
    };
    let along_mm = along.resolve(findings, &header);
    let density = findings.number_or(
        "density_kg_per_m3",
        &knit.density_kg_per_m3,
        &limits::DENSITY,
        NYLON_DENSITY,
    );
    let stretch_across = Stretch {
        keys: ["stretch_across_percent", "marks_across"],
        percent: &own.stretch_across_percent,
        marks: own.marks_across.as_ref(),
    };
    let stretch_across = stretch_across.resolve(findings);
    let stretch_along = Stretch {
        keys: ["stretch_along_percent", "marks_along"],
        percent: &own.stretch_along_percent,
        marks: own.marks_along.as_ref(),
    };
    let stretch_along = stretch_along.resolve(findings);
    let knit = Knit {
        denier: denier?,
        filament_count: filament_count?,
        pitch_across: across_mm? / 1000.0,
        pitch_along: along_mm? / 1000.0,
        stretch_across: stretch_across? / 100.0,
        stretch_along: stretch_along? / 100.0,
        density: density?,
    };
    check_open(findings, table, &knit, name)?;
    Some(knit)
}

/// Whether anything stays open between the loops. `None` after a fault.
fn check_open(
    findings: &mut Findings<'_>,
    table: &Spanned<KnitTable>,
    knit: &Knit,
    name: &str,
) -> Option<()> {
    let thread = 1000.0 * knit.thread();
    let [across, along] = knit.pitches().map(|pitch| 1000.0 * pitch);
    let shut = |taken: f64, pitch: f64, direction| FabricFault::Shut {
        fabric: name.to_owned(),
        what: "loops",
        direction,
        taken,
        pitch,
    };
    let fault = if 2.0 * thread >= 0.98 * across {
        shut(2.0 * thread, across, "across")
    } else if thread >= 0.98 * along {
        shut(thread, along, "along")
    } else if knit.open_fraction().value < limits::LEAST_OPEN_FRACTION {
        let taken = (1.0 - knit.open_fraction().value) * across;
        shut(taken, across, "across, curves and all")
    } else {
        return Some(());
    };
    findings.report(&table.span(), FaultKind::Fabric(fault));
    None
}

/// The knit that `same_as` names; its thread keys may not stand beside. `None` after a fault.
fn base_of<'a>(
    findings: &mut Findings<'_>,
    file: &'a StudyFile,
    own: &KnitTable,
    base: &Spanned<String>,
) -> Option<&'a Spanned<KnitTable>> {
    let faults_before = findings.count();
    for (key, span) in [
        ("denier", span_of(own.denier.as_ref())),
        ("filaments", span_of(own.filaments.as_ref())),
        ("pitch_across_mm", span_of(own.pitch_across_mm.as_ref())),
        ("pitch_along_mm", span_of(own.pitch_along_mm.as_ref())),
        (
            "openings_across_per_10_mm",
            span_of(own.openings_across_per_10_mm.as_ref()),
        ),
        (
            "openings_along_per_10_mm",
            span_of(own.openings_along_per_10_mm.as_ref()),
        ),
        ("density_kg_per_m3", span_of(own.density_kg_per_m3.as_ref())),
    ] {
        if let Some(span) = span {
            let other = "same_as";
            findings.report(&span, FaultKind::Excludes { key, other });
        }
    }
    let knits = file.fabric.iter().filter_map(|table| {
        let fabric = table.get_ref();
        let knit = fabric.knit.as_ref()?;
        let name = fabric.name.as_ref()?.get_ref().trim();
        knit.get_ref().same_as.is_none().then_some((name, knit))
    });
    let wanted = base.get_ref().trim();
    let Some((_, found)) = knits.clone().find(|(name, _)| *name == wanted) else {
        let fault = FabricFault::UnknownBase {
            base: wanted
                .chars()
                .filter(|c| !c.is_control())
                .take(80)
                .collect(),
            known: knits.map(|(name, _)| name.to_owned()).collect(),
        };
        findings.report(&base.span(), FaultKind::Fabric(fault));
        return None;
    };
    (findings.count() == faults_before).then_some(found)
}

/// A pitch in one direction, under one of two keys.
struct Pitch<'a> {
    keys: [&'static str; 2],
    in_mm: &'a Number,
    per_10_mm: &'a Number,
}

impl Pitch<'_> {
    /// The pitch in mm. `None` only after a fault.
    fn resolve(&self, findings: &mut Findings<'_>, header: &Table) -> Option<f64> {
        findings.exactly_one(
            header,
            &[
                (self.keys[0], span_of(self.in_mm.as_ref())),
                (self.keys[1], span_of(self.per_10_mm.as_ref())),
            ],
        )?;
        if let Some(pitch_mm) = self.in_mm {
            return findings.number(self.keys[0], pitch_mm, &limits::KNIT_PITCH_MM);
        }
        let count = findings.number(
            self.keys[1],
            self.per_10_mm.as_ref()?,
            &limits::OPENINGS_PER_10_MM,
        )?;
        Some(10.0 / count)
    }
}

/// The stretch in one direction: per cent, or two pen marks before and after.
struct Stretch<'a> {
    keys: [&'static str; 2],
    percent: &'a Number,
    marks: Option<&'a Spanned<MarksTable>>,
}

impl Stretch<'_> {
    /// The stretch in per cent, 0 without either. `None` only after a fault.
    fn resolve(&self, findings: &mut Findings<'_>) -> Option<f64> {
        let key = findings.at_most_one(&[
            (self.keys[0], span_of(self.percent.as_ref())),
            (self.keys[1], span_of(self.marks)),
        ]);
        let Some(marks) = self.marks.filter(|_| key == Some(self.keys[1])) else {
            return findings.number_or(self.keys[0], self.percent, &limits::STRETCH_PERCENT, 0.0);
        };
        let header = Table::new("this pair of marks", marks);
        let table = marks.get_ref();
        let before =
            findings.required_number(&header, "before_mm", &table.before_mm, &limits::MARK_MM);
        let after =
            findings.required_number(&header, "after_mm", &table.after_mm, &limits::MARK_MM);
        let percent = (after? / before? - 1.0) * 100.0;
        let percent = Spanned::new(marks.span(), percent);
        findings.number(self.keys[0], &percent, &limits::STRETCH_PERCENT)
    }
}
