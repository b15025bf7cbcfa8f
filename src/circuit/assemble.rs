//! Turns a bank of stations and the rules of a blueprint into parallel forms: which station goes into which form.
//!
//! A mixed integer program: one yes-or-no choice for each station and form; the hard rules are rows; what shall be as small as
//! possible is the cost: sites met again where it would help a later group, the spread of difficulty, words and content
//! between the forms, and stations at sites that were used before. A first answer comes from solving form after form and exchanging
//! single stations; the exact solver starts from it, and its bound gives the gap.

use super::frame::Frame;
use super::mip::{Answer, Effort, End, Program, Var};
use super::polish::polish;
use super::whole::Whole;
use crate::case::Stream;

/// A station that may be chosen.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Item {
    /// At most one station of a site in a form.
    pub site: usize,
    /// Which sort of position it fills.
    pub class: usize,
    /// Figures that shall come out alike in all forms, as [`Task::weights`] weighs them.
    pub figures: Vec<f64>,
    /// Content whose numbers shall come out alike, such as its nerve and kind.
    pub content: Vec<usize>,
    /// How often its site was used before.
    pub exposed: f64,
    /// Must be in every form.
    pub fixed: bool,
}

/// So many of these items in each form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rule {
    /// Positions in [`Task::items`], rising.
    pub members: Vec<usize>,
    pub least: usize,
    pub most: usize,
}

/// What is to be assembled.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Task {
    pub items: Vec<Item>,
    pub forms: usize,
    /// Stations of each class in a form.
    pub classes: Vec<usize>,
    pub rules: Vec<Rule>,
    /// Pairs of forms where a site met in the first would help in the second.
    pub helps: Vec<(usize, usize)>,
    /// No site may be met again where it would help.
    pub never_repeat: bool,
    /// What a difference of one in each figure costs.
    pub weights: Vec<f64>,
    pub seed: u64,
}

/// What a site met again costs, one more station of some content in one form than in another, a site used before.
pub const REPEAT: f64 = 100.0;
pub const CONTENT: f64 = 4.0;
pub const EXPOSED: f64 = 2.0;

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

/// The cost of an assembly, term by term as the program counts it.
pub fn cost(task: &Task, forms: &[Vec<usize>]) -> f64 {
    let mut sum = 0.0;
    let item = |i: &usize| task.items.get(*i);
    for (f, weight) in task.weights.iter().enumerate() {
        let totals = forms.iter().map(|form| {
            form.iter()
                .filter_map(item)
                .filter_map(|i| i.figures.get(f))
                .sum::<f64>()
        });
        sum += weight * spread(totals);
    }
    for c in 0..contents(task) {
        let counts = forms.iter().map(|form| {
            form.iter()
                .filter_map(item)
                .filter(|i| i.content.contains(&c))
                .count() as f64
        });
        sum += CONTENT * spread(counts);
    }
    for form in forms {
        sum += EXPOSED * form.iter().filter_map(item).map(|i| i.exposed).sum::<f64>();
    }
    sum + REPEAT * repeats(task, forms).len() as f64
}

fn spread(values: impl Iterator<Item = f64>) -> f64 {
    let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
        (l.min(v), h.max(v))
    });
    if low <= high { high - low } else { 0.0 }
}

pub(super) fn contents(task: &Task) -> usize {
    task.items
        .iter()
        .flat_map(|i| &i.content)
        .max()
        .map_or(0, |m| m + 1)
}

/// Sites met again where it helps: (first form, second form, site).
pub fn repeats(task: &Task, forms: &[Vec<usize>]) -> Vec<(usize, usize, usize)> {
    let sites = |f: usize| -> Vec<usize> {
        let form = forms.get(f).map_or(&[][..], Vec::as_slice);
        let items = form.iter().filter_map(|i| task.items.get(*i));
        items.filter(|i| !i.fixed).map(|i| i.site).collect()
    };
    let mut all = Vec::new();
    for &(a, b) in &task.helps {
        let first = sites(a);
        for site in sites(b) {
            if first.contains(&site) {
                all.push((a, b, site));
            }
        }
    }
    all
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

/// The rows that no blueprint can change: every position filled, no site twice. `x`: the choices of one form.
pub(super) fn ground_rules(task: &Task, program: &mut Program, x: &[Var]) {
    let none = f64::NEG_INFINITY;
    let these = |keep: &dyn Fn(&Item) -> bool| -> Vec<(Var, f64)> {
        let both = x.iter().zip(&task.items);
        both.filter(|(_, i)| keep(i))
            .map(|(v, _)| (*v, 1.0))
            .collect()
    };
    for (c, n) in task.classes.iter().enumerate() {
        program.row(these(&|i| i.class == c), *n as f64, *n as f64);
    }
    let mut sites: Vec<usize> = task.items.iter().map(|i| i.site).collect();
    sites.sort_unstable();
    sites.dedup();
    for s in sites {
        program.row(these(&|i| i.site == s), none, 1.0);
    }
}

/// A rule as a row over the choices of one form.
pub(super) fn rule_as_row(rule: &Rule, program: &mut Program, x: &[Var]) {
    let terms = rule
        .members
        .iter()
        .filter_map(|i| x.get(*i))
        .map(|v| (*v, 1.0));
    program.row(terms.collect(), rule.least as f64, rule.most as f64);
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
    time: std::time::Duration::from_secs(60),
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

pub(super) fn chosen(x: &[Var], values: &[f64]) -> Vec<usize> {
    x.iter()
        .enumerate()
        .filter(|(_, v)| values.get(**v).is_some_and(|value| *value > 0.5))
        .map(|(i, _)| i)
        .collect()
}
