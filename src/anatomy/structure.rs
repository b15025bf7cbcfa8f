//! What can be examined, and what the model says of it whatever kind it is.

use super::model::{Condition, Model, Movement, Muscle, Reflex, Sign, SkinArea, Supply};

/// Which list of the model a structure stands in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    Muscle,
    Movement,
    Skin,
    Reflex,
    Sign,
}

impl Kind {
    pub const ALL: [Kind; 5] = [
        Kind::Muscle,
        Kind::Movement,
        Kind::Skin,
        Kind::Reflex,
        Kind::Sign,
    ];

    /// The word that ids and messages put in front: "muscle", "movement", "skin", "reflex", "sign".
    pub fn word(self) -> &'static str {
        match self {
            Kind::Muscle => "muscle",
            Kind::Movement => "movement",
            Kind::Skin => "skin",
            Kind::Reflex => "reflex",
            Kind::Sign => "sign",
        }
    }

    /// Graded in power 0-5.
    pub fn motor(self) -> bool {
        matches!(self, Kind::Muscle | Kind::Movement)
    }
}

/// A muscle, movement, area of skin, reflex or sign of one model.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Structure {
    pub kind: Kind,
    /// In the model's list of that kind.
    pub position: usize,
}

/// What every kind of structure has, in whatever words that kind has it.
struct Card<'m> {
    id: &'m str,
    label: &'m str,
    synonyms: &'m [String],
    source: &'m str,
    test: &'m str,
    plain: &'m str,
    nerve_label: Option<&'m str>,
    testable: bool,
}

/// A structure is asked only of the model that it comes from.
impl Model {
    /// All structures of a kind, in the order of the file.
    pub fn structures(&self, kind: Kind) -> impl Iterator<Item = Structure> + use<> {
        let count = match kind {
            Kind::Muscle => self.muscles.len(),
            Kind::Movement => self.movements.len(),
            Kind::Skin => self.skin.len(),
            Kind::Reflex => self.reflexes.len(),
            Kind::Sign => self.signs.len(),
        };
        (0..count).map(move |position| Structure { kind, position })
    }

    pub fn muscle(&self, s: Structure) -> Option<&Muscle> {
        (s.kind == Kind::Muscle).then(|| self.muscles.get(s.position))?
    }

    pub fn movement(&self, s: Structure) -> Option<&Movement> {
        (s.kind == Kind::Movement).then(|| self.movements.get(s.position))?
    }

    pub fn skin_area(&self, s: Structure) -> Option<&SkinArea> {
        (s.kind == Kind::Skin).then(|| self.skin.get(s.position))?
    }

    pub fn reflex(&self, s: Structure) -> Option<&Reflex> {
        (s.kind == Kind::Reflex).then(|| self.reflexes.get(s.position))?
    }

    pub fn sign(&self, s: Structure) -> Option<&Sign> {
        (s.kind == Kind::Sign).then(|| self.signs.get(s.position))?
    }

