//! Letters that say which grilles are not behind one another: those that share a letter.
//!
//! Ties need not be transitive (the first may be tied with the second and the second with the third, but not the first with the third), so one grille can
//! carry several letters: the compact letter display of multiple comparisons.
//!
//! # References
//! H.-P. Piepho, "An algorithm for a letter-based representation of all-pairwise comparisons", Journal of Computational and Graphical Statistics 13
//! (2004) 456–466 (the display; the groups come ready from the ranking here).

use crate::result::StudyResult;

/// Most letters that a column shows; more are marked by a plus sign.
const MOST_LETTERS: usize = 4;

/// Stands for further ties.
pub(super) const MORE: char = '+';

/// The letters of each grille of a result, in the order of the grilles.
pub fn tie_letters(result: &StudyResult) -> Vec<String> {
    let ids: Vec<usize> = result.grilles.iter().map(|grille| grille.id).collect();
    letters_of(&ids, &result.ties)
}

/// The letters of each of these designs; empty for those with no tie.
pub(super) fn letters_of<A, B: PartialEq<A>>(names: &[A], ties: &[Vec<B>]) -> Vec<String> {
    let groups = ties.iter().filter(|group| group.len() > 1);
    let mut letters = vec![String::new(); names.len()];
    // Beyond 52 groups the letters are used up; a plus sign still says that there is a tie.
    let labels = ('a'..='z').chain('A'..='Z').chain(std::iter::repeat(MORE));
    for (group, label) in groups.zip(labels) {
        for (name, letters) in names.iter().zip(&mut letters) {
            if group.iter().any(|tied| *tied == *name) && !letters.ends_with(MORE) {
                letters.push(label);
            }
        }
    }
    for letters in &mut letters {
        if letters.len() > MOST_LETTERS {
            letters.truncate(MOST_LETTERS - 1);
            letters.push(MORE);
        }
    }
    letters
}
