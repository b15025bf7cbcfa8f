//! What stands below what, how far apart, and what must stay together? Blocks become one long column of pieces that do not split:
//! lines, table rows, rules, pictures; the numbers, bullets and boxes of lists hang beside the first line of their entry.

use super::blocks::{Block, Entry, Span, Table, belongs_with, leads_into, number_of, plain_text};
use super::column::Place;
use super::fonts::Fonts;
use super::inline::Text;
use super::item::{Frame, Item, Role, Tag};
use super::part::PartKind;
use super::picture;
use super::piece::{Flow, Holder, Keep, Piece};
use super::setting::Setting;
use super::style::{
    CODE_INDENT, FRAME_EDGE, FRAME_PAD, GREY_RULE, GREY_WRITING, HAIRLINE, LIST_INDENT, MARKER_GAP,
    QUOTE_EDGE, QUOTE_INDENT, RULE, TABLE_AFTER, TABLE_BEFORE, Type,
};
use super::table;
use crate::diagnostic::Problem;
use crate::figure::Figure;

/// Lays blocks out in a column as wide as the frame; no piece is higher than the frame.
///
/// # Errors
/// A character that cannot be drawn; nesting that leaves no width for text; a table with too many columns.
pub fn flow(
    blocks: &[Block],
    frame: &Frame,
    setting: &Setting,
    fonts: &Fonts,
    figures: &[(&str, &Figure)],
) -> Result<Flow, Problem> {
    let mut builder = Builder {
        setting,
        fonts,
        figures,
        page: frame.height(),
        out: Flow::default(),
        after: 0.0,
        marks: Vec::new(),
        break_before: false,
    };
    let place = Place {
        x: frame.left,
        width: frame.width(),
        holders: Vec::new(),
        role: Role::Paragraph,
        part: None,
    };
    builder.blocks(blocks, &place)?;
    Ok(builder.out)
}

/// A bullet or number waiting for the first line of its entry.
struct Mark {
    text: Text,
    /// Right edge of the mark.
    right: f32,
    tag: Tag,
}

struct Builder<'a> {
    setting: &'a Setting,
    fonts: &'a Fonts,
    figures: &'a [(&'a str, &'a Figure)],
    page: f32,
    out: Flow,
    /// Space the last block asks for below it; the larger of this and the next one's space above is set.
    after: f32,
    marks: Vec<Mark>,
    break_before: bool,
}

