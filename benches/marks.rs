//! Measures the results of a large day: 2,000 candidates at 18 stations, from the text of the mark sheet to every figure; bound: 3 s, 300 MB.

use divan::{Bencher, black_box};
use std::fmt::Write;
use vivasmith::circuit::blueprint::Passing;
use vivasmith::circuit::report::{
    KeyCandidate, KeyExaminer, KeyForm, KeyGrade, KeyQuestion, KeySeat, KeyStation, MarkingKey,
};
use vivasmith::files::{Source, read_table, to_json};
use vivasmith::marks::judgements::Judgements;
use vivasmith::marks::results::results;
use vivasmith::marks::sheet;
use vivasmith::marks::table::Day;

fn main() {
    divan::main();
}

const CANDIDATES: usize = 2000;
const STATIONS: usize = 18;
const FORMS: usize = 4;
/// Each examiner sits at a station in one of eight tracks and changes it between groups.
const EXAMINERS: usize = 8 * STATIONS;

fn key() -> MarkingKey {
    let question = |id: usize| KeyQuestion {
        id: format!("q{id}"),
        domain: "localisation".into(),
        opening: "Where is the lesion?".into(),
        marks: 4,
        caps: Vec::new(),
        points: Vec::new(),
    };
    let station = |at: usize| KeyStation {
        code: format!("VS-{at:04}"),
        kind: ["trace".into(), "Trace".into()],
        site: ["ulnar_elbow".into(), "elbow".into()],
        nerve: "ulnar".into(),
        level: "clinical".into(),
        minutes: 8,
        seed: 0,
        difficulty: 3.0,
        marks: 20,
        questions: (0..5).map(question).collect(),
    };
    MarkingKey {
        circuit: "big".into(),
        title: "Big day".into(),
        date: String::new(),
        place: String::new(),
        content_version: "1".into(),
        seed: 0,
        calibration: None,
        grades: ["A", "B", "C", "D", "E"]
            .map(|g| KeyGrade {
                grade: g.into(),
                borderline: g == "D",
            })
            .to_vec(),
        passing: Passing::default(),
        stations: (0..STATIONS * FORMS).map(station).collect(),
        forms: (0..FORMS)
            .map(|f| KeyForm {
                group: format!("G{f}"),
                route: (0..STATIONS)
                    .map(|s| (format!("{}", s + 1), f * STATIONS + s))
                    .collect(),
                cells: Vec::new(),
                spares: Vec::new(),
                replaced: Vec::new(),
            })
            .collect(),
        examiners: (0..EXAMINERS)
            .map(|e| KeyExaminer {
                id: format!("X{e}"),
                knows: Vec::new(),
            })
            .collect(),
        candidates: (0..CANDIDATES)
            .map(|c| KeyCandidate {
                id: format!("{c:04}"),
                form: c % FORMS,
                sitting: "day".into(),
                track: 1,
                seat: 0,
            })
            .collect(),
        seats: (0..CANDIDATES)
            .flat_map(|c| (0..STATIONS).map(move |s| KeySeat(c, c % FORMS * STATIONS + s, None)))
            .collect(),
    }
}

fn marks(key: &MarkingKey) -> String {
    let mut text = String::from(
        "candidate,station_code,examiner,q1,q2,q3,q4,q5,marks,status,global_rating,danger,comment\r\n",
    );
    for seat in &key.seats {
        let (c, s) = (seat.0, seat.1);
        let able = c * 7919 % 11;
        let cell = |q: usize| (able + c * 31 + s * 17 + q * 5) % 9;
        let all: Vec<f64> = (0..5).map(|q| cell(q) as f64 / 2.0).collect();
        let sum: f64 = all.iter().sum();
        let grade = 1 + (sum / 4.1) as usize;
        let examiner = (s + c / 40) % EXAMINERS;
        let list: Vec<String> = all.iter().map(f64::to_string).collect();
        let (candidate, code) = (&key.candidates[c].id, &key.stations[s].code);
        let _ = write!(
            text,
            "{candidate},{code},X{examiner},{},{sum},,{grade},,\r\n",
            list.join(",")
        );
    }
    text
}

#[divan::bench(sample_count = 5)]
fn two_thousand_candidates_at_eighteen_stations(bencher: Bencher) {
    let key = key();
    let text = marks(&key);
    bencher.bench_local(|| {
        let table = read_table(&Source::new("m.csv", "m.csv", text.clone())).expect("a table");
        let marked = sheet::read(&table, &key, false).expect("marks");
        let all = results(
            &Day::new(&key, &marked.entries),
            &marked,
            &Judgements::default(),
        );
        black_box(to_json(&all).expect("JSON"))
    });
}
