//! Fingers and blades: whether the openings of the grilles in front keep them apart.

use crate::report::words::{names, shortened};
use crate::result::{GrilleResult, StudyResult};

/// What the verdict carries.
pub(super) struct FingerWords {
    /// Whether the grilles in front are not safe as they are.
    pub(super) is_unsafe: bool,
    /// What to say, if anything.
    pub(super) text: Option<String>,
}

/// How the distance to the blades, from the outside of a grille, stands to what its openings ask for.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Reach {
    /// Far enough.
    Safe,
    /// Asked for and there, mm; `None` where a hand reaches through.
    Short(Option<f64>, f64),
    /// Asked for, mm; how far the blades are is not known.
    Unknown(Option<f64>),
}

fn reach(result: &StudyResult, grille: &GrilleResult) -> Reach {
    let asked = grille.finger_distance_mm;
    match result.blade_gap_mm.map(|gap| gap + grille.thickness_mm) {
        None => Reach::Unknown(asked),
        Some(there) if asked.is_some_and(|asked| asked <= there + 1e-9) => Reach::Safe,
        Some(there) => Reach::Short(asked, there),
    }
}

/// What to say of fingers beside the grilles in front.
pub(super) fn finger_words(result: &StudyResult, front: &[&GrilleResult]) -> FingerWords {
    let said = |is_unsafe, text| FingerWords { is_unsafe, text };
    if !result.has_blades {
        return said(false, None);
    }
    // The worst of them speaks for all.
    let mut worst: Option<(Reach, f64)> = None;
    for grille in front {
        let reach = reach(result, grille);
        let asked = match reach {
            Reach::Safe => continue,
            Reach::Short(asked, _) | Reach::Unknown(asked) => asked.unwrap_or(f64::INFINITY),
        };
        if worst.is_none_or(|(_, most)| asked > most) {
            worst = Some((reach, asked));
        }
    }
    match worst.map(|(reach, _)| reach) {
        None | Some(Reach::Safe) => said(false, None),
        Some(Reach::Short(Some(asked), there)) => said(
            true,
            Some(format!(
                "not finger-safe: blades {there:.0}\u{a0}mm away, {asked:.0} needed"
            )),
        ),
        Some(Reach::Unknown(Some(asked))) => said(
            false,
            Some(format!(
                "only where blades are {asked:.0}\u{a0}mm or more from its outside"
            )),
        ),
        Some(Reach::Short(None, _) | Reach::Unknown(None)) => said(
            true,
            Some("not finger-safe: a hand fits through".to_owned()),
        ),
    }
}

/// The caution under the table, where the gap is not known or some grille needs more distance than there is.
pub(super) fn finger_caution(result: &StudyResult) -> Option<String> {
    if !result.has_blades {
        return None;
    }
    let ranked = || result.grilles.iter().filter(|it| it.rank.is_some());
    if result.blade_gap_mm.is_none() {
        return Some(
            "fingers: gap to the blades unknown (gap_mm in [place]); children need more."
                .to_owned(),
        );
    }
    let short: Vec<&GrilleResult> = ranked()
        .filter(|grille| matches!(reach(result, grille), Reach::Short(..)))
        .collect();
    if short.is_empty() {
        return None;
    }
    let there = result.blade_gap_mm.unwrap_or(0.0);
    let who = match short.as_slice() {
        [one] => shortened(&one.name),
        many if many.len() == ranked().count() => "every grille".to_owned(),
        many => names(many),
    };
    Some(format!(
        "fingers may reach the blades ({there:.0}\u{a0}mm behind) through {who}; children need more."
    ))
}
