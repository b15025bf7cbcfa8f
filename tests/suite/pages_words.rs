//! Turns the Markdown of a sheet into the words a reader should meet, in order, and tells where a file says anything else.

use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

/// A word, and the table it is in.
#[derive(Debug, Clone, PartialEq)]
struct Word {
    text: String,
    /// Index into the heads, and whether the word is in the head itself.
    table: Option<(usize, bool)>,
}

/// What the sheet says.
#[derive(Debug, Default)]
pub struct Said {
    words: Vec<Word>,
    /// Of each table the words of its head.
    heads: Vec<Vec<String>>,
}

/// A word as it was read on a page.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadWord {
    pub text: String,
    /// The word may go on with the next one: it ends a line.
    pub open: bool,
}

const BOXES: [char; 3] = ['☐', '☑', '☒'];

/// Signs that carry no ink, and are left out of the print.
fn inkless(c: char) -> bool {
    matches!(
        c,
        '\u{ad}' | '\u{200b}'..='\u{200d}' | '\u{2060}' | '\u{feff}'
    )
}

/// Words between spaces; a tick box is a word of its own.
pub fn split(text: &str) -> Vec<String> {
    let mut spaced = String::new();
    for c in text.chars().filter(|c| !inkless(*c)) {
        match BOXES.contains(&c) {
            true => spaced.extend([' ', c, ' ']),
            false => spaced.push(c),
        }
    }
    spaced.split_whitespace().map(String::from).collect()
}

/// The texts of an SVG picture in the order of the file.
fn labels(svg: &str) -> Vec<String> {
    let plain = |text: &str| {
        let text = text.replace("&lt;", "<").replace("&gt;", ">");
        text.replace("&quot;", "\"").replace("&amp;", "&")
    };
    svg.split("<text ")
        .skip(1)
        .filter_map(|t| Some(plain(t.split_once('>')?.1.split_once("</text>")?.0)))
        .collect()
}

impl Said {
    /// Reads a sheet with CommonMark rules of its own; `pictures` are the names and texts of the SVG files beside it. `lists` says
    /// which tables stand as lists on paper: each filled cell after the head of its column and a colon.
    pub fn of(markdown: &str, pictures: &[(String, String)], lists: &[bool]) -> Said {
        let (mut as_list, mut columns, mut column) = (false, Vec::<String>::new(), 0);
        let options = Options::ENABLE_TABLES | Options::ENABLE_TASKLISTS;
        let mut said = Said::default();
        let (mut text, mut table, mut picture) = (String::new(), None, None);
        // The number of the next entry of each open list; bullets have none.
        let mut open: Vec<Option<u64>> = Vec::new();
        let mut mark = None;
        // The paragraph after this comment stands at the foot of every page, where no sheet is read.
        let mut parts = markdown.split("<!-- foot -->\n\n");
        let mut body = parts.next().unwrap_or_default().to_string();
        for part in parts {
            body.push_str(part.split_once("\n\n").map_or("", |(_, rest)| rest));
        }
        for event in Parser::new_ext(&body, options) {
            match event {
                Event::Text(t) | Event::Code(t) => text.push_str(&t),
                Event::SoftBreak | Event::HardBreak => text.push(' '),
                Event::InlineHtml(_) => text.push(' '),
                Event::TaskListMarker(done) => {
                    mark = Some(if done { "☑" } else { "☐" }.to_string())
                }
                Event::Start(Tag::Image { dest_url, .. }) => {
                    picture = pictures.iter().find(|(name, _)| **name == *dest_url);
                }
                Event::End(TagEnd::Image) => {
                    if let Some((_, svg)) = picture.take() {
                        text = labels(svg).join(" ");
                    }
                }
                Event::Start(Tag::List(first)) => {
                    // "1. 1. text": the outer number stands alone.
                    said.flush(&mut mark, &mut text, table);
                    open.push(first);
                }
                Event::End(TagEnd::List(_)) => drop(open.pop()),
                Event::Start(Tag::Item) => {
                    mark = Some(match open.last_mut() {
                        Some(Some(n)) => {
                            *n += 1;
                            format!("{}.", *n - 1)
                        }
                        _ => "•".to_string(),
                    });
                }
                Event::Start(Tag::Table(_)) => {
                    said.flush(&mut mark, &mut text, table);
                    as_list = lists.get(said.heads.len()).copied().unwrap_or(false);
                    columns.clear();
                    said.heads.push(Vec::new());
                }
                Event::Start(Tag::TableRow) => column = 0,
                Event::End(TagEnd::TableCell) if as_list => {
                    match table {
                        Some((_, true)) => columns.push(std::mem::take(&mut text)),
                        _ if text.trim().is_empty() => text.clear(),
                        _ => {
                            let head = columns.get(column).map_or("", |h| h.trim());
                            if !head.is_empty() {
                                text = format!("{head}: {text}");
                            }
                            said.flush(&mut mark, &mut text, None);
                        }
                    }
                    column += 1;
                }
                Event::Start(Tag::TableHead) => table = Some((said.heads.len() - 1, true)),
                Event::End(TagEnd::TableHead) => table = Some((said.heads.len() - 1, false)),
                Event::End(TagEnd::Table) => table = None,
                Event::End(
                    TagEnd::TableCell
                    | TagEnd::Paragraph
                    | TagEnd::Heading(_)
                    | TagEnd::CodeBlock
                    | TagEnd::Item,
                ) => {
                    said.flush(&mut mark, &mut text, table);
                }
                _ => {}
            }
        }
        said
    }

