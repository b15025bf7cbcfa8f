//! Turns laid-out pages into the bytes of a PDF 1.7 file with its fonts cut down, its bookmarks and a reproducible identity.

use lopdf::{Object, StringFormat, dictionary};
use printpdf::{
    Color, Greyscale, Line, LinePoint, Mm, Op, PaintMode, PdfDocument, PdfFontHandle, PdfPage,
    PdfSaveOptions, Point, Pt, Rect, TextItem, TextMatrix, TextRenderingMode,
};

use super::embed::{broken, embed, font_id, hash};
use super::item::{Item, Layout, Page, Words};
use super::meta::PdfMeta;
use super::outline;
use super::style::MM;
use crate::diagnostic::Problem;

/// Writes the file. `source` is what the layout was made from; it gives the file its identity.
///
/// # Errors
/// When an embedded font cannot be cut down, or the file cannot be put together.
pub fn write(layout: &Layout, meta: &PdfMeta, source: &str) -> Result<Vec<u8>, Problem> {
    let mut document = PdfDocument::new(&meta.title);
    document.metadata.info.subject.clone_from(&meta.subject);
    document.metadata.info.creator = "vivasmith".into();
    document.metadata.info.producer = concat!("vivasmith ", env!("CARGO_PKG_VERSION")).into();
    embed(&mut document, layout)?;
    let frame = &layout.frame;
    for page in &layout.pages {
        let ops = Painter::paint(page, frame.paper_height);
        document.pages.push(PdfPage::new(
            Mm(frame.paper_width / MM),
            Mm(frame.paper_height / MM),
            ops,
        ));
    }

    // The paper size exactly as the layout has it, not as it comes back from millimetres.
    for page in &mut document.pages {
        let paper = Rect::from_wh(Pt(round(frame.paper_width)), Pt(round(frame.paper_height)));
        page.media_box = paper.clone();
        page.trim_box = paper.clone();
        page.crop_box = paper;
    }
    let mut file = document.to_lopdf_document(&PdfSaveOptions::default(), &mut Vec::new());
    file.version = "1.7".into();
    tidy_info(&mut file);
    let pages: Vec<_> = file.get_pages().into_values().collect();
    let tree = outline::write(&mut file, &layout.bookmarks, &pages, frame.paper_height);
    let catalog = file.catalog_mut().map_err(|e| broken(&e))?;
    catalog.set("Lang", Object::string_literal(meta.language.as_str()));
    catalog.set(
        "ViewerPreferences",
        dictionary! { "DisplayDocTitle" => true },
    );
    let mode: &str = match tree {
        Some(tree) => {
            catalog.set("Outlines", tree);
            "UseOutlines"
        }
        None => "UseNone",
    };
    catalog.set("PageMode", Object::Name(mode.into()));
    // printpdf numbers files from a counter of the process; here the same content has the same identity.
    let identity = Object::String(identity(meta, source), StringFormat::Hexadecimal);
    file.trailer
        .set("ID", Object::Array(vec![identity.clone(), identity]));
    file.compress();
    let mut bytes = Vec::with_capacity(64 * 1024);
    file.save_to(&mut bytes).map_err(|e| broken(&e))?;
    Ok(bytes)
}

/// Takes out what printpdf writes but the sheet does not mean: dates of 1970, an empty claim to be PDF/X, empty fields.
fn tidy_info(file: &mut lopdf::Document) {
    let Ok(info) = file.trailer.get(b"Info").and_then(Object::as_reference) else {
        return;
    };
    let Ok(info) = file.get_dictionary_mut(info) else {
        return;
    };
    for key in [
        "Trapped",
        "CreationDate",
        "ModDate",
        "GTS_PDFXVersion",
        "Identifier",
        "Author",
        "Keywords",
    ] {
        info.remove(key.as_bytes());
    }
}

fn identity(meta: &PdfMeta, source: &str) -> Vec<u8> {
    let paper = format!("{:?}", meta.paper);
    let parts = [
        env!("CARGO_PKG_VERSION"),
        &meta.title,
        &meta.subject,
        &meta.language,
        &meta.code,
        &meta.caution,
        &meta.sheet,
        &paper,
        source,
    ];
    [hash(1, &parts), hash(2, &parts)]
        .into_iter()
        .flat_map(u64::to_be_bytes)
        .collect()
}

/// Hundredths of a point are finer than any printer, and keep the file small.
fn round(value: f32) -> f32 {
    (value * 100.0).round() / 100.0
}

/// Writes marks as PDF operators, leaving out what is already set.
struct Painter {
    height: f32,
    ops: Vec<Op>,
    in_text: bool,
    hidden: bool,
    font: Option<(usize, f32)>,
    fill: Option<f32>,
    stroke: Option<f32>,
    thickness: Option<f32>,
    /// Where the last run of words ended.
    end: Option<(f32, f32)>,
}

impl Painter {
    fn paint(page: &Page, height: f32) -> Vec<Op> {
        let mut painter = Painter {
            height,
            ops: Vec::new(),
            in_text: false,
            hidden: false,
            font: None,
            fill: None,
            stroke: None,
            thickness: None,
            end: None,
        };
        // Rules and shades first: words are never covered, and stand in the file in reading order.
        let items = || page.body.iter().chain(&page.edge);
        for item in items() {
            painter.mark(item);
        }
        for item in items() {
            if let Item::Words(words) = item {
                painter.words(words);
            }
        }
        painter.end_text();
        painter.ops
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
                let point = |(x, y): (f32, f32)| LinePoint {
                    p: Point {
                        x: Pt(round(x)),
                        y: Pt(round(self.height - y)),
                    },
                    bezier: false,
                };
                let line = Line {
                    points: vec![point(from), point(to)],
                    is_closed: false,
                };
                self.ops.push(Op::DrawLine { line });
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
                self.stroke(grey, thickness);
                let rectangle = self.rect(x, y, width, height, PaintMode::Stroke);
                self.ops.push(Op::DrawRectangle { rectangle });
            }
            Item::Drawing(ref drawing) => {
                if let Some(grey) = drawing.fill {
                    self.fill(grey);
                }
                if let Some((thickness, grey)) = drawing.stroke {
                    self.stroke(grey, thickness);
                }
                self.ops
                    .extend(super::figure::ops::paint(drawing, self.height));
            }
        }
    }

    fn words(&mut self, words: &Words) {
        // Runs that touch are one section, others are their own: simple readers put a line end between sections, and would
        // else join the last word of a line to the first of the next.
        let touches = self
            .end
            .is_some_and(|(x, y)| y == words.y && (words.x - x).abs() < 0.05);
        self.end = Some((words.x + words.width, words.y));
        if !touches {
            self.end_text();
        }
        if !self.in_text {
            self.in_text = true;
            self.ops.push(Op::StartTextSection);
        }
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
        if self.font.replace((words.face, words.size)) != Some((words.face, words.size)) {
            self.ops.push(Op::SetFont {
                font: PdfFontHandle::External(font_id(words.face)),
                size: Pt(words.size),
            });
        }
        let (x, y) = (Pt(round(words.x)), Pt(round(self.height - words.y)));
        self.ops.push(Op::SetTextMatrix {
            matrix: TextMatrix::Translate(x, y),
        });
        self.ops.push(Op::ShowText {
            items: vec![TextItem::Text(words.text.clone())],
        });
    }
}
