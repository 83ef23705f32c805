//! A key that holds one of some words, declared with what each of them means.

use std::ops::Deref;

use crate::study::key::Key;

/// A key that holds one of some words.
#[derive(Debug, Clone, Copy)]
pub(super) struct WordKey<T: 'static> {
    pub(super) key: Key,
    /// Each word with its meaning, in the order in which messages list them.
    pub(super) words: &'static [(&'static str, T)],
    /// What it means to leave the key out; `None` if that depends, or the key is needed.
    pub(super) default: Option<T>,
}

impl<T: Copy> WordKey<T> {
    /// What the key means where it is left out.
    pub(super) const fn or(self, default: T) -> Self {
        Self {
            key: self.key,
            words: self.words,
            default: Some(default),
        }
    }

    /// What a word means.
    pub(super) fn meaning(&self, word: &str) -> Option<T> {
        let mut words = self.words.iter();
        let known = words.find(|(known, _)| *known == word);
        known.map(|(_, meaning)| *meaning)
    }
}

impl<T: PartialEq> WordKey<T> {
    /// The word that stands for a meaning.
    pub(super) fn word(&self, meaning: &T) -> &'static str {
        let mut words = self.words.iter();
        let known = words.find(|(_, known)| known == meaning);
        known.map_or("", |(word, _)| word)
    }
}

impl<T> Deref for WordKey<T> {
    type Target = Key;

    fn deref(&self) -> &Key {
        &self.key
    }
}

impl Key {
    /// Each word that it may hold with its meaning.
    pub(super) const fn means<T>(self, words: &'static [(&'static str, T)]) -> WordKey<T> {
        WordKey {
            key: self,
            words,
            default: None,
        }
    }
}
