//! `[fabric.knit]`: hosiery by denier, pitch and stretch, or as another knit at another stretch.

use crate::fabric::{Knit, NYLON_DENSITY};
use crate::study::checked::within;
use crate::study::diagnostics::Diagnostics;
use crate::study::fabric_fault::FabricFault;
use crate::study::fabric_table::KNIT_OF_IT;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::mesh_table::DENSITY;
use crate::study::table::{NAME, Table};
use crate::study::write::ResolvedCopy;

const SAME_AS: Key = Key::text("same_as");
const DENIER: Key = Key::number("denier", Unit::kept(" denier"), 0.5, 2000.0).hint(
    "give the denier of the whole thread, as on the packet of a stocking, such as denier = 15",
);
const FILAMENTS: Key = Key::whole("filaments", 1.0, 1000.0).or(1.0).hint(
    "count the filaments of the thread: 1 for a single one, as 15 denier hosiery mostly has, more for a yarn",
);
/// The pitch across and along, in mm or counted.
const PITCHES: [[&Key; 2]; 2] = [
    [
        &pitch("pitch_across_mm"),
        &openings("openings_across_per_10_mm"),
    ],
    [
        &pitch("pitch_along_mm"),
        &openings("openings_along_per_10_mm"),
    ],
];
/// The stretch across and along, in per cent or by pen marks.
const STRETCHES: [[&Key; 2]; 2] = [
    [
        &stretch("stretch_across_percent"),
        &Key::table("marks_across", &MARKS),
    ],
    [
        &stretch("stretch_along_percent"),
        &Key::table("marks_along", &MARKS),
    ],
];

/// `[fabric.knit]`
pub(super) const KNIT: Keys = Keys::new(
    "[fabric.knit]",
    &[
        &SAME_AS,
        &DENIER,
        &FILAMENTS,
        PITCHES[0][0],
        PITCHES[1][0],
        PITCHES[0][1],
        PITCHES[1][1],
        STRETCHES[0][0],
        STRETCHES[1][0],
        STRETCHES[0][1],
        STRETCHES[1][1],
        &DENSITY,
    ],
)
.called("the table of the knit");

const BEFORE: Key = mark("before_mm");
const AFTER: Key = mark("after_mm");

/// Distance of two pen marks: `{ before_mm = 50, after_mm = 80 }`
const MARKS: Keys = Keys::new("marks_across", &[&BEFORE, &AFTER]).called("this pair of marks");

const fn pitch(name: &'static str) -> Key {
    Key::mm(name, 0.1, 20.0).hint(
        "give the distance from stitch to stitch in mm, unstretched, such as 0.5; or count openings over 10 mm with a ruler",
    )
}

const fn openings(name: &'static str) -> Key {
    Key::number(name, Unit::NONE, 0.5, 100.0)
        .hint("count the openings over 10 mm with a ruler, unstretched, such as 20")
}

const fn stretch(name: &'static str) -> Key {
    Key::number(name, Unit::PERCENT, -50.0, 500.0).or(0.0).hint(
        "give the stretch in per cent from where the pitch was counted: 60 for 1.6 times as long, 0 for unstretched",
    )
}

const fn mark(name: &'static str) -> Key {
    Key::mm(name, 1.0, 1000.0).hint("give the distance between two pen marks on the fabric in mm")
}

/// Least open share of a knit that is worth calling one.
const LEAST_OPEN_FRACTION: f64 = 0.02;

/// Checks `[fabric.knit]`; `all` are the fabrics of the study. `None` only after a fault.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    all: &[Table<'_>],
    own: &Table<'_>,
    name: &str,
) -> Option<Knit> {
    let thread = if own.has(&SAME_AS) {
        base_of(diagnostics, all, own)?
    } else {
        own.clone()
    };
    let denier = thread.number(diagnostics, &DENIER);
    let filament_count = thread.whole(diagnostics, &FILAMENTS);
    let [across, along] = PITCHES.map(|keys| resolve_pitch(diagnostics, &thread, keys));
    let density = thread.number_or(diagnostics, &DENSITY, NYLON_DENSITY);
    let [stretch_across, stretch_along] =
        STRETCHES.map(|keys| resolve_stretch(diagnostics, own, keys));
    let knit = Knit {
        denier: denier?.si,
        filament_count: filament_count?,
        pitch_across: across?,
        pitch_along: along?,
        stretch_across: stretch_across?,
        stretch_along: stretch_along?,
        density: density?.si,
    };
    check_open(diagnostics, own, &knit, name)?;
    Some(knit)
}

