//! What the mark sheet says when it comes back: every way of writing it that a spreadsheet has, and everything that can be wrong with it.

use vivasmith::circuit::blueprint::Passing;
use vivasmith::circuit::report::{
    KeyCandidate, KeyExaminer, KeyForm, KeyGrade, KeyQuestion, KeySeat, KeyStation, MarkingKey,
};
use vivasmith::diagnostic::Failure;
use vivasmith::files::{Source, read_table};
use vivasmith::marks::sheet::{Marked, Status, read};
use vivasmith::station::Rung;

fn question(marks: u32, caps: &[(Rung, f64)]) -> KeyQuestion {
    KeyQuestion {
        id: "place".into(),
        domain: "localisation".into(),
        opening: "Where is the lesion?".into(),
        marks,
        caps: caps.to_vec(),
        points: Vec::new(),
    }
}

pub fn station(code: &str, marks: &[u32]) -> KeyStation {
    let caps = |m: u32| {
        [
            (Rung::Clarify, f64::from(m)),
            (Rung::Probe, f64::from(m) / 2.0),
        ]
    };
    KeyStation {
        code: code.into(),
        kind: ["trace".into(), "Trace".into()],
        site: ["ulnar_elbow".into(), "Ulnar nerve at the elbow".into()],
        nerve: "ulnar".into(),
        level: "clinical".into(),
        minutes: 8,
        seed: 0,
        difficulty: 3.0,
        marks: marks.iter().sum(),
        questions: marks.iter().map(|m| question(*m, &caps(*m))).collect(),
    }
}

/// So many candidates (001, 002 ...) in one form at so many stations (S1, S2 ...) of two questions of 4 and 6 marks, with an examiner each.
pub fn key(candidates: usize, stations: usize) -> MarkingKey {
    let grades = ["Excellent", "Clear pass", "Borderline", "Fail"];
    MarkingKey {
        circuit: "day".into(),
        title: "Day".into(),
        date: String::new(),
        place: String::new(),
        content_version: "1".into(),
        seed: 0,
        calibration: None,
        grades: grades
            .map(|g| KeyGrade {
                grade: g.into(),
                borderline: g == "Borderline",
            })
            .to_vec(),
        passing: Passing::default(),
        stations: (1..=stations)
            .map(|s| station(&format!("S{s}"), &[4, 6]))
            .collect(),
        forms: vec![KeyForm {
            group: "A".into(),
            route: (0..stations).map(|s| (format!("{}", s + 1), s)).collect(),
            cells: Vec::new(),
            spares: Vec::new(),
            replaced: Vec::new(),
        }],
        examiners: (1..=stations)
            .map(|e| KeyExaminer {
                id: format!("X{e}"),
                knows: Vec::new(),
            })
            .collect(),
        candidates: (1..=candidates)
            .map(|c| KeyCandidate {
                id: format!("{c:03}"),
                form: 0,
                sitting: "early".into(),
                track: 1,
                seat: 0,
            })
            .collect(),
        seats: (0..candidates)
            .flat_map(|c| (0..stations).map(move |s| KeySeat(c, s, Some(s))))
            .collect(),
    }
}

pub fn marked(key: &MarkingKey, text: &str, partial: bool) -> Result<Marked, Failure> {
    let source = Source::new("marks.csv", "marks.csv", text.to_string());
    read(&read_table(&source)?, key, partial)
}

const HEAD: &str = "candidate,station_code,examiner,q1,q1_prompt,q2,q2_prompt,marks,status,global_rating,danger,comment\n";

fn two() -> MarkingKey {
    let mut key = key(2, 1);
    key.examiners[0].knows = vec!["002".into()];
    key.examiners.push(KeyExaminer {
        id: "X2".into(),
        knows: Vec::new(),
    });
    key
}

const GOOD: &str = "002,S1,X2,,,,,6,,3,,\n";

