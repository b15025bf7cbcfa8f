//! From a mark sheet to results: who passes by which rule, and the one object that the program prints.

use crate::marks_sheet::{key, marked};
use crate::own_support::{Folder, call, says};
use serde_json::Value;
use std::fmt::Write;
use vivasmith::circuit::blueprint::{Cut, Danger, Passing, Then};
use vivasmith::circuit::report::{KEY_FILE, KeyCell, MarkingKey};
use vivasmith::files::{Source, to_json_line};
use vivasmith::marks::judgements::{Judgements, judgements};
use vivasmith::marks::learned::learned;
use vivasmith::marks::results::{Results, Verdict, results};
use vivasmith::marks::seat_plan::{Exchange, seat_plan};
use vivasmith::marks::stringency::{Given, stringency};
use vivasmith::marks::table::Day;

/// A line for each seat: marks, status, grade, danger.
fn sheet(
    key: &MarkingKey,
    cells: impl Fn(usize, usize) -> (String, &'static str, String, &'static str),
) -> String {
    let mut text =
        String::from("candidate,station_code,examiner,marks,status,global_rating,danger\n");
    for seat in &key.seats {
        let (marks, status, grade, danger) = cells(seat.0, seat.1);
        let examiner = seat.2.map_or("", |e| key.examiners[e].id.as_str());
        let (candidate, code) = (&key.candidates[seat.0].id, &key.stations[seat.1].code);
        writeln!(
            text,
            "{candidate},{code},{examiner},{marks},{status},{grade},{danger}"
        )
        .expect("text");
    }
    text
}

fn plain(marks: f64, grade: usize) -> (String, &'static str, String, &'static str) {
    (marks.to_string(), "", grade.to_string(), "")
}

fn found(key: &MarkingKey, text: &str, judged: &Judgements) -> Results {
    let marked = marked(key, text, false).unwrap_or_else(|e| panic!("{e}"));
    results(&Day::new(key, &marked.entries), &marked, judged)
}

fn judged(key: &MarkingKey, text: &str) -> Judgements {
    judgements(&Source::new("j.yaml", "j.yaml", text.to_string()), key)
        .unwrap_or_else(|e| panic!("{e}"))
}

fn folder(name: &str, key: &MarkingKey, sheet: &str) -> Folder {
    let folder = Folder::new(name);
    folder
        .with(KEY_FILE, to_json_line(key).expect("JSON"))
        .with("marks.csv", sheet);
    folder
}

const SHROUT_AND_FLEISS: [[f64; 4]; 6] = [
    [9.0, 2.0, 5.0, 8.0],
    [6.0, 1.0, 3.0, 2.0],
    [8.0, 4.0, 6.0, 8.0],
    [7.0, 1.0, 2.0, 6.0],
    [10.0, 5.0, 6.0, 9.0],
    [6.0, 2.0, 4.0, 7.0],
];

