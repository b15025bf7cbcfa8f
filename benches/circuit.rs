//! Measures a whole circuit day: 18 stations, 4 sittings, 200 candidates; bank, plan and seats apart, and the exact search alone.

use divan::{Bencher, black_box};
use vivasmith::anatomy::{self, Model};
use vivasmith::case::Case;
use vivasmith::circuit::{
    self, Banked, Blueprint, Breadth, EFFORT, Effort, Exposure, Limbs, Lists, Maker,
};
use vivasmith::files::{Content, Source};
use vivasmith::sheets::words::sheets;
use vivasmith::station::Station;

fn main() {
    divan::main();
}

/// Four groups of 50 in three tracks; whole process: `time vivasmith circuit big_day.yaml` with this text (see the developers' page).
const BIG_DAY: &str = "\
title: Big day
level: clinical
time: {station: 8, reading: 2, changeover: 1, warning: 2, starts: together}
positions:
  - {times: 9}
  - {rest: same}
  - {times: 9}
  - {rest: same}
wanted:
  - {kind: trace, share: 0.5}
  - {nerve: radial, least: 1, most: 4}
  - {nerve: ulnar, least: 1, most: 4}
  - {nerve: median, least: 1, most: 4}
  - {lesion: root, least: 2, most: 5}
  - {part: hand, least: 5}
groups:
  - {id: A, count: 50, sittings: [{id: first, start: \"07:00\", tracks: 3}]}
  - {id: B, count: 50, sittings: [{id: second, start: \"11:00\", tracks: 3}]}
  - {id: C, count: 50, sittings: [{id: third, start: \"15:00\", tracks: 3}]}
  - {id: D, count: 50, sittings: [{id: fourth, start: \"19:00\", tracks: 3}]}
";

struct World {
    content: Content,
    limbs: Limbs<'static>,
    blueprint: Blueprint,
}

fn world() -> World {
    let content = Content::embedded();
    let model = anatomy::load(&content, "upper_limb").unwrap_or_else(|e| panic!("{e}"));
    let source = Source::new("big_day.yaml", "big_day.yaml", BIG_DAY.to_string());
    let limbs = Limbs::of([&*Box::leak(Box::new(model))]);
    let blueprint = circuit::check(&source, &Lists::default(), &content, &limbs)
        .unwrap_or_else(|e| panic!("{e}"));
    World {
        content,
        limbs,
        blueprint,
    }
}

fn bank(w: &World) -> Vec<Banked> {
    let sheet = |_: &Model, _: &Case, s: &Station| {
        Ok(sheets(&w.content, s)?
            .into_iter()
            .next()
            .map_or_else(String::new, |x| x.markdown))
    };
    let maker = Maker {
        limbs: &w.limbs,
        content: &w.content,
        sheet: &sheet,
        progress: &|_, _| {},
        threads: 2,
    };
    let made = circuit::bank(
        &maker,
        &w.blueprint,
        &Exposure::default(),
        1,
        Breadth::Usual,
    );
    made.unwrap_or_else(|e| panic!("{e}"))
}

#[divan::bench(sample_count = 3, sample_size = 1)]
fn stations_to_choose_from(bencher: Bencher) {
    let w = world();
    bencher.bench_local(|| black_box(bank(&w).len()));
}

#[divan::bench(args = [0, 20, 60], sample_count = 3, sample_size = 1)]
fn four_parallel_forms_of_eighteen(bencher: Bencher, nodes: u64) {
    let w = world();
    let stock = bank(&w);
    bencher.bench_local(|| {
        let made = circuit::plan(
            &w.limbs,
            &w.blueprint,
            &stock,
            &Exposure::default(),
            1,
            Effort { nodes, ..EFFORT },
        );
        black_box(made.map(|c| c.forms.len()).unwrap_or(0))
    });
}

#[divan::bench]
fn seats_of_two_hundred(bencher: Bencher) {
    let w = world();
    bencher.bench_local(|| {
        black_box(
            circuit::seat(&w.blueprint, None, 1)
                .map(|t| t.len())
                .unwrap_or(0),
        )
    });
}
