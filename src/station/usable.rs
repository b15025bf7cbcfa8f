//! Which lines of the notes are true of this patient?

use super::draft::{Asked, Draft, Told};
use super::patient::classic_picture;
use super::station::Proof;
use crate::anatomy::{Model, Structure};
use crate::findings::{Finding, Findings, derive};
use crate::lesion::{Lesion, Severity, at};
use crate::reasoning;
use crate::teaching::Line;

/// What lines are held against.
pub struct Usable<'a> {
    draft: &'a Draft,
    equal_sites: &'a [usize],
    /// What the place gives when it is injured completely, as notes are written.
    said: Findings,
    /// Both places of a pair, each injured completely, because that is what a candidate is asked to expect.
    pair: Option<(Findings, Findings)>,
}

impl<'a> Usable<'a> {
    pub fn of(model: &Model, draft: &'a Draft, proof: &'a Proof) -> Self {
        let derived = |lesion: &Lesion| derive(model, &complete(model, lesion), &draft.fixed);
        let here = derived(&draft.case.lesion);
        let mut said = here.clone();
        if !draft.kind.tells.forwards() {
            classic_picture(&mut said, &draft.notes);
        }
        let pair = match &draft.told {
            Told::Pair { rival, .. } => Some((here, derived(&rival.lesion))),
            _ => None,
        };
        Usable {
            draft,
            equal_sites: &proof.equal_sites,
            said,
            pair,
        }
    }

    /// A line is used only where it is true of this patient; what an author wrote is theirs, and the checks say what does not fit.
    pub fn line(&self, asked: &Asked, line: &Line) -> bool {
        asked.choose.is_some() || self.fits(&asked.slot.ask, line)
    }

    fn fits(&self, question: &str, line: &Line) -> bool {
        let moved_to_equal = line.to.is_some_and(|site| self.equal_sites.contains(&site));
        let Some(s) = line.about else {
            return !moved_to_equal;
        };
        let Some(f) = self.draft.case.findings.get(s) else {
            return false;
        };
        let known = match &self.draft.told {
            Told::Findings(told) => told.contains(&s),
            _ => true,
        };
        match question {
            "muscles" => f.affected() && known,
            "lost" => !f.spared(),
            "shared" => f.affected(),
            "kept" => f.spared() && known,
            "place" | "plan" => known && self.as_said(f, s),
            "deciders" => self.pair.as_ref().is_none_or(|(here, there)| {
                here.get(s).is_some_and(|whole| alike(whole, f))
                    && reasoning::decider(here, there, s).is_some()
            }),
            _ => true,
        }
    }

    /// As the line says: lines tell what a complete lesion gives, those that nobody wrote what this patient has.
    fn as_said(&self, f: &Finding, s: Structure) -> bool {
        let written = !self.draft.derived;
        (f.affected() || f.spared())
            && (!written || self.said.get(s).is_some_and(|whole| alike(whole, f)))
    }
}

fn alike(a: &Finding, b: &Finding) -> bool {
    a.affected() == b.affected() && a.spared() == b.spared()
}

/// The same place, injured completely; of several places as they are.
pub fn complete(model: &Model, lesion: &Lesion) -> Lesion {
    match lesion.parts.as_slice() {
        [part] => at(model, &part.place, Severity::Complete).unwrap_or_else(|_| lesion.clone()),
        _ => lesion.clone(),
    }
}
