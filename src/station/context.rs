//! The one view of a case that every stage of a station reads.

use crate::anatomy::{Model, SkinArea, Structure};
use crate::case::{Age, Case, Level};
use crate::findings::{Finding, Findings};

pub struct Context<'a> {
    pub model: &'a Model,
    pub case: &'a Case,
    pub found: &'a Findings,
    pub level: Level,
    pub newborn: bool,
    /// Sensory loss follows roots here, so dermatomes are named rather than the fields of nerves.
    pub by_dermatome: bool,
}

impl<'a> Context<'a> {
    pub fn new(model: &'a Model, case: &'a Case, level: Level) -> Self {
        Context {
            model,
            case,
            found: &case.findings,
            level,
            newborn: matches!(case.patient.age, Age::Days(_)),
            by_dermatome: by_dermatome(model, case),
        }
    }

    /// Can be named in an answer: at the bedside, and for skin by the map that fits the level of the lesion.
    pub fn shown(&self, f: &Finding) -> bool {
        if !self.model.testable(f.structure) {
            return false;
        }
        match self.model.skin_area(f.structure) {
            Some(area) if self.within_another(f, area) => false,
            Some(area) => {
                let dermatome = area.kind == crate::anatomy::SkinKind::Dermatome;
                dermatome == self.by_dermatome || f.spared() && !dermatome
            }
            None => true,
        }
    }

    /// What a player has to know of the skin: all that is named, and what a line of the station touches by another map.
    pub fn touched(&self, f: &Finding, cited: &[Structure]) -> bool {
        let area = self.model.skin_area(f.structure);
        let part = area.is_some_and(|area| self.within_another(f, area));
        self.shown(f) || (!part && cited.contains(&f.structure))
    }

    /// A part of what is as numb as a whole is not named beside it.
    fn within_another(&self, f: &Finding, area: &SkinArea) -> bool {
        let whole = area.part_of.and_then(|whole| self.found.skin.get(whole));
        whole.is_some_and(|w| w.state == f.state && f.affected())
    }
}

/// The loss of feeling is told, marked and drawn by dermatomes: the lesion lies in a root or trunk, and a dermatome is touched for
/// certain. All else is told by the areas of nerves: the medial cutaneous nerve of the forearm is what sets a medial cord apart from
/// the ulnar nerve (common practice, no source).
pub fn by_dermatome(model: &Model, case: &Case) -> bool {
    let dermatome = |f: &Finding| {
        let area = model.skin_area(f.structure);
        area.is_some_and(|s| s.kind == crate::anatomy::SkinKind::Dermatome)
    };
    case.lesion.radicular(model)
        && case
            .findings
            .skin
            .iter()
            .any(|f| f.affected() && dermatome(f))
}
