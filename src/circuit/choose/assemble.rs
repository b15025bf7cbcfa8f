//! Which station goes into which form? The search for parallel forms that keep every rule.
//!
//! A mixed integer program: one yes-or-no choice for each station and form; the hard rules are rows; what shall be as small as
//! possible is the cost: sites met again where it would help a later group, the spread of difficulty, words and content
//! between the forms, and stations at sites that were used before. A first answer comes from solving form after form and exchanging
//! single stations; the exact solver starts from it, and its bound gives the gap.

use super::joint_model::Whole;
use super::local_search::polish;
use super::mip::{Answer, Effort, End, Program, Var};
use super::relaxation::Frame;
use super::task::{EXPOSED, REPEAT, Task, chosen, cost, ground_rules, repeats, rule_as_row};
use crate::case::Stream;

#[derive(Debug, Clone, PartialEq)]
pub struct Assembly {
    /// For each form its items, by position in [`Task::items`].
    pub forms: Vec<Vec<usize>>,
    pub cost: f64,
    /// No assembly costs less.
    pub bound: f64,
    pub end: End,
    pub nodes: u64,
}

#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    Made(Assembly),
    /// No choice keeps the hard rules.
    Impossible,
    /// The search ended before one was found.
    Unknown,
}

/// Assembles. Without nodes, an answer that keeps the rules will do.
pub fn assemble(task: &Task, effort: Effort) -> Outcome {
    if impossible_at_a_glance(task) {
        return Outcome::Impossible;
    }
    let mut best: Option<Vec<Vec<usize>>> = None;
    let starts = if effort.nodes == 0 { 1 } else { STARTS };
    for start in 0..starts {
        match form_by_form(task, effort, start) {
            First::Made(forms) => {
                let forms = polish(task, forms);
                let worse = |b: &Vec<Vec<usize>>| cost(task, &forms) >= cost(task, b) - 1e-9;
                if !best.as_ref().is_some_and(worse) {
                    best = Some(forms);
                }
            }
            First::Impossible => return Outcome::Impossible,
            First::Unknown => {}
        }
    }
    if let (0, Some(forms)) = (effort.nodes, &best) {
        return Outcome::Made(unproven(task, forms.clone()));
    }
    // First the frame: which sites go where, without the figures, which only blur the bound.
    let frame = Frame::new(task);
    let start = best.as_ref().map(|forms| frame.inwards(forms));
    let (mut bound, mut nodes) = (0.0, 0);
    match search(&frame.task, effort, start.as_deref()) {
        Searched::Found {
            forms,
            bound: own,
            nodes: used,
            ..
        } => {
            bound = own;
            nodes = used;
            let forms = polish(task, frame.outwards(&forms));
            if best
                .as_ref()
                .is_none_or(|b| cost(task, &forms) < cost(task, b) - 1e-9)
            {
                best = Some(forms);
            }
        }
        Searched::Impossible => return Outcome::Impossible,
        Searched::Unknown => {}
    }
    // Then everything, from the best that is known.
    let mut end = End::Nodes;
    match search(task, effort, best.as_deref()) {
        Searched::Found {
            forms,
            bound: own,
            end: why,
            nodes: used,
        } => {
            bound = f64::max(bound, own);
            nodes += used;
            end = why;
            // The solver's rounding may not lose what was already found.
            if best
                .as_ref()
                .is_none_or(|b| cost(task, &forms) < cost(task, b) - 1e-9)
            {
                best = Some(polish(task, forms));
            }
        }
        Searched::Impossible => return Outcome::Impossible,
        Searched::Unknown => {}
    }
    let Some(forms) = best else {
        return Outcome::Unknown;
    };
    let own = cost(task, &forms);
    if bound >= own - 1e-6 {
        end = End::Proven;
    }
    Outcome::Made(Assembly {
        forms,
        cost: own,
        bound: bound.clamp(0.0, own),
        end,
        nodes,
    })
}

enum Searched {
    Found {
        forms: Vec<Vec<usize>>,
        bound: f64,
        end: End,
        nodes: u64,
    },
    Impossible,
    Unknown,
}

/// The exact search over all forms together.
fn search(task: &Task, effort: Effort, start: Option<&[Vec<usize>]>) -> Searched {
    let whole = Whole::new(task);
    let start = start.map(|forms| whole.values(task, forms));
    match whole.program.solve(effort, start.as_deref()) {
        Answer::Found {
            values,
            bound,
            end,
            nodes,
            ..
        } => Searched::Found {
            forms: whole.forms(&values),
            bound,
            end,
            nodes,
        },
        Answer::Impossible => Searched::Impossible,
        Answer::Unknown => Searched::Unknown,
    }
}

/// An answer without the exact search: nothing is known but that no cost is negative.
fn unproven(task: &Task, forms: Vec<Vec<usize>>) -> Assembly {
    Assembly {
        cost: cost(task, &forms),
        bound: 0.0,
        forms,
        end: End::Nodes,
        nodes: 0,
    }
}

fn impossible_at_a_glance(task: &Task) -> bool {
    let (_, needed, sites) = task.sites_of_a_clique();
    if task.never_repeat && needed > sites {
        return true;
    }
    task.classes.iter().enumerate().any(|(c, n)| {
        let mut sites: Vec<usize> = task
            .items
            .iter()
            .filter(|i| i.class == c)
            .map(|i| i.site)
            .collect();
        sites.sort_unstable();
        sites.dedup();
        sites.len() < *n
    })
}

enum First {
    Made(Vec<Vec<usize>>),
    Impossible,
    Unknown,
}

/// First answers from which the best is taken; exchanging single stations ends in different places.
const STARTS: usize = 5;

/// Enough for one form alone: any answer will do as a start.
const FORM: Effort = Effort {
    nodes: 400,
    time: std::time::Duration::MAX,
};

/// Each form by itself, drawn by chance, away from the sites of the forms before it.
fn form_by_form(task: &Task, effort: Effort, start: usize) -> First {
    let mut program = Program::default();
    let x: Vec<Var> = task.items.iter().map(|_| program.choice(0.0)).collect();
    ground_rules(task, &mut program, &x);
    for rule in &task.rules {
        rule_as_row(rule, &mut program, &x);
    }
    let mut forms: Vec<Vec<usize>> = Vec::new();
    for f in 0..task.forms {
        let mut chance = Stream::new(task.seed, &format!("circuit/form/{f}/{start}"));
        for (v, item) in x.iter().zip(&task.items) {
            let met = task
                .helps
                .iter()
                .filter(|(a, b)| (*b == f && *a < f) || (*a == f && *b < f))
                .map(|(a, b)| if *b == f { a } else { b })
                .filter_map(|g| forms.get(*g))
                .flatten()
                .filter_map(|i| task.items.get(*i))
                .any(|i| i.site == item.site);
            let repeat = if met && !item.fixed { REPEAT } else { 0.0 };
            let luck = f64::from(chance.below(1000)) / 1000.0;
            program.set_cost(*v, repeat + EXPOSED * item.exposed + luck);
        }
        match program.solve(FORM.min_time(effort), None) {
            Answer::Found { values, .. } => forms.push(chosen(&x, &values)),
            Answer::Impossible => return First::Impossible,
            Answer::Unknown => return First::Unknown,
        }
    }
    if task.never_repeat && !repeats(task, &forms).is_empty() {
        return First::Unknown;
    }
    First::Made(forms)
}
