//! Turns a finding into the one sentence that explains it, made from the route the fibres take.

use super::route::{join_and, of_supply, root_names, row};
use super::rule::{Limb, holds};
use super::scale::grade;
use super::share::{Arrivals, Fixed, passing, torque};
use super::{Finding, State};
use crate::anatomy::{Kind, Model, SkinKind};
use crate::lesion::Lesion;
use crate::wording::small;

/// Why a finding is as it is, in the usual limb. No full stop at the end: "its branch leaves the radial nerve in the
/// axilla, above the lesion".
pub fn reason(model: &Model, lesion: &Lesion, finding: &Finding) -> String {
    reason_in(model, lesion, &[], finding)
}

/// Like [`reason`], in a limb whose variants are held.
pub fn reason_in(model: &Model, lesion: &Lesion, fixed: &[Fixed], finding: &Finding) -> String {
    let i = finding.structure.position;
    match finding.kind() {
        Kind::Muscle => {
            let m = &model.muscles[i];
            of_supply(
                model,
                lesion,
                fixed,
                finding,
                &m.supply,
                &m.nerve_label,
                "its branch leaves",
            )
        }
        Kind::Skin => {
            let s = &model.skin[i];
            if s.kind == SkinKind::Dermatome {
                return dermatome(model, lesion, fixed, finding);
            }
            of_supply(
                model,
                lesion,
                fixed,
                finding,
                &s.supply,
                &s.nerve_label,
                "its skin branch leaves",
            )
        }
        Kind::Reflex => {
            let r = &model.reflexes[i];
            let text = of_supply(
                model,
                lesion,
                fixed,
                finding,
                &r.supply,
                "nerve of its arc",
                "its arc leaves",
            );
            if finding.state == State::Variable && finding.probability > 0.0 && r.reliability < 0.85
            {
                format!("{text}; many healthy people lack it")
            } else {
                text
            }
        }
        Kind::Movement => movement(model, lesion, fixed, finding),
        Kind::Sign => sign(model, lesion, fixed, i),
    }
}

fn dermatome(model: &Model, lesion: &Lesion, fixed: &[Fixed], finding: &Finding) -> String {
    let area = &model.skin[finding.structure.position];
    let fibres = row(&area.supply, fixed);
    let numb = 1.0 - passing(fibres, lesion);
    if numb < 1e-9 {
        return format!("the fibres of {} reach it untouched", area.nerve_label);
    }
    if lesion.radicular(model) {
        let hit = fibres.iter().filter(|f| f.path.meets(&lesion.set));
        return format!(
            "{} fibres to it are cut; its borders overlap with its neighbours",
            root_names(model, hit)
        );
    }
    format!(
        "the skin of the injured nerve covers about {:.0} % of it, but the loss does not follow the dermatome",
        numb * 100.0
    )
}

/// Muscles that a reason names; the rest it leaves out.
const NAMED: usize = 3;

fn movement(model: &Model, lesion: &Lesion, fixed: &[Fixed], finding: &Finding) -> String {
    let movement = &model.movements[finding.structure.position];
    let mut lost: Vec<(f64, &str)> = Vec::new();
    let mut kept: Vec<(f64, &str)> = Vec::new();
    let arriving = |m: usize| passing(row(&model.muscles[m].supply, fixed), lesion);
    let left = torque(movement, &arriving);
    for (m, weight) in &movement.shares {
        let muscle = &model.muscles[*m];
        let list = if arriving(*m) < 0.8 {
            &mut lost
        } else {
            &mut kept
        };
        list.push((*weight, muscle.label.as_str()));
    }
    lost.sort_by(|a, b| b.0.total_cmp(&a.0));
    kept.sort_by(|a, b| b.0.total_cmp(&a.0));
    let names = |list: &[(f64, &str)], others: &[(f64, &str)]| {
        let mut all: Vec<String> = Vec::new();
        for (_, label) in list {
            let name = in_a_list(label, list, others);
            if all.len() < NAMED && !all.contains(&name) {
                all.push(name);
            }
        }
        let verb = if all.len() > 1 { "are" } else { "is" };
        (join_and(&all), verb)
    };
    let percent = (left * 100.0).round();
    let ((gone, gone_verb), (there, there_verb)) = (names(&lost, &kept), names(&kept, &lost));
    match (lost.is_empty(), kept.is_empty()) {
        // What is missing here would not be noticed.
        (true, _) => format!("{there} {there_verb} intact"),
        (false, false) if left >= 0.9 => {
            format!("{there} {there_verb} intact and give about {percent:.0} % of the torque")
        }
        (false, true) if lost.len() > NAMED => {
            format!("all its muscles are affected, chiefly {gone}")
        }
        (false, true) => format!("all its muscles are affected: {gone}"),
        (false, false) if grade(left) == 0 => {
            format!("{gone} {gone_verb} affected, and {there} cannot do it alone")
        }
        (false, false) => {
            format!(
                "{gone} {gone_verb} affected; with {there} about {percent:.0} % of the torque is left"
            )
        }
    }
}

/// A muscle's label as it reads in a list: its part in brackets, but heads that fare alike under the one name.
fn in_a_list(label: &str, list: &[(f64, &str)], others: &[(f64, &str)]) -> String {
    let heads = |name: &str, of: &[(f64, &str)]| {
        let same = |(_, l): &&(f64, &str)| l.split_once(", ").is_some_and(|(n, _)| n == name);
        of.iter().filter(same).count()
    };
    match label.split_once(", ") {
        Some((name, part))
            if part.ends_with("head") && heads(name, list) > 1 && heads(name, others) == 0 =>
        {
            small(name)
        }
        Some((name, part)) => format!("{} ({part})", small(name)),
        None => small(label),
    }
}

fn sign(model: &Model, lesion: &Lesion, fixed: &[Fixed], index: usize) -> String {
    let Arrivals { muscles, skin } = Arrivals::of(model, lesion);
    let limb = Limb {
        model,
        lesion,
        muscles: &muscles,
        skin: &skin,
    };
    let (variants, alternatives): (Vec<usize>, Vec<usize>) = fixed.iter().copied().unzip();
    let sign = &model.signs[index];
    sign.cases
        .iter()
        .map(|case| (holds(&limb, &case.when, &variants, &alternatives), case))
        .find(|(met, _)| *met >= 0.5)
        .map_or_else(|| sign.otherwise.clone(), |(_, case)| case.because.clone())
}
