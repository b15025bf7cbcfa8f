//! Measures stations from seed to bytes: one whole station (three PDFs, three Markdown), and 200 of them on one and on two threads.

use divan::{Bencher, black_box};
use vivasmith::anatomy::{self, Model};
use vivasmith::case::{self, Level, Request};
use vivasmith::files::Content;
use vivasmith::sheets::mock::{Mock, Shown, alone_bells, page};
use vivasmith::sheets::pictures::pictures;
use vivasmith::sheets::words::Printer;
use vivasmith::station::{self, BuildCache, StationRequest};
use vivasmith::typeset::{PageStyle, to_pdf};

fn main() {
    divan::main();
}

fn loaded() -> (Content, Model) {
    let content = Content::embedded();
    let model = anatomy::load(&content, "upper_limb").unwrap_or_else(|e| panic!("{e}"));
    (content, model)
}

/// What a batch reads once.
struct Shared<'a> {
    stock: BuildCache<'a>,
    printer: Printer<'a>,
}

fn shared<'a>(content: &'a Content, model: &'a Model) -> Shared<'a> {
    Shared {
        stock: BuildCache::new(model, content, &[]),
        printer: Printer::new(content).unwrap_or_else(|e| panic!("{e}")),
    }
}

/// Bytes of all six files of one station.
fn whole(shared: &Shared<'_>, seed: u64) -> usize {
    let (content, model) = (shared.stock.content, shared.stock.model);
    let level = [Level::Early, Level::Clinical, Level::Trainee][(seed % 3) as usize];
    let request = Request {
        site: None,
        lesion: None,
        area: None,
        level,
        seed,
        fixed: Vec::new(),
    };
    let case = case::draw(model, content, &request).unwrap_or_else(|e| panic!("{e}"));
    let wanted = StationRequest {
        kind: None,
        level,
        minutes: None,
        seed,
        place: None,
        variants: Vec::new(),
        fixed: Vec::new(),
    };
    let built = station::build(&shared.stock, &case, &wanted).unwrap_or_else(|e| panic!("{e}"));
    // The checks refuse one in some hundred stations, say for a sheet that is too long; that is found out at the same cost.
    let sheets = shared.printer.sheets(&built, &[]).unwrap_or_default();
    sheets
        .iter()
        .map(|s| {
            let meta = s.meta(PageStyle::default());
            s.markdown.len() + to_pdf(&s.markdown, &meta).map_or(0, |b| b.len())
        })
        .sum()
}

#[divan::bench]
fn one_whole_station(bencher: Bencher) {
    let (content, model) = loaded();
    let mut seed = 0;
    bencher.bench_local(|| {
        seed += 1;
        black_box(whole(&shared(&content, &model), seed))
    });
}

/// One page with both sides of a station, its pictures among them.
#[divan::bench]
fn one_mock(bencher: Bencher) {
    let (content, model) = loaded();
    let mut seed = 0;
    bencher.bench_local(|| {
        seed += 1;
        let shared = shared(&content, &model);
        let request = Request {
            site: Some("ulnar_elbow".to_string()),
            lesion: None,
            area: None,
            level: Level::Clinical,
            seed,
            fixed: Vec::new(),
        };
        let case = case::draw(&model, &content, &request).unwrap_or_else(|e| panic!("{e}"));
        let wanted = StationRequest {
            kind: None,
            level: Level::Clinical,
            minutes: None,
            seed,
            place: None,
            variants: Vec::new(),
            fixed: Vec::new(),
        };
        let station =
            station::build(&shared.stock, &case, &wanted).unwrap_or_else(|e| panic!("{e}"));
        let style = shared.printer.figure_style(PageStyle::default());
        let pictures = pictures(&model, &case, &station, &style).unwrap_or_default();
        let mock = Mock {
            code: station.code.clone(),
            title: String::new(),
            alone: Some(alone_bells(&station)),
            stations: vec![Shown { station, pictures }],
            round: None,
        };
        black_box(page(&shared.printer, &mock).map_or(0, |p| p.len()))
    });
}

#[divan::bench(args = [50, 100, 200], sample_count = 3, sample_size = 1)]
fn stations_on_two_threads(bencher: Bencher, count: u64) {
    let (content, model) = loaded();
    bencher.bench(|| {
        let shared = shared(&content, &model);
        std::thread::scope(|scope| {
            for half in 0..2 {
                let shared = &shared;
                scope.spawn(move || {
                    for seed in (half..count).step_by(2) {
                        black_box(whole(shared, seed));
                    }
                });
            }
        });
    });
}

#[divan::bench(args = [50, 200], sample_count = 3, sample_size = 1)]
fn stations_on_one_thread(bencher: Bencher, count: u64) {
    let (content, model) = loaded();
    bencher.bench(|| {
        let shared = shared(&content, &model);
        for seed in 0..count {
            black_box(whole(&shared, seed));
        }
    });
}
