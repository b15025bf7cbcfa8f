//! Where do marks go? The sheet that markers fill in, a line for each candidate and station, and the legend that lies beside it.

use super::equality::{Head, head};
use super::visits::{Row, marked};
use crate::circuit::blueprint::clock;
use crate::circuit::plan::Circuit;
use crate::diagnostic::Failure;
use crate::files::{Grade, to_csv};
use crate::station::{Question, Rung};
use serde::Serialize;

/// Columns of the mark sheet, by the names that stand in its first line; between `max_marks` and `marks` stand two for each question.
pub const CANDIDATE: &str = "candidate";
pub const STATION: &str = "station_code";
pub const EXAMINER: &str = "examiner";
pub const MARKS: &str = "marks";
pub const STATUS: &str = "status";
pub const RATING: &str = "global_rating";
pub const DANGER: &str = "danger";
pub const COMMENT: &str = "comment";
const PLANNED: [&str; 9] = [
    CANDIDATE,
    "group",
    "sitting",
    "track",
    "position",
    STATION,
    EXAMINER,
    "time",
    "max_marks",
];
const ENTERED: [&str; 5] = [MARKS, STATUS, RATING, DANGER, COMMENT];

/// Columns that say what the circuit planned and nobody reads back.
pub const FOR_THE_EYE: [&str; 6] = ["group", "sitting", "track", "position", "time", "max_marks"];

/// What stands in the columns of a question that a station does not have.
pub const NO_QUESTION: &str = "-";

/// The columns of a question, by its number from 1: its marks and the last prompt.
pub fn question_columns(number: usize) -> [String; 2] {
    [format!("q{number}"), format!("q{number}_prompt")]
}

/// The first line of a sheet whose stations have at most so many questions.
pub fn columns(most: usize) -> Vec<String> {
    let mut head: Vec<String> = PLANNED.map(String::from).to_vec();
    head.extend((1..=most).flat_map(question_columns));
    head.extend(ENTERED.map(String::from));
    head
}

/// "C", "P", "L": a prompt as it stands on the room sheet and in the mark sheet.
pub fn letter(rung: Rung) -> &'static str {
    match rung {
        Rung::Clarify => "C",
        Rung::Probe => "P",
        Rung::Lead => "L",
    }
}

/// Most questions of a station of the circuit.
fn most_questions(circuit: &Circuit) -> usize {
    let used = circuit.forms.iter().flat_map(|f| f.used());
    let counts = used.map(|(_, b)| b.station.questions.len());
    counts.max().unwrap_or(0)
}

/// A line for each mark to be entered, by candidate, then by time: as CSV. Ids, no names.
///
/// # Errors
/// As [`to_csv`].
pub fn mark_sheet(circuit: &Circuit) -> Result<String, Failure> {
    let most = most_questions(circuit);
    let mut lines = vec![columns(most)];
    lines.extend(
        marked(circuit)
            .iter()
            .filter_map(|r| line(circuit, r, most)),
    );
    to_csv(&lines)
}

/// What the circuit fills in of a line. A rest has no code, and no marks.
pub(super) fn planned(circuit: &Circuit, r: &Row<'_>) -> Vec<String> {
    let station = r.station.map(|b| &b.station);
    let examiner = r.examiner.and_then(|e| circuit.blueprint.examiners.get(e));
    vec![
        r.candidate.id.clone(),
        r.group.id.clone(),
        r.sitting.id.clone(),
        format!("{}", r.track.number + 1),
        r.position.name.clone(),
        station.map_or_else(String::new, |s| s.code.clone()),
        examiner.map_or_else(String::new, |e| e.id.clone()),
        clock::show(r.begin()),
        station.map_or_else(String::new, |s| format!("{}", s.total_marks)),
    ]
}

fn line(circuit: &Circuit, r: &Row<'_>, most: usize) -> Option<Vec<String>> {
    let station = &r.station?.station;
    let mut line = planned(circuit, r);
    for number in 0..most {
        let cell = match number < station.questions.len() {
            true => "",
            false => NO_QUESTION,
        };
        line.extend([cell.to_string(), cell.to_string()]);
    }
    line.extend(ENTERED.map(|_| String::new()));
    Some(line)
}

/// What whoever enters marks has to know.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Legend {
    pub head: Head,
    pub grades: Vec<GradeRow>,
    pub stations: Vec<LegendRow>,
    /// Most that a station has.
    pub questions: usize,
}

/// A grade of the global rating with the number that may stand for it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct GradeRow {
    pub number: usize,
    pub grade: String,
    pub anchor: String,
    pub borderline: bool,
}

/// One question of one station.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LegendRow {
    pub group: String,
    pub position: String,
    pub code: String,
    /// From 1.
    pub question: usize,
    pub domain: String,
    pub marks: u32,
    /// "3" after C, "2" after P, "1" after L; "–" for a prompt that there is not.
    pub caps: [String; 3],
    /// Of the whole station, on its first line; else 0.
    pub total: u32,
}

/// Grades are numbered from the worst, which is 1.
pub fn legend(circuit: &Circuit, grades: &[Grade]) -> Legend {
    let best = grades.len();
    let grade = |(i, g): (usize, &Grade)| GradeRow {
        number: best - i,
        grade: g.grade.clone(),
        anchor: g.anchor.clone(),
        borderline: g.borderline,
    };
    let mut stations = Vec::new();
    for (form, group) in circuit.forms.iter().zip(&circuit.blueprint.groups) {
        for (position, banked) in form.used() {
            let station = &banked.station;
            stations.extend(
                station
                    .questions
                    .iter()
                    .enumerate()
                    .map(|(i, q)| LegendRow {
                        group: group.id.clone(),
                        position: circuit.blueprint.name(position).to_string(),
                        code: station.code.clone(),
                        question: i + 1,
                        domain: q.domain.clone(),
                        marks: q.marks,
                        caps: [Rung::Clarify, Rung::Probe, Rung::Lead].map(|rung| left(q, rung)),
                        total: if i == 0 { station.total_marks } else { 0 },
                    }),
            );
        }
    }
    Legend {
        head: head(circuit),
        grades: grades.iter().enumerate().map(grade).collect(),
        stations,
        questions: most_questions(circuit),
    }
}

/// Marks that a prompt leaves.
fn left(question: &Question, rung: Rung) -> String {
    let prompt = question.prompts.iter().find(|p| p.rung == rung);
    prompt.map_or_else(|| "\u{2013}".to_string(), |p| p.cap_text.clone())
}
