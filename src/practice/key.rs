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
        decides: spoken_of(&r.to, neighbours).cloned(),
        ask: r.ask.clone(),
        credit: r.credit,
    });
    let spoken = |d: &&Differential| {
        let mut replies = station.room.replies.iter();
        replies.any(|r| names(&r.to, d) || spoken_of(&r.to, neighbours) == Some(*d))
    };
    // A pair has two places, and its replies speak of the other one.
    let others = neighbours.iter().filter(|d| !spoken(d));
    let others = others.filter(|_| station.candidate.told_places.is_empty());
    let others = others.map(|d| Wrong {
        to: d.place.clone(),
        decides: Some(d.clone()),
        ask: String::new(),
        credit: false,
    });
    replies.chain(others).collect()
}

/// The neighbour of which an answer speaks: "L4, tibialis anterior" of the L4 root.
fn spoken_of<'d>(answer: &str, neighbours: &'d [Differential]) -> Option<&'d Differential> {
    let (bare, _) = answer.split_once(',').unwrap_or((answer, ""));
    let find = |answer: &str| neighbours.iter().find(|d| names(answer, d));
    find(answer).or_else(|| find(bare))
}

/// "Radial nerve" speaks of the radial nerve in the axilla, "Carpal tunnel" of the median nerve in it; the radial nerve is no branch of it.
/// Whether a nerve is hurt at a place or in front of it, it is the same.
fn names(answer: &str, neighbour: &Differential) -> bool {
    let (place, answer) = (flat(&neighbour.place), flat(answer));
    let within = |word: &str| place.ends_with(&format!(" {word} the{answer}"));
    let nouns = |text: &str| {
        let small = ["at", "front", "in", "of", "on", "the"];
        let all = text.split_whitespace().filter(|w| !small.contains(w));
        all.map(String::from).collect::<Vec<_>>()
    };
    place.starts_with(&answer) || within("in") || within("at") || nouns(&place) == nouns(&answer)
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
        let neighbour = |place: &str| Differential {
            place: place.to_string(),
            finding: String::new(),
            here: "",
            there: "",
        };
        let of = |answer: &str, place: &str| spoken_of(answer, &[neighbour(place)]).is_some();
        let both = ["radial nerve in the groove", "radial nerve in the axilla"].map(neighbour);
        let spoken = spoken_of("Radial nerve, in the axilla.", &both);
        assert_eq!(spoken, Some(&both[1]));
        assert!(of("Radial nerve.", "radial nerve in the axilla"));
        assert!(of("C5.", "C5 root"));
        assert!(of("Carpal tunnel.", "median nerve in the carpal tunnel"));
        assert!(of(
            "Spinoglenoid notch.",
            "suprascapular nerve at the spinoglenoid notch"
        ));
        assert!(of("L4, tibialis anterior.", "L4 root"));
        assert!(of(
            "Deep fibular nerve at the ankle.",
            "deep fibular nerve in front of the ankle"
        ));
        assert!(!of(
            "Radial nerve.",
            "superficial branch of the radial nerve"
        ));
        assert!(!of("C5.", "C6 root"));
    }
}
