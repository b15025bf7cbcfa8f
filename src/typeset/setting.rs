//! How large is everything in this kind of print? The type scale, the spaces and the margins.

use super::meta::{Format, Print};
use super::style::{CELL_X, CELL_Y, MM, Type, bold, plain};

/// Size of the running text on paper in points: normal, spaced, large. 12 points are the least that guides to readable
/// print for dyslexic readers ask for, 16 the least called large print; both common practice, no source.
const BODY_ON_PAPER: (f32, f32, f32) = (9.5, 12.0, 16.0);

/// Size and leading of the words of a notice on a door, and of its heading. A capital of 28 points is 7.2 mm high, a 280th of two
/// metres; notices want a 300th of the distance or more (common practice, no source).
const HUNG: [(f32, f32); 2] = [(28.0, 34.0), (72.0, 80.0)];

/// What is left of the white space where a sheet is a few lines too long.
const CLOSER: f32 = 0.5;

/// The type setting of one sheet. Lengths are those of the layout, which is enlarged [`Setting::scale`] times when it is done; so a
/// larger print flows anew on a smaller page instead of running off it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    pub scale: f32,
    pub body: Type,
    pub cell: Type,
    pub cell_head: Type,
    pub code: Type,
    pub edge: Type,
    pub edge_strong: Type,
    pub caution: Type,
    headings: [(Type, f32, f32); 4],
    pub paragraph_after: f32,
    pub tight_after: f32,
    pub list_edge: f32,
    /// Distance of the ruled writing lines, and the height of a line of empty space.
    pub writing_line: f32,
    pub blank_line: f32,
    /// Height of a table row that has a cell to write in.
    pub writing_row: f32,
    /// Space left and right of the text, and the places of header and footer.
    pub side: f32,
    pub head_baseline: f32,
    pub head_rule: f32,
    pub body_top: f32,
    pub foot: f32,
    pub foot_gap: f32,
    /// The name of the sheet stands at the head of each page.
    pub header: bool,
    /// Space beside and above the words of a cell.
    pub cell_x: f32,
    pub cell_y: f32,
}

impl Setting {
    pub fn of(print: Print, format: Format) -> Setting {
        let (usual, spaced, large) = BODY_ON_PAPER;
        let size = match print {
            Print { large: true, .. } => large,
            Print { spaced: true, .. } => spaced,
            _ => usual,
        };
        let scale = size / usual;
        // Margins keep their measure on paper: large print needs the width.
        let paper = |mm: f32| mm * MM / scale;
        let small = Type {
            grey: 0.3,
            ..plain(7.5, 10.0)
        };
        let slanted = Type {
            italic: true,
            ..bold(9.5, 13.5)
        };
        let setting = Setting {
            scale,
            body: plain(usual, 13.5),
            cell: plain(9.0, 12.0),
            cell_head: bold(8.5, 11.5),
            code: plain(9.0, 12.5),
            edge: small,
            edge_strong: bold(7.5, 10.0),
            caution: Type {
                grey: 0.3,
                ..plain(7.1, 9.0)
            },
            headings: [
                (bold(19.0, 23.0), 0.0, 11.0),
                (bold(12.5, 16.0), 17.0, 5.0),
                (bold(10.5, 14.0), 12.0, 3.5),
                (slanted, 9.0, 2.5),
            ],
            paragraph_after: 6.5,
            tight_after: 2.5,
            list_edge: 5.0,
            // A hand needs about the same room whatever the print; an empty space is as high as it was asked for.
            writing_line: paper(if print.large { 10.0 } else { 8.0 }),
            blank_line: paper(8.0),
            writing_row: paper(if print.large { 11.0 } else { 8.5 }),
            side: paper(20.0),
            head_baseline: paper(13.5),
            head_rule: paper(15.5),
            body_top: paper(22.0),
            foot: paper(11.0),
            foot_gap: paper(5.0),
            header: true,
            cell_x: CELL_X,
            cell_y: CELL_Y,
        };
        let setting = match (format, print.large || print.spaced) {
            (Format::Held, enlarged) => setting.dense(enlarged, paper),
            _ => setting,
        };
        let setting = if print.large {
            setting.evened()
        } else {
            setting
        };
        let setting = match format {
            Format::Hung => setting.hung(),
            _ => setting,
        };
        if print.spaced {
            setting.aired()
        } else {
            setting
        }
    }

