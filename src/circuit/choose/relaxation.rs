//! What is left of a task without its figures? Stations that differ in nothing else are one.
//!
//! What an answer costs in the frame is never more than what it costs in the task, so a bound of the frame is a bound of the task.

use super::task::{Item, Rule, Task};
use std::collections::BTreeMap;

/// What items must share to be one: site, class, content, rules, exposure (its bits), and being fixed.
type Same<'t> = (usize, usize, &'t [usize], &'t [usize], u64, bool);

pub struct Frame {
    pub task: Task,
    /// For each item of the task its item of the frame, and for each of the frame the first of the task.
    inner: Vec<usize>,
    outer: Vec<usize>,
}

impl Frame {
    pub fn new(task: &Task) -> Self {
        let mut rules_of: Vec<Vec<usize>> = vec![Vec::new(); task.items.len()];
        for (r, rule) in task.rules.iter().enumerate() {
            for i in &rule.members {
                if let Some(own) = rules_of.get_mut(*i) {
                    own.push(r);
                }
            }
        }
        let mut known: BTreeMap<Same<'_>, usize> = BTreeMap::new();
        let (mut inner, mut outer, mut items) = (Vec::new(), Vec::new(), Vec::new());
        for (i, (item, rules)) in task.items.iter().zip(&rules_of).enumerate() {
            let key = (
                item.site,
                item.class,
                item.content.as_slice(),
                rules.as_slice(),
                item.exposed.to_bits(),
                item.fixed,
            );
            let own = *known.entry(key).or_insert_with(|| {
                outer.push(i);
                items.push(Item {
                    figures: Vec::new(),
                    ..item.clone()
                });
                items.len() - 1
            });
            inner.push(own);
        }
        let rules = task
            .rules
            .iter()
            .map(|rule| {
                let all = rule.members.iter().filter_map(|i| inner.get(*i));
                let mut members: Vec<usize> = all.copied().collect();
                members.sort_unstable();
                members.dedup();
                Rule {
                    members,
                    ..rule.clone()
                }
            })
            .collect();
        let inside = Task {
            items,
            rules,
            weights: Vec::new(),
            ..task.clone()
        };
        Frame {
            task: inside,
            inner,
            outer,
        }
    }

    /// Forms of the task as forms of the frame.
    pub fn inwards(&self, forms: &[Vec<usize>]) -> Vec<Vec<usize>> {
        map(forms, &self.inner)
    }

    /// Forms of the frame as forms of the task.
    pub fn outwards(&self, forms: &[Vec<usize>]) -> Vec<Vec<usize>> {
        map(forms, &self.outer)
    }
}

fn map(forms: &[Vec<usize>], to: &[usize]) -> Vec<Vec<usize>> {
    let one = |form: &Vec<usize>| form.iter().filter_map(|i| to.get(*i)).copied().collect();
    forms.iter().map(one).collect()
}