/// Shrout and Fleiss 1979 through the whole program: ICC(3,4) 0.909 is alpha, ICC(2,4) 0.620 the absolute coefficient; the components
/// follow from their mean squares 11.24, 32.49 and 1.02.
#[test]
fn the_program_prints_a_published_table_as_one_object() {
    let mut key = key(6, 4);
    key.passing.cut = Cut::BorderlineGroup;
    let text = sheet(&key, |c, s| {
        plain(SHROUT_AND_FLEISS[c][s], if c == 1 { 2 } else { 3 })
    });
    let folder = folder("shrout", &key, &text);
    let arguments = [
        "marks",
        &folder.path("marks.csv"),
        "--circuit",
        &folder.shown(),
        "--json",
    ];
    let (code, out, err) = call(&arguments);
    assert_eq!((code, err.as_str()), (0, ""));
    let all: Value = serde_json::from_str(&out).expect("one object");
    let names =
        |v: &Value| -> Vec<String> { v.as_object().expect("an object").keys().cloned().collect() };
    let sorted = |text: &str| {
        let mut all: Vec<String> = text.split(' ').map(String::from).collect();
        all.sort();
        all
    };
    let same = |v: &Value, text: &str| {
        let mut is = names(v);
        is.sort();
        assert_eq!(is, sorted(text));
    };
    same(&all, "stations forms examiners candidates problems");
    let form = &all["forms"][0];
    same(
        form,
        "id n stations alpha sem variance relative absolute cut passed",
    );
    same(&form["variance"], "candidate station rest");
    same(
        &all["stations"][0],
        "code form n max mean sd cuts failed alpha_if_left_out prompts",
    );
    same(
        &all["stations"][0]["cuts"],
        "borderline_regression borderline_group",
    );
    same(
        &all["candidates"][0],
        "id total max stations_passed danger result",
    );
    same(&all["examiners"][0], "id estimable effect se");
    let number = |v: &Value| v.as_f64().expect("a number");
    let near = |is: f64, shall: f64, off: f64| assert!((is - shall).abs() <= off, "{is} {shall}");
    near(number(&form["alpha"]), 0.909, 5e-4);
    near(number(&form["relative"]), 0.909, 5e-4);
    near(number(&form["absolute"]), 0.620, 5e-4);
    near(
        number(&form["variance"]["candidate"]),
        (11.24 - 1.02) / 4.0,
        5e-3,
    );
    near(
        number(&form["variance"]["station"]),
        (32.49 - 1.02) / 6.0,
        5e-3,
    );
    near(number(&form["variance"]["rest"]), 1.02, 5e-3);
    near(number(&form["sem"]), (4.0f64 * 1.02).sqrt(), 5e-3);
    // The one with the borderline grade has 6, 1, 3 and 2, which is the pass mark: nobody has less.
    near(number(&form["cut"]), 12.0, 1e-9);
    assert_eq!(form["passed"], 6);
    assert_eq!(all["candidates"][3]["result"], "pass", "16 of 12");
    assert_eq!(all["candidates"][1]["stations_passed"], 4);
    assert_eq!(all["stations"][0]["failed"], 0);
    assert_eq!(
        all["stations"][0]["cuts"]["borderline_regression"],
        Value::Null
    );
    assert_eq!(all["examiners"][0]["estimable"], false);
    let (again, ..) = (call(&arguments).1, ());
    assert_eq!(again, out, "the same bytes");
}

#[test]
fn marks_are_told_by_the_last_prompt_of_each_question() {
    let key = key(3, 1);
    // Four marks without a prompt, four after the question was made clear, two after a probe.
    let text = "candidate,station_code,examiner,q1,q1_prompt,q2,q2_prompt,marks,status,global_rating,danger\n\
                001,S1,X1,4,,6,,,,3,\n002,S1,X1,3,C,6,,,,3,\n003,S1,X1,2,P,5,,,,2,\n";
    let all = found(&key, text, &Judgements::default());
    let told: Vec<(usize, &str, usize, Option<f64>)> = all.stations[0]
        .prompts
        .iter()
        .map(|p| (p.question, p.last_prompt, p.n, p.mean))
        .collect();
    assert_eq!(
        told,
        [
            (1, "none", 1, Some(4.0)),
            (1, "clarify", 1, Some(3.0)),
            (1, "probe", 1, Some(2.0)),
            (1, "lead", 0, None),
            (2, "none", 3, Some(17.0 / 3.0)),
            (2, "clarify", 0, None),
            (2, "probe", 0, None),
            (2, "lead", 0, None),
        ]
    );
}

const JUDGES: &str = "\
angoff:
  S1: {J1: 5, J2: [2, 4]}
  S2: {J1: 5, J2: 6}
  S3: {J1: 5.5, J2: 5.5}
";

#[test]
fn the_rules_of_the_blueprint_decide_who_passes() {
    let mut key = key(8, 3);
    key.passing = Passing {
        cut: Cut::Angoff,
        errors: 0.0,
        stations: 2,
        danger: Some(Danger {
            most: 0,
            then: Then::Open,
        }),
    };
    let judged = judged(&key, JUDGES);
    let one = judged.angoff[&0];
    assert_eq!((one.cut, one.judges), (5.5, 2));
    assert!((one.se.expect("two judges") - 0.5).abs() < 1e-12);
    let text = sheet(&key, |c, s| match (c, s) {
        // Exactly the pass mark of 16.5 with two stations passed.
        (0, _) => plain([5.5, 5.5, 5.5][s], 3),
        (1, _) => plain([5.5, 5.5, 5.0][s], 3),
        // Enough marks at one station.
        (2, _) => plain([10.0, 5.0, 5.0][s], 3),
        (3, 1) => ("9".into(), "", "3".into(), "yes"),
        (4, 2) => (String::new(), "absent", String::new(), ""),
        // Void: 11 is what the other two ask for.
        (5, 0) => (String::new(), "void", String::new(), ""),
        (5, _) => plain(5.5, 3),
        (6, 0) => (String::new(), "void", String::new(), ""),
        (6, _) => plain([0.0, 7.0, 5.0][s], 3),
        (7, _) => (String::new(), "absent", String::new(), ""),
        _ => plain(8.0, 3),
    });
    let all = found(&key, &text, &judged);
    let verdicts: Vec<Verdict> = all.candidates.iter().map(|c| c.result).collect();
    use Verdict::{Fail, Open, Pass};
    assert_eq!(verdicts, [Pass, Fail, Fail, Open, Open, Pass, Open, Open]);
    assert_eq!(all.forms[0].cut, Some(16.5));
    assert_eq!((all.forms[0].passed, all.forms[0].n), (2, 4));
    let totals: Vec<(f64, u32)> = all.candidates.iter().map(|c| (c.total, c.max)).collect();
    assert_eq!(totals[4..6], [(16.0, 30), (11.0, 20)]);
    // Two standard errors on top: the first has no longer enough; the rule on danger may fail.
    key.passing.errors = 2.0;
    key.passing.danger = Some(Danger {
        most: 0,
        then: Then::Fail,
    });
    let stricter = found(&key, &text, &judged);
    let form = &stricter.forms[0];
    let on_top = form.sem.expect("an error");
    assert!((form.cut.expect("a cut") - 16.5 - 2.0 * on_top).abs() < 1e-9);
    assert_eq!(stricter.candidates[0].result, Fail);
    assert_eq!(stricter.candidates[3].result, Fail);
}