    /// How a heading of each level is set: type, space before, space after.
    pub fn heading(&self, level: u8) -> (Type, f32, f32) {
        let [one, two, three, four] = self.headings;
        match level {
            1 => one,
            2 => two,
            3 => three,
            _ => four,
        }
    }

    /// For a sheet that is worked from: all type 9 points, which is the least that is read at arm's length (common practice, no
    /// source), and the paper used to its edges. Enlarged print keeps its type.
    fn dense(self, enlarged: bool, paper: impl Fn(f32) -> f32) -> Setting {
        let close = Setting {
            paragraph_after: 3.5,
            tight_after: 1.5,
            list_edge: 2.5,
            writing_row: self.writing_row * 0.9,
            side: paper(12.0),
            head_baseline: 0.0,
            head_rule: 0.0,
            body_top: paper(10.0),
            foot: paper(7.0),
            foot_gap: paper(1.5),
            header: false,
            cell_x: 3.5,
            cell_y: 2.5,
            ..self
        };
        if enlarged {
            return close;
        }
        let small = Type {
            grey: 0.3,
            ..plain(9.0, 11.0)
        };
        Setting {
            body: plain(9.0, 11.3),
            cell: plain(9.0, 11.0),
            cell_head: bold(9.0, 11.0),
            code: plain(9.0, 11.0),
            edge: small,
            edge_strong: bold(9.0, 11.0),
            caution: small,
            headings: [
                (bold(12.0, 14.0), 0.0, 4.0),
                (bold(9.5, 12.0), 7.0, 2.0),
                (bold(9.5, 12.0), 7.0, 2.0),
                (bold(9.0, 11.3), 5.0, 1.5),
            ],
            ..close
        }
    }

    /// As large in every kind of print; what stands at the edges of the page is not for the door.
    fn hung(self) -> Setting {
        let [(size, leading), (high, line)] = HUNG.map(|(s, l)| (s / self.scale, l / self.scale));
        let gap = size * 0.5;
        Setting {
            body: plain(size, leading),
            headings: [(bold(high, line), 0.0, gap); 4],
            paragraph_after: gap,
            tight_after: gap,
            list_edge: gap,
            ..self
        }
    }

    /// The same type with less white between its lines and blocks.
    pub fn closer(self) -> Setting {
        let less = |white: f32| white * CLOSER;
        Setting {
            headings: self
                .headings
                .map(|(type_, before, after)| (type_, less(before), less(after))),
            paragraph_after: less(self.paragraph_after),
            tight_after: less(self.tight_after),
            list_edge: less(self.list_edge),
            cell_y: less(self.cell_y),
            ..self
        }
    }

    /// Small type grows more than large type, so that all of a large print is large and a heading still fits its line.
    fn evened(self) -> Setting {
        Setting {
            cell: plain(9.5, 12.5),
            cell_head: bold(9.5, 12.5),
            code: plain(9.5, 12.5),
            caution: Type {
                size: 7.2,
                leading: 9.0,
                ..self.caution
            },
            headings: [
                (bold(14.5, 18.0), 0.0, 9.0),
                (bold(11.8, 15.0), 14.0, 5.0),
                (bold(10.5, 14.0), 11.0, 3.5),
                (self.headings[3].0, 9.0, 2.5),
            ],
            side: if self.header {
                self.side * 0.8
            } else {
                self.side
            },
            head_baseline: self.head_baseline * 0.95,
            ..self
        }
    }

    /// Lines half as high again as their type, twice the type size between paragraphs (the rest of criterion 1.4.12), wider
    /// letters and words, no slanted type.
    fn aired(self) -> Setting {
        let aired = |style: Type| Type {
            leading: style.leading.max(style.size * 1.5),
            italic: false,
            spaced: true,
            ..style
        };
        let cell = aired(Type {
            size: self.body.size,
            ..self.cell
        });
        Setting {
            body: aired(self.body),
            cell,
            cell_head: Type { bold: true, ..cell },
            code: aired(self.code),
            edge: aired(self.edge),
            edge_strong: aired(self.edge_strong),
            caution: aired(self.caution),
            headings: self
                .headings
                .map(|(style, before, after)| (aired(style), before * 1.2, after * 1.6)),
            paragraph_after: 2.0 * self.body.size,
            tight_after: 0.7 * self.body.size,
            list_edge: self.body.size,
            ..self
        }
    }
}
