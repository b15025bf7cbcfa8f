//! Which lesions explain a report, best first: what fits each, what contradicts it, what nobody tested, and what cannot be told apart?

use super::belief::Belief;
use super::hypotheses::{SEVERITIES, Setting, places};
use super::next::{NextTest, next_test, reliable};
use super::observe::{Observation, observation};
use super::pairs::pairs;
use super::told::{Told, log_chance, log_chance_at, log_sum};
use crate::anatomy::Model;
use crate::findings::{Findings, Fixed, derive};
use crate::lesion::Lesion;

/// One answer: its places, at the likeliest of the severities that it sums up.
#[derive(Debug, Clone)]
pub struct Ranked {
    pub lesion: Lesion,
    pub probability: f64,
    /// From 1; answers of one group cannot be told apart by this report.
    pub group: usize,
    pub fits: Vec<Told>,
    pub contradicts: Vec<Told>,
    /// Decisive for this lesion, at the bedside, and not in the report.
    pub untested: Vec<Observation>,
}

#[derive(Debug, Clone)]
pub struct Ranking {
    pub rows: Vec<Ranked>,
    pub next: Option<NextTest>,
    pub verdict: Verdict,
}

/// What the first row is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    Fits,
    /// No listed place explains the report better than chance does.
    NothingFits,
    /// Nothing in the report is abnormal, so nothing in it asks for a lesion.
    NothingAbnormal,
}

/// Fits: the lesion leads one to expect it at least half the time; contradicts: hardly ever.
const FITS: f64 = 0.5;
const CONTRADICTS: f64 = 0.15;
/// A place explains an abnormal finding that it brings about at least this often.
const EXPLAINS: f64 = 0.3;
/// Likelihood ratios of 1 to 2 change a probability "to a small (and rarely important) degree" (Jaeschke R, Guyatt GH, Sackett DL, JAMA
/// 1994;271:703-7, from memory): they part no two answers.
const PARTS: f64 = 2.0;
/// The list ends when this much of the probability is shown, but has at least `LEAST` rows.
const SHOWN: f64 = 0.999;
const LEAST: usize = 10;

/// All places of a model with what each predicts: derived once, for any number of reports.
pub struct Places<'m> {
    model: &'m Model,
    fixed: Vec<Fixed>,
    belief: Belief,
}

/// An answer on its way to a row.
struct Answer {
    /// Its hypotheses, and the likeliest of them.
    first: usize,
    probability: f64,
    /// Logarithm of the chance of the report, averaged over the severities.
    chance: f64,
}

impl<'m> Places<'m> {
    pub fn new(model: &'m Model, setting: Setting, fixed: &[Fixed]) -> Self {
        Places {
            model,
            fixed: fixed.to_vec(),
            belief: Belief::new(model, places(model, setting), fixed),
        }
    }

    /// Ranks everything that may explain the report.
    pub fn rank(&self, told: &[Told]) -> Ranking {
        let model = self.model;
        let pairs = pairs(model, &self.belief, told, &self.fixed);
        let belief = self.belief.and(pairs);
        let chances: Vec<f64> = (0..belief.hypotheses.len())
            .map(|h| log_chance(belief.outcomes(h), told))
            .collect();
        let posterior = posterior(&belief, told, &chances);
        let answers = answers(model, &belief, &chances, &posterior);
        let mut rows: Vec<Ranked> = Vec::new();
        // The chances of the first answer of each group.
        let mut leaders: Vec<f64> = Vec::new();
        let mut shown = 0.0;
        for answer in answers.iter().filter(|a| a.probability > 0.0) {
            if shown >= SHOWN && rows.len() >= LEAST {
                break;
            }
            shown += answer.probability;
            let near = |leader: &f64| (leader - answer.chance).abs() <= PARTS.ln();
            let group = leaders.iter().position(near).unwrap_or_else(|| {
                leaders.push(answer.chance);
                leaders.len() - 1
            });
            rows.push(self.row(&belief, told, answer, group + 1));
        }
        Ranking {
            verdict: self.verdict(told, answers.first(), rows.first()),
            next: next_test(model, &belief, told, &posterior),
            rows,
        }
    }

