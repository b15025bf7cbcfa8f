//! Which PDF operators draw a page? Each sequence is told which part of the text it belongs to.

use printpdf::{
    Color, DictItem, Greyscale, Line, LineDashPattern, LineJoinStyle, LinePoint, Op, PaintMode,
    PdfFontHandle, Point, Polygon, PolygonRing, Pt, Rect, TextItem, TextRenderingMode,
    WindingOrder,
};

use super::embed::font_id;
use super::item::{Drawing, Item, Page, Words};
use super::part::{PartIx, Parts};
use super::style::round;
use super::tree::tag;

/// Writes marks as PDF operators, leaving out what is already set.
pub struct Painter<'a> {
    height: f32,
    ops: Vec<Op>,
    in_text: bool,
    hidden: bool,
    font: Option<(usize, bool, f32)>,
    fill: Option<f32>,
    stroke: Option<f32>,
    thickness: Option<f32>,
    /// The pen joins its lines round, as in drawings.
    round: bool,
    /// Where the last run of words ended.
    end: Option<(f32, f32)>,
    parts: &'a Parts,
    /// What the marks just written belong to: nothing yet, the edge of the page, or a part.
    open: Option<Option<PartIx>>,
    /// The part of each marked sequence, by its number.
    marked: Vec<PartIx>,
}

