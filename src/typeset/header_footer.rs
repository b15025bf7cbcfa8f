//! What stands at the head and foot of every page, and how much of it is left for the text?

use super::blocks::Span;
use super::fonts::Fonts;
use super::inline::{Line, Text};
use super::item::{Frame, Item, Layout, Tag};
use super::meta::{Paper, PdfMeta};
use super::setting::Setting;
use super::style::{GREY_RULE, HAIRLINE, MM, Type};
use crate::diagnostic::Problem;

/// Lines of caution the footer holds; more would eat the page.
pub const MOST_CAUTION_LINES: usize = 6;

fn paper(paper: Paper) -> (f32, f32) {
    match paper {
        Paper::A4 => (210.0 * MM, 297.0 * MM),
        Paper::Letter => (612.0, 792.0),
    }
}

fn caution(meta: &PdfMeta, width: f32, style: Type, fonts: &Fonts) -> Result<Vec<Line>, Problem> {
    let lines = Text::plain(&meta.caution, style, fonts)?.lines(width);
    if lines.len() > MOST_CAUTION_LINES {
        return Err(Problem::new(format!(
            "the caution at the foot of the page takes {} lines; {MOST_CAUTION_LINES} fit",
            lines.len()
        ))
        .hint("shorten the caution to one or two sentences"));
    }
    Ok(lines)
}

/// The part of the paper that the text may fill.
///
/// # Errors
/// When the caution is too long or holds a character that cannot be drawn.
pub fn frame(meta: &PdfMeta, setting: &Setting, fonts: &Fonts) -> Result<Frame, Problem> {
    let (width, height) = paper(meta.paper);
    let (paper_width, paper_height) = (width / setting.scale, height / setting.scale);
    let side = setting.side;
    let lines = caution(meta, paper_width - 2.0 * side, setting.caution, fonts)?.len();
    Ok(Frame {
        paper_width,
        paper_height,
        left: side,
        right: paper_width - side,
        top: setting.body_top,
        bottom: foot_rule(setting, paper_height, lines) - setting.foot_gap,
    })
}

/// Where the rule above the footer stands.
fn foot_rule(setting: &Setting, paper_height: f32, caution_lines: usize) -> f32 {
    paper_height
        - setting.foot
        - setting.edge.leading
        - caution_lines as f32 * setting.caution.leading
        - 8.0
}

/// Puts a header and a footer on every page.
///
/// # Errors
/// When a text of them holds a character that cannot be drawn.
pub fn furnish(
    layout: &mut Layout,
    meta: &PdfMeta,
    setting: &Setting,
    fonts: &Fonts,
) -> Result<(), Problem> {
    let frame = layout.frame;
    let half = frame.width() / 2.0 - 6.0;
    let caution = caution(meta, frame.width(), setting.caution, fonts)?;
    let line = |text: &str, style: Type, width: f32| {
        Ok::<_, Problem>(Text::measure(&[Span::plain(text)], style, fonts)?.one_line(width, fonts))
    };
    let alone = line(&meta.sheet, setting.edge_strong, frame.width())?;
    let sheet = line(&meta.sheet, setting.edge_strong, half)?;
    // What the name of the sheet leaves of the line.
    let title = line(
        &meta.title,
        setting.edge,
        frame.width() - sheet.width - 12.0,
    )?;
    let code = line(&meta.code, setting.edge_strong, half)?;
    let rule = |y: f32| Item::level(frame.left, frame.right, y, HAIRLINE, GREY_RULE);
    let total = layout.pages.len();
    for (n, page) in layout.pages.iter_mut().enumerate() {
        if setting.header {
            let head = setting.head_baseline - 2.5;
            // On the first page the title stands in full size just below.
            let name = if n == 0 { &alone } else { &sheet };
            page.edge
                .extend(name.items(frame.left, head, Tag::ARTIFACT));
            if n > 0 {
                page.edge
                    .extend(title.items(frame.right - title.width, head, Tag::ARTIFACT));
            }
            page.edge.push(rule(setting.head_rule));
        }

        let mut y = foot_rule(setting, frame.paper_height, caution.len());
        page.edge.push(rule(y));
        y += 4.0;
        for line in &caution {
            page.edge.extend(line.items(
                frame.left,
                y + setting.caution.leading / 2.0,
                Tag::ARTIFACT,
            ));
            y += setting.caution.leading;
        }
        y += 4.0 + setting.edge.leading / 2.0;
        page.edge.extend(code.items(frame.left, y, Tag::ARTIFACT));
        let number = meta
            .numbering
            .replace("{page}", &(n + 1).to_string())
            .replace("{pages}", &total.to_string());
        let number = line(&number, setting.edge, half)?;
        page.edge
            .extend(number.items(frame.right - number.width, y, Tag::ARTIFACT));
    }
    Ok(())
}
