//! The resolved copy: a study as a study file in which nothing is left to a default.

use std::fmt::{Display, Write as _};

use crate::study::key::Key;
use crate::study::word_key::WordKey;

use crate::study::{
    FORMAT, Study, air_table, fabric_table, fan_table, fan_view_table, grille_table, meter_table,
    other_fans_table, panel_table, place_table, printer_table, run_table, smoke_table, study_keys,
    vent_table,
};

/// The study as text, every key written out.
pub(super) fn to_toml(study: &Study) -> String {
    let mut copy = ResolvedCopy::default();
    copy.value(&study_keys::FORMAT_KEY, FORMAT);
    study_keys::write(&mut copy, study);
    air_table::write(&mut copy, &study.air);
    fan_table::write(&mut copy, &study.fan, study.vent.is_none());
    if let Some(vent) = &study.vent {
        vent_table::write(&mut copy, vent);
    }
    place_table::write(&mut copy, &study.place);
    if let Some(meter) = &study.meter {
        meter_table::write(&mut copy, meter);
    }
    if let Some(printer) = study.printer {
        printer_table::write(&mut copy, printer);
    }
    fan_view_table::write(&mut copy, study.fan_view.as_ref());
    for fans in &study.other_fans {
        other_fans_table::write(&mut copy, fans);
    }
    for panel in &study.panels {
        panel_table::write(&mut copy, panel, &study.grilles);
    }
    for fabric in &study.fabrics {
        fabric_table::write(&mut copy, fabric);
    }
    for grille in &study.grilles {
        grille_table::write(&mut copy, grille);
    }
    smoke_table::write(&mut copy, &study.smoke);
    run_table::write(&mut copy, &study.run);
    copy.into_text()
}

/// A resolved copy in the making: each value under its declared key.
#[derive(Debug, Default)]
pub(super) struct ResolvedCopy {
    text: String,
}

// Writing into a `String` cannot fail.
impl ResolvedCopy {
    /// The whole text.
    pub(super) fn into_text(self) -> String {
        self.text
    }

    /// Begins a table.
    pub(super) fn table(&mut self, header: &str) {
        let _ = writeln!(self.text, "\n{header}");
    }

    /// A value that reads as it is.
    pub(super) fn value(&mut self, key: &Key, value: impl Display) {
        let _ = writeln!(self.text, "{} = {value}", key.name);
    }

    /// A number in SI, in the unit of its key.
    pub(super) fn number(&mut self, key: &Key, si: f64) {
        self.value(key, number(key, si));
    }

    /// The same, if it is known.
    pub(super) fn number_if_known(&mut self, key: &Key, si: Option<f64>) {
        if let Some(si) = si {
            self.number(key, si);
        }
    }

    /// The word that stands for a meaning.
    pub(super) fn word<T: PartialEq>(&mut self, key: &WordKey<T>, meaning: &T) {
        self.text(key, key.word(meaning));
    }

    /// A word or a name.
    pub(super) fn text(&mut self, key: &Key, text: &str) {
        self.value(key, quoted(text));
    }

    /// A list of tables, a line each.
    pub(super) fn tables(&mut self, key: &Key, tables: impl Iterator<Item = String>) {
        let mut list = "[\n".to_owned();
        for table in tables {
            let _ = writeln!(list, "  {table},");
        }
        self.value(key, list + "]");
    }
}

/// A table in a line: `{ flow_m3_per_h = 40, pressure_pa = 18 }`
pub(super) fn inline(numbers: &[(&Key, f64)]) -> String {
    let numbers = numbers.iter();
    let pairs: Vec<String> = numbers
        .map(|(key, si)| format!("{} = {}", key.name, number(key, *si)))
        .collect();
    format!("{{ {} }}", pairs.join(", "))
}

/// A number in SI as a number of its key.
fn number(key: &Key, si: f64) -> String {
    decimal(si, |number| key.si(number), key.limits().unit.per_si)
}

/// The shortest decimal number that `to_si` turns into exactly `value`, so that reading the copy gives back the same bits.
///
/// `factor` is about how much larger the number is than `value`.
#[expect(clippy::float_cmp, reason = "exactly the same bits are wanted")]
fn decimal(value: f64, to_si: impl Fn(f64) -> f64, factor: f64) -> String {
    shortest(value * factor, |number| to_si(number) == value)
}

/// The number near `number` with the fewest digits of which `fits` is true.
pub(super) fn shortest(number: f64, fits: impl Fn(f64) -> bool) -> String {
    for digits in 0..17 {
        let text = format!("{number:.digits$e}");
        if let Ok(candidate) = text.parse::<f64>()
            && fits(candidate)
        {
            return candidate.to_string();
        }
    }
    // Conversion there and back may be off by a few units in the last place: look at the neighbours.
    let mut candidates = [number, number];
    for _ in 0..8 {
        candidates = [candidates[0].next_up(), candidates[1].next_down()];
        if let Some(candidate) = candidates.into_iter().find(|candidate| fits(*candidate)) {
            return candidate.to_string();
        }
    }
    number.to_string()
}

/// A TOML string on one line.
pub(super) fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}
