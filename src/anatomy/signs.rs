//! How the written rule of a sign becomes a condition over muscles, movements, skin and lesions.

use super::check::At;
use super::model::{Condition, Sign, SignCase};
use super::raw;
use super::resolve::{Resolve, Resolver};
use super::structure::{Kind, Structure};

const WORDS: &str =
    "all, any, not, lost, feeble, poor, weak, works, strong, numb, senseless, lesion_on";

impl Resolve for raw::Sign {
    type Out = Sign;
    fn resolve(self, at: &At, to: &mut Resolver) -> Sign {
        let mut cases = Vec::new();
        for (k, case) in self.cases.into_iter().enumerate() {
            let at = at.key("cases").key(k);
            to.check
                .part(&at.key("probability"), "the probability", case.probability);
            if let Some(when) = condition(to, &at.key("when"), &case.when) {
                cases.push(SignCase {
                    when,
                    probability: case.probability,
                    because: case.because,
                });
            }
        }
        Sign {
            id: self.id,
            label: self.label,
            synonyms: self.synonyms,
            look: self.look,
            group: self.group,
            testable: self.testable,
            plain: self.plain,
            cases,
            otherwise: self.otherwise,
            source: self.source,
        }
    }
}

fn condition(to: &mut Resolver, at: &At, raw: &raw::Condition) -> Option<Condition> {
    let mut found: Vec<Option<Condition>> = Vec::new();
    let mut several = |key: &str, list: &Option<Vec<raw::Condition>>| -> Option<Vec<Condition>> {
        let at = at.key(key);
        let inner = list.as_ref()?.iter().enumerate();
        Some(
            inner
                .filter_map(|(k, c)| condition(to, &at.key(k), c))
                .collect(),
        )
    };
    found.extend(several("all", &raw.all).map(|list| Some(Condition::All(list))));
    found.extend(several("any", &raw.any).map(|list| Some(Condition::Any(list))));
    if let Some(inner) = &raw.not {
        let inner = condition(to, &at.key("not"), inner);
        found.push(inner.map(|c| Condition::Not(Box::new(c))));
    }
    type Power = fn(Structure, u8) -> Condition;
    let powers: [(&str, &Option<String>, Power, u8); 6] = [
        ("lost", &raw.lost, Condition::PowerAtMost, 1),
        ("feeble", &raw.feeble, Condition::PowerAtMost, 2),
        ("poor", &raw.poor, Condition::PowerAtMost, 3),
        ("weak", &raw.weak, Condition::PowerAtMost, 4),
        ("works", &raw.works, Condition::PowerAtLeast, 3),
        ("strong", &raw.strong, Condition::PowerAtLeast, 4),
    ];
    for (key, id, of, grade) in powers {
        if let Some(id) = id {
            found.push(motor(to, &at.key(key), id).map(|s| of(s, grade)));
        }
    }
    type Sensation = fn(Structure) -> Condition;
    let sensations: [(&str, &Option<String>, Sensation); 2] = [
        ("numb", &raw.numb, Condition::SensationReduced),
        ("senseless", &raw.senseless, Condition::SensationLost),
    ];
    for (key, id, of) in sensations {
        if let Some(id) = id {
            let position = to.skin.find(to.check, &at.key(key), id);
            found.push(position.map(|position| {
                of(Structure {
                    kind: Kind::Skin,
                    position,
                })
            }));
        }
    }
    if let Some(list) = &raw.lesion_on {
        let segments = to.segments(&at.key("lesion_on"), list);
        found.push(Some(Condition::LesionOn(segments)));
    }
    if found.len() != 1 {
        to.check.complain(
            at,
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

/// A muscle or, where no muscle is called so, a movement; `muscle:` or `movement:` in front says which.
fn motor(to: &mut Resolver, at: &At, id: &str) -> Option<Structure> {
    let (kind, bare) = match id.split_once(':') {
        Some(("muscle", rest)) => (Some(Kind::Muscle), rest),
        Some(("movement", rest)) => (Some(Kind::Movement), rest),
        _ => (None, id),
    };
    let lists = [(Kind::Muscle, &to.muscles), (Kind::Movement, &to.movements)];
    let found = lists
        .iter()
        .filter(|(k, _)| kind.is_none_or(|wanted| wanted == *k))
        .find_map(|&(kind, list)| list.get(bare).map(|position| Structure { kind, position }));
    if found.is_none() {
        let known = to.muscles.ids().chain(to.movements.ids());
        to.check.unknown(at, "muscle or movement", id, known);
    }
    found
}
