//! The files of one run and the places in them.

use std::ops::Range;

/// A file of this run: an index into its [`SourceMap`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub u32);

/// A range of bytes in one file. Spans never take part in equality of a model.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// The file.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The span of `range` in `file`.
    pub fn new(file: FileId, range: Range<usize>) -> Self {
        Span { file, start: range.start as u32, end: range.end as u32 }
    }

    /// The span from the start of `self` to the end of `other`.
    pub fn to(self, other: Span) -> Self {
        Span { file: self.file, start: self.start, end: other.end.max(self.start) }
    }

    /// The bytes it covers.
    pub fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// A line and a column, both from 1; the column counts characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

/// One file that was read.
#[derive(Clone, Debug)]
struct SourceFile {
    name: String,
    text: String,
    line_starts: Vec<u32>,
}

/// All files of one run, in the order in which they were read.
#[derive(Clone, Debug, Default)]
pub struct SourceMap {
    files: Vec<SourceFile>,
}

impl SourceMap {
    /// Adds a file under the name that messages show, and gives its id.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<String>) -> FileId {
        let text = text.into();
        let line_starts =
            std::iter::once(0).chain(text.match_indices('\n').map(|(i, _)| i as u32 + 1)).collect();
        self.files.push(SourceFile { name: name.into(), text, line_starts });
        FileId(self.files.len() as u32 - 1)
    }

    /// Every file, in the order in which they were added.
    pub fn ids(&self) -> impl Iterator<Item = FileId> {
        (0..self.files.len() as u32).map(FileId)
    }

    /// The name that messages show: the root file's own name, a `use`d file's
    /// path from the root file's folder, `std.NAME` for the standard library.
    pub fn name(&self, file: FileId) -> &str {
        &self.files[file.0 as usize].name
    }

    /// The text.
    pub fn text(&self, file: FileId) -> &str {
        &self.files[file.0 as usize].text
    }

    /// The text under a span; empty where the span runs past the file.
    pub fn snippet(&self, span: Span) -> &str {
        self.text(span.file).get(span.range()).unwrap_or("")
    }

    /// Line and column of the first byte of `span`.
    pub fn position(&self, span: Span) -> Position {
        let file = &self.files[span.file.0 as usize];
        let line = file.line_starts.partition_point(|start| *start <= span.start).max(1);
        let from = file.line_starts[line - 1] as usize;
        let to = (span.start as usize).min(file.text.len());
        let column = file.text.get(from..to).map_or(0, |t| t.chars().count()) + 1;
        Position { line, column }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_count_lines_and_characters_from_one() {
        let mut map = SourceMap::default();
        let file = map.add("a.pkn", "é = 1\nlet b = 2\n");
        assert_eq!(map.position(Span::new(file, 0..1)), Position { line: 1, column: 1 });
        assert_eq!(map.position(Span::new(file, 3..4)), Position { line: 1, column: 3 });
        assert_eq!(map.position(Span::new(file, 7..8)), Position { line: 2, column: 1 });
        assert_eq!(map.snippet(Span::new(file, 11..12)), "b");
    }
}
