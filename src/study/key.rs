//! What a key of the study file is, declared once: its name, what it may hold, what it is without it, what to write, whether a series varies it.
//!
//! A table is a list of keys; reading it, writing it, the faults of unknown and misplaced keys and the series all look here.

use crate::units::{CUBIC_FEET_PER_MINUTE, CUBIC_METRES_PER_HOUR, PASCALS_PER_MILLIMETRE_OF_WATER};

/// The unit of a number in the file, and how the number becomes SI.
#[derive(Debug, Clone, Copy)]
pub(super) struct Unit {
    /// With a space before it, for messages.
    pub(super) text: &'static str,
    pub(super) to_si: fn(f64) -> f64,
    /// About how much larger the number is than its value in SI.
    pub(super) per_si: f64,
}

impl Unit {
    /// A number without unit.
    pub(super) const NONE: Self = Self::kept("");
    pub(super) const MM: Self = Self::new(" mm", |mm| mm / 1000.0, 1000.0);
    /// A diameter of which the radius counts.
    pub(super) const DIAMETER_MM: Self = Self::new(" mm", |mm| mm / 2000.0, 2000.0);
    pub(super) const UM: Self = Self::new(" um", |um| um / 1e6, 1e6);
    pub(super) const CM2: Self = Self::new(" cm2", |cm2| cm2 / 1e4, 1e4);
    pub(super) const DEGREES: Self =
        Self::new(" degrees", f64::to_radians, 180.0 / std::f64::consts::PI);
    pub(super) const PERCENT: Self = Self::new(" %", |percent| percent / 100.0, 100.0);
    pub(super) const RPM: Self = Self::new(" rpm", |rpm| rpm / 60.0, 60.0);
    pub(super) const HPA: Self = Self::new(" hPa", |hpa| hpa * 100.0, 0.01);
    pub(super) const M3_PER_H: Self = Self::new(
        " m3/h",
        |flow| flow / CUBIC_METRES_PER_HOUR,
        CUBIC_METRES_PER_HOUR,
    );
    /// By way of m³/h, in which flows are written back.
    pub(super) const CFM: Self = Self::new(
        " CFM",
        |cfm| cfm / CUBIC_FEET_PER_MINUTE * CUBIC_METRES_PER_HOUR / CUBIC_METRES_PER_HOUR,
        CUBIC_FEET_PER_MINUTE,
    );
    pub(super) const MMH2O: Self = Self::new(
        " mmH2O",
        |mmh2o| mmh2o * PASCALS_PER_MILLIMETRE_OF_WATER,
        1.0 / PASCALS_PER_MILLIMETRE_OF_WATER,
    );

    const fn new(text: &'static str, to_si: fn(f64) -> f64, per_si: f64) -> Self {
        Self {
            text,
            to_si,
            per_si,
        }
    }

    /// A unit that the program keeps as it is.
    pub(super) const fn kept(text: &'static str) -> Self {
        Self::new(text, |number| number, 1.0)
    }
}

/// What a number may be, ends included, in the unit of its key. The ranges keep out slips of the pen (metres for millimetres), not unusual designs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Limits {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) unit: Unit,
}

impl Limits {
    /// Whether the number lies in the range; NaN does not.
    pub(super) fn include(&self, number: f64) -> bool {
        (self.low..=self.high).contains(&number)
    }
}

/// What a key holds.
#[derive(Debug, Clone, Copy)]
pub(super) enum Kind {
    Number(Limits),
    Whole(Limits),
    /// A word or a name.
    Text,
    Flag,
    /// A list of words.
    Words,
    Table(&'static Keys),
    /// A list of tables.
    Tables(&'static Keys),
    /// Lists of values for the keys that a series may vary.
    Vary,
    /// A list of tables of the keys that a series may vary, each with a name.
    Rows,
}

/// Keys of which a pattern has one: a row of a series that gives one takes the place of the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Choice {
    /// The size of a hole that has only one.
    Size,
    /// The way to turn.
    Turn,
}

/// A key of the study file.
#[derive(Debug, Clone, Copy)]
pub(super) struct Key {
    pub(super) name: &'static str,
    pub(super) kind: Kind,
    /// What to write, where the key is absent or out of its range.
    pub(super) hint: &'static str,
    /// What a number is without the key; `None` if there is no such value.
    pub(super) default: Option<f64>,
    /// What a series calls it in the names of its grilles; `None` if no series may vary it.
    pub(super) varied_as: Option<&'static str>,
    pub(super) choice: Option<Choice>,
    /// The key without which this one means nothing.
    pub(super) needs: Option<&'static str>,
    /// The flag of the command line that overwrites it.
    pub(super) flag: Option<&'static str>,
}

impl Key {
    const fn new(name: &'static str, kind: Kind) -> Self {
        Self {
            name,
            kind,
            hint: "",
            default: None,
            varied_as: None,
            choice: None,
            needs: None,
            flag: None,
        }
    }

