//! A stated chance is right as often as it says. Patients are simulated without the model's own likelihoods: the lesion takes a share of the fibres
//! that is none of the considered severities, fascicles unequally; the limb has variants; examiners misread; reports name a few findings.

use crate::localise::model_of;
use vivasmith::anatomy::{Kind, Model};
use vivasmith::findings::{Finding, Fixed, derive, grade};
use vivasmith::lesion::{Severity, at};
use vivasmith::localise::{Places, Setting, Told, What, reliable};

/// Splitmix64 (Steele, Lea and Flood, OOPSLA 2014, from memory): any even stream does.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn below(&mut self, count: usize) -> usize {
        (self.roll() * count as f64) as usize
    }
}

/// One arrangement of a limb, as common as it is.
fn limb(model: &Model, dice: &mut Dice) -> Vec<Fixed> {
    let pick = |(v, variant): (usize, &vivasmith::anatomy::Variant)| {
        let mut left = dice.roll();
        let alternative = variant.alternatives.iter().position(|a| {
            left -= a.prevalence;
            left < 0.0
        });
        (v, alternative.unwrap_or(0))
    };
    model.variants.iter().enumerate().map(pick).collect()
}

/// What somebody writes of a structure after looking at it.
fn noted(f: &Finding, whole: bool, dice: &mut Dice) -> What {
    // One in sixteen is plainly wrong.
    if dice.roll() < 0.06 {
        return if dice.roll() < 0.5 {
            What::Spared
        } else {
            What::Weak
        };
    }
    let patchy = if whole { 1.0 } else { 0.6 + 0.65 * dice.roll() };
    let share = 1.0 - ((1.0 - f.share) * patchy).clamp(0.0, 1.0);
    let loosely = dice.roll() < 0.3;
    match f.kind() {
        Kind::Sign if dice.roll() < f.probability => What::Lost,
        Kind::Sign => What::Spared,
        Kind::Muscle | Kind::Movement => match grade(share) {
            5 => What::Spared,
            _ if loosely => What::Weak,
            0 | 1 => What::Lost,
            grade => What::Power(grade),
        },
        // Overlap and bad taps: what is affected for sure is not always found.
        _ if dice.roll() > f.probability.max(1.0 - f.share) => What::Spared,
        _ if share > 0.75 => What::Spared,
        _ if loosely => What::Affected,
        _ if share < 0.2 => What::Lost,
        _ => What::Weak,
    }
}

/// A stated chance, and whether the first row was right.
fn simulate(model: &Model, places: &Places, dice: &mut Dice) -> (f64, bool) {
    let site = &model.sites[dice.below(model.sites.len())];
    let severity = |dice: &mut Dice| match dice.roll() {
        r if r < 0.4 => Severity::Complete,
        _ => Severity::Partial(0.4 + 0.55 * dice.roll()),
    };
    let cut = severity(dice);
    let whole = cut == Severity::Complete;
    let lesion = at(model, &site.id, cut).unwrap_or_else(|e| panic!("{e}"));
    let found = derive(model, &lesion, &limb(model, dice));
    let abnormal: Vec<&Finding> = found
        .all()
        .filter(|f| reliable(model, f.structure) && f.probability > 0.5)
        .collect();
    // What a neighbour would take, too: the negatives that a report names.
    let rival = loop {
        let other = &model.sites[dice.below(model.sites.len())];
        let lesion = at(model, &other.id, Severity::Complete).unwrap_or_else(|e| panic!("{e}"));
        let theirs = derive(model, &lesion, &[]);
        let shared = |f: &&Finding| theirs.get(f.structure).is_some_and(|t| t.probability > 0.5);
        if dice.roll() < 0.1 || abnormal.iter().any(shared) {
            break theirs;
        }
    };
    let negative: Vec<&Finding> = found
        .all()
        .filter(|f| reliable(model, f.structure) && f.probability < 0.5)
        .filter(|f| rival.get(f.structure).is_some_and(|t| t.probability > 0.5))
        .collect();
    let mut told: Vec<Told> = Vec::new();
    for list in [abnormal, negative] {
        for _ in 0..3 + dice.below(4) {
            if list.is_empty() {
                continue;
            }
            let f = list[dice.below(list.len())];
            if !told.iter().any(|t| t.structures[0] == f.structure) {
                told.push(Told {
                    name: model.id(f.structure).to_string(),
                    structures: vec![f.structure],
                    what: noted(f, whole, dice),
                });
            }
        }
    }
    let ranking = places.rank(&told);
    let right = |row: &vivasmith::localise::Ranked| {
        row.lesion.parts.len() == 1 && row.lesion.parts[0].place == site.id
    };
    ranking
        .rows
        .first()
        .map_or((0.0, false), |row| (row.probability, right(row)))
}

#[test]
fn a_stated_eighty_per_cent_is_right_four_times_in_five() {
    let mut dice = Dice(7);
    let mut all: Vec<(f64, bool)> = Vec::new();
    for region in ["upper_limb", "lower_limb"] {
        let model = model_of(region);
        let places = Places::new(&model, Setting::Exam, &[]);
        all.extend((0..PATIENTS).map(|_| simulate(&model, &places, &mut dice)));
    }
    let mut table = String::new();
    let mut near_eighty = 0.0;
    for low in [0.0, 0.3, 0.5, 0.7, 0.9] {
        let high = match low {
            0.0 => 0.3,
            0.9 => 1.01,
            low => low + 0.2,
        };
        let bin: Vec<&(f64, bool)> = all
            .iter()
            .filter(|(p, _)| (low..high).contains(p))
            .collect();
        let count = bin.len() as f64;
        let stated = bin.iter().map(|(p, _)| p).sum::<f64>() / count;
        let right = bin.iter().filter(|(_, right)| *right).count() as f64 / count;
        table.push_str(&format!(
            "{low}: {count} stated {stated:.2} right {right:.2}\n"
        ));
        if low == 0.7 {
            near_eighty = right;
        }
    }
    println!("{table}");
    assert!(near_eighty >= 0.74, "{table}");
    let stated = all.iter().map(|(p, _)| p).sum::<f64>() / all.len() as f64;
    let right = all.iter().filter(|(_, right)| *right).count() as f64 / all.len() as f64;
    assert!(
        (stated - right).abs() < 0.08,
        "stated {stated:.2}, right {right:.2}\n{table}"
    );
}

/// Of each limb.
const PATIENTS: usize = 160;