    fn flush(
        &mut self,
        mark: &mut Option<String>,
        text: &mut String,
        table: Option<(usize, bool)>,
    ) {
        for text in mark.take().into_iter().chain(split(&std::mem::take(text))) {
            if let Some((head, true)) = table {
                self.heads[head].push(text.clone());
            }
            self.words.push(Word { text, table });
        }
    }

    pub fn len(&self) -> usize {
        self.words.len()
    }

    /// Compares with what was read on the pages: every word once, in order. A table that goes on overleaf has its head again.
    /// `loose`: the reader may have joined words that stand near each other.
    pub fn compare(&self, pages: &[Vec<ReadWord>], loose: bool) -> Result<(), String> {
        let mut next = self.words.iter().peekable();
        let (mut rest, mut before) = (String::new(), Vec::new());
        for (n, page) in pages.iter().enumerate() {
            let mut skip = 0;
            if let (
                true,
                Some(Word {
                    table: Some((t, false)),
                    ..
                }),
            ) = (rest.is_empty(), next.peek())
            {
                let opened = before
                    .iter()
                    .rev()
                    .take(1)
                    .any(|(_, table)| *table == Some(*t));
                skip = again(&self.heads[*t], page);
                if opened && skip == 0 && !self.heads[*t].is_empty() {
                    return Err(format!(
                        "page {}: the head {:?} is not there again",
                        n + 1,
                        self.heads[*t]
                    ));
                }
            }
            for word in &page[skip..] {
                let mut have = word.text.as_str();
                while !have.is_empty() {
                    let place = |before: &[(String, Option<usize>)]| {
                        let last = before.iter().rev().take(6).map(|(w, _)| w);
                        format!(
                            "page {}, after {:?} (last first)",
                            n + 1,
                            last.collect::<Vec<_>>()
                        )
                    };
                    if rest.is_empty() {
                        let Some(word) = next.next() else {
                            return Err(format!("{}: {have:?} is too much", place(&before)));
                        };
                        before.push((word.text.clone(), word.table.map(|(t, _)| t)));
                        rest = word.text.clone();
                    }
                    if let Some(left) = rest.strip_prefix(have) {
                        if !left.is_empty() && !word.open && !loose {
                            return Err(format!(
                                "{}: {have:?} instead of {rest:?}",
                                place(&before)
                            ));
                        }
                        rest = left.to_string();
                        have = "";
                    } else {
                        match have.strip_prefix(rest.as_str()) {
                            Some(left) if loose => have = left,
                            _ => {
                                return Err(format!(
                                    "{}: {have:?} instead of {rest:?}",
                                    place(&before)
                                ));
                            }
                        }
                        rest.clear();
                    }
                }
            }
        }
        match (rest.is_empty(), next.next()) {
            (true, None) => Ok(()),
            (true, Some(word)) => Err(format!("{:?} and what follows is lost", word.text)),
            _ => Err(format!("{rest:?} is lost")),
        }
    }
}

/// How many words at the start of a page are those of the head.
fn again(head: &[String], page: &[ReadWord]) -> usize {
    let want: String = head.concat();
    let mut have = String::new();
    for (n, word) in page.iter().enumerate() {
        if have == want {
            return n;
        }
        have.push_str(&word.text);
        if !want.starts_with(&have) {
            return 0;
        }
    }
    0
}