/// Whether anything stays open between the loops. `None` after a fault.
fn check_open(
    diagnostics: &mut Diagnostics<'_>,
    table: &Table<'_>,
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
    } else if knit.open_fraction().value < LEAST_OPEN_FRACTION {
        let taken = (1.0 - knit.open_fraction().value) * across;
        shut(taken, across, "across, curves and all")
    } else {
        return Some(());
    };
    diagnostics.report(&table.span, FaultKind::Fabric(fault));
    None
}

/// The knit that `same_as` names; its thread keys may not stand beside. `None` after a fault.
fn base_of<'a>(
    diagnostics: &mut Diagnostics<'_>,
    all: &[Table<'a>],
    own: &Table<'_>,
) -> Option<Table<'a>> {
    let faults_before = diagnostics.count();
    let of_the_thread = [&DENIER, &FILAMENTS, &DENSITY].into_iter();
    for key in of_the_thread.chain(PITCHES.into_iter().flatten()) {
        if let Some(span) = own.span_of(key) {
            let (key, other) = (key.name, SAME_AS.name);
            diagnostics.report(&span, FaultKind::Excludes { key, other });
        }
    }
    let knits = all.iter().filter_map(|fabric| {
        let knit = fabric.table(&KNIT_OF_IT)?;
        let name = fabric.tree.text(NAME.name)?;
        (!knit.has(&SAME_AS)).then_some((name, knit))
    });
    let base = own.text(&SAME_AS)?;
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
        diagnostics.report(&base.span(), FaultKind::Fabric(fault));
        return None;
    };
    (diagnostics.count() == faults_before).then_some(found)
}

/// A pitch in m. `None` only after a fault.
fn resolve_pitch(
    diagnostics: &mut Diagnostics<'_>,
    thread: &Table<'_>,
    [in_mm, per_10_mm]: [&'static Key; 2],
) -> Option<f64> {
    thread.exactly_one(diagnostics, &[in_mm, per_10_mm])?;
    if thread.has(in_mm) {
        return Some(thread.number(diagnostics, in_mm)?.si);
    }
    let count = thread.number(diagnostics, per_10_mm)?.written;
    Some(in_mm.si(10.0 / count))
}

/// A stretch: that in per cent, or two pen marks before and after; 0 without either. `None` only after a fault.
fn resolve_stretch(
    diagnostics: &mut Diagnostics<'_>,
    knit: &Table<'_>,
    [percent, marks]: [&'static Key; 2],
) -> Option<f64> {
    let key = knit.at_most_one(diagnostics, &[percent, marks]);
    if !key.is_some_and(|key| key.is(marks)) {
        return Some(knit.number(diagnostics, percent)?.si);
    }
    let marks = knit.table(marks)?;
    let before = marks.number(diagnostics, &BEFORE);
    let after = marks.number(diagnostics, &AFTER);
    let stretch = (after?.written / before?.written - 1.0) * 100.0;
    Some(within(diagnostics, percent, &marks.span, stretch)?.si)
}

/// Writes `[fabric.knit]`.
pub(super) fn write(copy: &mut ResolvedCopy, knit: &Knit) {
    copy.table(KNIT.header);
    copy.number(&DENIER, knit.denier);
    copy.value(&FILAMENTS, knit.filament_count);
    for (keys, pitch) in PITCHES
        .into_iter()
        .zip([knit.pitch_across, knit.pitch_along])
    {
        copy.number(keys[0], pitch);
    }
    for (keys, stretch) in STRETCHES
        .into_iter()
        .zip([knit.stretch_across, knit.stretch_along])
    {
        copy.number(keys[0], stretch);
    }
    copy.number(&DENSITY, knit.density);
}