#[test]
fn columns_in_any_order_and_every_separator_read_alike() {
    let key = two();
    let plain = format!("{HEAD}001,S1,X1,4,,2.5,P,6.5,present,Clear pass,no,slow start\n{GOOD}");
    let whole = marked(&key, &plain, false).expect("reads");
    let first = &whole.entries[0];
    assert_eq!(
        (first.marks, first.grade, first.danger),
        (6.5, Some(3), false)
    );
    assert_eq!(first.questions, [4.0, 2.5]);
    assert_eq!(first.prompts, [None, Some(Rung::Probe)]);
    assert_eq!(
        (first.examiner, first.comment.as_str()),
        (Some(0), "slow start")
    );
    let other = "\u{feff}comment;danger;global_rating;status;marks;q2_prompt;q2;q1_prompt;q1;Examiner;Station_Code;Candidate;track\r\n\
        slow start;NO;3;;6,5;probe;2,5;;4,0;X1;S1;001;1\r\n;;clear PASS;;6;;;;;X2;S1;002;1\r\n";
    let text = other.trim_start_matches('\u{feff}');
    assert_eq!(marked(&key, text, false).expect("semicolons"), whole);
    let tabs = text.replace(';', "\t");
    assert_eq!(marked(&key, &tabs, false).expect("tabs"), whole);
    let named = format!("sep=;\r\n{text}");
    assert_eq!(marked(&key, &named, false).expect("named"), whole);
    let quoted = plain.replace("6.5,present", "\"6,5\",present");
    assert_eq!(marked(&key, &quoted, false).expect("quoted"), whole);
}

/// Row, column and words of what is said of one row in place of the first candidate's.
fn wrong(row: &str) -> Vec<(usize, usize, String)> {
    let text = format!("{HEAD}{GOOD}{row}\n");
    let failure = marked(&two(), &text, false).expect_err("wrong");
    assert_eq!(failure.exit_code(), 2);
    let problem = |p: &vivasmith::diagnostic::Problem| {
        assert!(!p.hint.is_empty(), "{p}");
        let place = p.place.as_ref().map_or((0, 0), |at| (at.line, at.column));
        (place.0, place.1, p.to_string())
    };
    failure.problems().iter().map(problem).collect()
}

#[test]
fn each_fault_of_a_row_is_told_with_its_cell_and_what_to_do() {
    for (row, column, words) in [
        ("0O1,S1,X1,,,,,6,,3,,", 1, "`001`"),
        ("1,S1,X1,,,,,6,,3,,", 1, "a spreadsheet drops leading zeros"),
        ("001,S2,X1,,,,,6,,3,,", 2, "no station `S2`"),
        ("001,S1,Z9,,,,,6,,3,,", 3, "leave the cell empty"),
        ("002,S1,X2,,,,,6,,3,,", 1, "in row 2 too"),
        ("001,S1,X1,5,,6,,11,,3,,", 4, "0 to 4"),
        ("001,S1,X1,,,,,-1,,3,,", 8, "0 to 10"),
        ("001,S1,X1,,,,,11,,3,,", 8, "0 to 10"),
        ("001,S1,X1,,,,,6.25,,3,,", 8, "whole and half"),
        ("001,S1,X1,,,,,six,,3,,", 8, "`six` is no mark"),
        ("001,S1,X1,,,,,1e1,,3,,", 8, "`1e1` is no mark"),
        ("001,S1,X1,3,P,6,,9,,3,,", 4, "leaves no more than 2"),
        ("001,S1,X1,3,L,6,,9,,3,,", 5, "has no prompt L"),
        ("001,S1,X1,3,x,6,,9,,3,,", 5, "`x` is no prompt"),
        ("001,S1,X1,3,,6,,8,,3,,", 8, "add up to 9"),
        ("001,S1,X1,3,,,,3,,3,,", 6, "q2 is empty"),
        ("001,S1,X1,,,,,,,,,", 8, "not `absent`"),
        ("001,S1,X1,,,,,6,,,,", 10, "Borderline (2)"),
        ("001,S1,X1,,,,,6,,5,,", 10, "`5` is no grade"),
        ("001,S1,X1,,,,,6,,good,,", 10, "`good` is no grade"),
        ("001,S1,X1,,,,,6,ill,3,,", 9, "`ill` is no status"),
        ("001,S1,X1,,,,,6,absent,,,", 8, "goes with `absent`"),
        ("001,S1,X1,,,,,,void,,yes,", 11, "goes with `void`"),
        ("001,S1,X1,,,,,6,,3,perhaps,", 11, "`perhaps`"),
    ] {
        let said = wrong(row);
        let found = said
            .iter()
            .any(|(line, at, text)| *line == 3 && *at == column && text.contains(words));
        assert!(found, "{row}: {said:?}");
    }
    let known = marked(
        &two(),
        &format!("{HEAD}001,S1,,,,,,6,,3,,\n{}", GOOD.replace("X2", "X1")),
        false,
    );
    let told = known.expect_err("declared").to_string();
    assert!(
        told.contains("marks.csv:3:3") && told.contains("declared to know"),
        "{told}"
    );
}

