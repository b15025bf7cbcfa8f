//! What does a key say? The points of the room sheet, side by side; why a wrong answer is wrong: the replies of the room sheet, each with the
//! finding that decides, and the neighbours of which no reply speaks.

use crate::station::{Differential, Group, Question, Station};
use crate::wording::flat;
use serde::Serialize;

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wrong {
    pub to: String,
    /// Where the answer names a neighbour that one finding shuts out.
    pub decides: Option<Differential>,
    /// What a partner asks; empty where the room sheet has no reply.
    pub ask: String,
    /// It earns the same.
    pub credit: bool,
}

pub fn wrong(station: &Station) -> Vec<Wrong> {
    let neighbours = &station.answer.differential;
    let replies = station.room.replies.iter().map(|r| Wrong {
        to: r.to.trim_end_matches('.').to_string(),
        decides: neighbours.iter().find(|d| names(&r.to, d)).cloned(),
        ask: r.ask.clone(),
        credit: r.credit,
    });
    let spoken_of = |d: &&Differential| !station.room.replies.iter().any(|r| names(&r.to, d));
    // A pair has two places, and its replies speak of the other one.
    let others = neighbours.iter().filter(spoken_of);
    let others = others.filter(|_| station.candidate.told_places.is_empty());
    let others = others.map(|d| Wrong {
        to: d.place.clone(),
        decides: Some(d.clone()),
        ask: String::new(),
        credit: false,
    });
    replies.chain(others).collect()
}

/// "Radial nerve" speaks of the radial nerve in the axilla, "Carpal tunnel" of the median nerve in it; the radial nerve is no branch of it.
fn names(answer: &str, neighbour: &Differential) -> bool {
    let (place, answer) = (flat(&neighbour.place), flat(answer));
    let within = |word: &str| place.ends_with(&format!(" {word} the{answer}"));
    place.starts_with(&answer) || within("in") || within("at")
}

/// The points of a question in two columns.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct KeyRow {
    pub number: usize,
    pub marks: u32,
    pub columns: [Vec<Line>; 2],
}

/// What opens a group of points, or one of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    pub choose: Option<u32>,
    pub each: u32,
    pub note: String,
    /// Empty: this opens the group.
    pub say: String,
    pub marks: u32,
}

pub fn key_rows(station: &Station) -> Vec<KeyRow> {
    let row = |q: &Question| {
        let mut left: Vec<Line> = q.groups.iter().flat_map(lines).collect();
        let right = left.split_off(left.len().div_ceil(2));
        KeyRow {
            number: q.number,
            marks: q.marks,
            columns: [left, right],
        }
    };
    station.questions.iter().map(row).collect()
}

fn lines(group: &Group) -> Vec<Line> {
    let line = |say: &str, marks: u32| Line {
        choose: group.choose,
        each: group.each,
        note: group.note.clone(),
        say: say.to_string(),
        marks,
    };
    let opens = group.choose.is_some() || !group.note.is_empty();
    let points = group.points.iter().map(|p| line(&p.say, p.marks));
    opens
        .then(|| line("", 0))
        .into_iter()
        .chain(points)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_names_a_neighbour_by_its_beginning_or_its_place() {
        let of = |answer: &str, place: &str| {
            let neighbour = Differential {
                place: place.to_string(),
                finding: String::new(),
                here: "",
                there: "",
            };
            names(answer, &neighbour)
        };
        assert!(of("Radial nerve.", "radial nerve in the axilla"));
        assert!(of("C5.", "C5 root"));
        assert!(of("Carpal tunnel.", "median nerve in the carpal tunnel"));
        assert!(of(
            "Spinoglenoid notch.",
            "suprascapular nerve at the spinoglenoid notch"
        ));
        assert!(!of(
            "Radial nerve.",
            "superficial branch of the radial nerve"
        ));
        assert!(!of("C5.", "C6 root"));
    }
}
