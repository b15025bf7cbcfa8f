//! Turns the written rules of the signs into conditions over muscles, movements, skin and lesions.

use super::check::{Checker, here};
use super::graph::Graph;
use super::model::{Condition, Sign, SignCase};
use super::raw;
use super::structure::{Kind, Structure};
use crate::files::Step;

/// What a rule may name.
pub struct Names<'n> {
    pub muscles: Vec<&'n str>,
    pub movements: Vec<&'n str>,
    pub skin: Vec<&'n str>,
}

const FILE: &str = "signs.yaml";
const WORDS: &str =
    "all, any, not, lost, feeble, poor, weak, works, strong, numb, senseless, lesion_on";

pub fn resolve(
    check: &mut Checker,
    graph: &Graph,
    names: &Names,
    signs: Vec<raw::Sign>,
) -> Vec<Sign> {
    let mut all = Vec::new();
    for (i, sign) in signs.into_iter().enumerate() {
        let mut cases = Vec::new();
        for (k, case) in sign.cases.iter().enumerate() {
            let path = here!["signs", i, "cases", k];
            check.within(
                FILE,
                &[&path[..], &here!["probability"]].concat(),
                "the probability",
                case.probability,
                0.0,
                1.0,
            );
            if let Some(when) = condition(
                check,
                graph,
                names,
                &[&path[..], &here!["when"]].concat(),
                &case.when,
            ) {
                cases.push(SignCase {
                    when,
                    probability: case.probability,
                    because: case.because.clone(),
                });
            }
        }
        all.push(Sign {
            id: sign.id,
            label: sign.label,
            synonyms: sign.synonyms,
            look: sign.look,
            group: sign.group,
            testable: sign.testable,
            plain: sign.plain,
            cases,
            otherwise: sign.otherwise,
            source: sign.source,
        });
    }
    all
}

fn condition(
    check: &mut Checker,
    graph: &Graph,
    names: &Names,
    path: &[Step],
    raw: &raw::Condition,
) -> Option<Condition> {
    let mut found: Vec<Option<Condition>> = Vec::new();
    let below = |key: &str| [path, &here![key]].concat();
    for (key, list) in [("all", &raw.all), ("any", &raw.any)] {
        if let Some(list) = list {
            let inner: Vec<Condition> = list
                .iter()
                .enumerate()
                .filter_map(|(k, c)| {
                    condition(
                        check,
                        graph,
                        names,
                        &[&below(key)[..], &here![k]].concat(),
                        c,
                    )
                })
                .collect();
            found.push(Some(if key == "all" {
                Condition::All(inner)
            } else {
                Condition::Any(inner)
            }));
        }
    }
    if let Some(inner) = &raw.not {
        let inner = condition(check, graph, names, &below("not"), inner);
        found.push(inner.map(|c| Condition::Not(Box::new(c))));
    }
    let powers: [(&str, &Option<String>, bool, u8); 6] = [
        ("lost", &raw.lost, true, 1),
        ("feeble", &raw.feeble, true, 2),
        ("poor", &raw.poor, true, 3),
        ("weak", &raw.weak, true, 4),
        ("works", &raw.works, false, 3),
        ("strong", &raw.strong, false, 4),
    ];
    for (key, id, at_most, grade) in powers {
        if let Some(id) = id {
            found.push(power(check, names, &below(key), id, at_most, grade));
        }
    }
    for (key, id) in [("numb", &raw.numb), ("senseless", &raw.senseless)] {
        let Some(id) = id else { continue };
        let at = names.skin.iter().position(|s| s == id);
        if at.is_none() {
            check.unknown(
                FILE,
                &below(key),
                "skin area",
                id,
                names.skin.iter().copied(),
            );
        }
        found.push(at.map(|position| {
            let area = Structure {
                kind: Kind::Skin,
                position,
            };
            if key == "numb" {
                Condition::SensationReduced(area)
            } else {
                Condition::SensationLost(area)
            }
        }));
    }
    if let Some(list) = &raw.lesion_on {
        let mut segments = Vec::new();
        for (k, id) in list.iter().enumerate() {
            match graph.by_id.get(id) {
                Some(&ix) => segments.push(ix),
                None => check.unknown(
                    FILE,
                    &[&below("lesion_on")[..], &here![k]].concat(),
                    "segment",
                    id,
                    graph.segments.iter().map(|s| s.id.as_str()),
                ),
            }
        }
        found.push(Some(Condition::LesionOn(segments)));
    }
    if found.len() != 1 {
        check.complain(
            FILE,
            path,
            format!(
                "a rule holds exactly one word, this one holds {}",
                found.len()
            ),
            format!("use one of: {WORDS}; join several with all: [...]"),
        );
        return None;
    }
    found.pop().flatten()
}

fn power(
    check: &mut Checker,
    names: &Names,
    path: &[Step],
    id: &str,
    at_most: bool,
    grade: u8,
) -> Option<Condition> {
    let (wants_muscle, wants_movement, bare) = match id.split_once(':') {
        Some(("muscle", rest)) => (true, false, rest),
        Some(("movement", rest)) => (false, true, rest),
        _ => (true, true, id),
    };
    let lists = [
        (wants_muscle, Kind::Muscle, &names.muscles),
        (wants_movement, Kind::Movement, &names.movements),
    ];
    for (_, kind, list) in lists.into_iter().filter(|(wanted, ..)| *wanted) {
        if let Some(position) = list.iter().position(|n| *n == bare) {
            let s = Structure { kind, position };
            return Some(if at_most {
                Condition::PowerAtMost(s, grade)
            } else {
                Condition::PowerAtLeast(s, grade)
            });
        }
    }
    check.unknown(
        FILE,
        path,
        "muscle or movement",
        id,
        names.muscles.iter().chain(&names.movements).copied(),
    );
    None
}
