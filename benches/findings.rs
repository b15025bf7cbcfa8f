//! Measures how long findings take: all sites once the model is loaded, and loading the model itself.

use divan::{Bencher, black_box};
use vivasmith::anatomy::{self, Model};
use vivasmith::files::Content;
use vivasmith::findings::derive;
use vivasmith::lesion::{self, Lesion, Severity};

fn main() {
    divan::main();
}

fn model() -> Model {
    anatomy::load(&Content::embedded(), "upper_limb").unwrap_or_else(|e| panic!("{e}"))
}

fn lesions(model: &Model) -> Vec<Lesion> {
    model
        .sites
        .iter()
        .filter_map(|s| lesion::at(model, &s.id, Severity::Complete).ok())
        .collect()
}

#[divan::bench]
fn all_upper_limb_sites(bencher: Bencher) {
    let model = model();
    let all = lesions(&model);
    assert_eq!(all.len(), 36);
    bencher.bench(|| {
        for l in &all {
            black_box(derive(&model, l, &[]));
        }
    });
}

#[divan::bench]
fn load_the_model(bencher: Bencher) {
    bencher.bench(|| black_box(model()));
}
