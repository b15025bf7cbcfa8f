//! How is a table read that a spreadsheet saved as CSV? Comma, semicolon or tab; byte order mark or not; each row with its line.

use super::content::Source;
use crate::diagnostic::{Failure, Place, Problem, short};

/// A first line of names, and rows below it.
#[derive(Debug, Clone)]
pub struct Table {
    pub shown: String,
    pub head: Vec<String>,
    pub rows: Vec<TableRow>,
}

#[derive(Debug, Clone)]
pub struct TableRow {
    /// From 1, as a spreadsheet counts.
    pub line: usize,
    cells: csv::StringRecord,
}

impl TableRow {
    /// Without the spaces around it; empty where the row is too short.
    pub fn cell(&self, column: usize) -> &str {
        self.cells.get(column).unwrap_or("").trim()
    }

    pub fn is_blank(&self) -> bool {
        self.cells.iter().all(|c| c.trim().is_empty())
    }
}

impl Table {
    /// The place of a cell; the column counts cells from 1.
    pub fn place(&self, line: usize, column: usize) -> Place {
        Place {
            file: self.shown.clone(),
            line,
            column: column + 1,
        }
    }
}

/// Reads a table. Rows in which nothing stands are passed over.
///
/// # Errors
/// Exit code 2 when it is no table: no first line, a row longer than it, a line end or a NUL byte within a cell.
pub fn read_table(source: &Source) -> Result<Table, Failure> {
    let (before, text) = without_mark(&source.text);
    let mut table = Table {
        shown: source.shown.clone(),
        head: Vec::new(),
        rows: Vec::new(),
    };
    if let Some(at) = text.find('\0') {
        let line = before + text[..at].matches('\n').count() + 1;
        let message = "here stands a byte that no text has".to_string();
        let hint = "save the table again as CSV with the encoding UTF-8";
        return Err(table.wrong(line, 0, message, hint));
    }
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator(text.lines().next().unwrap_or_default()))
        .from_reader(text.as_bytes());
    // The reader counts line ends of its own way; here the lines up to each record are counted.
    let (mut line, mut counted) = (before + 1, 0);
    let mut record = csv::StringRecord::new();
    loop {
        let start = usize::try_from(reader.position().byte()).unwrap_or(usize::MAX);
        match reader.read_record(&mut record) {
            Ok(true) => {}
            Ok(false) => break,
            Err(e) => {
                let message = format!("this cannot be read as a table ({})", short(&e.to_string()));
                return Err(table.wrong(line, 0, message, "save the table again as CSV"));
            }
        }
        let rest = text.get(start..).unwrap_or_default();
        let start = start + (rest.len() - rest.trim_start_matches(['\r', '\n']).len());
        let passed = text.get(counted..start).unwrap_or_default();
        line += passed.matches('\n').count();
        counted = start;
        table.take(line, &record)?;
    }
    match table.head.is_empty() {
        true => Err(table.wrong(
            1,
            0,
            "the table is empty".to_string(),
            "name a file whose first line holds the names of the columns",
        )),
        false => Ok(table),
    }
}

/// How many lines some spreadsheets put in front to name the separator, and what follows them.
fn without_mark(text: &str) -> (usize, &str) {
    match text.split_once('\n') {
        Some((first, rest))
            if first.trim_end().to_ascii_lowercase().starts_with("sep=")
                && first.trim_end().len() <= 5 =>
        {
            (1, rest)
        }
        _ => (0, text),
    }
}

impl Table {
    fn wrong(&self, line: usize, column: usize, message: String, hint: &str) -> Failure {
        Failure::usage(
            Problem::new(message)
                .hint(hint)
                .at(self.place(line, column)),
        )
    }

    /// The first record is the head, every other a row.
    fn take(&mut self, line: usize, record: &csv::StringRecord) -> Result<(), Failure> {
        if let Some(column) = record.iter().position(|c| c.contains(['\n', '\r'])) {
            return Err(self.wrong(
                line,
                column,
                "a cell goes on over the end of its line".to_string(),
                "take the line end out of the cell; where a cell begins with a quotation mark, one may be missing at its end",
            ));
        }
        if self.head.is_empty() {
            self.head = record.iter().map(|c| c.trim().to_string()).collect();
            return Ok(());
        }
        let row = TableRow {
            line,
            cells: record.clone(),
        };
        let most = self.head.len();
        if (most..record.len()).any(|c| !row.cell(c).is_empty()) {
            return Err(self.wrong(
                line,
                most,
                format!("this row has more cells than the first line has names ({most})"),
                "take the cells away that stand too far right; a comma within a cell needs quotation marks around the cell",
            ));
        }
        if !row.is_blank() {
            self.rows.push(row);
        }
        Ok(())
    }
}

/// What parts the names of the first line.
fn separator(head: &str) -> u8 {
    let count = |c: char| head.matches(c).count();
    let candidates = [(',', b','), (';', b';'), ('\t', b'\t')];
    // The first of those that stand equally often.
    let best = candidates.into_iter().rev().max_by_key(|(c, _)| count(*c));
    best.map_or(b',', |(_, byte)| byte)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Table, Failure> {
        read_table(&Source::new("t.csv", "t.csv", text.to_string()))
    }

    #[test]
    fn rows_know_their_line_whatever_the_line_ends_and_separators() {
        for (end, mark, head) in [
            ("\n", ",", ""),
            ("\r\n", ";", ""),
            ("\r\n", "\t", "sep=\t\r\n"),
        ] {
            let row = |a: &str, b: &str| format!("{a}{mark}{b}{end}");
            let text = head.to_string()
                + &row("a", "b")
                + &row("1", "2")
                + end
                + &row("", "")
                + &row("3", "4");
            let table = read(&text).unwrap();
            let shift = usize::from(!head.is_empty());
            assert_eq!(table.head, ["a", "b"]);
            let lines: Vec<usize> = table.rows.iter().map(|r| r.line - shift).collect();
            assert_eq!(lines, [2, 5], "{text:?}");
            assert_eq!(table.rows[1].cell(1), "4");
        }
    }

    #[test]
    fn what_is_no_table_is_answered_with_its_line() {
        for (text, line) in [
            ("", 1),
            ("a,b\n1,2\n1,2,3\n", 3),
            ("a,b\r\n1,2\r\n\"open,2\r\n3,4\r\n", 3),
            ("a,b\n1,\0\n", 2),
        ] {
            let failure = read(text).unwrap_err();
            assert_eq!(failure.exit_code(), 2);
            let place = failure.problems()[0].place.clone().unwrap();
            assert_eq!(place.line, line, "{failure}");
        }
    }
}
