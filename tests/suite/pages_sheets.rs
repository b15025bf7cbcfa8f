//! Turns a list of stations into real sheets, laid out and printed once, for the tests that look at pages.

use crate::practice_support::{Asked, Made};
use crate::station_support::{World, draft, world};
use std::sync::OnceLock;
use vivasmith::case::Level;
use vivasmith::figure::{Figure, to_svg};
use vivasmith::sheets::pictures::{Picture, pictures};
use vivasmith::sheets::practice::Booklet;
use vivasmith::sheets::words::Printer;
use vivasmith::station::build_draft;
use vivasmith::typeset::item::Layout;
use vivasmith::typeset::part::PartKind;
use vivasmith::typeset::{PageStyle, Paper, PdfMeta, Print, lay_out_with, to_pdf_with};

use Level::{Clinical, Early, Trainee};

/// Site, kind, level: each kind at each level, sites from all regions of the limb.
const STATIONS: [(&str, &str, Level); 18] = [
    ("radial_spiral_groove", "trace", Early),
    ("upper_trunk", "trace", Clinical),
    ("lower_trunk", "trace", Trainee),
    ("ulnar_elbow", "forecast", Early),
    ("avulsion_c5c6", "forecast", Clinical),
    ("posterior_cord", "forecast", Trainee),
    ("carpal_tunnel", "compare", Early),
    ("pin_supinator", "compare", Clinical),
    ("ulnar_guyon_2a", "compare", Trainee),
    ("axillary_quadrangular", "examine", Early),
    ("root_c7", "examine", Clinical),
    ("medial_cord", "examine", Trainee),
    ("musculocutaneous_coraco", "nerve", Early),
    ("ain", "nerve", Clinical),
    ("superficial_radial_wrist", "nerve", Trainee),
    ("long_thoracic", "risk", Early),
    ("lacn", "risk", Clinical),
    ("suprascapular_notch", "risk", Trainee),
];

/// What a sheet can be printed like: paper, large, spaced. The one place to add an option to.
const STYLES: [(Paper, bool, bool); 8] = [
    (Paper::A4, false, false),
    (Paper::Letter, true, false),
    (Paper::A4, false, true),
    (Paper::Letter, false, false),
    (Paper::A4, true, false),
    (Paper::Letter, false, true),
    (Paper::A4, true, true),
    (Paper::Letter, true, true),
];
/// In how many of the styles each station is printed. They take turns, so that kinds, levels and styles mix.
const STYLES_EACH: usize = 1;

/// The settings in a style, and its name for messages.
fn styled(meta: PdfMeta, (paper, large, spaced): (Paper, bool, bool)) -> (PdfMeta, String) {
    let print = Print { large, spaced };
    let name = format!("{paper:?}, large {large}, spaced {spaced}");
    (
        PdfMeta {
            paper,
            print,
            ..meta
        },
        name,
    )
}

/// One printed sheet.
pub struct Printed {
    /// "VS-... examiner, Letter".
    pub name: String,
    pub markdown: String,
    pub meta: PdfMeta,
    pub pictures: Vec<Picture>,
    pub layout: Layout,
    pub pdf: Vec<u8>,
}

impl Printed {
    fn new(name: String, markdown: String, meta: PdfMeta, pictures: Vec<Picture>) -> Printed {
        let figures = figures(&pictures);
        let layout =
            lay_out_with(&markdown, &meta, &figures).unwrap_or_else(|e| panic!("{name}: {e}"));
        let pdf = to_pdf_with(&markdown, &meta, &figures).unwrap_or_else(|e| panic!("{name}: {e}"));
        Printed {
            name,
            markdown,
            meta,
            layout,
            pdf,
            pictures,
        }
    }

    /// The same sheet, printed once more.
    pub fn again(&self) -> Vec<u8> {
        to_pdf_with(&self.markdown, &self.meta, &figures(&self.pictures)).expect("as before")
    }

    /// Of each table, whether it stands as a list: it has a head in the Markdown, but none on paper.
    pub fn lists(&self) -> Vec<bool> {
        let parts: Vec<_> = self.layout.parts.iter().collect();
        let of = |n: usize| parts[n].parent;
        let mut heads: Vec<usize> = Vec::new();
        for (n, part) in parts.iter().enumerate() {
            if part.kind == PartKind::HeadCell {
                heads.extend(of(n).and_then(of));
            }
        }
        let tables = parts.iter().enumerate();
        tables
            .filter(|(_, part)| part.kind == PartKind::Table)
            .map(|(n, _)| !heads.contains(&n))
            .collect()
    }

    /// The pictures as they lie beside the Markdown: name and text of the file.
    pub fn svg(&self) -> Vec<(String, String)> {
        self.pictures
            .iter()
            .map(|p| (p.file.clone(), to_svg(&p.figure)))
            .collect()
    }
}

fn figures(pictures: &[Picture]) -> Vec<(&str, &Figure)> {
    pictures
        .iter()
        .map(|p| (p.file.as_str(), &p.figure))
        .collect()
}

