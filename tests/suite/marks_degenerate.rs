//! Marks that bear no figure: nothing breaks, no figure is not a number, and each that is missing is explained.

use crate::marks_sheet::{key, marked};
use std::fmt::Write;
use vivasmith::circuit::report::MarkingKey;
use vivasmith::marks::judgements::Judgements;
use vivasmith::marks::learned::learned;
use vivasmith::marks::results::{Results, Verdict, results};
use vivasmith::marks::table::Day;

/// Marks and grade of a seat; None: absent.
type Cell = Option<(f64, usize)>;

fn found(key: &MarkingKey, examiners: usize, cell: impl Fn(usize, usize) -> Cell) -> Results {
    let mut text =
        "candidate,station_code,examiner,marks,status,global_rating,danger\n".to_string();
    for seat in &key.seats {
        let (candidate, code) = (&key.candidates[seat.0].id, &key.stations[seat.1].code);
        let examiner = &key.examiners[(seat.0 + seat.1) % examiners].id;
        let rest = match cell(seat.0, seat.1) {
            Some((marks, grade)) => format!("{marks},,{grade}"),
            None => ",absent,".to_string(),
        };
        writeln!(text, "{candidate},{code},{examiner},{rest},").expect("text");
    }
    let read = marked(key, &text, false).unwrap_or_else(|e| panic!("{e}"));
    let day = Day::new(key, &read.entries);
    let all = results(&day, &read, &Judgements::default());
    // In JSON what is no number would be null and pass for missing.
    let shown = format!("{all:?} {:?}", learned(&day));
    for word in ["NaN", "(inf", "-inf", ": inf", "-0.0"] {
        assert!(!shown.contains(word), "{word}");
    }
    for form in &all.forms {
        let said = |words: &str| all.problems.iter().any(|p| p.message.contains(words));
        assert!(form.alpha.is_some() || said("no alpha"));
        assert!(
            form.cut.is_some() || said("no borderline regression"),
            "{shown}"
        );
    }
    all
}

fn says(all: &Results, words: &str) -> bool {
    format!("{:?}", all.problems).contains(words)
}

#[test]
fn all_candidates_with_the_same_sum() {
    let all = found(&key(12, 4), 4, |_, s| Some((s as f64 + 2.0, 2 + s % 2)));
    assert!(says(&all, "no alpha, for all candidates have the same sum"));
    assert!(all.candidates.iter().all(|c| c.total == 14.0));
}

#[test]
fn all_grades_and_all_marks_equal() {
    let all = found(&key(12, 4), 4, |_, _| Some((6.0, 3)));
    assert!(says(&all, "all have one grade: all 4 stations"));
    assert!(all.candidates.iter().all(|c| c.result == Verdict::Open));
}

#[test]
fn one_candidate_one_station_one_examiner() {
    let all = found(&key(1, 4), 4, |_, s| Some((s as f64, 2)));
    assert!(says(&all, "fewer than 10 rated candidates: all 4 stations"));
    let all = found(&key(12, 1), 1, |c, _| Some(((c % 5) as f64, 1 + c % 4)));
    assert!(says(
        &all,
        "fewer than two candidates have marks at two stations"
    ));
    let all = found(&key(12, 4), 1, |c, s| {
        Some((((c + s) % 5) as f64, 1 + (c + s) % 4))
    });
    assert!(says(&all, "no stringency: X1 marked everything"));
    assert!(all.examiners.iter().all(|e| !e.estimable));
}

#[test]
fn everybody_absent() {
    let all = found(&key(12, 4), 4, |_, _| None);
    assert!(
        all.candidates
            .iter()
            .all(|c| c.result == Verdict::Open && c.total == 0.0)
    );
    let all = found(&key(12, 4), 4, |c, s| {
        (c > 0).then_some((((c + s) % 5) as f64, 1 + c % 4))
    });
    assert_eq!(all.candidates[0].result, Verdict::Open);
}