    fn card(&self, s: Structure) -> Card<'_> {
        let i = s.position;
        match s.kind {
            Kind::Muscle => {
                let x = &self.muscles[i];
                Card {
                    id: &x.id,
                    label: &x.label,
                    synonyms: &x.synonyms,
                    source: &x.source,
                    test: &x.test,
                    plain: &x.plain,
                    nerve_label: Some(&x.nerve_label),
                    testable: x.testable,
                }
            }
            Kind::Movement => {
                let x = &self.movements[i];
                Card {
                    id: &x.id,
                    label: &x.label,
                    synonyms: &[],
                    source: &x.source,
                    test: &x.command,
                    plain: &x.plain,
                    nerve_label: None,
                    testable: x.testable,
                }
            }
            Kind::Skin => {
                let x = &self.skin[i];
                Card {
                    id: &x.id,
                    label: &x.label,
                    synonyms: &[],
                    source: &x.source,
                    test: x.autonomous.as_deref().unwrap_or(&x.region),
                    plain: &x.region,
                    nerve_label: Some(&x.nerve_label),
                    testable: true,
                }
            }
            Kind::Reflex => {
                let x = &self.reflexes[i];
                Card {
                    id: &x.id,
                    label: &x.label,
                    synonyms: &x.synonyms,
                    source: &x.source,
                    test: &x.label,
                    plain: &x.label,
                    nerve_label: None,
                    testable: true,
                }
            }
            Kind::Sign => {
                let x = &self.signs[i];
                Card {
                    id: &x.id,
                    label: &x.label,
                    synonyms: &x.synonyms,
                    source: &x.source,
                    test: &x.look,
                    plain: &x.plain,
                    nerve_label: None,
                    testable: x.testable,
                }
            }
        }
    }

    pub fn id(&self, s: Structure) -> &str {
        self.card(s).id
    }

    pub fn label(&self, s: Structure) -> &str {
        self.card(s).label
    }

    pub fn synonyms(&self, s: Structure) -> &[String] {
        self.card(s).synonyms
    }

    pub fn source(&self, s: Structure) -> &str {
        self.card(s).source
    }

    /// What the examiner does or asks for; of skin, the place to touch.
    pub fn test(&self, s: Structure) -> &str {
        self.card(s).test
    }

    /// Whether the bedside can test it at all.
    pub fn testable(&self, s: Structure) -> bool {
        self.card(s).testable
    }

    /// As somebody would put it who knows no nerve, root or eponym.
    pub fn plain(&self, s: Structure) -> &str {
        self.card(s).plain
    }

    /// The textbook nerve of a muscle or an area of skin.
    pub fn nerve_label(&self, s: Structure) -> Option<&str> {
        self.card(s).nerve_label
    }

    /// As one says it in a viva: heads of one muscle are the muscle.
    pub fn spoken(&self, s: Structure) -> &str {
        self.muscle(s).map_or_else(|| self.label(s), |m| &m.spoken)
    }

    /// As an examiner reads it: a muscle by its name, all else in plain words.
    pub fn named(&self, s: Structure) -> &str {
        self.muscle(s).map_or_else(|| self.plain(s), |m| &m.spoken)
    }

    /// The routes behind it with their weights, which add to 1: of a movement those of its muscles, of a sign those of all that its
    /// rule asks for, alike.
    pub fn routes(&self, s: Structure) -> Vec<(f64, &Supply)> {
        let i = s.position;
        match s.kind {
            Kind::Muscle => vec![(1.0, &self.muscles[i].supply)],
            Kind::Skin => vec![(1.0, &self.skin[i].supply)],
            Kind::Reflex => vec![(1.0, &self.reflexes[i].supply)],
            Kind::Movement => self.movements[i]
                .shares
                .iter()
                .map(|&(m, share)| (share, &self.muscles[m].supply))
                .collect(),
            Kind::Sign => {
                let mut asked = Vec::new();
                for case in &self.signs[i].cases {
                    case.when.structures(&mut asked);
                }
                let part = 1.0 / asked.len().max(1) as f64;
                asked
                    .iter()
                    .flat_map(|&s| self.routes(s))
                    .map(|(weight, supply)| (part * weight, supply))
                    .collect()
            }
        }
    }

    /// Roots (positions in `roots`) with their shares in the usual limb, the largest first.
    pub fn root_shares(&self, s: Structure) -> Vec<(usize, f64)> {
        let mut shares = vec![0.0; self.roots.len()];
        for (weight, supply) in self.routes(s) {
            for f in supply.usual() {
                shares[f.root] += weight * f.weight;
            }
        }
        let mut all: Vec<(usize, f64)> = shares.into_iter().enumerate().collect();
        all.retain(|(_, share)| *share > 0.0);
        all.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        all
    }
}

impl Condition {
    /// Every structure that the condition asks for, each once, added to `all`.
    pub fn structures(&self, all: &mut Vec<Structure>) {
        match self {
            Condition::All(list) | Condition::Any(list) => {
                list.iter().for_each(|c| c.structures(all));
            }
            Condition::Not(inner) => inner.structures(all),
            Condition::PowerAtMost(s, _)
            | Condition::PowerAtLeast(s, _)
            | Condition::SensationReduced(s)
            | Condition::SensationLost(s) => {
                if !all.contains(s) {
                    all.push(*s);
                }
            }
            Condition::LesionOn(_) => {}
        }
    }
}
