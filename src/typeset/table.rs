//! How does a table stand on pages? The head to repeat, and rows that do not split, with columns as wide as they need.

use super::blocks::{Align, Span, Table};
use super::columns::{from_content, from_hint, word_widths};
use super::fonts::Fonts;
use super::inline::{Line, Text};
use super::item::{Item, Role, Tag};
use super::part::{PartIx, PartKind, Parts};
use super::piece::{Keep, Piece};
use super::setting::Setting;
use super::style::{GREY_RULE, GREY_SHADE, HAIRLINE, LEAST_COLUMN, ROW_RULE, RULE, Type};
use crate::diagnostic::Problem;

/// The pieces of a table; a head without a word in it is left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Pieces {
    pub head: Option<Piece>,
    pub rows: Vec<Piece>,
}

struct Grid {
    /// Left edge and width of each column.
    columns: Vec<(f32, f32)>,
    align: Vec<Align>,
    /// A column stands empty, to write in.
    writing: bool,
    /// A column holds tick boxes and nothing else.
    ticks: bool,
    /// Worked from with a pen.
    worked: bool,
    left: f32,
    right: f32,
    /// Height of a line of text.
    least: f32,
    /// Space beside and above the words of a cell.
    pad: (f32, f32),
}

/// Where a table may stand: its left edge, its width, and the height no piece of it may pass.
#[derive(Debug, Clone, Copy)]
pub struct Room {
    pub x: f32,
    pub width: f32,
    pub page: f32,
}

/// Lays a table out in its room; its rows and cells become parts within the part given.
///
/// # Errors
/// More columns than the width can hold; a character that cannot be drawn.
pub fn pieces(
    table: &Table,
    room: Room,
    setting: &Setting,
    fonts: &Fonts,
    (parts, within): (&mut Parts, PartIx),
) -> Result<Pieces, Problem> {
    let count = table.align.len();
    let width = room.width;
    if count as f32 * LEAST_COLUMN > width {
        return Err(Problem::new(format!(
            "a table has {count} columns; {} fit here",
            (width / LEAST_COLUMN) as usize
        ))
        .hint("split the table, or turn its rows into columns"));
    }
    let measure = |cells: &[Vec<Span>], style: Type| {
        let texts = cells.iter().map(|cell| Text::measure(cell, style, fonts));
        texts.collect::<Result<Vec<_>, _>>()
    };
    let head = measure(&table.head, setting.cell_head)?;
    let rows = table.rows.iter().map(|row| measure(row, setting.cell));
    let rows = rows.collect::<Result<Vec<_>, _>>()?;
    let grid = Grid::new(table, &head, &rows, room, setting);

    if setting.scale > 1.0 && count > 2 && !grid.writing {
        // Enlarged, narrow columns break words in two or stand one word to a line: such a table is better as a list.
        let list = stacked(table);
        let texts = list.rows.iter().flatten();
        let list_height = texts
            .map(|cell| Ok(grid.lines_height(&Text::measure(cell, setting.cell, fonts)?)))
            .sum::<Result<f32, Problem>>()?;
        let grid_height: f32 = rows.iter().map(|row| grid.row(row, &[], 0.0).height).sum();
        if word_widths(&head, &rows, setting.cell_x) > width
            || (count > 3 && !grid.ticks && list_height < grid_height)
        {
            return pieces(&list, room, setting, fonts, (parts, within));
        }
    }
    let least = if grid.writing {
        setting.writing_row
    } else {
        0.0
    };
    Ok(grid.pieces(&head, &rows, (room.page, least), (parts, within)))
}

/// The table with one column: in each row every filled cell stands below the last, after the head of its column.
fn stacked(table: &Table) -> Table {
    let row = |cells: &Vec<Vec<Span>>| {
        let mut all: Vec<Span> = Vec::new();
        for (head, cell) in table.head.iter().zip(cells) {
            if cell.iter().all(|s| s.text.trim().is_empty()) {
                continue;
            }
            if !all.is_empty() {
                all.push(Span::plain("\n"));
            }
            if !head.iter().all(|s| s.text.trim().is_empty()) {
                all.extend(head.iter().cloned().map(|s| Span { bold: true, ..s }));
                all.push(Span {
                    bold: true,
                    ..Span::plain(": ")
                });
            }
            all.extend(cell.iter().cloned());
        }
        vec![all]
    };
    Table {
        align: vec![Align::Left],
        widths: None,
        head: vec![Vec::new()],
        rows: table.rows.iter().map(row).collect(),
    }
}

