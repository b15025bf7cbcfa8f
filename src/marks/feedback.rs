//! What does each of those who took part learn of the day? One sheet a candidate, an examiner, a station.

use super::report::{DayHead, StationRow, day_head, fixed, station_row};
use super::results::{Results, Verdict};
use super::sheet::{Entry, Status};
use super::stations::mean;
use super::table::Day;
use super::tallies::{Profile, QuestionTally, Won, profile, questions};
use serde::Serialize;

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CandidateSheet {
    pub head: DayHead,
    pub id: String,
    pub total: String,
    pub max: u32,
    pub result: Verdict,
    pub danger: usize,
    pub stations: Vec<Met>,
    pub domains: Vec<Compared>,
    pub kinds: Vec<Compared>,
    pub practise: Vec<Practice>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Met {
    pub position: String,
    pub kind: String,
    /// Empty unless the candidate was marked.
    pub marks: String,
    pub max: u32,
    pub grade: String,
    /// "present", "absent", "void", or "missing".
    pub status: &'static str,
    pub comment: String,
}

/// A share of marks beside that of the whole form, in per cent.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Compared {
    /// Id of the domain, or label of the kind.
    pub name: String,
    pub own: String,
    pub form: String,
}

/// What to print a practice case of.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Practice {
    pub site: [String; 2],
    pub kind: [String; 2],
    pub level: String,
}

/// Most that one is told to practise.
const NEXT: usize = 3;

fn share(won: Option<&Won>) -> String {
    fixed(won.and_then(Won::percent), 0)
}

/// The sheets of a form, in the order of its candidates.
pub fn candidate_sheets(day: &Day<'_>, results: &Results, form: usize) -> Vec<CandidateSheet> {
    let all = profile(
        day,
        day.entries.iter().filter(|e| {
            let candidate = day.key.candidates.get(e.candidate);
            candidate.is_some_and(|c| c.form == form)
        }),
    );
    day.of_form(form)
        .filter_map(|c| candidate_sheet(day, results, form, c, &all))
        .collect()
}

fn candidate_sheet(
    day: &Day<'_>,
    results: &Results,
    form: usize,
    candidate: usize,
    all: &Profile,
) -> Option<CandidateSheet> {
    let result = results.candidates.get(candidate)?;
    let route = &day.key.forms.get(form)?.route;
    let own: Vec<&Entry> = route
        .iter()
        .filter_map(|(_, s)| day.entry(candidate, *s))
        .collect();
    let mine = profile(day, own.iter().copied());
    let domains = all.domains.iter().map(|(id, won)| Compared {
        name: id.clone(),
        own: share(mine.domains.get(id)),
        form: share(Some(won)),
    });
    let kinds = all.kinds.iter().map(|(id, (label, won))| Compared {
        name: label.clone(),
        own: share(mine.kinds.get(id).map(|(_, won)| won)),
        form: share(Some(won)),
    });
    Some(CandidateSheet {
        head: day_head(day),
        id: result.id.clone(),
        total: result.total.to_string(),
        max: result.max,
        result: result.result,
        danger: result.danger,
        stations: route
            .iter()
            .filter_map(|(position, s)| met(day, candidate, position, *s))
            .collect(),
        domains: domains.collect(),
        kinds: kinds.collect(),
        practise: practise(day, &own),
    })
}

fn met(day: &Day<'_>, candidate: usize, position: &str, station: usize) -> Option<Met> {
    let of = day.key.stations.get(station)?;
    let entry = day.entry(candidate, station);
    let marked = entry.filter(|e| e.status == Status::Present);
    let grade = |number: usize| {
        let at = day.key.grades.len().checked_sub(number)?;
        day.key.grades.get(at).map(|g| g.grade.clone())
    };
    Some(Met {
        position: position.to_string(),
        kind: of.kind[1].clone(),
        marks: marked.map_or_else(String::new, |e| e.marks.to_string()),
        max: of.marks,
        grade: marked.and_then(|e| grade(e.grade?)).unwrap_or_default(),
        status: match entry.map(|e| e.status) {
            None => "missing",
            Some(Status::Present) => "present",
            Some(Status::Absent) => "absent",
            Some(Status::Void) => "void",
        },
        comment: entry.map_or_else(String::new, |e| e.comment.clone()),
    })
}

/// The stations of which most was lost.
fn practise(day: &Day<'_>, own: &[&Entry]) -> Vec<Practice> {
    let lost = |e: &&&Entry| {
        let station = day.key.stations.get(e.station)?;
        let share = 1.0 - e.marks / f64::from(station.marks.max(1));
        (share > 0.0).then_some((share, station))
    };
    let present = own.iter().filter(|e| e.status == Status::Present);
    let mut all: Vec<_> = present.filter_map(|e| lost(&e)).collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    let next = all.iter().take(NEXT);
    next.map(|(_, s)| Practice {
        site: s.site.clone(),
        kind: s.kind.clone(),
        level: s.level.clone(),
    })
    .collect()
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExaminerSheet {
    pub head: DayHead,
    pub id: String,
    pub marks: usize,
    pub estimable: bool,
    pub effect: String,
    pub se: String,
    pub stations: Vec<Sat>,
    pub grades: Vec<GradeCount>,
}

/// What an examiner gave at a station beside what others gave there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sat {
    pub code: String,
    pub n: usize,
    pub mean: String,
    pub others: usize,
    pub others_mean: String,
    pub max: u32,
}