impl Painter<'_> {
    /// The operators of a page, and the part that each marked sequence of them belongs to.
    pub fn paint(page: &Page, height: f32, parts: &Parts) -> (Vec<Op>, Vec<PartIx>) {
        let mut painter = Painter {
            height,
            ops: Vec::new(),
            in_text: false,
            hidden: false,
            font: None,
            fill: None,
            stroke: None,
            thickness: None,
            round: false,
            end: None,
            parts,
            open: None,
            marked: Vec::new(),
        };
        // Rules and shades first: words are never covered, and stand in the file in reading order.
        let items = || page.body.iter().chain(&page.edge);
        for item in items() {
            if !matches!(item, Item::Words(_)) {
                painter.belongs(item.part());
                painter.mark(item);
            }
        }
        for item in items() {
            if let Item::Words(words) = item {
                painter.belongs(words.part);
                painter.words(words);
            }
        }
        painter.close();
        (painter.ops, painter.marked)
    }

    /// Says what the next marks belong to (ISO 32000-1, 14.6 and 14.8.2.2): a part of the text, or an artifact.
    fn belongs(&mut self, part: Option<PartIx>) {
        if self.open == Some(part) {
            return;
        }
        self.close();
        self.open = Some(part);
        self.ops.push(match part.and_then(|p| self.parts.get(p)) {
            Some(known) => {
                let number = DictItem::Int(self.marked.len() as i64);
                self.marked.extend(part);
                Op::BeginMarkedContentWithProperties {
                    tag: tag(known.kind).into(),
                    properties: DictItem::Dict {
                        map: [("MCID".to_string(), number)].into(),
                    },
                }
            }
            None => Op::BeginMarkedContent {
                tag: "Artifact".into(),
            },
        });
    }

    fn close(&mut self) {
        self.end_text();
        if self.open.take().is_some() {
            self.ops.push(Op::EndMarkedContent);
        }
    }

    fn end_text(&mut self) {
        if std::mem::take(&mut self.in_text) {
            self.ops.push(Op::EndTextSection);
        }
    }

    fn grey(value: f32) -> Color {
        Color::Greyscale(Greyscale::new(value, None))
    }

    fn fill(&mut self, grey: f32) {
        if self.fill.replace(grey) != Some(grey) {
            self.ops.push(Op::SetFillColor {
                col: Self::grey(grey),
            });
        }
    }

    fn stroke(&mut self, grey: f32, thickness: f32) {
        if self.stroke.replace(grey) != Some(grey) {
            self.ops.push(Op::SetOutlineColor {
                col: Self::grey(grey),
            });
        }
        if self.thickness.replace(thickness) != Some(thickness) {
            self.ops.push(Op::SetOutlineThickness { pt: Pt(thickness) });
        }
    }

    fn rect(&self, x: f32, y: f32, width: f32, height: f32, mode: PaintMode) -> Rect {
        let mut rect = Rect::from_xywh(
            Pt(round(x)),
            Pt(round(self.height - y - height)),
            Pt(round(width)),
            Pt(round(height)),
        );
        rect.mode = Some(mode);
        rect
    }

    fn mark(&mut self, item: &Item) {
        match *item {
            Item::Words(_) => {}
            Item::Rule {
                from,
                to,
                thickness,
                grey,
                ..
            } => {
                self.stroke(grey, thickness);
                let points = vec![self.point(from, false), self.point(to, false)];
                self.line(points, false);
            }
            Item::Shade {
                x,
                y,
                width,
                height,
                grey,
            } => {
                self.fill(grey);
                let rectangle = self.rect(x, y, width, height, PaintMode::Fill);
                self.ops.push(Op::DrawRectangle { rectangle });
            }
            Item::Outline {
                x,
                y,
                width,
                height,
                thickness,
                grey,
                ..
            } => {
                if std::mem::take(&mut self.round) {
                    self.ops.push(Op::SetLineJoinStyle {
                        join: LineJoinStyle::Miter,
                    });
                }
                self.stroke(grey, thickness);
                let rectangle = self.rect(x, y, width, height, PaintMode::Stroke);
                self.ops.push(Op::DrawRectangle { rectangle });
            }
            Item::Drawing(ref drawing) => self.drawing(drawing),
        }
    }

    fn point(&self, (x, y): (f32, f32), bezier: bool) -> LinePoint {
        let (x, y) = (Pt(round(x)), Pt(round(self.height - y)));
        LinePoint {
            p: Point { x, y },
            bezier,
        }
    }

    fn line(&mut self, points: Vec<LinePoint>, is_closed: bool) {
        let line = Line { points, is_closed };
        self.ops.push(Op::DrawLine { line });
    }

    fn drawing(&mut self, drawing: &Drawing) {
        // Without round joins a sharp bend would throw a spike.
        if !std::mem::replace(&mut self.round, true) {
            let join = LineJoinStyle::Round;
            self.ops.push(Op::SetLineJoinStyle { join });
        }
        if let Some(grey) = drawing.fill {
            self.fill(grey);
        }
        if let Some((thickness, grey)) = drawing.stroke {
            self.stroke(grey, thickness);
        }
        let dashed = !drawing.dash.is_empty();
        if dashed {
            let dash = LineDashPattern::new(0.0, &drawing.dash);
            self.ops.push(Op::SetLineDashPattern { dash });
        }
        for line in &drawing.lines {
            let points = line.iter().map(|&(x, y, bends)| self.point((x, y), bends));
            let points: Vec<LinePoint> = points.collect();
            if drawing.fill.is_none() {
                self.line(points, drawing.closed);
                continue;
            }
            let mode = match drawing.stroke {
                Some(_) => PaintMode::FillStroke,
                None => PaintMode::Fill,
            };
            let polygon = Polygon {
                rings: vec![PolygonRing { points }],
                mode,
                winding_order: WindingOrder::NonZero,
            };
            self.ops.push(Op::DrawPolygon { polygon });
        }
        if dashed {
            let dash = LineDashPattern::solid();
            self.ops.push(Op::SetLineDashPattern { dash });
        }
    }

    fn words(&mut self, words: &Words) {
        // Runs that touch are one section, others are their own: simple readers put a line end between sections, and would
        // else join the last word of a line to the first of the next.
        let touches = self.in_text
            && self
                .end
                .is_some_and(|(x, y)| y == words.y && (words.x - x).abs() < 0.05);
        // The hidden glyph of a drawn box is narrower than the box.
        self.end = (!words.hidden).then_some((words.x + words.width, words.y));
        if !touches {
            self.end_text();
            self.in_text = true;
            self.ops.push(Op::StartTextSection);
        }
        let font = (words.face, words.spaced, words.size);
        self.fill(words.grey);
        if self.hidden != words.hidden {
            self.hidden = words.hidden;
            let mode = if words.hidden {
                TextRenderingMode::Invisible
            } else {
                TextRenderingMode::Fill
            };
            self.ops.push(Op::SetTextRenderingMode { mode });
        }
        if self.font.replace(font) != Some(font) {
            self.ops.push(Op::SetFont {
                font: PdfFontHandle::External(font_id(words.face, words.spaced)),
                size: Pt(words.size),
            });
        }
        // A section starts at the corner of the page; a run that touches the last one goes on where that ended.
        if !touches {
            let (x, y) = (Pt(round(words.x)), Pt(round(self.height - words.y)));
            self.ops.push(Op::SetTextCursor {
                pos: Point { x, y },
            });
        }
        self.ops.push(Op::ShowText {
            items: vec![TextItem::Text(words.text.clone())],
        });
    }
}
