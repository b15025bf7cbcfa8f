//! What is printed about the day as a whole? Rows of the report, with figures as they are read.

use super::hofstee::hofstee;
use super::judgements::Judgements;
use super::reliability::with_rest;
use super::results::{Results, Told, Verdict};
use super::seat_plan::seat_plan;
use super::stations::StationResult;
use super::table::Day;
use crate::circuit::blueprint::Cut;
use serde::Serialize;
use std::collections::BTreeMap;

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MarksReport {
    pub head: DayHead,
    /// Id of the way in which the pass marks were set.
    pub way: &'static str,
    /// Empty: none are added.
    pub errors: String,
    pub least_stations: usize,
    pub forms: Vec<FormRow>,
    pub stations: Vec<StationRow>,
    pub examiners: Vec<ExaminerRow>,
    /// Degrees of freedom that the examiners' errors rest on.
    pub freedom: usize,
    pub exchanges: Vec<[String; 2]>,
    pub candidates: Vec<CandidateRow>,
    pub problems: Vec<Told>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DayHead {
    pub title: String,
    pub place: String,
    pub date: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormRow {
    pub id: String,
    pub n: usize,
    /// Candidates in all.
    pub all: usize,
    pub stations: usize,
    pub cut: String,
    pub passed: usize,
    pub failed: usize,
    pub open: usize,
    pub alpha: String,
    pub sem: String,
    pub absolute: String,
    pub variance: [String; 3],
    /// Stations for the relative and the absolute coefficient.
    pub needed: [String; 2],
    /// Pass mark and share of fails of the compromise, in per cent; empty where none was asked for.
    pub hofstee: Vec<String>,
    /// The pass mark that was set, in per cent.
    pub cut_percent: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StationRow {
    pub form: String,
    pub code: String,
    pub n: usize,
    pub max: u32,
    pub mean: String,
    pub sd: String,
    pub regression: String,
    pub se: String,
    pub slope: String,
    pub r2: String,
    pub group: String,
    pub angoff: String,
    pub ebel: String,
    pub failed: String,
    pub alpha: String,
    pub rest: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExaminerRow {
    pub id: String,
    pub marks: usize,
    pub estimable: bool,
    pub effect: String,
    pub se: String,
    /// Number of the set from 1; 0: none.
    pub set: usize,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CandidateRow {
    pub id: String,
    pub form: String,
    pub total: String,
    pub max: u32,
    pub percent: String,
    pub stations_passed: String,
    pub danger: usize,
    pub result: Verdict,
}

/// "2.50"; a dash where there is none.
pub fn fixed(value: Option<f64>, digits: usize) -> String {
    let shown = |v: f64| {
        let text = format!("{v:.digits$}");
        // Neither "-0.00" nor a hyphen for a minus.
        match text
            .trim_start_matches('-')
            .bytes()
            .all(|b| b == b'0' || b == b'.')
        {
            true => text.trim_start_matches('-').to_string(),
            false => text.replace('-', "\u{2212}"),
        }
    };
    value.map_or_else(|| "\u{2013}".to_string(), shown)
}

pub fn day_head(day: &Day<'_>) -> DayHead {
    DayHead {
        title: day.key.title.clone(),
        place: day.key.place.clone(),
        date: day.key.date.clone(),
    }
}

pub fn report(day: &Day<'_>, results: &Results, judged: &Judgements) -> MarksReport {
    let way = day.key.passing.cut;
    MarksReport {
        head: day_head(day),
        way: Cut::ALL
            .iter()
            .find(|(_, c)| *c == way)
            .map_or("", |(id, _)| id),
        errors: match day.key.passing.errors > 0.0 {
            true => day.key.passing.errors.to_string(),
            false => String::new(),
        },
        least_stations: day.key.passing.stations,
        forms: (0..results.forms.len())
            .filter_map(|f| form(day, results, judged, f))
            .collect(),
        stations: station_rows(day, results),
        examiners: examiner_rows(results),
        freedom: results.stringency.freedom,
        exchanges: exchanges(day, results),
        candidates: candidate_rows(day, results),
        problems: results.problems.clone(),
    }
}

fn form(day: &Day<'_>, results: &Results, judged: &Judgements, number: usize) -> Option<FormRow> {
    let form = results.forms.get(number)?;
    let route = &day.key.forms.get(number)?.route;
    let own: BTreeMap<&str, _> = results
        .candidates
        .iter()
        .map(|c| (c.id.as_str(), c))
        .collect();
    let ids = day
        .of_form(number)
        .filter_map(|c| day.key.candidates.get(c));
    let of_form: Vec<_> = ids.filter_map(|c| own.get(c.id.as_str())).collect();
    let with = |verdict: Verdict| of_form.iter().filter(|c| c.result == verdict).count();
    let max: u32 = route
        .iter()
        .filter_map(|(_, s)| day.key.stations.get(*s))
        .map(|s| s.marks)
        .sum();
    let percent = |marks: f64| 100.0 * marks / f64::from(max.max(1));
    let sums: Vec<f64> = day
        .rows(number)
        .iter()
        .map(|r| percent(r.iter().sum()))
        .collect();
    let met = judged.hofstee.map(|bounds| hofstee(&sums, bounds));
    let table = results.crossed.get(number).copied().flatten();
    let needed = table.and_then(|t| t.stations_needed());
    let v = form.variance;
    Some(FormRow {
        id: form.id.clone(),
        n: form.n,
        all: of_form.len(),
        stations: form.stations,
        cut: fixed(form.cut, 2),
        passed: form.passed,
        failed: with(Verdict::Fail),
        open: with(Verdict::Open),
        alpha: fixed(form.alpha, 3),
        sem: fixed(form.sem, 2),
        absolute: fixed(form.absolute, 3),
        variance: [
            v.map(|v| v.candidate),
            v.map(|v| v.station),
            v.map(|v| v.rest),
        ]
        .map(|v| fixed(v, 3)),
        needed: [0, 1].map(|i| needed.map_or_else(|| fixed(None, 0), |n| n[i].to_string())),
        hofstee: met.map_or_else(Vec::new, |met| {
            vec![fixed(met.map(|m| m[0]), 1), fixed(met.map(|m| m[1]), 1)]
        }),
        cut_percent: fixed(form.cut.map(percent), 1),
    })
}

fn station_rows(day: &Day<'_>, results: &Results) -> Vec<StationRow> {
    let mut all = Vec::new();
    for (number, form) in day.key.forms.iter().enumerate() {
        let rows = day.rows(number);
        let of_form = results.stations.iter().filter(|s| s.form == form.group);
        all.extend(
            of_form
                .enumerate()
                .map(|(at, s)| station_row(s, with_rest(&rows, at))),
        );
    }
    all
}

pub fn station_row(s: &StationResult, rest: Option<f64>) -> StationRow {
    let line = s.cuts.borderline_regression;
    StationRow {
        form: s.form.clone(),
        code: s.code.clone(),
        n: s.n,
        max: s.max,
        mean: fixed(s.mean, 2),
        sd: fixed(s.sd, 2),
        regression: fixed(line.map(|l| l.cut), 2),
        se: fixed(line.map(|l| l.se), 2),
        slope: fixed(line.map(|l| l.slope), 2),
        r2: fixed(line.map(|l| l.r2), 2),
        group: fixed(s.cuts.borderline_group, 2),
        angoff: fixed(s.cuts.angoff, 2),
        ebel: fixed(s.cuts.ebel, 2),
        failed: s.failed.map_or_else(|| fixed(None, 0), |f| f.to_string()),
        alpha: fixed(s.alpha_if_left_out, 3),
        rest: fixed(rest, 2),
    }
}

fn examiner_rows(results: &Results) -> Vec<ExaminerRow> {
    let both = results.examiners.iter().zip(&results.stringency.effects);
    both.map(|(e, fit)| ExaminerRow {
        id: e.id.clone(),
        marks: fit.marks,
        estimable: e.estimable,
        effect: fixed(e.effect, 2),
        se: fixed(e.se, 2),
        set: fit.set.map_or(0, |set| set + 1),
    })
    .collect()
}

/// By id, who exchanges with whom next time.
fn exchanges(day: &Day<'_>, results: &Results) -> Vec<[String; 2]> {
    let mut sat: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for entry in day.entries {
        if let Some(examiner) = entry.examiner {
            *sat.entry((examiner, entry.station)).or_default() += 1;
        }
    }
    let mut homes: Vec<Option<(usize, usize)>> = vec![None; day.key.examiners.len()];
    for ((examiner, station), times) in sat {
        if let Some(home) = homes.get_mut(examiner)
            && home.is_none_or(|(most, _)| times > most)
        {
            *home = Some((times, station));
        }
    }
    let homes: Vec<Option<usize>> = homes.into_iter().map(|h| h.map(|(_, s)| s)).collect();
    let id = |at: usize| {
        day.key
            .examiners
            .get(at)
            .map_or_else(String::new, |e| e.id.clone())
    };
    let effects = results.stringency.effects.iter().enumerate();
    let there: Vec<usize> = effects
        .filter(|(_, e)| e.marks > 0)
        .map(|(at, _)| at)
        .collect();
    let plan = seat_plan(&results.stringency.information, &there, &homes);
    plan.iter().map(|pair| [id(pair.0), id(pair.1)]).collect()
}

fn candidate_rows(day: &Day<'_>, results: &Results) -> Vec<CandidateRow> {
    let both = day.key.candidates.iter().zip(&results.candidates);
    both.map(|(key, c)| CandidateRow {
        id: c.id.clone(),
        form: day
            .key
            .forms
            .get(key.form)
            .map_or_else(String::new, |f| f.group.clone()),
        total: c.total.to_string(),
        max: c.max,
        percent: fixed((c.max > 0).then(|| 100.0 * c.total / f64::from(c.max)), 1),
        stations_passed: c
            .stations_passed
            .map_or_else(|| fixed(None, 0), |p| p.to_string()),
        danger: c.danger,
        result: c.result,
    })
    .collect()
}