/// How often a grade was given, beside the others at the same stations.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GradeCount {
    pub grade: String,
    pub own: usize,
    pub others: usize,
}

/// Sheets of those who gave a mark.
pub fn examiner_sheets(day: &Day<'_>, results: &Results) -> Vec<ExaminerSheet> {
    let mut by_station: Vec<Vec<&Entry>> = vec![Vec::new(); day.key.stations.len()];
    for entry in day.entries.iter().filter(|e| e.status == Status::Present) {
        if let Some(of) = by_station.get_mut(entry.station) {
            of.push(entry);
        }
    }
    let both = results
        .examiners
        .iter()
        .zip(&results.stringency.effects)
        .enumerate();
    both.filter(|(_, (_, fit))| fit.marks > 0)
        .map(|(at, (examiner, fit))| {
            let (stations, grades) = gave(day, &by_station, at);
            ExaminerSheet {
                head: day_head(day),
                id: examiner.id.clone(),
                marks: fit.marks,
                estimable: examiner.estimable,
                effect: fixed(examiner.effect, 2),
                se: fixed(examiner.se, 2),
                stations,
                grades,
            }
        })
        .collect()
}

fn gave(day: &Day<'_>, by_station: &[Vec<&Entry>], examiner: usize) -> (Vec<Sat>, Vec<GradeCount>) {
    let mut sat = Vec::new();
    let mut grades: Vec<GradeCount> = day
        .key
        .grades
        .iter()
        .map(|g| GradeCount {
            grade: g.grade.clone(),
            own: 0,
            others: 0,
        })
        .collect();
    for (station, all) in day.key.stations.iter().zip(by_station) {
        let (own, others): (Vec<&Entry>, Vec<&Entry>) =
            all.iter().partition(|e| e.examiner == Some(examiner));
        if own.is_empty() {
            continue;
        }
        let marks = |all: &[&Entry]| mean(&all.iter().map(|e| e.marks).collect::<Vec<_>>());
        sat.push(Sat {
            code: station.code.clone(),
            n: own.len(),
            mean: fixed(marks(&own), 2),
            others: others.len(),
            others_mean: fixed(marks(&others), 2),
            max: station.marks,
        });
        for (entry, mine) in own
            .iter()
            .map(|e| (e, true))
            .chain(others.iter().map(|e| (e, false)))
        {
            let grade = entry.grade.and_then(|g| grades.len().checked_sub(g));
            if let Some(count) = grade.and_then(|g| grades.get_mut(g)) {
                match mine {
                    true => count.own += 1,
                    false => count.others += 1,
                }
            }
        }
    }
    (sat, grades)
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StationSheet {
    pub head: DayHead,
    pub row: StationRow,
    pub kind: String,
    pub site: String,
    pub level: String,
    /// Candidates whose questions were marked one by one.
    pub by_question: usize,
    pub questions: Vec<QuestionRow>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct QuestionRow {
    pub number: usize,
    pub domain: String,
    pub opening: String,
    pub marks: u32,
    pub mean: String,
    pub percent: String,
    pub all: usize,
    pub none: usize,
    /// How often no prompt, C, P, L was the last, with the mean of the marks then.
    pub prompts: [(usize, String); 4],
    /// Everybody or nobody won the marks: what stands on the grid.
    pub points: Vec<String>,
    pub everybody: bool,
    pub nobody: bool,
}

/// A sheet for each station of a form, in the order of its route.
pub fn station_sheets(day: &Day<'_>, results: &Results, form: usize) -> Vec<StationSheet> {
    let Some(of) = day.key.forms.get(form) else {
        return Vec::new();
    };
    let found = results.stations.iter().filter(|s| s.form == of.group);
    let both = of.route.iter().zip(found);
    both.filter_map(|((_, at), result)| {
        let station = day.key.stations.get(*at)?;
        let tallies = questions(day, form, *at);
        let rows = tallies.iter().zip(&station.questions).enumerate();
        Some(StationSheet {
            head: day_head(day),
            row: station_row(result, None),
            kind: station.kind[1].clone(),
            site: station.site[1].clone(),
            level: station.level.clone(),
            by_question: tallies.iter().map(|t| t.n).max().unwrap_or(0),
            questions: rows
                .map(|(number, (tally, q))| {
                    let everybody = tally.n > 0 && tally.all == tally.n;
                    let nobody = tally.n > 0 && tally.none == tally.n;
                    QuestionRow {
                        points: if everybody || nobody {
                            q.points.clone()
                        } else {
                            Vec::new()
                        },
                        everybody,
                        nobody,
                        domain: q.domain.clone(),
                        opening: q.opening.clone(),
                        marks: q.marks,
                        ..row(number + 1, tally)
                    }
                })
                .collect(),
        })
    })
    .collect()
}

fn row(number: usize, tally: &QuestionTally) -> QuestionRow {
    let each = |(n, marks): (usize, f64)| (n, fixed((n > 0).then(|| marks / n as f64), 1));
    QuestionRow {
        number,
        domain: String::new(),
        opening: String::new(),
        marks: 0,
        mean: fixed((tally.n > 0).then(|| tally.won.marks / tally.n as f64), 2),
        percent: fixed(tally.won.percent(), 0),
        all: tally.all,
        none: tally.none,
        prompts: tally.prompts.map(each),
        points: Vec::new(),
        everybody: false,
        nobody: false,
    }
}
