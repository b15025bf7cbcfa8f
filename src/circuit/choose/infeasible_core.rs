//! Which is the smallest set of rules that cannot be kept together, and what would have to give?

use super::mip::{Answer, Effort, Program, Var};
use super::task::{Item, Rule, Task, ground_rules, rule_as_row};

/// Rules of a task (positions in [`Task::rules`]) that cannot be kept together; each without the others can.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Clash {
    pub rules: Vec<Way>,
    /// Not even without any rule: too few sites for the positions of this class.
    pub class: Option<usize>,
}

/// One rule of a clash, and the least change of it alone that lets everything else stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Way {
    pub rule: usize,
    /// The number of stations that it would have to accept; `None`: relaxing this one alone is not enough.
    pub accepts: Option<usize>,
}

/// Finds the clash within one form; empty when one form alone can be filled.
pub fn clash(task: &Task, effort: Effort) -> Clash {
    let mut kept: Vec<usize> = (0..task.rules.len()).collect();
    if feasible(task, &kept, effort) {
        return Clash::default();
    }
    if !feasible(task, &[], effort) {
        return Clash {
            rules: Vec::new(),
            class: scarce(task),
        };
    }
    // Take out rule after rule: whatever is still impossible without it does not need it.
    for r in 0..task.rules.len() {
        let without: Vec<usize> = kept.iter().copied().filter(|k| *k != r).collect();
        if !feasible(task, &without, effort) {
            kept = without;
        }
    }
    Clash {
        rules: kept
            .iter()
            .map(|r| Way {
                rule: *r,
                accepts: nearest(task, *r, effort),
            })
            .collect(),
        class: None,
    }
}

fn program(task: &Task, rules: &[usize]) -> (Program, Vec<Var>) {
    let mut program = Program::default();
    let x: Vec<Var> = task.items.iter().map(|_| program.choice(0.0)).collect();
    ground_rules(task, &mut program, &x);
    for r in rules {
        if let Some(rule) = task.rules.get(*r) {
            rule_as_row(rule, &mut program, &x);
        }
    }
    (program, x)
}

/// An undecided search counts as feasible: no rule is blamed without proof.
fn feasible(task: &Task, rules: &[usize], effort: Effort) -> bool {
    let (program, _) = program(task, rules);
    !matches!(program.solve(effort, None), Answer::Impossible)
}

/// The count nearest to the rule's bounds that all other rules allow.
fn nearest(task: &Task, rule: usize, effort: Effort) -> Option<usize> {
    let others: Vec<usize> = (0..task.rules.len()).filter(|r| *r != rule).collect();
    let bent = task.rules.get(rule)?;
    let (mut program, x) = program(task, &others);
    let most = bent.members.len() as f64;
    let short = program.real(1.0, 0.0, most);
    let over = program.real(1.0, 0.0, most);
    let terms: Vec<(Var, f64)> = bent
        .members
        .iter()
        .filter_map(|i| x.get(*i))
        .map(|v| (*v, 1.0))
        .chain([(short, 1.0), (over, -1.0)])
        .collect();
    program.row(terms, bent.least as f64, bent.most as f64);
    match program.solve(effort, None) {
        Answer::Found { values, .. } => Some(
            bent.members
                .iter()
                .filter_map(|i| x.get(*i).and_then(|v| values.get(*v)))
                .filter(|v| **v > 0.5)
                .count(),
        ),
        Answer::Impossible | Answer::Unknown => None,
    }
}

fn scarce(task: &Task) -> Option<usize> {
    let sites = |keep: &dyn Fn(&Item) -> bool| {
        let mut all: Vec<usize> = task
            .items
            .iter()
            .filter(|i| keep(i))
            .map(|i| i.site)
            .collect();
        all.sort_unstable();
        all.dedup();
        all.len()
    };
    (0..task.classes.len())
        .find(|c| sites(&|i| i.class == *c) < task.classes[*c])
        .or(Some(0))
}

/// "at least 3", "exactly 2", "at most 4", "2 to 3".
pub fn bounds_in_words(rule: &Rule, all: usize) -> String {
    match (rule.least, rule.most) {
        (a, b) if a == b => format!("exactly {a}"),
        (0, b) => format!("at most {b}"),
        (a, b) if b >= all => format!("at least {a}"),
        (a, b) => format!("{a} to {b}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    const EFFORT: Effort = Effort {
        nodes: 2000,
        time: Duration::from_secs(20),
    };

    fn bank(n: usize) -> Vec<Item> {
        (0..n)
            .map(|site| Item {
                site,
                ..Item::default()
            })
            .collect()
    }

    fn rule(members: std::ops::Range<usize>, least: usize, most: usize) -> Rule {
        Rule {
            members: members.collect(),
            least,
            most,
        }
    }

    #[test]
    fn only_the_rules_that_clash_are_named_with_what_they_would_have_to_accept() {
        let task = Task {
            items: bank(10),
            forms: 2,
            classes: vec![4],
            rules: vec![
                rule(0..5, 1, 4),
                rule(0..4, 3, 4),
                rule(5..10, 2, 4),
                rule(2..9, 0, 4),
            ],
            ..Task::default()
        };
        let found = clash(&task, EFFORT);
        assert_eq!(
            found.rules,
            [
                Way {
                    rule: 1,
                    accepts: Some(2)
                },
                Way {
                    rule: 2,
                    accepts: Some(1)
                }
            ]
        );
    }

    #[test]
    fn too_few_sites_are_not_blamed_on_a_rule() {
        let task = Task {
            items: bank(3),
            forms: 1,
            classes: vec![4],
            rules: vec![rule(0..2, 0, 1)],
            ..Task::default()
        };
        let found = clash(&task, EFFORT);
        assert!(found.rules.is_empty());
        assert_eq!(found.class, Some(0));
    }
}
