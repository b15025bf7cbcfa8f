//! What do judges expect of a candidate who only just passes? Pass marks by Angoff and Ebel, and Hofstee's bounds, from a file.
//!
//! Angoff: each judge says the marks that such a candidate would get; the pass mark is the mean over judges of their sums, its standard
//! error their standard deviation over the root of their number. Angoff, Scales, norms, and equivalent scores, in Thorndike (ed),
//! Educational Measurement, 2nd ed. 1971. Ebel: questions are sorted by relevance and difficulty, and for each pair of the two the judges
//! say which share of the marks such a candidate gets; the pass mark is the sum of marks times share. Ebel, Essentials of Educational
//! Measurement, 1972.

use super::hofstee::Bounds;
use crate::circuit::report::{KeyStation, MarkingKey};
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Source, Step, locate, parse};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    #[serde(default)]
    angoff: BTreeMap<String, BTreeMap<String, Expected>>,
    ebel: Option<WrittenEbel>,
    hofstee: Option<WrittenHofstee>,
}

/// Marks of the whole station, or of each question.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Expected {
    Whole(f64),
    Each(Vec<f64>),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenEbel {
    /// Per cent of the marks, by relevance and difficulty.
    shares: BTreeMap<String, BTreeMap<String, f64>>,
    /// A pair for each question.
    stations: BTreeMap<String, Vec<[String; 2]>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenHofstee {
    cut: [f64; 2],
    fails: [f64; 2],
}

/// A pass mark that judges set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    pub cut: f64,
    /// Between judges; None where one alone judged, or where they judged together.
    pub se: Option<f64>,
    pub judges: usize,
}

/// By position of the station in the key.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Judgements {
    pub angoff: BTreeMap<usize, Judged>,
    pub ebel: BTreeMap<usize, Judged>,
    pub hofstee: Option<Bounds>,
}

/// # Errors
/// Exit code 2 with every problem and its place.
pub fn judgements(source: &Source, key: &MarkingKey) -> Result<Judgements, Failure> {
    let written: Written = parse(source)?;
    let mut check = Check {
        source,
        key,
        problems: Vec::new(),
    };
    let mut all = Judgements::default();
    for (code, judges) in &written.angoff {
        if let Some((at, station)) = check.station("angoff", code) {
            all.angoff.extend(
                check
                    .angoff(code, station, judges)
                    .map(|judged| (at, judged)),
            );
        }
    }
    if let Some(ebel) = &written.ebel {
        for (code, pairs) in &ebel.stations {
            if let Some((at, station)) = check.ebel_station(code) {
                all.ebel.extend(
                    check
                        .ebel(code, station, pairs, &ebel.shares)
                        .map(|judged| (at, judged)),
                );
            }
        }
    }
    all.hofstee = written.hofstee.as_ref().map(|h| check.hofstee(h));
    match check.problems.is_empty() {
        true => Ok(all),
        false => Err(Failure::Unreadable(check.problems)),
    }
}

struct Check<'a> {
    source: &'a Source,
    key: &'a MarkingKey,
    problems: Vec<Problem>,
}

impl<'a> Check<'a> {
    fn say(&mut self, path: &[Step], message: String, hint: &str) {
        let place = locate(self.source, path);
        self.problems
            .push(Problem::new(message).hint(hint).at(place));
    }

    fn find(&mut self, path: &[Step], code: &str) -> Option<(usize, &'a KeyStation)> {
        let key = self.key;
        let found = key
            .stations
            .iter()
            .enumerate()
            .find(|(_, s)| s.code == code);
        if found.is_none() {
            let hint = did_you_mean(
                code,
                key.stations.iter().map(|s| s.code.as_str()),
                "take the code from the legend to the mark sheet",
            );
            self.say(
                path,
                format!("the circuit has no station `{}`", short(code)),
                &hint,
            );
        }
        found
    }

    fn station(&mut self, method: &str, code: &str) -> Option<(usize, &'a KeyStation)> {
        self.find(&[method.into(), code.into()], code)
    }

