//! What does the Markdown say? CommonMark with tables and task lists, and the layout comments of these sheets, as a tree of blocks.

use pulldown_cmark::{Alignment, Event, HeadingLevel, Options, Parser, Tag, TagEnd};

use super::blocks::{Align, Block, Entry, Span, Table, plain_text};
use super::comments::{self, Comment};
use crate::diagnostic::Problem;

/// Lists, quotes and boxes within each other; more cannot be told apart on paper.
pub const DEEPEST: usize = 10;

/// Reads Markdown.
///
/// # Errors
/// Nesting deeper than [`DEEPEST`]; a `box` comment without its end; a `columns` comment that fits no table.
pub fn parse(markdown: &str) -> Result<Vec<Block>, Problem> {
    let options = Options::ENABLE_TABLES | Options::ENABLE_TASKLISTS;
    let mut builder = Builder {
        open: vec![Open::new(Kind::Sheet, 0)],
        ..Builder::default()
    };
    for (event, range) in Parser::new_ext(markdown, options).into_offset_iter() {
        builder
            .event(event, range.start)
            .map_err(|(at, problem)| at_line(markdown, at, problem))?;
    }
    builder.finish(markdown)
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Sheet,
    Quote,
    List(Option<u64>),
    Entry,
    Frame,
}

#[derive(Debug)]
struct Open {
    kind: Kind,
    /// Byte where it began, for messages.
    at: usize,
    blocks: Vec<Block>,
    entries: Vec<Entry>,
    ticked: Option<bool>,
}

impl Open {
    fn new(kind: Kind, at: usize) -> Open {
        Open {
            kind,
            at,
            blocks: Vec::new(),
            entries: Vec::new(),
            ticked: None,
        }
    }
}

#[derive(Debug, Default)]
struct Builder {
    open: Vec<Open>,
    text: Vec<Span>,
    bold: usize,
    italic: usize,
    /// Address of each open link or image, and how much text there was before it.
    links: Vec<(String, usize)>,
    html: Option<String>,
    code: Option<String>,
    table: Option<Table>,
    row: Vec<Vec<Span>>,
    /// Widths from a comment, and where it stood, until their table comes.
    widths: Option<(Vec<f32>, usize)>,
    /// The next paragraph belongs at the foot of the pages.
    at_foot: bool,
}

type At<T> = Result<T, (usize, Problem)>;

impl Builder {
    fn event(&mut self, event: Event<'_>, at: usize) -> At<()> {
        match event {
            Event::Start(tag) => self.start(tag, at)?,
            Event::End(tag) => self.end(tag, at)?,
            Event::Text(text) => match (&mut self.code, &mut self.html) {
                (Some(code), _) => code.push_str(&text),
                (None, Some(html)) => html.push_str(&text),
                _ => self.push(&text, self.bold > 0, self.italic > 0),
            },
            // A code span is set in the regular face: these sheets quote no program text.
            Event::Code(text) => self.push(&text, false, false),
            Event::Html(text) => match &mut self.html {
                Some(html) => html.push_str(&text),
                None => self.push(&text, false, false),
            },
            Event::InlineHtml(tag) if comments::is_line_end(&tag) => self.push("\n", false, false),
            Event::InlineHtml(text) => self.push(&text, self.bold > 0, self.italic > 0),
            Event::SoftBreak => self.push(" ", self.bold > 0, self.italic > 0),
            Event::HardBreak => self.push("\n", false, false),
            Event::Rule => {
                self.block_begins()?;
                self.add(Block::Rule);
            }
            Event::TaskListMarker(done) => {
                if let Some(open) = self.open.last_mut() {
                    open.ticked = Some(done);
                }
            }
            // Not switched on; shown as they are if a later parser sends them.
            Event::FootnoteReference(text) | Event::InlineMath(text) | Event::DisplayMath(text) => {
                self.push(&text, false, false);
            }
        }
        Ok(())
    }

