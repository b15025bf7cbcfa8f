//! Which region do the findings of a report speak of, and what do they say of it?

use super::args::Shared;
use super::{content, print, region};
use crate::anatomy::{self, Model, regions};
use crate::diagnostic::{Failure, Place, Problem, short};
use crate::files::{Content, read_text};
use crate::localise::{self, Names, Statement, Told};
use std::path::Path;

/// A statement and where it stands, if it comes from a file.
type Placed = (Statement, Option<Place>);

/// One region's reading of all statements.
struct Reading {
    model: Model,
    told: Vec<Result<Told, Problem>>,
}

impl Reading {
    fn of(content: &Content, region: &str, statements: &[Placed]) -> Result<Self, Failure> {
        let model = anatomy::load_undrawn(content, region)?;
        let names = Names::of(&model);
        let told = statements
            .iter()
            .map(|(statement, _)| localise::read(&model, &names, statement))
            .collect();
        Ok(Reading { model, told })
    }

    fn understood(&self) -> usize {
        self.told.iter().filter(|t| t.is_ok()).count()
    }
}

/// The region that the findings speak of, with what they say.
///
/// # Errors
/// Exit code 2 when a statement is understood in no region, contradicts another, or the findings point to both limbs.
pub fn understood(shared: &Shared, findings: &[String]) -> Result<(Model, Vec<Told>), Failure> {
    let statements = statements(findings)?;
    let content = content(shared)?;
    // The region that is meant, first: where findings fit several, it decides.
    let meant = region(&content, shared)?;
    let others = regions(&content).into_iter().filter(|r| *r != meant);
    let mut readings: Vec<Reading> = Vec::new();
    for region in std::iter::once(meant.clone()).chain(others) {
        let reading = Reading::of(&content, &region, &statements)?;
        if reading.understood() == statements.len() {
            // A region that was named is not left for another.
            if shared.region.is_none() || readings.is_empty() {
                return told(reading, &statements);
            }
        }
        readings.push(reading);
    }
    if shared.region.is_some() {
        return narrowed(readings, &statements);
    }
    let nowhere = |k: &usize| readings.iter().all(|r| r.told[*k].is_err());
    match (0..statements.len()).find(nowhere) {
        Some(k) => {
            // The region that understands most of the rest knows best which words are near.
            let best = readings.into_iter().rev().max_by_key(Reading::understood);
            Err(best
                .and_then(|r| problem(r, k, &statements))
                .unwrap_or_else(nothing))
        }
        None => Err(both(&readings)),
    }
}

/// Only the findings of the region that `--region` names; the others are set aside, and that is said.
fn narrowed(readings: Vec<Reading>, statements: &[Placed]) -> Result<(Model, Vec<Told>), Failure> {
    let Some((first, others)) = readings.split_first() else {
        return Err(nothing());
    };
    let mut aside = Vec::new();
    for k in 0..statements.len() {
        if first.told[k].is_ok() {
            continue;
        }
        let other = others.iter().find(|r| r.told[k].is_ok());
        match other.and_then(|r| Some((&r.model.label, r.told[k].as_ref().ok()?.text()))) {
            Some((_, told)) if first.understood() > 0 => aside.push(told),
            Some((label, told)) => {
                return Err(Failure::usage(
                    Problem::new(format!(
                        "`{told}` is a finding of the {label}, not of the {}",
                        first.model.label
                    ))
                    .hint("leave --region out, or name the region of the findings"),
                ));
            }
            None => {
                let first = readings.into_iter().next();
                let problem = first.and_then(|r| problem(r, k, statements));
                return Err(problem.unwrap_or_else(nothing));
            }
        }
    }
    print::note(&format!(
        "set aside, because the {} has nothing of that name: {}",
        first.model.label,
        aside.join(", ")
    ));
    let kept: Vec<Placed> = statements
        .iter()
        .zip(&first.told)
        .filter(|(_, told)| told.is_ok())
        .map(|(s, _)| s.clone())
        .collect();
    let mut first = readings.into_iter().next().ok_or_else(nothing)?;
    first.told.retain(Result::is_ok);
    told(first, &kept)
}

/// Each statement once.
fn told(reading: Reading, statements: &[Placed]) -> Result<(Model, Vec<Told>), Failure> {
    let mut all = Vec::new();
    for (told, (_, place)) in reading.told.into_iter().zip(statements) {
        let added = told.and_then(|told| localise::add(&mut all, told));
        added.map_err(|p| Failure::usage(placed(p, place.clone())))?;
    }
    if all.is_empty() {
        return Err(nothing());
    }
    Ok((reading.model, all))
}

fn both(readings: &[Reading]) -> Failure {
    let sides: Vec<String> = readings
        .iter()
        .filter_map(|r| {
            let only = r.told.iter().enumerate().filter(|(k, told)| {
                told.is_ok() && readings.iter().filter(|o| o.told[*k].is_ok()).count() == 1
            });
            let only: Vec<String> = only
                .filter_map(|(_, told)| told.as_ref().ok().map(Told::text))
                .collect();
            (!only.is_empty()).then(|| format!("{} to the {}", only.join(", "), r.model.label))
        })
        .collect();
    Failure::usage(
        Problem::new(format!(
            "the findings point to both limbs: {}",
            sides.join("; ")
        ))
        .hint("one lesion lies in one limb: localise each limb by its own findings, or name one with --region, which sets the others aside"),
    )
}

fn problem(reading: Reading, k: usize, statements: &[Placed]) -> Option<Failure> {
    let problem = reading.told.into_iter().nth(k)?.err()?;
    Some(Failure::usage(placed(problem, statements[k].1.clone())))
}

fn placed(problem: Problem, place: Option<Place>) -> Problem {
    match place {
        Some(place) => problem.at(place),
        None => problem,
    }
}

fn nothing() -> Failure {
    Failure::usage(
        Problem::new("there is no finding to localise from").hint(
            "write for instance: vivasmith localise \"wrist drop, triceps normal, first web space numb\"",
        ),
    )
}

/// The findings named on the command line; the name of a file stands for what it lists, in which `#` starts a remark.
fn statements(arguments: &[String]) -> Result<Vec<Placed>, Failure> {
    let mut all = Vec::new();
    let mut add = |text: &str, place: Option<Place>| {
        let read = localise::statements(text);
        all.extend(read.into_iter().map(|s| (s, place.clone())));
    };
    for argument in arguments {
        if argument.contains('=') || !Path::new(argument).exists() {
            add(argument, None);
            continue;
        }
        let text = read_text(Path::new(argument))?;
        for (n, line) in text.lines().enumerate() {
            let line = line.split('#').next().unwrap_or_default();
            let place = |at: usize| {
                Some(Place {
                    file: short(argument),
                    line: n + 1,
                    column: line[..at].chars().count() + 1,
                })
            };
            // `edc=lost ecrl=spared` are two findings; `thumb extension = 4` is one, and so is free text.
            if !line.split_whitespace().all(|w| w.contains('=')) {
                let at = line.len() - line.trim_start().len();
                add(line, place(at));
                continue;
            }
            let mut from = 0;
            for word in line.split_whitespace() {
                let at = line[from..].find(word).map_or(from, |i| from + i);
                from = at + word.len();
                add(word, place(at));
            }
        }
    }
    Ok(all)
}
