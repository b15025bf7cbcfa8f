//! How does a drawing come onto a page, in the flow of a text or alone on a page of its own?

use super::column::Place;
use super::fonts::{BOLD, Fonts, REGULAR};
use super::item::{Drawing, Item, Layout, Page, Role, Words};
use super::meta::PdfMeta;
use super::part::{PartIx, Parts};
use super::piece::Piece;
use super::setting::Setting;
use super::style::{MM, TABLE_BEFORE};
use super::{header_footer, pdf};
use crate::diagnostic::Problem;
use crate::figure::Figure;
use crate::figure::shape::{P, PT, PathEl, Shape, Stroke};
use crate::figure::simplify::simplify;
use crate::figure::to_svg;

/// How far a line may stray from its points, in points: a hundredth of a millimetre.
const STRAY: f32 = 0.03;

/// The marks of a figure whose upper left corner stands at `x`, `y` (points, `y` down from the top of the page or of the
/// piece it belongs to), `scale` times its own size. Below scale 1 the smallest type falls below 7 pt.
fn items(figure: &Figure, part: Option<PartIx>, (x, y): (f32, f32), scale: f32) -> Vec<Item> {
    let unit = f64::from(MM * scale);
    let to_x = |v: f64| x + (v * unit) as f32;
    let to_y = |v: f64| y + (v * unit) as f32;
    let length = |v: f64| (v * unit) as f32;
    figure
        .shapes
        .iter()
        .flat_map(|shape| match shape {
            Shape::Label(label) => vec![Item::Words(Words {
                x: to_x(label.left()),
                y: to_y(label.at.y),
                width: length(label.width),
                size: length(label.size * PT),
                face: if label.bold { BOLD } else { REGULAR },
                grey: label.grey as f32,
                text: label.text.clone(),
                hidden: false,
                spaced: false,
                role: Role::Artifact,
                part,
            })],
            Shape::Path(path) => {
                let pen = |s: &Stroke| (length(s.width), s.grey as f32);
                let ends = |line: &&[PathEl]| line.last() == Some(&PathEl::ClosePath);
                let (closed, open): (Vec<_>, Vec<_>) = path.line.subpaths().partition(ends);
                let point = |at: P, bends: bool| (to_x(at.x), to_y(at.y), bends);
                [(closed, true), (open, false)]
                    .into_iter()
                    .filter(|(lines, _)| !lines.is_empty())
                    .map(|(lines, closed)| {
                        Item::Drawing(Drawing {
                            lines: lines
                                .into_iter()
                                .map(|line| simplify(&nodes(line, &point), STRAY))
                                .collect(),
                            closed,
                            fill: path.fill.map(|g| g as f32),
                            stroke: path.stroke.as_ref().map(pen),
                            dash: path.stroke.map_or_else(Vec::new, |s| {
                                s.dash.iter().map(|d| length(*d)).collect()
                            }),
                            role: Role::Artifact,
                            part,
                        })
                    })
                    .collect()
            }
        })
        .collect()
}

/// The points of a line; `true` for those that bend it.
fn nodes<T>(line: &[PathEl], point: &impl Fn(P, bool) -> T) -> Vec<T> {
    let points = |element: &PathEl| match *element {
        PathEl::MoveTo(to) | PathEl::LineTo(to) => vec![point(to, false)],
        PathEl::QuadTo(bend, to) => vec![point(bend, true), point(to, false)],
        PathEl::CurveTo(out, back, to) => {
            vec![point(out, true), point(back, true), point(to, false)]
        }
        PathEl::ClosePath => vec![],
    };
    line.iter().flat_map(points).collect()
}

/// Largest scale, 1 at most, at which the figure fits the width and height in points.
fn scale_to_fit(figure: &Figure, width: f32, height: f32) -> f32 {
    let fit = |room: f32, size: f64| room / (size as f32 * MM);
    fit(width, figure.width_mm)
        .min(fit(height, figure.height_mm))
        .min(1.0)
}

/// A picture may fill so much of a page's height; more would leave no room for its heading.
const TALLEST: f32 = 0.86;

/// Type in a picture may not become smaller than this on paper, in points.
const SMALLEST_TYPE: f32 = 7.0;

/// A picture in its place, as large as the width and the page allow, but never larger than drawn. It gives way to what stands
/// above it, unless its type became too small to read.
/// `enlarged`: how many times as large as the layout the paper is.
pub fn piece(
    figure: &Figure,
    part: PartIx,
    place: &Place,
    (page, above): (f32, f32),
    enlarged: f32,
) -> Piece {
    let alone = scale_to_fit(figure, place.width, page * TALLEST);
    let below = scale_to_fit(figure, place.width, page - above - TABLE_BEFORE - 1.0);
    let smallest = figure
        .labels()
        .map(|l| l.size as f32)
        .fold(f32::MAX, f32::min);
    let scale = if below * smallest * enlarged >= SMALLEST_TYPE {
        alone.min(below)
    } else {
        alone
    };
    let mut piece = Piece::of_height(figure.height_mm as f32 * MM * scale);
    piece.items = items(figure, Some(part), (place.x, 0.0), scale);
    piece
}

/// A PDF of one page with the figure alone, its title and the usual header and footer.
///
/// # Errors
/// When a character of `meta` cannot be drawn, or the figure is larger than the page.
pub fn figure_pdf(figure: &Figure, meta: &PdfMeta) -> Result<Vec<u8>, Problem> {
    let fonts = Fonts::load()?;
    let setting = Setting::of(meta.print, meta.format);
    let frame = header_footer::frame(meta, &setting, fonts)?;
    let scale = scale_to_fit(figure, frame.width(), frame.height());
    let mut parts = Parts::default();
    let part = parts.add_figure(&figure.alt, None);
    // The title stands in the header; from 0.99 on the smallest type still reads as 7 pt.
    if scale * setting.scale < 0.99 {
        return Err(Problem::new(format!(
            "the picture is {:.0} x {:.0} mm, more than a page holds at full size",
            figure.width_mm, figure.height_mm
        ))
        .hint("use --format svg, or draw fewer nerves"));
    }
    let mut layout = Layout {
        frame,
        pages: vec![Page {
            body: items(
                figure,
                Some(part),
                (
                    frame.left + (frame.width() - figure.width_mm as f32 * MM * scale) / 2.0,
                    frame.top,
                ),
                scale,
            ),
            edge: Vec::new(),
        }],
        bookmarks: Vec::new(),
        parts,
    };
    header_footer::furnish(&mut layout, meta, &setting, fonts)?;
    pdf::write(&layout.scaled(setting.scale), meta, &to_svg(figure))
}