    fn row(&self, belief: &Belief, told: &[Told], answer: &Answer, group: usize) -> Ranked {
        let outcomes = belief.outcomes(answer.first);
        let lesion = belief.hypotheses[answer.first].lesion.clone();
        let kept = |keep: &dyn Fn(f64) -> bool| -> Vec<Told> {
            let fits = |t: &&Told| keep(t.fit(outcomes));
            told.iter().filter(fits).cloned().collect()
        };
        Ranked {
            probability: answer.probability,
            group,
            fits: kept(&|fit| fit > FITS),
            contradicts: kept(&|fit| fit < CONTRADICTS),
            untested: untested(self.model, &derive(self.model, &lesion, &self.fixed), told),
            lesion,
        }
    }

    /// Chance: what the places of the model lead one to expect on average.
    fn verdict(&self, told: &[Told], first: Option<&Answer>, row: Option<&Ranked>) -> Verdict {
        if !told.iter().any(Told::abnormal) {
            return Verdict::NothingAbnormal;
        }
        let count = self.belief.hypotheses.len() as f64;
        let average = |s| {
            let mut all = [0.0; 4];
            for h in 0..self.belief.hypotheses.len() {
                let row = self.belief.outcomes(h).row(s);
                all.iter_mut().zip(row).for_each(|(a, r)| *a += r / count);
            }
            all
        };
        let better = first.is_some_and(|a| a.chance > log_chance_at(told, average));
        // Half of what is abnormal, at least.
        let agrees = row.is_some_and(|r| {
            let against = r.contradicts.iter().filter(|t| t.abnormal()).count();
            2 * against <= told.iter().filter(|t| t.abnormal()).count()
        });
        if better && agrees {
            Verdict::Fits
        } else {
            Verdict::NothingFits
        }
    }
}

/// Probability of each hypothesis; they add to 1, or are all 0 where none explains anything that is abnormal.
fn posterior(belief: &Belief, told: &[Told], chances: &[f64]) -> Vec<f64> {
    let abnormal: Vec<&Told> = told.iter().filter(|t| t.abnormal()).collect();
    let logs: Vec<f64> = (0..chances.len())
        .map(|h| {
            let explains = |t: &&Told| t.fit(belief.outcomes(h)) >= EXPLAINS;
            if abnormal.is_empty() || abnormal.iter().any(explains) {
                belief.hypotheses[h].prior.ln() + chances[h]
            } else {
                f64::NEG_INFINITY
            }
        })
        .collect();
    let sum = log_sum(logs.iter().copied());
    logs.iter()
        .map(|l| {
            if sum.is_finite() {
                (l - sum).exp()
            } else {
                0.0
            }
        })
        .collect()
}

/// The hypotheses of the same places as one answer, the likeliest answer first; of two that are alike, the commoner.
fn answers(model: &Model, belief: &Belief, chances: &[f64], posterior: &[f64]) -> Vec<Answer> {
    let mut all: Vec<Answer> = Vec::new();
    for (h, answer) in belief.answers().into_iter().enumerate() {
        let chance = chances[h] - (SEVERITIES.len() as f64).ln();
        match all.get_mut(answer) {
            Some(a) => {
                a.probability += posterior[h];
                a.chance = log_sum([a.chance, chance].into_iter());
                if posterior[h] > posterior[a.first] {
                    a.first = h;
                }
            }
            None => all.push(Answer {
                first: h,
                probability: posterior[h],
                chance,
            }),
        }
    }
    let common = |a: &Answer| -> f64 {
        let sites = &belief.hypotheses[a.first].sites;
        sites.iter().map(|&s| model.sites[s].weight).sum()
    };
    let likely = |a: &Answer| (a.probability * 1e9).round();
    all.sort_by(|a, b| {
        likely(b)
            .total_cmp(&likely(a))
            .then_with(|| common(b).total_cmp(&common(a)))
            .then(a.first.cmp(&b.first))
    });
    all
}

fn untested(model: &Model, findings: &Findings, told: &[Told]) -> Vec<Observation> {
    findings
        .all()
        .filter(|f| f.affected() && reliable(model, f.structure))
        .filter(|f| !told.iter().any(|t| t.structures.contains(&f.structure)))
        .filter_map(observation)
        .collect()
}
