//! Measures how long pictures take: each kind alone, as SVG and as a page of PDF.

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use vivasmith::anatomy::{self, Model};
use vivasmith::figure::{self, Figure, Kind, Map, Side};
use vivasmith::files::Content;
use vivasmith::findings;
use vivasmith::lesion;
use vivasmith::sheets::words::figure_style;
use vivasmith::typeset::{PageStyle, Paper, PdfMeta, Print, figure_pdf};

fn main() {
    divan::main();
}

fn model() -> Model {
    anatomy::load(&Content::embedded(), "upper_limb").unwrap_or_else(|e| panic!("{e}"))
}

const KINDS: [&str; 3] = ["plexus", "nerve", "skin"];

fn draw(model: &Model, kind: &str) -> Figure {
    let lesion = lesion::parse(model, "radial_axilla").unwrap_or_else(|e| panic!("{e}"));
    let look =
        figure_style(&Content::embedded(), PageStyle::default()).unwrap_or_else(|e| panic!("{e}"));
    let drawn = match kind {
        "plexus" => figure::plexus(model, Some(&lesion), Kind::Lesion, &look),
        "nerve" => figure::nerve(model, "radial", Some(&lesion), Kind::Lesion, &look),
        _ => {
            let found = findings::derive(model, &lesion, &[]);
            figure::skin(
                model,
                Some(&found),
                Map::Peripheral,
                Kind::Lesion,
                Side::Right,
                &look,
            )
        }
    };
    drawn.unwrap_or_else(|e| panic!("{e}"))
}

/// Layout with the collision check, without writing.
#[divan::bench(args = KINDS)]
fn figures(bencher: Bencher, kind: &str) {
    let model = model();
    bencher
        .counter(ItemsCount::new(1usize))
        .bench(|| black_box(draw(&model, kind)));
}

#[divan::bench(args = KINDS)]
fn svg(bencher: Bencher, kind: &str) {
    let drawn = draw(&model(), kind);
    bencher
        .counter(ItemsCount::new(1usize))
        .bench(|| black_box(figure::to_svg(&drawn)));
}

#[divan::bench(args = KINDS)]
fn pdf(bencher: Bencher, kind: &str) {
    let drawn = draw(&model(), kind);
    let meta = PdfMeta {
        title: drawn.title.clone(),
        subject: drawn.alt.clone(),
        language: "en-GB".into(),
        code: "bench".into(),
        caution: "Teaching and assessment material.".into(),
        sheet: "Picture".into(),
        numbering: "Page {page} of {pages}".into(),
        paper: Paper::A4,
        print: Print::default(),
        ..PdfMeta::default()
    };
    bencher
        .counter(ItemsCount::new(1usize))
        .bench(|| black_box(figure_pdf(&drawn, &meta)).unwrap_or_else(|e| panic!("{e}")));
}