    /// A number from `low` to `high`.
    pub(super) const fn number(name: &'static str, unit: Unit, low: f64, high: f64) -> Self {
        Self::new(name, Kind::Number(Limits { low, high, unit }))
    }

    /// A length in mm.
    pub(super) const fn mm(name: &'static str, low: f64, high: f64) -> Self {
        Self::number(name, Unit::MM, low, high)
    }

    /// A whole number from `low` to `high`.
    pub(super) const fn whole(name: &'static str, low: f64, high: f64) -> Self {
        let unit = Unit::NONE;
        Self::new(name, Kind::Whole(Limits { low, high, unit }))
    }

    /// A word or a name.
    pub(super) const fn text(name: &'static str) -> Self {
        Self::new(name, Kind::Text)
    }

    /// `true` or `false`.
    pub(super) const fn flag(name: &'static str) -> Self {
        Self::new(name, Kind::Flag)
    }

    /// A list of words.
    pub(super) const fn words(name: &'static str) -> Self {
        Self::new(name, Kind::Words)
    }

    /// A table.
    pub(super) const fn table(name: &'static str, keys: &'static Keys) -> Self {
        Self::new(name, Kind::Table(keys))
    }

    /// Any number of tables.
    pub(super) const fn tables(name: &'static str, keys: &'static Keys) -> Self {
        Self::new(name, Kind::Tables(keys))
    }

    /// The lists of a series.
    pub(super) const fn vary(name: &'static str) -> Self {
        Self::new(name, Kind::Vary)
    }

    /// The rows of a series.
    pub(super) const fn rows(name: &'static str) -> Self {
        Self::new(name, Kind::Rows)
    }

    pub(super) const fn hint(self, hint: &'static str) -> Self {
        Self { hint, ..self }
    }

    /// What the number is without the key.
    pub(super) const fn or(self, default: f64) -> Self {
        let default = Some(default);
        Self { default, ..self }
    }

    /// Lets a series vary it, which calls it `words` in names; an empty text leaves the value alone to tell.
    pub(super) const fn varies(self, words: &'static str) -> Self {
        let varied_as = Some(words);
        Self { varied_as, ..self }
    }

    /// One of several keys of which a pattern has one.
    pub(super) const fn one_of(self, choice: Choice) -> Self {
        let choice = Some(choice);
        Self { choice, ..self }
    }

    /// Means nothing without that key.
    pub(super) const fn needs(self, key: &'static str) -> Self {
        let needs = Some(key);
        Self { needs, ..self }
    }

    /// Overwritten by that flag of the command line.
    pub(super) const fn set_by(self, flag: &'static str) -> Self {
        let flag = Some(flag);
        Self { flag, ..self }
    }

    /// The same key with another lower end of its range.
    pub(super) const fn from(self, low: f64) -> Self {
        let kind = match self.kind {
            Kind::Number(limits) => Kind::Number(Limits { low, ..limits }),
            Kind::Whole(limits) => Kind::Whole(Limits { low, ..limits }),
            other => other,
        };
        Self { kind, ..self }
    }

    /// Whether this is the key `other`.
    pub(super) fn is(&self, other: &Self) -> bool {
        self.name == other.name
    }

    /// What it may be; only numbers have limits.
    pub(super) fn limits(&self) -> Limits {
        match self.kind {
            Kind::Number(limits) | Kind::Whole(limits) => limits,
            _ => Limits {
                low: f64::NEG_INFINITY,
                high: f64::INFINITY,
                unit: Unit::NONE,
            },
        }
    }

    /// A number of this key in SI.
    pub(super) fn si(&self, number: f64) -> f64 {
        (self.limits().unit.to_si)(number)
    }
}

/// The keys of a table.
#[derive(Debug)]
pub(super) struct Keys {
    /// As a maker writes it: its header, or the key that holds it.
    pub(super) header: &'static str,
    /// What messages call one such table.
    pub(super) called: &'static str,
    /// In the order in which messages list them.
    pub(super) list: &'static [&'static Key],
}

impl Keys {
    pub(super) const fn new(header: &'static str, list: &'static [&'static Key]) -> Self {
        Self {
            header,
            called: header,
            list,
        }
    }

    /// With another name in messages.
    pub(super) const fn called(self, called: &'static str) -> Self {
        Self { called, ..self }
    }

    /// The key of that name.
    pub(super) fn find(&self, name: &str) -> Option<&'static Key> {
        self.list.iter().copied().find(|key| key.name == name)
    }

    /// This table and all within it, each once, outer ones first.
    pub(super) fn all(&'static self) -> Vec<&'static Self> {
        let mut all = vec![self];
        let mut next = 0;
        while let Some(table) = all.get(next).copied() {
            for key in table.list {
                if let Kind::Table(keys) | Kind::Tables(keys) = key.kind
                    && !all.iter().any(|known| known.header == keys.header)
                {
                    all.push(keys);
                }
            }
            next += 1;
        }
        all
    }
}
