//! How did each station do? Mean, spread, pass marks, fails, and what it adds to its form.

use super::borderline::{self, FEW, LEAST, Refused, Regression};
use super::judgements::{Judged, Judgements};
use super::reliability::alpha_without;
use super::table::Day;
use super::tallies::{LAST_PROMPTS, QuestionTally, questions};
use crate::circuit::blueprint::Cut;
use crate::circuit::report::{KeyForm, KeyStation};
use crate::diagnostic::Problem;
use serde::Serialize;

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StationResult {
    pub code: String,
    pub form: String,
    /// Candidates who were marked.
    pub n: usize,
    pub max: u32,
    pub mean: Option<f64>,
    /// Standard deviation, on n - 1 degrees of freedom.
    pub sd: Option<f64>,
    pub cuts: Cuts,
    /// By the blueprint's way of setting the pass mark.
    pub failed: Option<usize>,
    pub alpha_if_left_out: Option<f64>,
    /// For each question and last prompt, of the candidates whose questions were marked one by one.
    pub prompts: Vec<PromptResult>,
}

/// What candidates won of a question who needed this prompt last.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PromptResult {
    /// From 1.
    pub question: usize,
    /// "none", "clarify", "probe" or "lead".
    pub last_prompt: &'static str,
    pub n: usize,
    pub mean: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Cuts {
    pub borderline_regression: Option<Regression>,
    pub borderline_group: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub angoff: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ebel: Option<f64>,
}

impl Cuts {
    pub fn by(&self, way: Cut) -> Option<f64> {
        match way {
            Cut::BorderlineRegression => self.borderline_regression.map(|r| r.cut),
            Cut::BorderlineGroup => self.borderline_group,
            Cut::Angoff => self.angoff,
            Cut::Ebel => self.ebel,
        }
    }
}

/// Marks that differ by rounding alone are equal.
pub const EQUAL: f64 = 1e-9;

/// The stations of one form in the order of its route. `rows` are the candidates with marks at all of them.
pub fn stations(
    day: &Day<'_>,
    number: usize,
    rows: &[Vec<f64>],
    judged: &Judgements,
    problems: &mut Vec<Problem>,
) -> Vec<StationResult> {
    let Some(form) = day.key.forms.get(number) else {
        return Vec::new();
    };
    let mut told = Told::default();
    let mut all = Vec::new();
    for (at, (_, index)) in form.route.iter().enumerate() {
        let Some(station) = day.key.stations.get(*index) else {
            continue;
        };
        let marks: Vec<f64> = day.at(number, *index).map(|e| e.marks).collect();
        let points: Vec<(f64, f64)> = day
            .at(number, *index)
            .filter_map(|e| Some((e.grade? as f64, e.marks)))
            .collect();
        let regression = borderline::regression(&points, day.border());
        told.note(station, points.len(), &regression);
        let of = |all: &std::collections::BTreeMap<usize, Judged>| all.get(index).map(|j| j.cut);
        let cuts = Cuts {
            borderline_regression: regression.ok(),
            borderline_group: borderline::group(&points, day.border()),
            angoff: of(&judged.angoff),
            ebel: of(&judged.ebel),
        };
        let cut = cuts.by(day.key.passing.cut);
        told.cut(station, cut);
        let fails = |cut: f64| marks.iter().filter(|m| **m < cut - EQUAL).count();
        all.push(StationResult {
            code: station.code.clone(),
            form: form.group.clone(),
            n: marks.len(),
            max: station.marks,
            mean: mean(&marks),
            sd: spread(&marks),
            failed: cut.map(fails),
            cuts,
            alpha_if_left_out: alpha_without(rows, at),
            prompts: prompts(day, number, *index),
        });
    }
    told.problems(form, day.key.passing.cut, problems);
    all
}

fn prompts(day: &Day<'_>, form: usize, station: usize) -> Vec<PromptResult> {
    let of = |(number, tally): (usize, QuestionTally)| {
        let each = LAST_PROMPTS.into_iter().zip(tally.prompts);
        each.map(move |(last_prompt, (n, marks))| PromptResult {
            question: number + 1,
            last_prompt,
            n,
            mean: (n > 0).then(|| marks / n as f64),
        })
    };
    let all = questions(day, form, station).into_iter().enumerate();
    all.flat_map(of).collect()
}

pub fn mean(all: &[f64]) -> Option<f64> {
    (!all.is_empty()).then(|| all.iter().sum::<f64>() / all.len() as f64)
}

pub fn spread(all: &[f64]) -> Option<f64> {
    let middle = mean(all)?;
    let squares: f64 = all.iter().map(|m| (m - middle).powi(2)).sum();
    (all.len() > 1).then(|| (squares / (all.len() as f64 - 1.0)).sqrt())
}

/// What is to be told of the stations of a form, by its reason.
#[derive(Default)]
struct Told {
    too_few: Vec<String>,
    few: Vec<String>,
    one_grade: Vec<String>,
    falls: Vec<String>,
    without: Vec<String>,
    outside: Vec<String>,
}

impl Told {
    fn note(&mut self, station: &KeyStation, n: usize, regression: &Result<Regression, Refused>) {
        let list = match regression {
            Err(Refused::TooFew) => &mut self.too_few,
            Err(Refused::OneGrade) => &mut self.one_grade,
            Err(Refused::FallsOrFlat) => &mut self.falls,
            Ok(_) if n < FEW => &mut self.few,
            Ok(_) => return,
        };
        list.push(format!("{} ({n})", station.code));
    }

    fn cut(&mut self, station: &KeyStation, cut: Option<f64>) {
        match cut {
            None => self.without.push(station.code.clone()),
            Some(cut) if !(0.0..=f64::from(station.marks)).contains(&cut) => {
                self.outside
                    .push(format!("{} ({cut:.2} of {})", station.code, station.marks));
            }
            Some(_) => {}
        }
    }

    fn problems(self, form: &KeyForm, way: Cut, problems: &mut Vec<Problem>) {
        let by_regression = way == Cut::BorderlineRegression;
        let mut say = |list: &[String], what: String, hint: &str| {
            if !list.is_empty() {
                let which = match list.len() > 1 && list.len() == form.route.len() {
                    true => format!("all {} stations", list.len()),
                    false => list.join(", "),
                };
                let message = format!("form {}: {what}: {which}", form.group);
                problems.push(Problem::new(message).hint(hint));
            }
        };
        if by_regression {
            say(
                &self.too_few,
                format!("no borderline regression with fewer than {LEAST} rated candidates"),
                "let judges set the pass mark: `passing: {cut: angoff}` in the blueprint and --judgements",
            );
            say(
                &self.few,
                format!("with fewer than {FEW} rated candidates the pass mark is uncertain"),
                "look at its standard error before anybody is failed",
            );
            say(
                &self.one_grade,
                "no borderline regression where all have one grade".to_string(),
                "look at the ratings; else let judges set the pass mark",
            );
            say(
                &self.falls,
                "no borderline regression where better grades go with no more marks".to_string(),
                "look whether grades were entered upside down: 1 is the worst",
            );
        } else {
            say(
                &self.without,
                "no pass mark is known".to_string(),
                match way {
                    Cut::Angoff | Cut::Ebel => {
                        "name the file of the judges with --judgements, with all stations"
                    }
                    _ => {
                        "nobody has the borderline grade here: choose another `cut:` under `passing:`"
                    }
                },
            );
        }
        say(
            &self.outside,
            "the pass mark lies outside the marks that can be had".to_string(),
            "look at the ratings of these stations before the pass mark is used",
        );
    }
}
