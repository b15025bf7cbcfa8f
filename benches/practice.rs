//! Measures a practice booklet of twelve cases from seed to bytes (goal: under 400 ms and 60 MB for the whole process).

use divan::{Bencher, black_box};
use vivasmith::anatomy;
use vivasmith::case::Level;
use vivasmith::circuit::Exposure;
use vivasmith::files::Content;
use vivasmith::practice::{Wish, choose};
use vivasmith::sheets::practice::Booklet;
use vivasmith::sheets::publish::Formats;
use vivasmith::sheets::words::Printer;
use vivasmith::station::BuildCache;
use vivasmith::typeset::PageStyle;

fn main() {
    divan::main();
}

/// Bytes of all files of a booklet; everything is read anew, as in a run of the program.
fn whole(cases: usize, seed: u64, pdf: bool) -> usize {
    let content = Content::embedded();
    let model = anatomy::load(&content, "upper_limb").unwrap_or_else(|e| panic!("{e}"));
    let cache = BuildCache::new(&model, &content, &[]);
    let wish = Wish {
        cases,
        among: (0..model.sites.len()).collect(),
        kinds: cache.kinds().unwrap_or_else(|e| panic!("{e}")).to_vec(),
        level: Level::Clinical,
        seed,
        like: Vec::new(),
        met: &Exposure::default(),
    };
    let (cases, _) = choose(&cache, &wish).unwrap_or_else(|e| panic!("{e}"));
    let printer = Printer::new(&content).unwrap_or_else(|e| panic!("{e}"));
    let booklet = Booklet {
        printer: &printer,
        model: &model,
        cases: &cases,
        page: PageStyle::default(),
        formats: Formats {
            pdf,
            markdown: true,
        },
        threads: 2,
    };
    let files = booklet.files().unwrap_or_else(|e| panic!("{e}"));
    files.iter().map(|f| f.bytes.len()).sum()
}

#[divan::bench(args = [6, 12], sample_count = 10, sample_size = 1)]
fn booklet(bencher: Bencher, cases: usize) {
    let mut seed = 0;
    bencher.bench_local(|| {
        seed += 1;
        black_box(whole(cases, seed, true))
    });
}

#[divan::bench(args = [12], sample_count = 10, sample_size = 1)]
fn booklet_without_pdf(bencher: Bencher, cases: usize) {
    let mut seed = 0;
    bencher.bench_local(|| {
        seed += 1;
        black_box(whole(cases, seed, false))
    });
}