#[test]
fn few_candidates_are_told_and_fewer_are_refused() {
    let verdicts = |candidates: usize| {
        let key = key(candidates, 2);
        let text = sheet(&key, |c, s| {
            plain(3.0 + (c % 4) as f64 + (c * s % 3) as f64 / 2.0, 1 + c % 4)
        });
        found(&key, &text, &Judgements::default())
    };
    let told = |all: &Results, words: &str| {
        all.problems
            .iter()
            .any(|p| p.message.contains(words) && !p.hint.is_empty())
    };
    let refused = verdicts(9);
    assert!(told(&refused, "fewer than 10"), "{:?}", refused.problems);
    assert_eq!(refused.forms[0].cut, None);
    assert!(
        refused
            .candidates
            .iter()
            .all(|c| c.result == Verdict::Open && c.stations_passed.is_none())
    );
    let few = verdicts(12);
    assert!(told(&few, "fewer than 50"), "{:?}", few.problems);
    // Station S1 has 3 + c mod 4 marks at grade 1 + c mod 4: the line is exact, and stands at 4 at grade 2.
    let exact = few.stations[0].cuts.borderline_regression.expect("a line");
    assert!(
        (exact.cut - 4.0).abs() < 1e-9 && (exact.r2 - 1.0).abs() < 1e-9 && exact.se.abs() < 1e-9
    );
    assert_eq!(few.stations[0].failed, Some(3));
    assert!(!told(&verdicts(52), "fewer than"));
}

#[test]
fn ebel_sums_marks_times_shares() {
    let key = key(2, 1);
    let text = "ebel:\n  shares: {essential: {easy: 90, hard: 50}}\n  stations: {S1: [[essential, easy], [essential, hard]]}\n";
    let judged = judged(&key, text);
    assert!((judged.ebel[&0].cut - (4.0 * 0.9 + 6.0 * 0.5)).abs() < 1e-12);
}

#[test]
fn judgements_that_do_not_fit_are_told_with_their_place() {
    let key = key(2, 1);
    for (text, place, words) in [
        ("angoff:\n  S1: {J1: 11}\n", "2:", "[4, 6]"),
        ("angoff:\n  S1: {J1: [5, 1]}\n", "2:", "[4, 6]"),
        ("angoff:\n  S1: {J1: [1]}\n", "2:", "[4, 6]"),
        ("angoff:\n  S1: {}\n", "2:", "nobody judged"),
        ("angoff:\n  S7: {J1: 1}\n", "2:", "no station `S7`"),
        (
            "ebel:\n  shares: {a: {b: 50}}\n  stations: {S1: [[a, b]]}\n",
            "3:",
            "2 questions",
        ),
        (
            "ebel:\n  shares: {a: {b: 50}}\n  stations: {S1: [[a, b], [a, c]]}\n",
            "3:",
            "a, c",
        ),
        (
            "hofstee: {cut: [60, 50], fails: [0, 20]}\n",
            "1:",
            "no bounds",
        ),
    ] {
        let source = Source::new("j.yaml", "j.yaml", text.to_string());
        let failure = judgements(&source, &key).expect_err("wrong");
        let said = failure.to_string();
        assert_eq!(failure.exit_code(), 2);
        assert!(
            said.contains(&format!("j.yaml:{place}")) && said.contains(words),
            "{said}"
        );
    }
}

