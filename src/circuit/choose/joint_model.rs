//! What is chosen for all forms together? One program over all of them, and its values as forms.

use super::mip::{Program, Var};
use super::task::{
    CONTENT, EXPOSED, Item, REPEAT, Task, chosen, contents, ground_rules, repeats, rule_as_row,
};
use std::collections::BTreeSet;

/// The program of all forms together.
pub(super) struct Whole {
    pub program: Program,
    x: Vec<Vec<Var>>,
    /// Lowest and highest total of each figure, then of each content.
    ends: Vec<(Var, Var)>,
    /// One for each pair of `helps` and site.
    again: Vec<Again>,
}

/// A site of `again`: its variable, the two forms, the site.
type Again = (Var, usize, usize, usize);

/// Rows that cut off nothing but fractions. Of `k` forms that all help each other and meet the same site, `k (k - 1) / 2` pairs meet
/// it; that is never less than `j k - j (j + 1) / 2` for any `j` (a line below the curve at the whole numbers `j` and `j + 1`).
fn tighten(
    task: &Task,
    program: &mut Program,
    x: &[Vec<Var>],
    sites: &BTreeSet<usize>,
    again: &[Again],
) {
    for clique in task.cliques() {
        for &s in sites {
            let pairs: Vec<(Var, f64)> = again
                .iter()
                .filter(|(_, a, b, site)| *site == s && clique.contains(a) && clique.contains(b))
                .map(|(v, ..)| (*v, 1.0))
                .collect();
            for j in 1..clique.len() {
                let slope = j as f64;
                let own = clique.iter().filter_map(|f| x.get(*f));
                let met = own
                    .flat_map(|form| form.iter().zip(&task.items))
                    .filter(|(_, i)| i.site == s && !i.fixed)
                    .map(|(v, _)| (*v, -slope));
                let row = pairs.iter().copied().chain(met).collect();
                program.row(row, -slope * (slope + 1.0) / 2.0, f64::INFINITY);
            }
        }
    }
}

impl Whole {
    pub fn new(task: &Task) -> Self {
        let mut program = Program::default();
        let none = f64::NEG_INFINITY;
        let x: Vec<Vec<Var>> = (0..task.forms)
            .map(|_| {
                task.items
                    .iter()
                    .map(|i| program.choice(EXPOSED * i.exposed))
                    .collect()
            })
            .collect();
        for own in &x {
            ground_rules(task, &mut program, own);
            for rule in &task.rules {
                rule_as_row(rule, &mut program, own);
            }
        }
        let mut ends = Vec::new();
        let figures = task.weights.len();
        for t in 0..figures + contents(task) {
            let weight = task.weights.get(t).copied().unwrap_or(CONTENT);
            let size = |i: &Item| match t.checked_sub(figures) {
                None => i.figures.get(t).copied().unwrap_or(0.0),
                Some(c) => f64::from(u8::from(i.content.contains(&c))),
            };
            let most: f64 = task.items.iter().map(|i| size(i).abs()).sum();
            let low = program.real(-weight, -most, most);
            let high = program.real(weight, -most, most);
            for own in &x {
                let sum: Vec<(Var, f64)> = own
                    .iter()
                    .zip(&task.items)
                    .map(|(v, i)| (*v, size(i)))
                    .filter(|(_, s)| *s != 0.0)
                    .collect();
                let with = |end: Var| [sum.clone(), vec![(end, -1.0)]].concat();
                program.row(with(low), 0.0, f64::INFINITY);
                program.row(with(high), none, 0.0);
            }
            ends.push((low, high));
        }
        let mut again = Vec::new();
        let sites = task.free_sites();
        for &(a, b) in &task.helps {
            for &s in &sites {
                let both: Vec<(Var, f64)> = [a, b]
                    .iter()
                    .filter_map(|f| x.get(*f))
                    .flat_map(|own| own.iter().zip(&task.items))
                    .filter(|(_, i)| i.site == s && !i.fixed)
                    .map(|(v, _)| (*v, 1.0))
                    .collect();
                if task.never_repeat {
                    program.row(both, none, 1.0);
                } else {
                    let met = program.real(REPEAT, 0.0, 1.0);
                    program.row([both, vec![(met, -1.0)]].concat(), none, 1.0);
                    again.push((met, a, b, s));
                }
            }
        }
        if !task.never_repeat {
            tighten(task, &mut program, &x, &sites, &again);
        }
        Whole {
            program,
            x,
            ends,
            again,
        }
    }

    pub fn forms(&self, values: &[f64]) -> Vec<Vec<usize>> {
        self.x.iter().map(|own| chosen(own, values)).collect()
    }

    /// An assembly as values of all variables, for the solver to start from.
    pub fn values(&self, task: &Task, forms: &[Vec<usize>]) -> Vec<f64> {
        let last = self
            .x
            .iter()
            .flatten()
            .chain(self.ends.iter().flat_map(|(a, b)| [a, b]));
        let count = last
            .chain(self.again.iter().map(|a| &a.0))
            .max()
            .map_or(0, |m| m + 1);
        let mut values = vec![0.0; count];
        for (own, form) in self.x.iter().zip(forms) {
            for i in form {
                if let Some(v) = own.get(*i) {
                    values[*v] = 1.0;
                }
            }
        }
        let figures = task.weights.len();
        for (t, (low, high)) in self.ends.iter().enumerate() {
            let totals: Vec<f64> = forms
                .iter()
                .map(|form| {
                    let items = form.iter().filter_map(|i| task.items.get(*i));
                    match t.checked_sub(figures) {
                        None => items.filter_map(|i| i.figures.get(t)).sum(),
                        Some(c) => items.filter(|i| i.content.contains(&c)).count() as f64,
                    }
                })
                .collect();
            values[*low] = totals.iter().copied().fold(f64::INFINITY, f64::min);
            values[*high] = totals.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        }
        let met = repeats(task, forms);
        for (v, a, b, s) in &self.again {
            values[*v] = f64::from(u8::from(met.contains(&(*a, *b, *s))));
        }
        values
    }
}
