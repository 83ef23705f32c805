//! Where in a file a value stands: line and column from the byte at which it begins.

use std::fmt;
use std::ops::Range;
use std::path::Path;

/// Where a fault lies.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum FaultPlace {
    /// In a file.
    InFile {
        /// Name of the file as the reader of the message knows it.
        file: String,
        /// Line, counted from 1.
        line: usize,
        /// Column in characters, counted from 1.
        column: usize,
    },
    /// The file as a whole.
    WholeFile {
        /// Name of the file.
        file: String,
    },
    /// In a flag of the command line, such as `--threads`.
    Flag(&'static str),
}

impl fmt::Display for FaultPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::InFile { file, line, column } => write!(f, "{file}:{line}:{column}"),
            Self::WholeFile { file } => write!(f, "{file}"),
            Self::Flag(flag) => write!(f, "{flag}"),
        }
    }
}

/// A text with its name, which turns bytes into places.
#[derive(Debug, Clone)]
pub(super) struct SourceText {
    pub(super) file: String,
    pub(super) text: String,
}

impl SourceText {
    /// The place of the byte `offset`; past the end it is the end of the text.
    pub(super) fn place(&self, offset: usize) -> FaultPlace {
        self.places().at(offset)
    }

    /// Places of many bytes, each at or behind the one before.
    pub(super) fn places(&self) -> Places<'_> {
        Places {
            source: self,
            offset: 0,
            line: 1,
            column: 1,
        }
    }

    /// The line of the byte `offset`, counted from 1.
    pub(super) fn line(&self, offset: usize) -> usize {
        self.before(offset).matches('\n').count() + 1
    }

    /// The text before the byte `offset`; all of it if that is past the end.
    fn before(&self, offset: usize) -> &str {
        self.text.get(..offset).unwrap_or(&self.text)
    }

    /// The name of a file that this one names by its path from its own folder.
    pub(super) fn name_beside(&self, path: &str) -> String {
        Path::new(&self.file)
            .with_file_name(path)
            .display()
            .to_string()
    }

    /// The text of the line in which the span begins.
    pub(super) fn line_text(&self, span: &Range<usize>) -> &str {
        let before = self.before(span.start);
        let start = before.rfind('\n').map_or(0, |newline| newline + 1);
        self.text[start..].lines().next().unwrap_or("")
    }
}

/// Goes through a text once, from place to place.
#[derive(Debug)]
pub(super) struct Places<'a> {
    source: &'a SourceText,
    offset: usize,
    line: usize,
    column: usize,
}

impl Places<'_> {
    /// The place of the byte `offset`, which is not before the last one.
    pub(super) fn at(&mut self, offset: usize) -> FaultPlace {
        let text = &self.source.text;
        let offset = if text.is_char_boundary(offset) {
            offset
        } else {
            text.len()
        };
        let passed = text.get(self.offset..offset).unwrap_or("");
        self.line += passed.matches('\n').count();
        let line_start = passed.rfind('\n').map(|newline| newline + 1);
        if line_start.is_some() {
            self.column = 1;
        }
        self.column += passed[line_start.unwrap_or(0)..].chars().count();
        self.offset = offset.max(self.offset);
        FaultPlace::InFile {
            file: self.source.file.clone(),
            line: self.line,
            column: self.column,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_characters_not_bytes() {
        let source = SourceText {
            file: "s.toml".to_owned(),
            text: "a = 1\nä = \"ö\" # x\n".to_owned(),
        };
        let offset = source.text.find('#').unwrap();
        assert_eq!(source.place(offset).to_string(), "s.toml:2:9");
        assert_eq!(source.place(0).to_string(), "s.toml:1:1");
        assert_eq!(source.place(10_000).to_string(), "s.toml:3:1");
        let mut places = source.places();
        for offset in [0, 6, 6, 9, offset, 10_000] {
            assert_eq!(places.at(offset), source.place(offset), "{offset}");
        }
        assert_eq!(source.line_text(&(offset..offset)), "ä = \"ö\" # x");
    }
}