impl Builder<'_> {
    fn blocks(&mut self, blocks: &[Block], place: &Place) -> Result<(), Problem> {
        for (i, block) in blocks.iter().enumerate() {
            self.block(block, place)?;
            let next = blocks.get(i + 1);
            if leads_into(block, next) {
                self.keep_last(Keep::Must);
            } else if belongs_with(block, next) {
                self.keep_last(Keep::Near);
            }
        }
        Ok(())
    }

    fn block(&mut self, block: &Block, place: &Place) -> Result<(), Problem> {
        match block {
            Block::Heading { level, text } => self.heading(*level, text, place),
            Block::Paragraph { text, tight } => {
                let tag = self.tag(PartKind::Paragraph, place);
                self.running(text, *tight, place, tag)
            }
            Block::List { first, entries } => self.list(*first, entries, place),
            Block::Quote(blocks) => self.quote(blocks, place),
            Block::Frame(blocks) => self.framed(blocks, place),
            Block::Code(code) => {
                let inner = Place {
                    role: Role::Code,
                    ..place.indented(CODE_INDENT, 0.0)?
                };
                let tag = self.tag(PartKind::Code, &inner);
                let text = code.strip_suffix('\n').unwrap_or(code);
                self.paragraph(
                    &[Span::plain(text)],
                    self.setting.code,
                    &inner,
                    tag,
                    (self.setting.list_edge, self.setting.paragraph_after),
                )
            }
            Block::Table(data) => self.table(data, place),
            Block::Rule => {
                self.marks_alone(place);
                let mut piece = Piece::of_height(RULE);
                piece
                    .items
                    .push(place.rule(RULE / 2.0, HAIRLINE, GREY_RULE));
                self.add(piece, place, 8.0);
                self.after = 8.0;
                Ok(())
            }
            Block::Space(lines) => {
                self.marks_alone(place);
                for n in 0..*lines {
                    let mut piece = Piece::of_height(self.setting.writing_line);
                    let y = piece.height - HAIRLINE;
                    let mut line = place.rule(y, HAIRLINE, GREY_WRITING);
                    if let Item::Rule { role, .. } = &mut line {
                        *role = Role::Form;
                    }
                    piece.items.push(line);
                    if n + 1 < *lines {
                        piece.keep = Keep::Together;
                    }
                    self.add(piece, place, 0.0);
                }
                self.after = 9.0;
                Ok(())
            }
            Block::Blank(lines) => {
                self.add(
                    Piece::of_height(self.setting.blank_line * *lines as f32),
                    place,
                    0.0,
                );
                Ok(())
            }
            Block::PageBreak => {
                self.break_before = true;
                Ok(())
            }
            Block::Foot(_) => Ok(()),
            Block::Figure { file, alt } => self.figure(file, alt, place),
        }
    }

    /// A picture, or its words where there is none of that name.
    fn figure(&mut self, file: &str, alt: &[Span], place: &Place) -> Result<(), Problem> {
        let Some((_, figure)) = self.figures.iter().find(|(name, _)| *name == file) else {
            let tag = self.tag(PartKind::Paragraph, place);
            let after = self.setting.paragraph_after;
            return self.paragraph(alt, self.setting.body, place, tag, (0.0, after));
        };
        let part = self.out.parts.add_figure(&figure.alt, place.part);
        let room = (self.page, self.held_height());
        let piece = picture::piece(figure, part, place, room, self.setting.scale);
        self.add(piece, place, TABLE_BEFORE);
        self.after = TABLE_AFTER;
        Ok(())
    }

    fn heading(&mut self, level: u8, spans: &[Span], place: &Place) -> Result<(), Problem> {
        let (style, before, after) = self.setting.heading(level);
        let place = Place {
            role: Role::Heading(level),
            ..place.clone()
        };
        let tag = self.tag(PartKind::Heading(level), &place);
        let start = self.out.pieces.len();
        let title = plain_text(spans);
        match number_of(spans) {
            // The number hangs: a long heading goes on under its words, not under its number.
            Some((number, rest)) => {
                let number = Text::plain(&number, style, self.fonts)?;
                let indent = (number.natural_width() + MARKER_GAP).max(LIST_INDENT);
                let inner = place.indented(indent, 0.0)?;
                self.marks.push(Mark {
                    right: place.x + number.natural_width(),
                    text: number,
                    tag: Tag {
                        role: Role::ListMark,
                        ..tag
                    },
                });
                self.paragraph(&rest, style, &inner, tag, (before, after))?;
            }
            None => self.paragraph(spans, style, &place, tag, (before, after))?,
        }
        if level == 1
            && let Some(last) = self
                .out
                .pieces
                .get_mut(start..)
                .and_then(<[Piece]>::last_mut)
        {
            last.height += 5.0;
            let y = last.height;
            last.items.push(place.rule(y, 1.2, 0.0));
        }
        for piece in self.out.pieces.iter_mut().skip(start) {
            piece.keep = Keep::Must;
        }
        let title = title.split_whitespace().collect::<Vec<_>>().join(" ");
        if let Some(first) = self.out.pieces.get_mut(start)
            && !title.is_empty()
        {
            first.bookmark = Some((level, title));
        }
        Ok(())
    }

    /// Running text.
    fn running(
        &mut self,
        text: &[Span],
        tight: bool,
        place: &Place,
        tag: Tag,
    ) -> Result<(), Problem> {
        let after = if tight {
            self.setting.tight_after
        } else {
            self.setting.paragraph_after
        };
        self.paragraph(text, self.setting.body, place, tag, (0.0, after))
    }

    fn paragraph(
        &mut self,
        spans: &[Span],
        style: Type,
        place: &Place,
        tag: Tag,
        (before, after): (f32, f32),
    ) -> Result<(), Problem> {
        let lines = Text::measure(spans, style, self.fonts)?.lines(place.width);
        let count = lines.len();
        for (n, line) in lines.iter().enumerate() {
            let mut piece = Piece::of_height(line.height);
            let middle = line.height / 2.0;
            if n == 0 {
                self.set_marks(&mut piece, middle);
            }
            piece.items.extend(line.items(place.x, middle, tag));
            // Two lines at least stay together at the foot and at the head of a page.
            if count > 1 && (n == 0 || n + 2 == count) {
                piece.keep = Keep::Must;
            }
            self.add(piece, place, if n == 0 { before } else { 0.0 });
        }
        if count > 0 {
            self.after = after;
        }
        Ok(())
    }

    fn list(
        &mut self,
        first: Option<u64>,
        entries: &[Entry],
        place: &Place,
    ) -> Result<(), Problem> {
        let mut marks = Vec::with_capacity(entries.len());
        for (i, entry) in entries.iter().enumerate() {
            let text = match (entry.ticked, first) {
                (Some(true), _) => "☑".to_string(),
                (Some(false), _) => "☐".to_string(),
                (None, Some(first)) => format!("{}.", first.saturating_add(i as u64)),
                (None, None) => "•".to_string(),
            };
            marks.push(Text::plain(&text, self.setting.body, self.fonts)?);
        }
        let widest = marks.iter().map(Text::natural_width).fold(0.0, f32::max);
        let indent = (widest + MARKER_GAP).max(LIST_INDENT);
        let mut inner = Place {
            role: Role::ListBody,
            ..place.indented(indent, 0.0)?
        };
        let list = self.out.parts.add(PartKind::List, place.part);
        self.after = self.after.max(if self.marks.is_empty() {
            0.0
        } else {
            self.setting.tight_after
        });
        for (entry, text) in entries.iter().zip(marks) {
            let within = self.out.parts.add(PartKind::Entry, Some(list));
            let label = self.out.parts.add(PartKind::Label, Some(within));
            let body = self.out.parts.add(PartKind::EntryBody, Some(within));
            inner.part = Some(body);
            self.marks.push(Mark {
                text,
                right: inner.x - MARKER_GAP,
                tag: Tag {
                    role: Role::ListMark,
                    part: Some(label),
                },
            });
            match entry.blocks.split_first() {
                // A body of one paragraph needs no paragraph in it.
                Some((Block::Paragraph { text, tight }, [])) => {
                    self.running(text, *tight, &inner, inner.tag(body))?;
                }
                // What an entry begins with is its question: it stays with the table or the list that belongs to it.
                Some((first @ Block::Paragraph { .. }, rest)) if !rest.is_empty() => {
                    self.block(first, &inner)?;
                    self.keep_last(Keep::Must);
                    self.blocks(rest, &inner)?;
                }
                _ => self.blocks(&entry.blocks, &inner)?,
            }
            // An entry without a word still shows its number.
            self.marks_alone(&inner);
        }
        if !entries.is_empty() {
            self.after = self.after.max(self.setting.list_edge);
        }
        Ok(())
    }

    fn set_marks(&mut self, piece: &mut Piece, middle: f32) {
        for mark in std::mem::take(&mut self.marks) {
            for line in mark.text.lines(f32::INFINITY) {
                let x = mark.right - line.width;
                piece.height = piece.height.max(line.height);
                piece.items.extend(line.items(x, middle, mark.tag));
            }
        }
    }

    /// Numbers and bullets whose entry starts with no line of text get a line of their own.
    fn marks_alone(&mut self, place: &Place) {
        if self.marks.is_empty() {
            return;
        }
        let mut piece = Piece::of_height(self.setting.body.leading);
        self.set_marks(&mut piece, self.setting.body.leading / 2.0);
        piece.keep = Keep::Must;
        self.add(piece, place, 0.0);
        self.after = self.setting.tight_after;
    }

    fn quote(&mut self, blocks: &[Block], place: &Place) -> Result<(), Problem> {
        self.marks_alone(place);
        let mut inner = place.indented(QUOTE_INDENT, 0.0)?;
        inner.role = Role::Quote;
        inner.part = Some(self.out.parts.add(PartKind::Quote, place.part));
        inner.holders.push(self.out.holders.len());
        self.out.holders.push(Holder::Bar { x: place.x + 1.5 });
        self.after = self.after.max(QUOTE_EDGE);
        self.blocks(blocks, &inner)?;
        self.after = self.after.max(QUOTE_EDGE);
        Ok(())
    }

    fn framed(&mut self, blocks: &[Block], place: &Place) -> Result<(), Problem> {
        self.marks_alone(place);
        let mut inner = place.indented(FRAME_PAD, FRAME_PAD)?;
        inner.holders.push(self.out.holders.len());
        self.out.holders.push(Holder::Frame {
            x: place.x,
            width: place.width,
        });
        let start = self.out.pieces.len();
        let mut pad = Piece::of_height(FRAME_PAD);
        pad.keep = Keep::Must;
        self.add(pad, &inner, FRAME_EDGE);
        // The padding is the space above the first block and below the last: no other is added to it.
        self.after = f32::NEG_INFINITY;
        self.blocks(blocks, &inner)?;
        self.keep_last(Keep::Must);
        self.after = f32::NEG_INFINITY;
        self.add(Piece::of_height(FRAME_PAD), &inner, 0.0);
        let end = self.out.pieces.len().saturating_sub(1);
        for piece in self.out.pieces.get_mut(start..end).unwrap_or_default() {
            piece.keep = piece.keep.max(Keep::Together);
        }
        self.after = FRAME_EDGE;
        Ok(())
    }

    fn table(&mut self, data: &Table, place: &Place) -> Result<(), Problem> {
        self.marks_alone(place);
        let room = table::Room {
            x: place.x,
            width: place.width,
            page: self.page,
        };
        let within = self.out.parts.add(PartKind::Table, place.part);
        let parts = &mut self.out.parts;
        let pieces = table::pieces(data, room, self.setting, self.fonts, (parts, within))?;
        let head = pieces.head.map(|mut head| {
            head.keep = Keep::Must;
            head.holders.clone_from(&place.holders);
            // What comes back overleaf was read once already.
            let again = head.items.iter().cloned().map(Item::repeated).collect();
            self.out.heads.push(Piece {
                items: again,
                ..head.clone()
            });
            self.add(head, place, TABLE_BEFORE);
            self.out.heads.len() - 1
        });
        let count = pieces.rows.len();
        let height: f32 = pieces.rows.iter().map(|p| p.height).sum();
        // A small table is not torn, nor one of few rows; a large one leaves no single row behind.
        let small = height < self.page / 3.0 || (count <= 8 && height < 0.8 * self.page);
        for (n, mut row) in pieces.rows.into_iter().enumerate() {
            row.head = head;
            if (small || n == 0) && n + 1 < count {
                row.keep = row.keep.max(Keep::Together);
            }
            if n + 2 == count {
                row.keep = Keep::Must;
            }
            let first = n == 0 && head.is_none();
            self.add(row, place, if first { TABLE_BEFORE } else { 0.0 });
        }
        if count == 0 {
            // A head alone has nothing to hold on to.
            self.keep_last(Keep::Free);
        }
        self.after = TABLE_AFTER;
        Ok(())
    }

    /// Adds a piece below the last one.
    fn add(&mut self, mut piece: Piece, place: &Place, before: f32) {
        let after = std::mem::replace(&mut self.after, 0.0);
        // Below the padding of a frame the first block starts at once.
        piece.gap = if after == f32::NEG_INFINITY {
            0.0
        } else {
            after.max(before)
        };
        piece.holders.clone_from(&place.holders);
        piece.starts_page = std::mem::take(&mut self.break_before);
        self.out.pieces.push(piece);
    }

    /// Height of what must stay with the next piece: a heading, the sentence under it.
    fn held_height(&self) -> f32 {
        let held = self.out.pieces.iter().rev();
        held.take_while(|p| p.keep == Keep::Must)
            .map(|p| p.height + p.gap)
            .sum()
    }

    fn keep_last(&mut self, keep: Keep) {
        if let Some(last) = self.out.pieces.last_mut() {
            last.keep = keep;
        }
    }

    fn tag(&mut self, kind: PartKind, place: &Place) -> Tag {
        place.tag(self.out.parts.add(kind, place.part))
    }
}
