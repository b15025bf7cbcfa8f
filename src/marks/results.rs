//! What came of the day? Stations, forms, examiners and candidates, as one object for other programs and for the report.

use super::judgements::Judgements;
use super::reliability::{Crossed, Variance, crossed};
use super::sheet::{Marked, Status};
use super::stations::{EQUAL, StationResult, stations};
use super::stringency::{Given, Stringency, stringency};
use super::table::Day;
use crate::circuit::blueprint::Then;
use crate::diagnostic::Problem;
use serde::Serialize;

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Results {
    pub stations: Vec<StationResult>,
    pub forms: Vec<FormResult>,
    pub examiners: Vec<ExaminerResult>,
    pub candidates: Vec<CandidateResult>,
    pub problems: Vec<Told>,
    /// By form.
    #[serde(skip)]
    pub crossed: Vec<Option<Crossed>>,
    #[serde(skip)]
    pub stringency: Stringency,
}

/// Alpha, components and coefficients rest on the candidates with marks at every station.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormResult {
    pub id: String,
    /// Candidates with marks at every station.
    pub n: usize,
    pub stations: usize,
    pub alpha: Option<f64>,
    /// Standard error of measurement of the sum, in marks.
    pub sem: Option<f64>,
    pub variance: Option<Variance>,
    pub relative: Option<f64>,
    pub absolute: Option<f64>,
    /// Sum of the stations' pass marks, and the chosen number of standard errors.
    pub cut: Option<f64>,
    pub passed: usize,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExaminerResult {
    pub id: String,
    /// False: what they give cannot be parted from the station they sit at.
    pub estimable: bool,
    pub effect: Option<f64>,
    pub se: Option<f64>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CandidateResult {
    pub id: String,
    pub total: f64,
    /// What could be had, without void stations.
    pub max: u32,
    /// None while a pass mark is missing.
    pub stations_passed: Option<usize>,
    pub danger: usize,
    pub result: Verdict,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    Pass,
    Fail,
    /// The board decides, or marks are missing.
    Open,
}

/// What has to be looked at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Told {
    /// Row and column of the mark sheet, where there is one.
    pub row: Option<usize>,
    pub column: Option<usize>,
    pub message: String,
    pub hint: String,
}

impl From<&Problem> for Told {
    fn from(problem: &Problem) -> Self {
        Told {
            row: problem.place.as_ref().map(|p| p.line),
            column: problem.place.as_ref().map(|p| p.column),
            message: problem.message.clone(),
            hint: problem.hint.clone(),
        }
    }
}

pub fn results(day: &Day<'_>, marked: &Marked, judged: &Judgements) -> Results {
    let mut problems = marked.missing.clone();
    let mut all_stations = Vec::new();
    let mut forms = Vec::new();
    let mut of_forms = Vec::new();
    let mut candidates: Vec<Option<CandidateResult>> = vec![None; day.key.candidates.len()];
    for (number, form) in day.key.forms.iter().enumerate() {
        let rows = day.rows(number);
        let table = crossed(&rows);
        let of_form = stations(day, number, &rows, judged, &mut problems);
        let bar = Bar::of(day, &of_form, table);
        for candidate in day.of_form(number) {
            candidates[candidate] = Some(judge(day, number, candidate, &bar));
        }
        let passed = |c: usize| matches!(&candidates[c], Some(r) if r.result == Verdict::Pass);
        note_variance(&form.group, table, &mut problems);
        forms.push(FormResult {
            id: form.group.clone(),
            n: rows.len(),
            stations: form.route.len(),
            alpha: table.and_then(|t| t.alpha()),
            sem: table.map(|t| t.error_of_sum(t.stations)),
            variance: table.map(|t| t.variance()),
            relative: table.and_then(|t| t.alpha()),
            absolute: table.and_then(|t| t.absolute()),
            cut: bar.of_sum(&vec![true; form.route.len()]),
            passed: day.of_form(number).filter(|c| passed(*c)).count(),
        });
        of_forms.push(table);
        all_stations.extend(of_form);
    }
    let fit = of_examiners(day);
    let examiners = examiners(day, &fit, &mut problems);
    Results {
        stations: all_stations,
        forms,
        examiners,
        candidates: candidates.into_iter().flatten().collect(),
        problems: problems.iter().map(Told::from).collect(),
        crossed: of_forms,
        stringency: fit,
    }
}

/// What candidates of a form are measured against.
struct Bar {
    /// By position on the route.
    cuts: Vec<Option<f64>>,
    errors: f64,
    table: Option<Crossed>,
}

impl Bar {
    fn of(day: &Day<'_>, stations: &[StationResult], table: Option<Crossed>) -> Self {
        Bar {
            cuts: stations
                .iter()
                .map(|s| s.cuts.by(day.key.passing.cut))
                .collect(),
            errors: day.key.passing.errors,
            table,
        }
    }

    /// The least sum over the stations that count. None when a pass mark or the error is not known.
    fn of_sum(&self, counts: &[bool]) -> Option<f64> {
        let of: Vec<f64> = self
            .cuts
            .iter()
            .zip(counts)
            .filter(|(_, counts)| **counts)
            .map(|(cut, _)| *cut)
            .collect::<Option<_>>()?;
        let on_top = match self.errors > 0.0 {
            true => self.errors * self.table?.error_of_sum(of.len()),
            false => 0.0,
        };
        Some(of.iter().sum::<f64>() + on_top)
    }
}

