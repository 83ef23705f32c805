//! Warnings of a study on the screen: one text per kind.

use crate::report::Warning;
use crate::report::cautions::{FAN_VIEW_UNSTEADY, METER_IN_BACK_FLOW, TURN_UNDECIDED};
use crate::report::page::harmless;
use crate::report::words::names;
use crate::result::{GrilleResult, StudyResult};

/// Fewest words in common that are worth saying once.
const LEAST_COMMON: usize = 4;

/// A kind of warning: what it says, each time with the grilles of which it says so.
struct Kind<'a> {
    warning: &'a Warning,
    said: Vec<(&'a str, Vec<&'a GrilleResult>)>,
}

/// The warnings of the study but for those that are told elsewhere ([`texts_of`]), of its grilles with a number, and of their runs; one text per kind, with the grilles that have it.
///
/// What a grille is warned of may differ in its numbers (a distance for fingers), and each of these is told. Runs repeat one warning with slightly
/// different numbers: the first speaks for all.
pub(super) fn warning_texts(result: &StudyResult) -> Vec<String> {
    let is_elsewhere = |code: &str| [FAN_VIEW_UNSTEADY, METER_IN_BACK_FLOW].contains(&code);
    let of_study = result.warnings.iter().filter(|w| !is_elsewhere(&w.code));
    let mut texts: Vec<String> = of_study.map(study_text).collect();
    texts.extend(kinds(result).iter().map(text));
    texts
}

/// Warnings of the study of one kind, for the place where its numbers are told.
pub(super) fn texts_of(result: &StudyResult, code: &str) -> Vec<String> {
    let all = result.warnings.iter();
    all.filter(|warning| warning.code == code)
        .map(study_text)
        .collect()
}

fn study_text(warning: &Warning) -> String {
    harmless(&format!("{}; {}.", warning.message, warning.advice))
}

fn kinds(result: &StudyResult) -> Vec<Kind<'_>> {
    let mut kinds: Vec<Kind<'_>> = Vec::new();
    let grilles = result.grilles.iter();
    for grille in grilles.filter(|g| result.measure(g).is_some()) {
        let of_grille = grille.warnings.iter().filter(|w| w.code != TURN_UNDECIDED);
        for warning in of_grille {
            let is_same = |kind: &Kind| {
                kind.warning.code == warning.code && kind.warning.advice == warning.advice
            };
            enter(&mut kinds, warning, grille, is_same, true);
        }
        for warning in grille.runs.iter().flat_map(|run| &run.warnings) {
            let is_same = |kind: &Kind| kind.warning.code == warning.code;
            enter(&mut kinds, warning, grille, is_same, false);
        }
    }
    kinds
}

fn enter<'a>(
    kinds: &mut Vec<Kind<'a>>,
    warning: &'a Warning,
    grille: &'a GrilleResult,
    is_same: impl Fn(&Kind) -> bool,
    has_own_words: bool,
) {
    let at = kinds.iter().position(is_same).unwrap_or_else(|| {
        let said = Vec::new();
        kinds.push(Kind { warning, said });
        kinds.len() - 1
    });
    let said = &mut kinds[at].said;
    let known = said
        .iter_mut()
        .find(|(message, _)| !has_own_words || *message == warning.message);
    match known {
        Some((_, grilles)) if grilles.iter().any(|g| g.id == grille.id) => {}
        Some((_, grilles)) => grilles.push(grille),
        None => said.push((&warning.message, vec![grille])),
    }
}

/// "names: message; advice." When the messages differ, what they have in common is said once: "at least 5 (a, b), 10 (c) mm; advice."
fn text(kind: &Kind) -> String {
    let messages: Vec<Vec<&str>> = kind
        .said
        .iter()
        .map(|(message, _)| message.split(' ').collect())
        .collect();
    let (start, end) = common_ends(&messages);
    let told = if kind.said.len() < 2 || start + end < LEAST_COMMON {
        let told = kind.said.iter();
        let told = told.map(|(message, grilles)| format!("{}: {message}", names(grilles)));
        told.collect::<Vec<_>>().join("; ")
    } else {
        let own = messages
            .iter()
            .zip(&kind.said)
            .map(|(words, (_, grilles))| {
                let own = words[start..words.len() - end].join(" ");
                format!("{own} ({})", names(grilles))
            });
        let first = &messages[0];
        [
            first[..start].join(" "),
            own.collect::<Vec<_>>().join(", "),
            first[first.len() - end..].join(" "),
        ]
        .join(" ")
        .trim()
        .to_owned()
    };
    harmless(&format!("{told}; {}.", kind.warning.advice))
}

/// How many words all messages have in common at their start and at their end; every message keeps at least one word of its own.
fn common_ends(messages: &[Vec<&str>]) -> (usize, usize) {
    let shortest = messages.iter().map(Vec::len).min().unwrap_or(0);
    let most = shortest.saturating_sub(1);
    let start = (0..most)
        .take_while(|&i| messages.iter().all(|words| words[i] == messages[0][i]))
        .count();
    let from_end = |words: &Vec<&str>, i: usize| words[words.len() - 1 - i].to_owned();
    let end = (0..most - start)
        .take_while(|&i| {
            let mut all = messages.iter();
            all.all(|words| from_end(words, i) == from_end(&messages[0], i))
        })
        .count();
    (start, end)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ends(messages: &[&str]) -> (usize, usize) {
        let words: Vec<Vec<&str>> = messages.iter().map(|m| m.split(' ').collect()).collect();
        common_ends(&words)
    }

    #[test]
    fn messages_share_their_ends_and_keep_a_word_of_their_own() {
        assert_eq!(ends(&["at least 5 mm", "at least 10 mm"]), (2, 1));
        assert_eq!(ends(&["at least 5 mm", "a hand reaches through"]), (0, 0));
        assert_eq!(ends(&["thin", "thin ribs"]), (0, 0));
        assert_eq!(ends(&["a b a b", "a b"]), (1, 0));
        assert_eq!(ends(&["same words", "same words"]), (1, 0));
    }
}