impl Grid {
    fn new(
        table: &Table,
        head: &[Text],
        rows: &[Vec<Text>],
        room: Room,
        setting: &Setting,
    ) -> Grid {
        let Room { x, width, .. } = room;
        let pad = (setting.cell_x, setting.cell_y);
        let column = |i: usize| rows.iter().filter_map(move |row| row.get(i));
        let empty = |i: usize| !rows.is_empty() && column(i).all(Text::is_blank);
        let ticks = |i: usize| {
            column(i).any(Text::is_ticks)
                && column(i).all(|cell| cell.is_ticks() || cell.is_blank())
        };
        let count = table.align.len();
        let align = |(i, align): (usize, &Align)| match align {
            Align::Auto if ticks(i) => Align::Centre,
            other => *other,
        };
        let align: Vec<Align> = table.align.iter().enumerate().map(align).collect();
        let widths = match &table.widths {
            Some(hint) => from_hint(hint, head, rows, width, pad.0),
            None => from_content(head, rows, &align, width, pad.0),
        };
        let mut left = x;
        let place = |width: f32| {
            let start = left;
            left += width;
            (start, width)
        };
        Grid {
            columns: widths.into_iter().map(place).collect(),
            align,
            writing: (0..count).any(empty),
            ticks: (0..count).any(ticks),
            worked: (0..count).any(|i| empty(i) || column(i).any(Text::has_box)),
            left: x,
            right: x + width,
            least: setting.cell.leading,
            pad,
        }
    }

    /// Head and rows on pages of this height, no row lower than `least`.
    fn pieces(
        &self,
        head: &[Text],
        rows: &[Vec<Text>],
        (page, least): (f32, f32),
        (parts, within): (&mut Parts, PartIx),
    ) -> Pieces {
        let mut tags = |first: PartKind, kind: PartKind, role: Role| -> Vec<Tag> {
            let row = parts.add(PartKind::Row, Some(within));
            let mut tag = |kind| Tag {
                role,
                part: Some(parts.add(kind, Some(row))),
            };
            let rest = head.iter().skip(1).map(|_| kind);
            std::iter::once(first).chain(rest).map(&mut tag).collect()
        };
        let named = !head.iter().all(Text::is_blank);
        let head_tags = if named {
            tags(PartKind::HeadCell, PartKind::HeadCell, Role::TableHead)
        } else {
            Vec::new()
        };
        let head_piece = named
            .then(|| self.row(head, &head_tags, 0.0))
            // A head that would fill a third of every page is set once, as a row.
            .filter(|piece| piece.height <= page / 3.0);
        let room = page - head_piece.as_ref().map_or(0.0, |h| h.height) - 1.0;
        let mut out = Vec::new();
        if head_piece.is_none() && named {
            out.extend(self.split_row(head, &head_tags));
        }
        for row in rows {
            // What stands first says what its row is about, unless it is there to be filled in.
            let heads =
                row.len() > 1 && row.first().is_some_and(|c| !c.is_blank() && !c.is_ticks());
            let first = if heads {
                PartKind::RowHead
            } else {
                PartKind::Cell
            };
            let tags = tags(first, PartKind::Cell, Role::TableCell);
            let piece = self.row(row, &tags, least);
            if piece.height <= room {
                out.push(piece);
            } else {
                out.extend(self.split_row(row, &tags));
            }
        }
        let edge = |y: f32| Item::level(self.left, self.right, y, RULE, 0.0);
        if head_piece.is_none()
            && let Some(first) = out.first_mut()
        {
            first.items.push(edge(0.0));
        }
        if let Some(last) = out.last_mut() {
            last.items.push(edge(last.height));
        }
        Pieces {
            head: head_piece,
            rows: out,
        }
    }

    /// Height of a row with this one cell over the whole width.
    fn lines_height(&self, cell: &Text) -> f32 {
        let lines = cell.lines(self.right - self.left - 2.0 * self.pad.0);
        lines.iter().map(|line| line.height).sum::<f32>() + 2.0 * self.pad.1
    }

    fn lines(&self, cells: &[Text]) -> Vec<Vec<Line>> {
        cells
            .iter()
            .zip(&self.columns)
            .map(|(cell, (_, width))| cell.lines(width - 2.0 * self.pad.0))
            .collect()
    }

