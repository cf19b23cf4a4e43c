//! Tables of texts, laid out for a terminal, for Markdown, and as comma-separated values.

use std::fmt::Write as _;

/// Rows of cells under heads. Rows may be shorter than the heads.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// One for each column.
    pub heads: Vec<String>,
    /// Cells from the left.
    pub rows: Vec<Vec<String>>,
}

impl Table {
    /// A table without rows.
    pub fn new(heads: &[&str]) -> Self {
        Table { heads: heads.iter().map(|h| (*h).to_string()).collect(), rows: Vec::new() }
    }

    /// Heads and rows in columns as wide as their widest cell, two blanks between them.
    pub fn text(&self) -> String {
        let all: Vec<&Vec<String>> = std::iter::once(&self.heads).chain(&self.rows).collect();
        lines(&all).join("\n") + "\n"
    }

    /// The rows alone, one line each.
    pub fn lines(&self) -> Vec<String> {
        lines(&self.rows.iter().collect::<Vec<_>>())
    }

    /// A table of Markdown.
    pub fn markdown(&self) -> String {
        let mut text = String::new();
        let columns = self.heads.len();
        push_row(&mut text, self.heads.iter().map(|h| cell(h)), columns);
        let _ = writeln!(text, "|{}", " --- |".repeat(columns));
        for row in &self.rows {
            push_row(&mut text, row.iter().map(|c| cell(c)), columns);
        }
        text
    }

    /// RFC 4180: fields with commas, quotes or breaks are quoted. Lines end as on Unix.
    pub fn csv(&self) -> String {
        let mut text = String::new();
        for row in std::iter::once(&self.heads).chain(&self.rows) {
            let fields: Vec<String> = row.iter().map(|c| field(c)).collect();
            let missing = self.heads.len().saturating_sub(row.len());
            let _ = writeln!(text, "{}{}", fields.join(","), ",".repeat(missing));
        }
        text
    }
}

fn lines(rows: &[&Vec<String>]) -> Vec<String> {
    let columns = rows.iter().map(|r| r.len()).max().unwrap_or(0);
    let length = |cell: &String| cell.chars().count();
    let widths: Vec<usize> = (0..columns)
        .map(|k| rows.iter().filter_map(|r| r.get(k)).map(length).max().unwrap_or(0))
        .collect();
    let line = |row: &&Vec<String>| {
        let mut text = String::new();
        for (cell, width) in row.iter().zip(&widths) {
            let blanks = width - length(cell) + 2;
            text.push_str(cell);
            text.extend(std::iter::repeat_n(' ', blanks));
        }
        text.trim_end().to_string()
    };
    rows.iter().map(line).collect()
}

fn push_row(text: &mut String, cells: impl Iterator<Item = String>, columns: usize) {
    let mut cells: Vec<String> = cells.collect();
    cells.resize(columns, String::new());
    let _ = writeln!(text, "| {} |", cells.join(" | "));
}

/// What would end a cell or begin something else is escaped.
fn cell(text: &str) -> String {
    let mut cell = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '|' | '\\' | '*' | '_' | '`' | '<' | '[' => cell.extend(['\\', c]),
            '\n' | '\r' => cell.push(' '),
            _ => cell.push(c),
        }
    }
    cell
}

fn field(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        return format!("\"{}\"", text.replace('"', "\"\""));
    }
    text.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> Table {
        let mut table = Table::new(&["part", "says"]);
        table.rows.push(vec!["a|b".into(), "one, \"two\"".into()]);
        table.rows.push(vec!["long_name".into()]);
        table
    }

    #[test]
    fn columns_are_as_wide_as_their_widest_cell() {
        assert_eq!(table().text(), "part       says\na|b        one, \"two\"\nlong_name\n");
    }

    #[test]
    fn cells_of_markdown_end_nowhere_but_at_their_end() {
        let said = "| part | says |\n| --- | --- |\n| a\\|b | one, \"two\" |\n| long\\_name |  |\n";
        assert_eq!(table().markdown(), said);
    }

    // RFC 4180, section 2: rules 5 to 7.
    #[test]
    fn fields_are_quoted_where_the_standard_asks_for_it() {
        assert_eq!(table().csv(), "part,says\na|b,\"one, \"\"two\"\"\"\nlong_name,\n");
    }
}
