//! Where does a line of text end? Styled text becomes runs that fit a width, broken at spaces, else between letters.

use super::blocks::Span;
use super::fonts::{BOLD, BOLD_ITALIC, Fonts, ITALIC, REGULAR};
use super::item::{Item, Role, Tag, Words};
use super::style::{
    HALF_CAPITAL, TICK, TICK_APART, TICK_LINE, TICK_RULE, TICK_SIDE, Type, WIDER_LETTER, WIDER_WORD,
};
use crate::diagnostic::Problem;

#[derive(Debug, Clone, Copy, PartialEq)]
struct Glyph {
    c: char,
    face: usize,
    width: f32,
}

/// Text measured in one type, not yet broken.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    glyphs: Vec<Glyph>,
    style: Type,
}

/// A run of glyphs of one face within a line; `x` counts from the start of the line.
#[derive(Debug, Clone, PartialEq)]
struct Run {
    x: f32,
    width: f32,
    face: usize,
    text: String,
}

/// One line of text.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    runs: Vec<Run>,
    pub width: f32,
    pub height: f32,
    style: Type,
    /// The text goes on in the next line after a space.
    goes_on: bool,
}

/// Characters that carry no ink and no width here: dropped, since an absent glyph for them would show as a box.
fn invisible(c: char) -> bool {
    matches!(c,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{180e}' | '\u{200c}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
        | '\u{e0000}'..='\u{e0fff}')
        || (c.is_control() && c != '\n' && c != '\t')
}

/// What a character takes up in a type, in thousandths of its size.
fn advance(own: u16, c: char, style: Type) -> u16 {
    match c {
        _ if !style.spaced => own,
        ' ' | '\u{a0}' => own.saturating_add(WIDER_LETTER + WIDER_WORD),
        _ => own.saturating_add(WIDER_LETTER),
    }
}

/// Hebrew, Arabic and their kin run from right to left, which this layout cannot set.
fn right_to_left(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefc}' | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
}

impl Text {
    /// Measures spans; a `\n` in them is a forced line end, a zero-width space a place to break.
    ///
    /// # Errors
    /// When no embedded face can draw a character.
    pub fn measure(spans: &[Span], style: Type, fonts: &Fonts) -> Result<Text, Problem> {
        let mut glyphs = Vec::with_capacity(spans.iter().map(|s| s.text.len()).sum());
        let all_slanted = spans.iter().all(|s| s.italic || s.text.trim().is_empty());
        for span in spans {
            let slanted = style.italic != span.italic;
            // Spaced print is for readers whom slanted letters hinder: it stresses by weight alone, a word, not a paragraph.
            let (bold, italic) = if style.spaced {
                (style.bold || span.bold || (slanted && !all_slanted), false)
            } else {
                (style.bold || span.bold, slanted)
            };
            let wanted = match (bold, italic) {
                (false, false) => REGULAR,
                (true, false) => BOLD,
                (false, true) => ITALIC,
                (true, true) => BOLD_ITALIC,
            };
            for c in span.text.chars() {
                if invisible(c) {
                    continue;
                }
                // Spaces of every kind are set as the common one; the no-break space only differs in where lines end.
                let c = match c {
                    '\t' | '\u{2028}' | '\u{2029}' => ' ',
                    c if c.is_whitespace() && !matches!(c, '\n' | '\u{a0}' | '\u{202f}') => ' ',
                    '\u{202f}' => '\u{a0}',
                    c => c,
                };
                let (face, width) = match c {
                    '\n' | '\u{200b}' => (wanted, 0.0),
                    _ if right_to_left(c) => return Err(cannot_draw(c)),
                    _ => {
                        let drawn = fonts.draw(c, wanted).ok_or_else(|| cannot_draw(c))?;
                        let width = if is_box(c) {
                            // A box after other words opens a choice: apart from what was before, near its own label.
                            if let Some(space) =
                                glyphs.last_mut().filter(|g: &&mut Glyph| g.c == ' ')
                            {
                                space.width += TICK_APART;
                            }
                            TICK + 2.0 * TICK_SIDE
                        } else {
                            f32::from(advance(drawn.advance, c, style)) / 1000.0 * style.size
                        };
                        (drawn.face, width)
                    }
                };
                glyphs.push(Glyph { c, face, width });
            }
        }
        Ok(Text { glyphs, style })
    }

    /// Measures text of one voice.
    ///
    /// # Errors
    /// As [`Text::measure`].
    pub fn plain(text: &str, style: Type, fonts: &Fonts) -> Result<Text, Problem> {
        Text::measure(&[Span::plain(text)], style, fonts)
    }

    pub fn is_blank(&self) -> bool {
        self.glyphs
            .iter()
            .all(|g| g.c.is_whitespace() || g.c == '\u{200b}')
    }