    fn start(&mut self, tag: Tag<'_>, at: usize) -> At<()> {
        match tag {
            Tag::Emphasis => self.italic += 1,
            Tag::Strong => self.bold += 1,
            Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. } => {
                let before = self.text.iter().map(|s| s.text.len()).sum();
                self.links.push((dest_url.into_string(), before));
            }
            Tag::TableHead | Tag::TableRow => self.row.clear(),
            Tag::TableCell => self.text.clear(),
            Tag::Table(align) => {
                self.flush(true);
                let widths = match self.widths.take() {
                    Some((widths, _)) if widths.len() == align.len() => Some(widths),
                    Some((widths, place)) => {
                        return Err((place, comments::wrong_count(widths.len(), align.len())));
                    }
                    None => None,
                };
                self.table = Some(Table {
                    align: align.into_iter().map(alignment).collect(),
                    widths,
                    head: Vec::new(),
                    rows: Vec::new(),
                });
            }
            Tag::BlockQuote(_) => self.nest(Kind::Quote, at)?,
            Tag::List(first) => self.nest(Kind::List(first), at)?,
            Tag::Item => self.nest(Kind::Entry, at)?,
            Tag::CodeBlock(_) => {
                self.block_begins()?;
                self.code = Some(String::new());
            }
            Tag::HtmlBlock => {
                self.flush(true);
                self.html = Some(String::new());
            }
            _ => self.block_begins()?,
        }
        Ok(())
    }

    fn end(&mut self, tag: TagEnd, at: usize) -> At<()> {
        match tag {
            TagEnd::Emphasis => self.italic = self.italic.saturating_sub(1),
            TagEnd::Strong => self.bold = self.bold.saturating_sub(1),
            TagEnd::Image => self.image_ends(),
            TagEnd::Link => self.link_ends(),
            TagEnd::Heading(level) => {
                let text = std::mem::take(&mut self.text);
                self.add(Block::Heading {
                    level: match level {
                        HeadingLevel::H1 => 1,
                        HeadingLevel::H2 => 2,
                        HeadingLevel::H3 => 3,
                        _ => 4,
                    },
                    text,
                });
            }
            TagEnd::TableCell => self.row.push(std::mem::take(&mut self.text)),
            TagEnd::TableHead | TagEnd::TableRow => {
                let mut row = std::mem::take(&mut self.row);
                if let Some(table) = &mut self.table {
                    row.resize(table.align.len(), Vec::new());
                    if matches!(tag, TagEnd::TableHead) {
                        table.head = row;
                    } else {
                        table.rows.push(row);
                    }
                }
            }
            TagEnd::Table => {
                if let Some(table) = self.table.take() {
                    self.add(Block::Table(table));
                }
            }
            TagEnd::CodeBlock => {
                if let Some(code) = self.code.take() {
                    self.add(Block::Code(code));
                }
            }
            TagEnd::HtmlBlock => {
                let html = self.html.take().unwrap_or_default();
                self.html_ends(&html, at)?;
            }
            TagEnd::BlockQuote(_) | TagEnd::List(_) | TagEnd::Item => self.close()?,
            TagEnd::Paragraph => self.flush(false),
            _ => self.flush(true),
        }
        Ok(())
    }

    fn html_ends(&mut self, html: &str, at: usize) -> At<()> {
        for comment in comments::read(html).map_err(|problem| (at, problem))? {
            if !matches!(comment, Comment::Columns(_)) {
                self.block_begins()?;
            }
            match comment {
                Comment::Columns(widths) => self.widths = Some((widths, at)),
                Comment::Space(lines) => self.add(Block::Space(lines)),
                Comment::Blank(lines) => self.add(Block::Blank(lines)),
                Comment::PageBreak => self.add(Block::PageBreak),
                Comment::Foot => self.at_foot = true,
                Comment::Box => self.nest(Kind::Frame, at)?,
                Comment::BoxEnd => match self.open.last().map(|o| o.kind) {
                    Some(Kind::Frame) => self.close_top(),
                    _ => return Err((at, comments::no_box_to_close())),
                },
                Comment::Other(text) => {
                    self.push(&text, false, false);
                    self.flush(false);
                }
            }
        }
        Ok(())
    }

    /// A block other than a table begins: text that stood loose in a list entry is complete.
    fn block_begins(&mut self) -> At<()> {
        self.flush(true);
        match self.widths.take() {
            Some((_, place)) => Err((place, comments::no_table())),
            None => Ok(()),
        }
    }

    fn nest(&mut self, kind: Kind, at: usize) -> At<()> {
        self.block_begins()?;
        let holders = self.open.iter().filter(|o| o.kind != Kind::Entry).count();
        if holders > DEEPEST {
            let problem = Problem::new(format!(
                "lists, quotes and boxes stand more than {DEEPEST} deep in each other"
            ))
            .hint("use fewer levels");
            return Err((at, problem));
        }
        self.open.push(Open::new(kind, at));
        Ok(())
    }

    /// Ends a quote, list or entry. A box opened within it must have ended before.
    fn close(&mut self) -> At<()> {
        self.block_begins()?;
        match self.open.last() {
            Some(open) if open.kind == Kind::Frame => {
                return Err((open.at, comments::box_left_open()));
            }
            _ => self.close_top(),
        }
        Ok(())
    }

    fn close_top(&mut self) {
        let Some(top) = self.open.pop() else { return };
        match top.kind {
            Kind::Sheet => self.open.push(top),
            Kind::Quote => self.add(Block::Quote(top.blocks)),
            Kind::Frame => self.add(Block::Frame(top.blocks)),
            Kind::List(first) => self.add(Block::List {
                first,
                entries: top.entries,
            }),
            Kind::Entry => {
                if let Some(list) = self.open.last_mut() {
                    list.entries.push(Entry {
                        ticked: top.ticked,
                        blocks: top.blocks,
                    });
                }
            }
        }
    }

    fn add(&mut self, block: Block) {
        if let Some(top) = self.open.last_mut() {
            top.blocks.push(block);
        }
    }

    fn push(&mut self, text: &str, bold: bool, italic: bool) {
        match self.text.last_mut() {
            // Text arrives in pieces split at escapes; joined, so that it is measured and copied as one.
            Some(last) if last.bold == bold && last.italic == italic => last.text.push_str(text),
            _ => self.text.push(Span {
                text: text.to_string(),
                bold,
                italic,
            }),
        }
    }

    fn flush(&mut self, tight: bool) {
        let text = std::mem::take(&mut self.text);
        if text.is_empty() {
            return;
        }
        let block = if std::mem::take(&mut self.at_foot) {
            Block::Foot(text)
        } else {
            Block::Paragraph { text, tight }
        };
        self.add(block);
    }

    /// Paper cannot be clicked: the address follows the text where it says something new.
    /// A picture alone in its paragraph is a block of its own; within a sentence it reads as its words.
    fn image_ends(&mut self) {
        let drawn = self
            .links
            .last()
            .is_some_and(|(file, before)| *before == 0 && file.ends_with(".svg"));
        if !drawn || self.table.is_some() {
            return self.link_ends();
        }
        if let Some((file, _)) = self.links.pop() {
            let alt = std::mem::take(&mut self.text);
            self.add(Block::Figure { file, alt });
        }
    }

    fn link_ends(&mut self) {
        let Some((address, before)) = self.links.pop() else {
            return;
        };
        let all = plain_text(&self.text);
        let shown = all.get(before..).unwrap_or("").trim();
        let bare = |s: &str| {
            let s = s.trim_end_matches('/');
            ["https://", "http://", "mailto:"]
                .iter()
                .find_map(|scheme| s.strip_prefix(scheme))
                .unwrap_or(s)
                .to_string()
        };
        if address.is_empty() || bare(shown) == bare(&address) {
            return;
        }
        let addition = if shown.is_empty() {
            address
        } else {
            format!(" ({address})")
        };
        self.push(&addition, self.bold > 0, self.italic > 0);
    }

    fn finish(mut self, markdown: &str) -> Result<Vec<Block>, Problem> {
        self.flush(true);
        if let Some((_, place)) = self.widths {
            return Err(at_line(markdown, place, comments::no_table()));
        }
        match self.open.pop() {
            Some(open) if open.kind == Kind::Sheet => Ok(open.blocks),
            Some(open) => Err(at_line(markdown, open.at, comments::box_left_open())),
            None => Ok(Vec::new()),
        }
    }
}

fn at_line(markdown: &str, at: usize, problem: Problem) -> Problem {
    let line = 1 + markdown.bytes().take(at).filter(|b| *b == b'\n').count();
    Problem {
        message: format!("Markdown line {line}: {}", problem.message),
        ..problem
    }
}

fn alignment(alignment: Alignment) -> Align {
    match alignment {
        Alignment::None => Align::Auto,
        Alignment::Left => Align::Left,
        Alignment::Center => Align::Centre,
        Alignment::Right => Align::Right,
    }
}
