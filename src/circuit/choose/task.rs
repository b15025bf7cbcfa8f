//! What is assembled: the stations to choose from, the rules of a form, what a choice costs, and all of it as rows for the solver.

use super::mip::{Program, Var};
use std::collections::BTreeSet;

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

impl Task {
    /// Sets of forms that all help each other one way or the other; each form is in one that cannot grow.
    pub fn cliques(&self) -> Vec<Vec<usize>> {
        let near =
            |a: usize, b: usize| self.helps.contains(&(a, b)) || self.helps.contains(&(b, a));
        let mut all: Vec<Vec<usize>> = Vec::new();
        for f in 0..self.forms {
            let mut own = vec![f];
            for g in 0..self.forms {
                if g != f && own.iter().all(|o| near(*o, g)) {
                    own.push(g);
                }
            }
            own.sort_unstable();
            if own.len() > 1 && !all.contains(&own) {
                all.push(own);
            }
        }
        all
    }

    /// Sites that some item which may be chosen stands for.
    pub fn free_sites(&self) -> BTreeSet<usize> {
        let free = self.items.iter().filter(|i| !i.fixed);
        free.map(|i| i.site).collect()
    }

    /// Of the largest clique: its forms, the different sites they need when none is met again, and the sites there are.
    pub fn sites_of_a_clique(&self) -> (usize, usize, usize) {
        let forms = self.cliques().iter().map(Vec::len).max().unwrap_or(1);
        let fixed: BTreeSet<usize> = self
            .items
            .iter()
            .filter(|i| i.fixed)
            .map(|i| i.site)
            .collect();
        let each = self
            .classes
            .iter()
            .sum::<usize>()
            .saturating_sub(fixed.len());
        (forms, forms * each, self.free_sites().len())
    }
}

/// What a site met again costs, one more station of some content in one form than in another, a site used before.
pub const REPEAT: f64 = 100.0;
pub const CONTENT: f64 = 4.0;
pub const EXPOSED: f64 = 2.0;

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

pub(super) fn chosen(x: &[Var], values: &[f64]) -> Vec<usize> {
    x.iter()
        .enumerate()
        .filter(|(_, v)| values.get(**v).is_some_and(|value| *value > 0.5))
        .map(|(i, _)| i)
        .collect()
}