    fn ebel_station(&mut self, code: &str) -> Option<(usize, &'a KeyStation)> {
        self.find(&["ebel".into(), "stations".into(), code.into()], code)
    }

    fn angoff(
        &mut self,
        code: &str,
        station: &KeyStation,
        judges: &BTreeMap<String, Expected>,
    ) -> Option<Judged> {
        let before = self.problems.len();
        let mut sums = Vec::new();
        for (judge, expected) in judges {
            let path: [Step; 3] = ["angoff".into(), code.into(), judge.as_str().into()];
            let bears = |most: u32, mark: f64| (0.0..=f64::from(most)).contains(&mark);
            let (fits, sum) = match expected {
                Expected::Whole(sum) => (bears(station.marks, *sum), *sum),
                Expected::Each(marks) => {
                    let pairs = marks.iter().zip(&station.questions);
                    let all = marks.len() == station.questions.len();
                    (
                        all && pairs.into_iter().all(|(m, q)| bears(q.marks, *m)),
                        marks.iter().sum(),
                    )
                }
            };
            if !fits {
                let each: Vec<String> = station
                    .questions
                    .iter()
                    .map(|q| q.marks.to_string())
                    .collect();
                let message = format!("these are no marks that somebody gets at {code}");
                let hint = format!(
                    "write one number from 0 to {}, or one for each question up to [{}]",
                    station.marks,
                    each.join(", ")
                );
                self.say(&path, message, &hint);
            }
            sums.push(sum);
        }
        if sums.is_empty() {
            self.say(
                &["angoff".into(), code.into()],
                format!("nobody judged {code}"),
                "write a line for each judge, such as `J1: 4.5`",
            );
        }
        (self.problems.len() == before).then(|| mean_of(&sums))
    }

    fn ebel(
        &mut self,
        code: &str,
        station: &KeyStation,
        pairs: &[[String; 2]],
        shares: &BTreeMap<String, BTreeMap<String, f64>>,
    ) -> Option<Judged> {
        let path: [Step; 3] = ["ebel".into(), "stations".into(), code.into()];
        if pairs.len() != station.questions.len() {
            let message = format!(
                "{code} has {} questions, and {} are sorted here",
                station.questions.len(),
                pairs.len()
            );
            self.say(
                &path,
                message,
                "write a pair such as [essential, easy] for each question",
            );
            return None;
        }
        let mut cut = 0.0;
        for ([relevance, difficulty], question) in pairs.iter().zip(&station.questions) {
            match shares.get(relevance).and_then(|s| s.get(difficulty)) {
                Some(share) if (0.0..=100.0).contains(share) => {
                    cut += f64::from(question.marks) * share / 100.0
                }
                _ => {
                    let message = format!(
                        "no share from 0 to 100 stands for {}, {}",
                        short(relevance),
                        short(difficulty)
                    );
                    self.say(
                        &path,
                        message,
                        "add it under `shares:`, or use the words that stand there",
                    );
                    return None;
                }
            }
        }
        Some(Judged {
            cut,
            se: None,
            judges: 1,
        })
    }

    fn hofstee(&mut self, written: &WrittenHofstee) -> Bounds {
        for (name, [low, high]) in [("cut", written.cut), ("fails", written.fails)] {
            let all = 0.0..=100.0;
            if !(all.contains(&low) && all.contains(&high) && low < high) {
                let message = format!("{low} and {high} are no bounds");
                self.say(&["hofstee".into(), name.into()], message, "write the lowest and the highest acceptable figure in per cent, such as [50, 65]");
            }
        }
        Bounds {
            cut: written.cut,
            fails: written.fails,
        }
    }
}

fn mean_of(sums: &[f64]) -> Judged {
    let n = sums.len() as f64;
    let mean = sums.iter().sum::<f64>() / n;
    let squares: f64 = sums.iter().map(|s| (s - mean).powi(2)).sum();
    Judged {
        cut: mean,
        se: (sums.len() > 1).then(|| (squares / (n - 1.0) / n).sqrt()),
        judges: sums.len(),
    }
}
