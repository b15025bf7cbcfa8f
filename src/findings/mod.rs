//! Turns a lesion into what an examiner finds: power, movement, skin, reflexes and signs, each with its probability and its reason.

mod derive;
mod fixed;
mod reason;
mod route;
mod rule;
mod scale;
mod share;

pub use derive::derive;
pub use fixed::fixed;
pub use reason::{reason, reason_in};
pub use route::join_and;
pub use scale::{DECIDES, DOUBT, POWER, REFLEX, SENSATION, grade};
pub use share::Fixed;

pub use crate::anatomy::{Kind, Structure};

use crate::anatomy::Model;

/// How a finding reads. `Variable` may not decide a mark: good sources or common variants disagree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum State {
    /// Muscle or movement lost; sensation lost; reflex absent.
    Lost,
    /// Muscle or movement weak; sensation reduced; reflex reduced.
    Weak,
    Variable,
    /// Normal power, sensation or reflex.
    Spared,
    /// Of a sign.
    Present,
    /// Of a sign.
    Absent,
}

/// What is found of one structure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finding {
    pub structure: Structure,
    pub state: State,
    /// Chance that the structure is affected at all (for a sign: that it is present), 0-1, variants included.
    pub probability: f64,
    /// Chance that it is lost outright, 0-1 (a sign: 0).
    pub lost: f64,
    /// Share of fibres that arrive, 0-1, averaged over variants (a sign: 1).
    pub share: f64,
    /// MRC grade 0-5 in the median limb (5 for skin, reflexes and signs).
    pub power: u8,
}

/// Everything found after one lesion, each structure of the region once, in the model's order.
#[derive(Debug, Clone, PartialEq)]
pub struct Findings {
    pub muscles: Vec<Finding>,
    pub movements: Vec<Finding>,
    pub skin: Vec<Finding>,
    pub reflexes: Vec<Finding>,
    pub signs: Vec<Finding>,
}

impl Findings {
    pub fn all(&self) -> impl Iterator<Item = &Finding> {
        self.muscles
            .iter()
            .chain(&self.movements)
            .chain(&self.skin)
            .chain(&self.reflexes)
            .chain(&self.signs)
    }

    pub fn of(&self, kind: Kind) -> &[Finding] {
        match kind {
            Kind::Muscle => &self.muscles,
            Kind::Movement => &self.movements,
            Kind::Skin => &self.skin,
            Kind::Reflex => &self.reflexes,
            Kind::Sign => &self.signs,
        }
    }

    /// What is found of this structure.
    pub fn get(&self, s: Structure) -> Option<&Finding> {
        self.of(s.kind).get(s.position)
    }

    pub fn get_mut(&mut self, s: Structure) -> Option<&mut Finding> {
        let list = match s.kind {
            Kind::Muscle => &mut self.muscles,
            Kind::Movement => &mut self.movements,
            Kind::Skin => &mut self.skin,
            Kind::Reflex => &mut self.reflexes,
            Kind::Sign => &mut self.signs,
        };
        list.get_mut(s.position)
    }
}

impl Finding {
    pub fn kind(&self) -> Kind {
        self.structure.kind
    }

    pub fn id<'m>(&self, model: &'m Model) -> &'m str {
        model.id(self.structure)
    }

    pub fn label<'m>(&self, model: &'m Model) -> &'m str {
        model.label(self.structure)
    }

    /// The word the JSON and the tables use: lost, weak, reduced, absent, present, variable, spared.
    pub fn word(&self) -> &'static str {
        match (self.kind(), self.state) {
            (_, State::Variable) => "variable",
            (Kind::Reflex, State::Lost) => "absent",
            (Kind::Reflex | Kind::Skin, State::Weak) => "reduced",
            (Kind::Reflex, State::Spared) => "present",
            (Kind::Sign, State::Present) => "present",
            (Kind::Sign, _) => "absent",
            (_, State::Lost) => "lost",
            (_, State::Weak) => "weak",
            _ => "spared",
        }
    }

    /// Affected for certain enough to carry a mark.
    pub fn affected(&self) -> bool {
        matches!(self.state, State::Lost | State::Weak | State::Present)
    }

    /// Spared (or absent) for certain enough to carry a mark.
    pub fn spared(&self) -> bool {
        matches!(self.state, State::Spared | State::Absent)
    }
}