/// A candidate who was absent, or whose marks are not all there, stays open. Void stations count for neither side.
fn judge(day: &Day<'_>, form: usize, candidate: usize, bar: &Bar) -> CandidateResult {
    let key = day.key;
    let route = key.forms.get(form).map_or(&[][..], |f| &f.route);
    let entries: Vec<_> = route
        .iter()
        .map(|(_, s)| day.entry(candidate, *s))
        .collect();
    let counts: Vec<bool> = entries
        .iter()
        .map(|e| e.is_none_or(|e| e.status != Status::Void))
        .collect();
    let there = |status: Status| {
        entries
            .iter()
            .flatten()
            .filter(|e| e.status == status)
            .count()
    };
    let whole =
        there(Status::Present) + there(Status::Void) == route.len() && there(Status::Present) > 0;
    let marks = |e: &Option<&super::sheet::Entry>| {
        e.filter(|e| e.status == Status::Present).map(|e| e.marks)
    };
    // Nothing adds up to minus nought.
    let total = entries.iter().filter_map(marks).fold(0.0, |a, b| a + b);
    let max = route
        .iter()
        .zip(&counts)
        .filter(|(_, counts)| **counts)
        .filter_map(|((_, s), _)| key.stations.get(*s))
        .map(|s| s.marks)
        .sum();
    let known = bar
        .cuts
        .iter()
        .zip(&counts)
        .all(|(cut, counts)| cut.is_some() || !counts);
    let over = |(e, cut): (&Option<&_>, &Option<f64>)| match (marks(e), cut) {
        (Some(marks), Some(cut)) => marks >= cut - EQUAL,
        _ => false,
    };
    let passed = entries
        .iter()
        .zip(&bar.cuts)
        .filter(|pair| over(*pair))
        .count();
    let danger = entries.iter().flatten().filter(|e| e.danger).count();
    let least = key.passing.stations;
    let result = match (whole, bar.of_sum(&counts)) {
        (true, Some(cut)) => {
            let too_dangerous = key.passing.danger.filter(|rule| danger > rule.most);
            if total < cut - EQUAL || passed + there(Status::Void) < least {
                Verdict::Fail
            } else if let Some(rule) = too_dangerous {
                match rule.then {
                    Then::Fail => Verdict::Fail,
                    Then::Open => Verdict::Open,
                }
            } else if passed < least {
                // The void stations could have made the number.
                Verdict::Open
            } else {
                Verdict::Pass
            }
        }
        _ => Verdict::Open,
    };
    CandidateResult {
        id: key
            .candidates
            .get(candidate)
            .map_or_else(String::new, |c| c.id.clone()),
        total,
        max,
        stations_passed: known.then_some(passed),
        danger,
        result,
    }
}

fn note_variance(form: &str, table: Option<Crossed>, problems: &mut Vec<Problem>) {
    let Some(table) = table else {
        let message = format!(
            "form {form}: no alpha, for fewer than two candidates have marks at two stations or more"
        );
        problems.push(
            Problem::new(message)
                .hint("the coefficients need candidates with marks at every station"),
        );
        return;
    };
    if table.alpha().is_none() {
        let message = format!("form {form}: no alpha, for all candidates have the same sum");
        problems.push(
            Problem::new(message).hint("look whether the marks of one candidate were copied down"),
        );
    }
    let v = table.variance();
    for (name, value) in [("candidates", v.candidate), ("stations", v.station)] {
        if value < 0.0 {
            let message = format!(
                "form {form}: the variance between {name} is estimated below zero ({value:.3})"
            );
            problems.push(
                Problem::new(message).hint("read it as none: the rest of the variance covers it"),
            );
        }
    }
}

fn of_examiners(day: &Day<'_>) -> Stringency {
    let given: Vec<Given> = day
        .entries
        .iter()
        .filter(|e| e.status == Status::Present)
        .filter_map(|e| {
            Some(Given {
                candidate: e.candidate,
                station: e.station,
                examiner: e.examiner?,
                mark: e.marks,
            })
        })
        .collect();
    stringency(&given, day.key.stations.len(), day.key.examiners.len())
}

fn examiners(day: &Day<'_>, fit: &Stringency, problems: &mut Vec<Problem>) -> Vec<ExaminerResult> {
    let both = || day.key.examiners.iter().zip(&fit.effects);
    let bound: Vec<&str> = both()
        .filter(|(_, e)| e.marks > 0 && e.set.is_none())
        .map(|(k, _)| k.id.as_str())
        .collect();
    if let ([only], None) = (bound.as_slice(), fit.effects.iter().find_map(|e| e.set)) {
        problems.push(
            Problem::new(format!(
                "no stringency: {only} marked everything that can be compared"
            ))
            .hint("name a second examiner for some candidates of each station"),
        );
    } else if !bound.is_empty() {
        let message = format!(
            "what these examiners give cannot be parted from the station: {}",
            bound.join(", ")
        );
        problems.push(
            Problem::new(message).hint("let examiners change stations between candidates next time; the seat plan shows the fewest changes"),
        );
    }
    let sets = fit
        .effects
        .iter()
        .filter_map(|e| e.set)
        .max()
        .map_or(0, |most| most + 1);
    if sets > 1 {
        let of = |set: usize| {
            let ids: Vec<&str> = both()
                .filter(|(_, e)| e.set == Some(set))
                .map(|(k, _)| k.id.as_str())
                .collect();
            ids.join(", ")
        };
        let all: Vec<String> = (0..sets).map(of).collect();
        problems.push(
            Problem::new(format!(
                "examiners can be compared only within {sets} sets: {}",
                all.join(" | ")
            ))
            .hint("each effect is the difference from the mean of its own set"),
        );
    }
    both()
        .map(|(k, e)| ExaminerResult {
            id: k.id.clone(),
            estimable: e.set.is_some(),
            effect: e.effect,
            se: e.se,
        })
        .collect()
}
