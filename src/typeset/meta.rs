//! What does a document say about itself, and on what is it printed?

/// The paper a sheet is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 x 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 x 11 inches (ANSI/ASME Y14.1 size A).
    Letter,
}

/// How large and how open the text is set; both together are possible.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Print {
    /// Running text of 16 points.
    pub large: bool,
    /// Letters, words, lines and paragraphs further apart, for dyslexic readers; 12 points unless large.
    pub spaced: bool,
}

/// Where a sheet is read, which says how large its type is and how wide its margins are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Format {
    /// On a table.
    #[default]
    Table,
    /// Held and written on: narrow margins, nothing at the head, no type smaller than its text.
    Held,
    /// Hung on a door and read from two metres.
    Hung,
}

/// What a sheet is printed on and how.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PageStyle {
    pub paper: Paper,
    pub print: Print,
}

/// What the file and the edge of every page say about the sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PdfMeta {
    /// Document title, shown in the window of the viewer and at the head of the second and later pages.
    pub title: String,
    /// Document subject, one line.
    pub subject: String,
    /// BCP 47 language tag, for example `en-GB`.
    pub language: String,
    /// Station code, in the footer of every page.
    pub code: String,
    /// One or two sentences in small type in the footer of every page; wraps. A `foot` comment in the Markdown wins.
    pub caution: String,
    /// Kind of sheet, for example `Candidate sheet`, at the head of every page.
    pub sheet: String,
    /// `Page {page} of {pages}`, in the footer of every page.
    pub numbering: String,
    pub paper: Paper,
    pub print: Print,
    pub format: Format,
    /// More pages than this are refused.
    pub most_pages: Option<usize>,
}