#[test]
fn a_wrong_sheet_or_folder_ends_with_two_and_says_why() {
    let key = key(2, 1);
    let folder = folder("wrong", &key, "candidate,marks\n");
    let marks = folder.path("marks.csv");
    let (code, out, err) = call(&["marks", &marks, "--circuit", &folder.shown(), "--json"]);
    assert_eq!((code, out.as_str()), (2, ""));
    says(&err, &["marks.csv:1:1", "lacks the column station_code"]);
    let (code, _, err) = call(&["marks", &marks, "--circuit", &folder.path("elsewhere")]);
    assert_eq!(code, 2);
    says(&err, &["no circuit lies here", "vivasmith circuit"]);
    folder.with(KEY_FILE, "{\"circuit\": 3}\n");
    let (code, _, err) = call(&["marks", &marks, "--circuit", &folder.shown(), "--json"]);
    assert_eq!(code, 2);
    says(
        &err,
        &["marking_key.json:1:13", "no record that this program wrote"],
    );
}

/// Twelve candidates at four stations; candidate 002 takes everything at S1 and nothing of the second question at S2.
fn whole_day() -> (MarkingKey, String) {
    let mut key = key(12, 4);
    key.examiners[0].knows = vec!["012".into()];
    key.stations[1].site = ["carpal_tunnel".into(), "Carpal tunnel".into()];
    key.stations[1].questions[1].points = vec!["names the thenar muscles".into()];
    key.forms[0].cells = vec![KeyCell {
        label: "ulnar nerve".into(),
        stations: vec![0, 2, 3],
        domain: None,
    }];
    let mut text = String::from(
        "candidate,station_code,examiner,q1,q1_prompt,q2,q2_prompt,marks,status,global_rating,danger,comment\n",
    );
    for seat in &key.seats {
        let (c, s) = (seat.0, seat.1);
        // Examiners X1 and X2 exchange their stations for candidates with an odd number.
        let examiner = match (c % 2, s) {
            (1, 0) => 1,
            (1, 1) => 0,
            _ => s,
        };
        let first = [4.0, 3.0, 2.5, 1.0][(c + s) % 4];
        let second = if s == 1 { 0.0 } else { (c % 5) as f64 };
        let (candidate, code) = (&key.candidates[c].id, &key.stations[s].code);
        let grade = 1 + (first + second) as usize / 3;
        writeln!(
            text,
            "{candidate},{code},X{},{first},,{second},,,,{grade},,slow start",
            examiner + 1
        )
        .expect("text");
    }
    // X1 knows 012 (who is odd), so X1 may not meet them at S2.
    let text = text.replace("012,S2,X1", "012,S2,X2");
    (key, text)
}

#[test]
fn a_folder_of_results_holds_a_report_and_a_sheet_for_everybody() {
    let (key, text) = whole_day();
    let folder = folder("results", &key, &text);
    let out = folder.path("results");
    let marks = || {
        let (file, circuit) = (folder.path("marks.csv"), folder.shown());
        call(&["marks", &file, "--circuit", &circuit, "--out", &out])
    };
    let (code, told, err) = marks();
    assert_eq!(code, 0, "{err}");
    says(&told, &["form A: 12 candidates", "files in"]);
    let rows: Vec<String> = folder
        .read("results/results.csv")
        .lines()
        .map(String::from)
        .collect();
    assert_eq!(rows.len(), 13);
    assert_eq!(rows[0], "id,total,max,stations_passed,danger,result");
    assert!(
        rows[1].starts_with("001,") && rows[1].contains(",40,"),
        "{}",
        rows[1]
    );
    let report = folder.read("results/report.md");
    says(
        &report,
        &[
            "| Group A | 12 |",
            "X1",
            "not to be parted",
            "X3 and X4",
            "![Marks against grades",
            "ulnar nerve",
        ],
    );
    let own = folder.read("results/candidates/002.md");
    says(
        &own,
        &[
            "Candidate 002",
            "slow start",
            "vivasmith station carpal_tunnel --kind trace --level clinical",
        ],
    );
    assert!(!own.contains("003"), "one sheet tells of one candidate");
    // What lost most comes first.
    let own = folder.read("results/candidates/005.md");
    let first = own.split("`vivasmith station ").nth(1).expect("a line");
    assert!(first.starts_with("carpal_tunnel "), "{own}");
    let station = folder.read("results/stations/group_A-S2.md");
    says(
        &station,
        &[
            "nobody won a mark",
            "names the thenar muscles",
            "](group_A-S2.svg)",
        ],
    );
    let examiner = folder.read("results/examiners/X1.md");
    says(
        &examiner,
        &["Examiner X1", "standard error", "| S1 | 10 | 6 |"],
    );
    says(
        &folder.read("results/examiners/X4.md"),
        &["cannot be parted"],
    );
    let learned = folder.read("results/learned.yaml");
    says(
        &learned,
        &["kinds:", "id: trace", "candidates: 48", "id: carpal_tunnel"],
    );
    for file in [
        "report.pdf",
        "candidates/002.pdf",
        "stations/group_A-S2.pdf",
        "stations/group_A-S2.svg",
        "examiners/X1.pdf",
    ] {
        assert!(
            std::path::Path::new(&folder.path(&format!("results/{file}"))).is_file(),
            "{file}"
        );
    }
    // Nothing is written over unless it is asked for.
    let (code, _, err) = marks();
    assert_eq!(code, 2);
    says(&err, &["--replace"]);
}

