//! What can a text be made of? Headings, paragraphs, lists, tables, frames, lines to write on.

/// A piece of text in one voice; `\n` in it is a forced line end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Span {
    pub text: String,
    pub bold: bool,
    pub italic: bool,
}

impl Span {
    pub fn plain(text: impl Into<String>) -> Span {
        Span {
            text: text.into(),
            bold: false,
            italic: false,
        }
    }
}

/// The text of spans without their voices.
pub fn plain_text(spans: &[Span]) -> String {
    spans.iter().map(|s| s.text.as_str()).collect()
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Nothing said in the Markdown: left, or centred where a column holds tick boxes only.
    Auto,
    Left,
    Centre,
    Right,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    pub align: Vec<Align>,
    /// Relative widths from a `columns` comment.
    pub widths: Option<Vec<f32>>,
    pub head: Vec<Vec<Span>>,
    /// Every row has as many cells as the head.
    pub rows: Vec<Vec<Vec<Span>>>,
}

#[derive(Debug, Clone, PartialEq, Default)]
pub struct Entry {
    /// `- [ ]` or `- [x]`: the box stands where the bullet would.
    pub ticked: Option<bool>,
    pub blocks: Vec<Block>,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    Heading {
        level: u8,
        text: Vec<Span>,
    },
    Paragraph {
        text: Vec<Span>,
        /// Within a list whose entries follow each other without space.
        tight: bool,
    },
    List {
        /// Number of the first entry; `None` for bullets.
        first: Option<u64>,
        entries: Vec<Entry>,
    },
    Quote(Vec<Block>),
    Code(String),
    Table(Table),
    Rule,
    /// Ruled lines to write on.
    Space(usize),
    /// Empty space to draw in, as high as so many ruled lines.
    Blank(usize),
    PageBreak,
    /// Stands at the foot of every page, not here.
    Foot(Vec<Span>),
    Frame(Vec<Block>),
    /// A drawn picture, by the name of its file; what it shows in words stands in when there is none.
    Figure {
        file: String,
        alt: Vec<Span>,
    },
}

/// True when a page must not end between two blocks though the first is no heading: "Name the muscles:" and its list, words
/// in bold that stand as a heading, a question and the lines to answer it on, a sentence or a box and the table it opens.
pub fn leads_into(block: &Block, next: Option<&Block>) -> bool {
    match (block, next) {
        (
            Block::Paragraph { .. },
            Some(Block::Space(_) | Block::Table(_) | Block::Figure { .. }),
        )
        | (Block::Frame(_), Some(Block::Table(_))) => true,
        (_, Some(Block::PageBreak) | None) => false,
        (Block::Paragraph { text, .. }, Some(_)) => {
            let blank = |span: &Span| span.text.trim().is_empty();
            let bold = |span: &Span| span.bold || blank(span);
            plain_text(text).trim_end().ends_with(':')
                || (text.iter().all(bold) && !text.iter().all(blank))
        }
        _ => false,
    }
}

/// True when two blocks are better read on one page: prompts and what they should bring, the words that open a part and the
/// first heading below it, a line not to be passed and what lies beyond an empty space below it.
pub fn belongs_with(block: &Block, next: Option<&Block>) -> bool {
    matches!(
        (block, next),
        (Block::Table(_), Some(Block::Table(_)))
            | (Block::Paragraph { .. }, Some(Block::Blank(_)))
            | (Block::Blank(_), Some(_))
            | (
                Block::Paragraph { .. },
                Some(Block::Heading { level: 3.., .. })
            )
    )
}

/// Splits "3. Where is the lesion?" into the number and the rest.
pub fn number_of(spans: &[Span]) -> Option<(String, Vec<Span>)> {
    let first = spans.first()?;
    let digits = first.text.bytes().take_while(u8::is_ascii_digit).count();
    if digits == 0 || digits > 3 {
        return None;
    }
    let (number, rest) = first.text.split_at_checked(digits)?;
    let (number, rest) = match rest.strip_prefix(['.', ')']) {
        Some(after) => (first.text.get(..digits + 1)?, after),
        None => (number, rest),
    };
    let rest = rest.strip_prefix(' ')?;
    if rest.trim().is_empty() && spans.len() == 1 {
        return None;
    }
    let mut spans = spans.to_vec();
    spans.first_mut()?.text = rest.trim_start().to_string();
    Some((number.to_string(), spans))
}
