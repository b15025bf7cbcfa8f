//! What is the best answer of a small linear program with yes-or-no choices? The one door to the solver.

use microlp::{
    ComparisonOp, Error, OptimizationDirection, Problem, SolveOptions, TerminationReason,
};
use std::time::Duration;

/// A variable, by its place.
pub type Var = usize;

/// Minimise the costs; every row keeps its bounds.
#[derive(Debug, Clone, Default)]
pub struct Program {
    vars: Vec<(f64, Domain)>,
    rows: Vec<Row>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Domain {
    Choice,
    Real(f64, f64),
}

#[derive(Debug, Clone)]
struct Row {
    terms: Vec<(Var, f64)>,
    least: f64,
    most: f64,
}

/// How long the search may go on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Branches looked at. The same number gives the same answer on every machine.
    pub nodes: u64,
    /// A stop for slow machines; an answer that it cut short may differ from run to run.
    pub time: Duration,
}

impl Effort {
    /// These nodes, in the shorter of both times.
    #[must_use]
    pub fn min_time(self, other: Effort) -> Effort {
        Effort {
            time: self.time.min(other.time),
            ..self
        }
    }
}

/// Why the search ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Nothing better exists.
    Proven,
    Nodes,
    Time,
}

impl End {
    /// An end that proves nothing about another answer than its own.
    #[must_use]
    pub fn unproven(self) -> End {
        match self {
            End::Proven => End::Nodes,
            other => other,
        }
    }
}

#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    Found {
        values: Vec<f64>,
        cost: f64,
        /// No answer costs less than this.
        bound: f64,
        end: End,
        nodes: u64,
    },
    /// No answer keeps every row: proven.
    Impossible,
    /// The search ended before an answer was found.
    Unknown,
}

impl Program {
    /// A yes-or-no choice.
    pub fn choice(&mut self, cost: f64) -> Var {
        self.vars.push((cost, Domain::Choice));
        self.vars.len() - 1
    }

    /// A number from `least` to `most`.
    pub fn real(&mut self, cost: f64, least: f64, most: f64) -> Var {
        self.vars.push((cost, Domain::Real(least, most)));
        self.vars.len() - 1
    }

    /// `least <= sum of terms <= most`; either may be infinite.
    pub fn row(&mut self, terms: Vec<(Var, f64)>, least: f64, most: f64) {
        self.rows.push(Row { terms, least, most });
    }

    pub fn set_cost(&mut self, var: Var, cost: f64) {
        if let Some(v) = self.vars.get_mut(var) {
            v.0 = cost;
        }
    }

    /// Solves; `start` holds a value for every variable of an answer that is already known.
    pub fn solve(&self, effort: Effort, start: Option<&[f64]>) -> Answer {
        let mut problem = Problem::new(OptimizationDirection::Minimize);
        let vars: Vec<microlp::Variable> = self
            .vars
            .iter()
            .map(|(cost, domain)| match domain {
                Domain::Choice => problem.add_binary_var(*cost),
                Domain::Real(least, most) => problem.add_var(*cost, (*least, *most)),
            })
            .collect();
        for row in &self.rows {
            let terms: Vec<(microlp::Variable, f64)> = row
                .terms
                .iter()
                .filter_map(|(v, c)| vars.get(*v).map(|v| (*v, *c)))
                .collect();
            if row.least == row.most {
                problem.add_constraint(&terms[..], ComparisonOp::Eq, row.least);
                continue;
            }
            if row.least.is_finite() {
                problem.add_constraint(&terms[..], ComparisonOp::Ge, row.least);
            }
            if row.most.is_finite() {
                problem.add_constraint(&terms[..], ComparisonOp::Le, row.most);
            }
        }
        let mut options = SolveOptions::default();
        options.node_limit = Some(effort.nodes);
        options.time_limit = Some(effort.time);
        options.warm_start =
            start.map(|values| vars.iter().copied().zip(values.iter().copied()).collect());
        match problem.solve_with(options) {
            Ok(outcome) => match outcome.solution() {
                Some(solution) => {
                    let end = match outcome.termination_reason() {
                        TerminationReason::TimeLimit => End::Time,
                        TerminationReason::NodeLimit => End::Nodes,
                        _ => End::Proven,
                    };
                    let cost = solution.objective();
                    Answer::Found {
                        values: vars.iter().map(|v| solution.var_value(*v)).collect(),
                        cost,
                        bound: match end {
                            End::Proven => cost,
                            _ => solution.stats().best_bound.unwrap_or(0.0).min(cost),
                        },
                        end,
                        nodes: solution.stats().nodes_solved,
                    }
                }
                None => Answer::Unknown,
            },
            Err(Error::Infeasible) => Answer::Impossible,
            // A numerical failure is no proof of anything.
            Err(_) => Answer::Unknown,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const EFFORT: Effort = Effort {
        nodes: 10_000,
        time: Duration::from_secs(20),
    };

    #[test]
    fn a_knapsack_is_packed_as_by_trying_everything() {
        let (worth, weight) = ([6.0, 10.0, 12.0, 7.0, 3.0], [1.0, 2.0, 3.0, 2.0, 1.0]);
        let mut program = Program::default();
        let vars: Vec<Var> = worth.iter().map(|w| program.choice(-w)).collect();
        program.row(
            vars.iter().copied().zip(weight).collect(),
            f64::NEG_INFINITY,
            5.0,
        );
        let best = (0u32..32)
            .filter(|m| {
                (0..5)
                    .filter(|i| m >> i & 1 == 1)
                    .map(|i| weight[i])
                    .sum::<f64>()
                    <= 5.0
            })
            .map(|m| {
                (0..5)
                    .filter(|i| m >> i & 1 == 1)
                    .map(|i| worth[i])
                    .sum::<f64>()
            })
            .fold(0.0, f64::max);
        let Answer::Found {
            cost, bound, end, ..
        } = program.solve(EFFORT, None)
        else {
            panic!("an answer exists");
        };
        assert!(
            (cost + best).abs() < 1e-6 && (bound - cost).abs() < 1e-9,
            "{cost} {best}"
        );
        assert_eq!(end, End::Proven);
    }

    #[test]
    fn what_cannot_be_is_proven_so() {
        let mut program = Program::default();
        let a = program.choice(0.0);
        let b = program.choice(0.0);
        program.row(vec![(a, 1.0), (b, 1.0)], 2.0, 2.0);
        program.row(vec![(a, 1.0), (b, 1.0)], f64::NEG_INFINITY, 1.0);
        assert_eq!(program.solve(EFFORT, None), Answer::Impossible);
    }
}