/// The seat plan is tried: with its exchanges carried out, least squares finds all examiners in one set.
#[test]
fn the_exchanges_of_the_seat_plan_link_all_examiners() {
    let stations = 6;
    let day = |exchanges: &[Exchange]| {
        let mut given = Vec::new();
        for candidate in 0..2 * stations {
            for station in 0..stations {
                let mut examiner = station;
                if let Some(Exchange(a, b)) = exchanges.get(candidate) {
                    examiner = match examiner {
                        e if e == *a => *b,
                        e if e == *b => *a,
                        e => e,
                    };
                }
                given.push(Given {
                    candidate,
                    station,
                    examiner,
                    mark: ((candidate * 7 + station * 5 + examiner * 3) % 11) as f64,
                });
            }
        }
        stringency(&given, stations, stations)
    };
    let before = day(&[]);
    assert!(before.effects.iter().all(|e| e.set.is_none()));
    let all: Vec<usize> = (0..stations).collect();
    let homes: Vec<Option<usize>> = (0..stations).map(Some).collect();
    let plan = seat_plan(&before.information, &all, &homes);
    assert_eq!(plan.len(), stations - 1);
    assert!(day(&plan).effects.iter().all(|e| e.set == Some(0)));
    assert!(
        !day(&plan[1..]).effects.iter().all(|e| e.set == Some(0)),
        "one exchange fewer is too few"
    );
    assert!(seat_plan(&day(&plan).information, &all, &homes).is_empty());
}

/// By hand: shares lost 0.6 and 0.2, declared 10 and 12; on the declared scale (mean 11, same spread) that is 12 and 10, so 2 harder and 2
/// easier than declared. All are of one kind, which takes nothing; each site keeps 20 / (20 + 20) of its 2.
#[test]
fn what_was_learned_is_shrunk_towards_what_was_declared() {
    let mut key = key(20, 2);
    key.stations[0].difficulty = 10.0;
    key.stations[1].difficulty = 12.0;
    key.stations[1].site = ["carpal_tunnel".into(), "Carpal tunnel".into()];
    let text = sheet(&key, |_, s| plain([4.0, 8.0][s], 3));
    let read = marked(&key, &text, false).expect("reads");
    let found = learned(&Day::new(&key, &read.entries));
    let sites: Vec<(&str, usize, f64)> = found
        .sites
        .iter()
        .map(|h| (h.id.as_str(), h.candidates, h.harder))
        .collect();
    assert_eq!(
        sites,
        [("carpal_tunnel", 20, -1.0), ("ulnar_elbow", 20, 1.0)]
    );
    assert_eq!((found.kinds.len(), found.kinds[0].harder), (1, 0.0));
    assert!(found.questions.is_empty(), "only totals were entered");
}

/// Two tracks with an examiner of their own at each of four stations: differences of differences within a station are known, so that 4
/// exchanges do where 7 examiners have to be linked with the first. (Rank: 8 - 1 contrasts, 3 of them known.)
#[test]
fn what_can_be_estimated_already_saves_exchanges() {
    let mut given = Vec::new();
    for candidate in 0..8 {
        for station in 0..4 {
            given.push(Given {
                candidate,
                station,
                examiner: candidate % 2 * 4 + station,
                mark: ((candidate * 3 + station * 5) % 7) as f64,
            });
        }
    }
    let fit = stringency(&given, 4, 8);
    assert!(fit.effects.iter().all(|e| e.set.is_none()));
    let homes: Vec<Option<usize>> = (0..8).map(|e| Some(e % 4)).collect();
    let all: Vec<usize> = (0..8).collect();
    assert_eq!(seat_plan(&fit.information, &all, &homes).len(), 4);
}
