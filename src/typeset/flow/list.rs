//! Turns the entries of a list into pieces, their numbers, bullets and boxes hanging beside the first line.

use super::{Builder, Mark};
use crate::diagnostic::Problem;
use crate::typeset::blocks::{Block, Entry};
use crate::typeset::column::Place;
use crate::typeset::inline::Text;
use crate::typeset::item::{Role, Tag};
use crate::typeset::part::PartKind;
use crate::typeset::piece::{Keep, Piece};
use crate::typeset::style::{LIST_INDENT, MARKER_GAP};

impl Builder<'_> {
    pub(super) fn list(
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

    pub(super) fn set_marks(&mut self, piece: &mut Piece, middle: f32) {
        for mark in std::mem::take(&mut self.marks) {
            for line in mark.text.lines(f32::INFINITY) {
                let x = mark.right - line.width;
                piece.height = piece.height.max(line.height);
                piece.items.extend(line.items(x, middle, mark.tag));
            }
        }
    }

    /// Numbers and bullets whose entry starts with no line of text get a line of their own.
    pub(super) fn marks_alone(&mut self, place: &Place) {
        if self.marks.is_empty() {
            return;
        }
        let mut piece = Piece::of_height(self.setting.body.leading);
        self.set_marks(&mut piece, self.setting.body.leading / 2.0);
        piece.keep = Keep::Must;
        self.add(piece, place, 0.0);
        self.after = self.setting.tight_after;
    }
}