    /// True when the text is tick boxes and nothing else.
    pub fn is_ticks(&self) -> bool {
        !self.is_blank()
            && self
                .glyphs
                .iter()
                .all(|g| is_box(g.c) || g.c.is_whitespace() || g.c == '\u{200b}')
    }

    /// A box to tick stands in it.
    pub fn has_box(&self) -> bool {
        self.glyphs.iter().any(|g| is_box(g.c))
    }

    /// Width of the longest line when nothing is broken that need not be.
    pub fn natural_width(&self) -> f32 {
        self.glyphs
            .split(|g| g.c == '\n')
            .map(|line| width_of(trimmed(line)))
            .fold(0.0, f32::max)
    }

    /// Width of the longest word.
    pub fn word_width(&self) -> f32 {
        let (mut longest, mut word) = (0.0f32, 0.0f32);
        for (i, glyph) in self.glyphs.iter().enumerate() {
            if glyph.c == '\n' || glyph.c == ' ' {
                word = 0.0;
                continue;
            }
            word += glyph.width;
            longest = longest.max(word);
            if self.may_break_after(i) {
                word = 0.0;
            }
        }
        longest
    }

    fn may_break_after(&self, i: usize) -> bool {
        let at = |j: usize| self.glyphs.get(j).map(|g| g.c);
        let letter = |c: Option<char>| c.is_some_and(char::is_alphabetic);
        match at(i) {
            // A dash set between spaces stays at the end of its line, and a tick box with its label.
            Some(' ') => {
                let after_box = i > 0 && at(i - 1).is_some_and(is_box);
                !after_box && !matches!(at(i + 1), Some('–' | '—'))
            }
            Some('\u{200b}' | '—') => true,
            Some(c) if is_box(c) => at(i + 1).is_some_and(is_box),
            Some('-' | '/') => i > 0 && letter(at(i - 1)) && letter(at(i + 1)),
            _ => false,
        }
    }

    /// Breaks the text into lines no wider than `width`. A word that is wider breaks between its letters; a single glyph
    /// that is wider stands alone. What begins with a tick box goes on below its own words, not below the box.
    pub fn lines(&self, width: f32) -> Vec<Line> {
        let mut lines = Vec::new();
        let (mut start, mut i) = (0, 0);
        let mut used = 0.0f32;
        let mut indent = 0.0f32;
        let mut last_break = None;
        while let Some(glyph) = self.glyphs.get(i) {
            if glyph.c == '\n' {
                lines.push(self.line(start, i, indent));
                (start, i, used, last_break) = (i + 1, i + 1, 0.0, None);
                indent = 0.0;
                continue;
            }
            // A space at the end of a line may stick out: it is cut off.
            if glyph.c != ' ' && i > start && used + glyph.width > width + 0.01 {
                let end = last_break.unwrap_or(i);
                let mut line = self.line(start, end, indent);
                line.goes_on = end > 0 && self.glyphs.get(end - 1).is_some_and(|g| g.c == ' ');
                lines.push(line);
                if indent == 0.0 {
                    indent = self.box_width(start).min(width / 3.0);
                }
                start = end;
                while self.glyphs.get(start).is_some_and(|g| g.c == ' ') {
                    start += 1;
                }
                (i, used, last_break) = (start, indent, None);
                continue;
            }
            used += glyph.width;
            if self.may_break_after(i) {
                last_break = Some(i + 1);
            }
            i += 1;
        }
        if start < self.glyphs.len() {
            lines.push(self.line(start, self.glyphs.len(), indent));
        }
        lines
    }

    /// Width of the tick box, and of the space behind it, that stand at this place.
    fn box_width(&self, at: usize) -> f32 {
        match self.glyphs.get(at..at + 2) {
            Some([first, second]) if is_box(first.c) && second.c == ' ' => {
                first.width + second.width
            }
            _ => 0.0,
        }
    }

    /// The text on one line, its end cut off with an ellipsis where it does not fit.
    pub fn one_line(&self, width: f32, fonts: &Fonts) -> Line {
        let end = self
            .glyphs
            .iter()
            .position(|g| g.c == '\n')
            .unwrap_or(self.glyphs.len());
        let whole = self.line(0, end, 0.0);
        if whole.width <= width {
            return whole;
        }
        let dots = fonts.draw('…', REGULAR).map(|drawn| Glyph {
            c: '…',
            face: drawn.face,
            width: f32::from(advance(drawn.advance, '…', self.style)) / 1000.0 * self.style.size,
        });
        let room = width - dots.map_or(0.0, |g| g.width);
        let mut used = 0.0;
        let mut kept: Vec<Glyph> = self
            .glyphs
            .iter()
            .copied()
            .take_while(|g| {
                used += g.width;
                used <= room
            })
            .collect();
        kept.extend(dots);
        let cut = Text {
            glyphs: kept,
            style: self.style,
        };
        cut.line(0, cut.glyphs.len(), 0.0)
    }

