//! Measures the way back: all single lesions at three severities, all pairs of sites, one next best test, the proof of one lesion.

use divan::{Bencher, black_box};
use vivasmith::anatomy::{self, Model};
use vivasmith::files::Content;
use vivasmith::findings::derive;
use vivasmith::lesion::{self, Severity};
use vivasmith::localise::{
    Belief, Known, MOST_ADDED, Observation, Scope, hypotheses, observations_of, parse, prove, rank,
    rivals,
};

fn main() {
    divan::main();
}

fn model() -> Model {
    anatomy::load(&Content::embedded(), "upper_limb").unwrap_or_else(|e| panic!("{e}"))
}

fn seen(model: &Model, count: usize) -> Vec<Observation> {
    let words = [
        "edc=lost",
        "ecrl=spared",
        "dorsoradial_hand=spared",
        "triceps_long=spared",
        "fcr=spared",
        "apb=spared",
        "adm=spared",
        "eip=lost",
    ];
    words
        .iter()
        .take(count)
        .map(|w| parse(model, w).unwrap_or_else(|e| panic!("{e}")))
        .collect()
}

#[divan::bench(args = [2, 4, 8])]
fn singles_at_three_severities(bencher: Bencher, findings: usize) {
    let model = model();
    let seen = seen(&model, findings);
    bencher.bench(|| {
        let belief = Belief::new(&model, hypotheses(&model, Scope::Singles, false), &[]);
        black_box(belief.posterior(&seen))
    });
}

#[divan::bench(args = [9, 18, 36])]
fn pairs_of_sites(bencher: Bencher, sites: usize) {
    let mut model = model();
    let seen = seen(&model, 8);
    model.sites.truncate(sites);
    bencher.bench(|| {
        let belief = Belief::new(&model, hypotheses(&model, Scope::Pairs, false), &[]);
        black_box(rank(&model, &belief, &seen, &[]))
    });
}

#[divan::bench]
fn proof_of_one_lesion(bencher: Bencher) {
    let model = model();
    let lesion =
        lesion::at(&model, "pin_supinator", Severity::Complete).unwrap_or_else(|e| panic!("{e}"));
    let found = derive(&model, &lesion, &[]);
    let given = observations_of(found.muscles.iter().filter(|f| f.affected()).take(3));
    bencher.bench(|| {
        let belief = rivals(&model, &[]);
        black_box(prove(
            &Known {
                model: &model,
                belief: &belief,
                lesion: &lesion,
                findings: &found,
                fixed: &[],
            },
            &given,
            MOST_ADDED,
            &|_| true,
        ))
    });
}