fn of_station(w: &World, n: usize) -> Vec<Printed> {
    let (site, kind, level) = STATIONS[n];
    let seed = n as u64 + 3;
    let cache = w.cache();
    let draft = draft(w, &cache, (site, kind), level, seed)
        .unwrap_or_else(|e| panic!("{site} {kind}: {e}"));
    let case = draft.case.clone();
    let built = build_draft(&cache, draft).unwrap_or_else(|e| panic!("{site} {kind}: {e}"));
    let printer = Printer::new(&w.content).unwrap_or_else(|e| panic!("{e}"));
    let mut all = Vec::new();
    for turn in 0..STYLES_EACH {
        let look = STYLES[(n * STYLES_EACH + turn) % STYLES.len()];
        // As the program does.
        let (paper, large, spaced) = look;
        let print = Print { large, spaced };
        let page = PageStyle { paper, print };
        let style = printer.figure_style(page);
        let drawn = pictures(&w.model, &case, &built, &style)
            .unwrap_or_else(|e| panic!("{site} {kind}: {e}"));
        let sheets = printer
            .sheets(&built, &drawn)
            .unwrap_or_else(|e| panic!("{site} {kind}: {e}"));
        for sheet in &sheets {
            let (meta, style) = styled(sheet.meta(page), look);
            let shown = drawn.iter().filter(|p| p.sheets.contains(&sheet.id));
            all.push(Printed::new(
                format!("{site} {kind} {level:?} {}, {style}", sheet.id),
                sheet.markdown.clone(),
                meta,
                shown.cloned().collect(),
            ));
        }
    }
    all
}

/// Every sheet of every station of the list, printed once.
pub fn sheets() -> &'static [Printed] {
    static SHEETS: OnceLock<Vec<Printed>> = OnceLock::new();
    SHEETS.get_or_init(|| {
        let w = world();
        (0..STATIONS.len())
            .flat_map(|n| of_station(&w, n))
            .collect()
    })
}

/// Practice booklets: one in each style in which they are laid out in a way of its own.
pub fn booklets() -> &'static [Printed] {
    static BOOKLETS: OnceLock<Vec<Printed>> = OnceLock::new();
    BOOKLETS.get_or_init(|| {
        let made = Made::new(&Asked {
            cases: 4,
            level: Clinical,
            seed: 5,
            kinds: &["forecast", "nerve", "examine", "risk"],
            like: &[],
        });
        let all = STYLES.iter().take(4).map(|&(paper, large, spaced)| {
            let print = Print { large, spaced };
            let page = PageStyle { paper, print };
            let (text, meta, pictures) = made
                .booklet(page, true, 2, &|b: &Booklet<'_>| b.printed())
                .unwrap_or_else(|e| panic!("{e}"));
            let name = format!("booklet, {paper:?}, large {large}, spaced {spaced}");
            Printed::new(name, text, meta, pictures)
        });
        all.collect()
    })
}

const SENTENCE: &str = "The nerve runs with the artery behind the bone and gives its branches before it reaches the groove. ";

/// Markdown that no sheet has, but a template of a user may: everything the layout can set, in odd company.
pub fn odd() -> &'static [Printed] {
    static ODD: OnceLock<Vec<Printed>> = OnceLock::new();
    ODD.get_or_init(|| {
        let p = SENTENCE.repeat(5);
        let rows: String = (1..40)
            .map(|n| format!("| {n} | row{n} {} | ☐ | |\n", SENTENCE.repeat(n % 4)))
            .collect();
        let texts = [
            (
                "table",
                format!("# Grid\n\n<!-- columns: 8 60 12 20 -->\n| No. | Criterion | Mark | Notes |\n|--:|:--|:-:|---|\n{rows}"),
            ),
            (
                "nested",
                format!("# {p}\n\n> {p}\n> - {p}\n>   1. *{p}*\n>      - [ ] **{p}**\n>      - [x] done\n\n<!-- box -->\n## 12. {p}\n\n{p}\n\n<!-- space: 5 lines -->\n<!-- /box -->\n\n#### Small ☐ yes ☐ no\n\n---\n\n```\n{}\n  code\n```\n", "x".repeat(700)),
            ),
            (
                "spaces",
                "# Room\n\nName the muscles:\n\n<!-- space: 40 lines -->\n\n<!-- page break -->\n\n## Draw\n\n<!-- blank: 24 lines -->\n\nlast line<br>after a break\n".to_string(),
            ),
            (
                "signs",
                "# *a* **b** ***c***\n\nNaïve café – pain ≥ 33.5 °C → rest ✓ “quoted” 5 µm C5–C7 and/or long-head (½) \u{1d5d4}\n\n| | |\n|---|---|\n| ☐ yes ☐ no | ☑ ☒ |\n".to_string(),
            ),
        ];
        // Three of the styles show what there is to see: usual, the other paper, large and spaced.
        let all = STYLES.iter().step_by(3).flat_map(|style| {
            texts.iter().map(move |(name, text)| {
                let (meta, style) = styled(crate::typeset_support::meta(), *style);
                Printed::new(format!("{name}, {style}"), text.clone(), meta, Vec::new())
            })
        });
        all.collect()
    })
}