    /// One row in one piece: the first lines of all cells stand on one level.
    fn row(&self, cells: &[Text], tags: &[Tag], least: f32) -> Piece {
        let lines = self.lines(cells);
        let first = lines
            .iter()
            .filter_map(|cell| cell.first())
            .map(|line| line.height)
            .fold(0.0, f32::max);
        // The middles of the first lines stand level; below, each cell goes on in its own line height.
        let depth = |cell: &Vec<Line>| {
            let own = cell.first().map_or(0.0, |line| line.height);
            let rest: f32 = cell.iter().skip(1).map(|line| line.height).sum();
            first.max(first / 2.0 + own / 2.0 + rest)
        };
        let content = lines.iter().map(depth).fold(0.0, f32::max);
        let height = (content + 2.0 * self.pad.1).max(least).max(self.least);
        let mut piece = self.empty(height, is_head(tags), true);
        for (i, cell) in lines.iter().enumerate() {
            let mut middle = (height - content) / 2.0 + first / 2.0;
            let mut above = None;
            for line in cell {
                middle += above.map_or(0.0, |above: f32| (above + line.height) / 2.0);
                above = Some(line.height);
                self.place(&mut piece, (i, tags), line, middle);
            }
        }
        piece
    }

    /// A row higher than a page: line by line, so that it can go on overleaf.
    fn split_row(&self, cells: &[Text], tags: &[Tag]) -> Vec<Piece> {
        let lines = self.lines(cells);
        let count = lines.iter().map(Vec::len).max().unwrap_or(0);
        (0..count)
            .map(|n| {
                let level = || {
                    lines
                        .iter()
                        .enumerate()
                        .filter_map(move |(i, cell)| Some((i, cell.get(n)?)))
                };
                let content = level().map(|(_, line)| line.height).fold(0.0, f32::max);
                let above = if n == 0 { self.pad.1 } else { 0.0 };
                let last = n + 1 == count;
                let below = if last { self.pad.1 } else { 0.0 };
                let mut piece = self.empty(above + content + below, is_head(tags), last);
                for (i, line) in level() {
                    self.place(&mut piece, (i, tags), line, above + content / 2.0);
                }
                if n == 0 || n + 2 == count {
                    piece.keep = Keep::Must;
                }
                piece
            })
            .collect()
    }

    fn empty(&self, height: f32, head: bool, closed: bool) -> Piece {
        let mut piece = Piece::of_height(height);
        let level = |y, thickness, grey| Item::level(self.left, self.right, y, thickness, grey);
        if head {
            piece.items.push(Item::Shade {
                x: self.left,
                y: 0.0,
                width: self.right - self.left,
                height,
                grey: GREY_SHADE,
            });
            if closed {
                piece.items.push(level(0.0, RULE, 0.0));
                piece.items.push(level(height, HAIRLINE, 0.0));
            }
        } else if closed && self.worked {
            // Where the eye goes from row to row it must find the line on a bad copy too, in which grey and hairlines are lost.
            piece.items.push(level(height, ROW_RULE, 0.0));
        } else if closed {
            piece.items.push(level(height, HAIRLINE, GREY_RULE));
        }
        // Upright rules between the columns of tables that are filled in by hand.
        if self.writing || self.ticks {
            for (x, _) in self.columns.iter().skip(1) {
                let upright = Item::rule((*x, 0.0), (*x, height), HAIRLINE, 0.7);
                piece.items.push(upright);
            }
        }
        piece
    }

    fn place(&self, piece: &mut Piece, (column, tags): (usize, &[Tag]), line: &Line, middle: f32) {
        let (Some((x, width)), Some(align), Some(tag)) = (
            self.columns.get(column),
            self.align.get(column),
            tags.get(column),
        ) else {
            return;
        };
        let spare = (width - 2.0 * self.pad.0 - line.width).max(0.0);
        let shift = match align {
            Align::Auto | Align::Left => 0.0,
            Align::Centre => spare / 2.0,
            Align::Right => spare,
        };
        piece
            .items
            .extend(line.items(x + self.pad.0 + shift, middle, *tag));
    }
}

fn is_head(tags: &[Tag]) -> bool {
    tags.first().is_some_and(|tag| tag.role == Role::TableHead)
}
