//! Turns model, case and rivals into the one view that every later stage of a station reads.

use super::approach::Approach;
use super::examination::Test;
use super::facts::{Facts, facts, named_segments};
use super::rivals::{Rival, Rivals};
use crate::anatomy::{Model, Nerve, SkinKind};
use crate::case::{Age, Case, Level};
use crate::findings::{Finding, Findings, Fixed};

/// What the stages of one station share.
pub struct Context<'a> {
    pub model: &'a Model,
    pub case: &'a Case,
    pub found: &'a Findings,
    pub fixed: &'a [Fixed],
    pub level: Level,
    pub rivals: Rivals,
    pub facts: Facts,
    /// Sensory loss follows roots here, so dermatomes are named rather than the fields of nerves.
    pub by_dermatome: bool,
    pub newborn: bool,
    /// What the candidate has been told, when that is findings.
    pub told: Vec<Finding>,
    /// The rest is for single kinds, see `fit.rs`: the nearest rival that can be told apart,
    pub rival: Option<Rival>,
    /// this lesion and that rival as told, "a lesion of ...",
    pub pair: Vec<String>,
    /// the examination in order,
    pub tests: Vec<Test>,
    /// and the operation or fracture.
    pub approach: Option<Approach>,
    /// First steps in care that every station of the kind has.
    pub care: Option<Vec<String>>,
}

/// The loss of feeling is told, marked and drawn by dermatomes: the lesion lies in a root or trunk, and a dermatome is touched for
/// certain. All else is told by the areas of nerves: the medial cutaneous nerve of the forearm is what sets a medial cord apart from
/// the ulnar nerve (common practice, no source).
pub fn by_dermatome(model: &Model, case: &Case) -> bool {
    case.lesion.radicular(model)
        && case.findings.skin.iter().any(|f| {
            f.affected()
                && model.skin_area(f.structure).map(|s| s.kind) == Some(SkinKind::Dermatome)
        })
}

impl<'a> Context<'a> {
    pub fn new(
        model: &'a Model,
        case: &'a Case,
        fixed: &'a [Fixed],
        level: Level,
        rivals: Rivals,
    ) -> Self {
        let by_dermatome = by_dermatome(model, case);
        Context {
            model,
            case,
            found: &case.findings,
            fixed,
            level,
            rivals,
            facts: facts(model, case),
            by_dermatome,
            newborn: matches!(case.patient.age, Age::Days(_)),
            told: Vec::new(),
            rival: None,
            pair: Vec::new(),
            tests: Vec::new(),
            approach: None,
            care: None,
        }
    }

    /// The candidate can know it: told, or nothing was told because the lesion was.
    pub fn was_told(&self, f: &Finding) -> bool {
        self.told.is_empty() || self.told.iter().any(|t| t.structure == f.structure)
    }

    /// The nerves on which the lesion lies, with a course to describe; none for roots, trunks and cords.
    pub fn course_of_lesion(&self) -> Vec<&'a Nerve> {
        let mut nerves: Vec<&Nerve> = Vec::new();
        for s in named_segments(self.model, self.case) {
            let nerve = self
                .model
                .segments
                .get(s)
                .and_then(|seg| self.model.nerve(&seg.nerve));
            if let Some(nerve) = nerve
                && !nerve.course.is_empty()
                && !nerves.iter().any(|n| n.id == nerve.id)
            {
                nerves.push(nerve);
            }
        }
        nerves
    }

    /// First steps in care: those of the kind, else of the way of injury, else of each injured place that is a site.
    pub fn care(&self) -> Vec<String> {
        if let Some(steps) = &self.care {
            return steps.clone();
        }
        if !self.case.care.is_empty() {
            return self.case.care.clone();
        }
        let mut all: Vec<String> = Vec::new();
        for part in &self.case.lesion.parts {
            let steps = self.model.site(&part.place).map(|s| s.care.as_slice());
            for step in steps.unwrap_or_default() {
                if !all.contains(step) {
                    all.push(step.clone());
                }
            }
        }
        all
    }
}