#[test]
fn all_faults_are_told_at_once_and_missing_rows_last() {
    let said = wrong("003,S1,X1,,,,,6,,3,,\n1,S9,X1,,,,,6,,3,,");
    let places: Vec<(usize, usize)> = said.iter().map(|s| (s.0, s.1)).collect();
    assert_eq!(places, [(3, 1), (4, 1), (4, 2), (0, 0)]);
    assert!(
        said[3].2.contains("candidate 001 has no row for S1"),
        "{said:?}"
    );
}

#[test]
fn a_wrong_first_line_is_told_by_its_columns() {
    let key = two();
    for (head, words) in [
        (
            "candidate,station_code,examiner,marks,status,danger\n",
            "lacks the column global_rating",
        ),
        (
            "candidate,station_code,examiner,marks,marks,status,global_rating,danger\n",
            "two columns `marks`",
        ),
        (
            "candidate,station_code,examiner,marks,status,global_ratin,global_rating,danger\n",
            "`global_rating`",
        ),
        (
            "candidate,station_code,examiner,marks,q3,status,global_rating,danger\n",
            "no column `q3`",
        ),
    ] {
        let failure = marked(&key, head, false).expect_err("wrong");
        assert!(failure.to_string().contains(words), "{failure}");
        assert!(failure.to_string().contains("marks.csv:1:"), "{failure}");
    }
}

#[test]
fn an_unfinished_sheet_is_read_in_part_and_says_what_is_missing() {
    let mut key = key(4, 1);
    key.stations[0].questions.truncate(1);
    key.stations[0].marks = 4;
    let text = "candidate,station_code,examiner,q1,marks,status,global_rating,danger\n\
        001,S1,X1,3,,,2,\n002,S1,X1,,,,,\n003,S1,X1,,2,,,\n";
    let whole = marked(&key, text, true).expect("in part");
    assert_eq!(whole.entries.len(), 2);
    let said: Vec<String> = whole.missing.iter().map(ToString::to_string).collect();
    assert_eq!(said.len(), 3, "{said:?}");
    assert!(
        said[0].starts_with("marks.csv:3:5: no marks stand here"),
        "{said:?}"
    );
    assert!(
        said[1].starts_with("marks.csv:4:7: the global rating"),
        "{said:?}"
    );
    assert!(
        said[2].contains("candidate 004 has no row for S1"),
        "{said:?}"
    );
    let failure = marked(&key, text, false).expect_err("not whole");
    assert_eq!(failure.problems().len(), 3);
    // What is wrong stays wrong.
    assert!(marked(&key, &text.replace("001,S1,X1,3", "001,S1,X1,9"), true).is_err());
}

#[test]
fn absent_and_void_need_no_marks() {
    let text = format!("{HEAD}001,S1,X1,,,,,,absent,,,\n002,S1,,-,-,-,,,void,,no,alarm\n");
    let whole = marked(&two(), &text, false).expect("reads");
    let all: Vec<Status> = whole.entries.iter().map(|e| e.status).collect();
    assert_eq!(all, [Status::Absent, Status::Void]);
}
