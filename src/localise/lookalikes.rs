//! Turns the sites of a model into the table of those that bedside examination cannot tell apart, and what beyond the bedside can.

use super::next::reliable;
use super::prove::{Known, MOST_ADDED, prove, rivals};
use crate::anatomy::{Model, Structure};
use crate::findings::{Finding, derive};
use crate::lesion::{Severity, at};

/// One site and those that look like it.
#[derive(Debug, Clone)]
pub struct Lookalike {
    /// Positions of sites in the model.
    pub site: usize,
    pub alike: Vec<usize>,
    /// For each of `alike`: findings beyond the bedside that decide between the two.
    pub beyond: Vec<Vec<Structure>>,
}

/// Sites with at least one look-alike; sites are compared as complete lesions, their rivals at every severity.
pub fn lookalikes(model: &Model) -> Vec<Lookalike> {
    let mut all = Vec::new();
    let belief = rivals(model, &[]);
    for (site, s) in model.sites.iter().enumerate() {
        let Ok(lesion) = at(model, &s.id, Severity::Complete) else {
            continue;
        };
        let found = derive(model, &lesion, &[]);
        let known = Known {
            model,
            belief: &belief,
            lesion: &lesion,
            findings: &found,
            fixed: &[],
        };
        let proof = prove(&known, &[], MOST_ADDED, &|_| true);
        if proof.equals.is_empty() {
            continue;
        }
        let beyond = proof
            .equals
            .iter()
            .map(|&other| {
                let Ok(theirs) = at(model, &model.sites[other].id, Severity::Complete) else {
                    return Vec::new();
                };
                let theirs = derive(model, &theirs, &[]);
                found
                    .all()
                    .filter(|f| !reliable(model, f.structure))
                    .filter(|f| theirs.get(f.structure).is_some_and(|t| apart(f, t)))
                    .map(|f| f.structure)
                    .collect()
            })
            .collect();
        all.push(Lookalike {
            site,
            alike: proof.equals,
            beyond,
        });
    }
    all
}

fn apart(a: &Finding, b: &Finding) -> bool {
    (a.affected() && b.spared()) || (a.spared() && b.affected())
}