    fn line(&self, start: usize, end: usize, indent: f32) -> Line {
        let glyphs = trimmed(self.glyphs.get(start..end).unwrap_or(&[]));
        let mut runs: Vec<Run> = Vec::new();
        let mut x = indent;
        let mut height = self.style.leading;
        for glyph in glyphs {
            if glyph.c == '\u{200b}' {
                continue;
            }
            let c = if glyph.c == '\u{a0}' { ' ' } else { glyph.c };
            if is_box(c) {
                height = height.max(TICK_LINE);
            }
            match runs.last_mut() {
                Some(run)
                    if run.face == glyph.face && !is_box(c) && !run.text.ends_with(is_box) =>
                {
                    run.text.push(c);
                    run.width += glyph.width;
                }
                _ => runs.push(Run {
                    x,
                    width: glyph.width,
                    face: glyph.face,
                    text: c.to_string(),
                }),
            }
            x += glyph.width;
        }
        Line {
            runs,
            width: x,
            height,
            style: self.style,
            goes_on: false,
        }
    }
}

impl Line {
    /// The marks of the line, its left end at `x` and the middle of its capitals at `middle`.
    pub fn items(&self, x: f32, middle: f32, tag: Tag) -> Vec<Item> {
        let mut items = Vec::with_capacity(self.runs.len());
        for (n, run) in self.runs.iter().enumerate() {
            let tick = run.text.starts_with(is_box);
            let (left, size, y) = if tick {
                let left = x + run.x + TICK_SIDE;
                draw_box(&mut items, &run.text, left, middle - TICK / 2.0);
                // The hidden glyph lies over the drawn box, so that a viewer marks the box when it is selected.
                (left, TICK, middle + TICK * 0.38)
            } else {
                (
                    x + run.x,
                    self.style.size,
                    middle + self.style.size * HALF_CAPITAL,
                )
            };
            let mut text = run.text.clone();
            // The space at which the line was broken stays in the file, without ink: who listens hears two words.
            if self.goes_on && n + 1 == self.runs.len() && !tick {
                text.push(' ');
            }
            items.push(Item::Words(Words {
                x: left,
                y,
                width: if tick { TICK } else { run.width },
                size,
                face: run.face,
                grey: self.style.grey,
                text,
                hidden: tick,
                spaced: self.style.spaced,
                role: if tick { Role::Form } else { tag.role },
                part: tag.part,
            }));
        }
        items
    }
}

fn trimmed(glyphs: &[Glyph]) -> &[Glyph] {
    let end = glyphs
        .iter()
        .rposition(|g| g.c != ' ' && g.c != '\u{200b}')
        .map_or(0, |i| i + 1);
    glyphs.get(..end).unwrap_or(&[])
}

fn width_of(glyphs: &[Glyph]) -> f32 {
    glyphs.iter().map(|g| g.width).sum()
}

fn cannot_draw(c: char) -> Problem {
    let reason = if right_to_left(c) {
        "is written from right to left, which these sheets cannot set"
    } else {
        "is in none of the embedded fonts"
    };
    Problem::new(format!(
        "the character {c:?} (U+{:04X}) {reason}, so it cannot be printed",
        u32::from(c)
    ))
    .hint("write the word in Latin letters, or leave the sign out; the Markdown file can hold it, the PDF cannot")
}

/// The empty tick box, drawn as a square a pen can hit.
const BOX: char = '☐';

/// Boxes of every kind are drawn alike: empty, ticked and crossed.
pub fn is_box(c: char) -> bool {
    matches!(c, BOX | '☑' | '☒')
}

/// A square of [`TICK`] with its upper left corner here, ticked or crossed as the character says.
fn draw_box(items: &mut Vec<Item>, text: &str, x: f32, y: f32) {
    let half = TICK_RULE / 2.0;
    items.push(Item::Outline {
        x: x + half,
        y: y + half,
        width: TICK - TICK_RULE,
        height: TICK - TICK_RULE,
        thickness: TICK_RULE,
        grey: 0.15,
        role: Role::Form,
    });
    let strokes: &[[f32; 4]] = if text.starts_with('☑') {
        &[[0.22, 0.52, 0.42, 0.74], [0.42, 0.74, 0.80, 0.24]]
    } else if text.starts_with('☒') {
        &[[0.25, 0.25, 0.75, 0.75], [0.25, 0.75, 0.75, 0.25]]
    } else {
        &[]
    };
    for [x1, y1, x2, y2] in strokes {
        items.push(Item::Rule {
            from: (x + x1 * TICK, y + y1 * TICK),
            to: (x + x2 * TICK, y + y2 * TICK),
            thickness: 1.2,
            grey: 0.0,
            role: Role::Form,
        });
    }
}
