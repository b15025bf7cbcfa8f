//! Which rules of the blueprint cannot be kept together, and what would have to be relaxed? One message says it.

use super::bank::Banked;
use super::build_task::Origin;
use super::infeasible_core::{Clash, Way, bounds_in_words, clash};
use super::mip::Effort;
use super::task::{Rule, Task};
use crate::circuit::blueprint::{Blueprint, Limbs};
use crate::diagnostic::{Failure, Problem};

/// Says what clashes.
pub fn explain(
    limbs: &Limbs<'_>,
    task: &Task,
    origins: &[Origin],
    blueprint: &Blueprint,
    bank: &[Banked],
    effort: Effort,
) -> Failure {
    let effort = Effort {
        nodes: 2000,
        ..effort
    };
    let Clash { rules, class } = clash(task, effort);
    let stations = blueprint.stations();
    if let Some(class) = class {
        let shapes = blueprint.shapes();
        let positions = shapes.get(class).map_or(0, |(_, p)| p.len());
        let mut sites: Vec<usize> = task
            .items
            .iter()
            .filter(|i| i.class == class)
            .map(|i| i.site)
            .collect();
        sites.sort_unstable();
        sites.dedup();
        return Failure::content(
            Problem::new(format!(
                "{positions} positions of one sort need {positions} different sites, but only {} have a station for them",
                sites.len()
            ))
            .hint("use fewer positions, allow more kinds for them, or take sites out of `avoid:`"),
        );
    }
    let Some(rules) = some(rules) else {
        let (forms, needed, sites) = task.sites_of_a_clique();
        return Failure::content(
            Problem::new(format!("every form can be filled, but not all of them without meeting a site again: {forms} forms one after another need {needed} different sites, and {sites} have a station for them"))
                .hint("write `repeat_sites: least` under `limits:`, use fewer groups or positions, or mark groups as `quarantined`"),
        );
    };
    let name = |way: &Way| -> String {
        let rule = task.rules.get(way.rule);
        match origins.get(way.rule) {
            Some(Origin::Want(_, want)) => {
                let bounds = rule.map_or(String::new(), |r| bounds_in_words(r, stations));
                let line = if want.line > 0 {
                    format!(" (line {})", want.line)
                } else {
                    String::new()
                };
                format!("{bounds} of {}{line}", want.label)
            }
            Some(Origin::Apart(a, b)) => format!("{a} apart from {b}"),
            Some(Origin::Reuse(line)) => format!("the station to use again (line {line})"),
            Some(Origin::Pair(a, b)) => {
                let code = |i: &usize| bank.get(*i).map_or("", |x| limbs.id(x.site));
                format!("two stations too much alike ({} and {})", code(a), code(b))
            }
            None => "a rule of the program".to_string(),
        }
    };
    let clashing: Vec<String> = rules.iter().map(name).collect();
    let ways: Vec<String> = rules
        .iter()
        .filter_map(|way| relaxed(way, task, origins))
        .collect();
    let hint = if ways.is_empty() {
        "several groups of rules clash: relax one of these, and run again to see the next"
            .to_string()
    } else {
        format!("relax one: {}", ways.join("; or "))
    };
    Failure::content(
        Problem::new(format!(
            "no choice of {stations} stations keeps these rules together: {}",
            clashing.join("; ")
        ))
        .hint(hint),
    )
}

fn some(rules: Vec<Way>) -> Option<Vec<Way>> {
    (!rules.is_empty()).then_some(rules)
}

/// What would have to be written instead.
fn relaxed(way: &Way, task: &Task, origins: &[Origin]) -> Option<String> {
    let accepts = way.accepts?;
    Some(match origins.get(way.rule)? {
        Origin::Want(_, want) => {
            let Rule { least, most, .. } = task.rules.get(way.rule)?;
            let word = match (least == most, accepts < *least) {
                (true, _) => "exactly",
                (false, true) => "at least",
                (false, false) => "at most",
            };
            format!("{word} {accepts} of {}", want.label)
        }
        Origin::Apart(a, b) => format!("let {a} and {b} meet"),
        Origin::Reuse(line) => format!("do without the station of line {line}"),
        Origin::Pair(..) => "raise `similarity:` under `limits:`".to_string(),
    })
}

pub fn unknown() -> Failure {
    Failure::content(
        Problem::new(
            "the search for stations ended without an answer, and without proof that there is none",
        )
        .hint("let it look at more branches with --nodes, or relax a rule"),
    )
}
