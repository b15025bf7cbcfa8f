//! Measures the way back: all places at three severities, one report with its pairs and next best test, the proof of one lesion.

use divan::{Bencher, black_box};
use vivasmith::anatomy::{self, Model};
use vivasmith::files::Content;
use vivasmith::findings::derive;
use vivasmith::lesion::{self, Severity};
use vivasmith::localise::{
    Known, MOST_ADDED, Names, Places, Setting, Told, observations_of, prove, read, rivals,
    statements,
};

fn main() {
    divan::main();
}

fn model(region: &str) -> Model {
    anatomy::load(&Content::embedded(), region).unwrap_or_else(|e| panic!("{e}"))
}

fn told(model: &Model, report: &str) -> Vec<Told> {
    let names = Names::of(model);
    let read = |s| read(model, &names, s).unwrap_or_else(|e| panic!("{e}"));
    statements(report).iter().map(read).collect()
}

const ARM: &str = "edc lost, ecrl spared, back of the hand normal, triceps normal, fcr normal, apb weak, adm normal, eip lost";
const LEG: &str = "foot drop, big toe extension 0/5, eversion 2/5, inversion 4/5, ankle jerk present, knee jerk absent, quadriceps weak, sole normal";

#[divan::bench(args = ["upper_limb", "lower_limb"])]
fn places(bencher: Bencher, region: &str) {
    let model = model(region);
    bencher.bench(|| Places::new(&model, Setting::Exam, &[]).rank(&[]));
}

#[divan::bench(args = ["upper_limb", "lower_limb"])]
fn one_report_with_pairs(bencher: Bencher, region: &str) {
    let model = model(region);
    let told = told(&model, if region == "upper_limb" { ARM } else { LEG });
    let places = Places::new(&model, Setting::Exam, &[]);
    bencher.bench(|| black_box(places.rank(&told)));
}

#[divan::bench]
fn proof_of_one_lesion(bencher: Bencher) {
    let model = model("upper_limb");
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
