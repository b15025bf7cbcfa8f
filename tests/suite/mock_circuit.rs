//! A circuit on a screen: its round as the timetable has it, its bells, and its marks back into `vivasmith marks`.

use crate::browser::Browser;
use crate::circuit_files::whole;
use crate::own_support::{Folder, call, says};
use serde_json::{Value, json};
use std::path::PathBuf;
use vivasmith::circuit::report::KEY_FILE;
use vivasmith::circuit::report::round::{Part, ROUND_FILE, Round};

/// The folder of the small circuit, as far as a mock and `marks` read it.
fn folder(name: &str) -> Folder {
    let folder = Folder::new(&format!("mock-circuit-{name}"));
    for file in [ROUND_FILE, KEY_FILE, "mark_sheet.csv"] {
        folder.with(file, &whole().0[file]);
    }
    folder
}

fn round(folder: &Folder) -> Round {
    serde_json::from_str(&folder.read(ROUND_FILE)).expect("a round")
}

#[test]
fn the_round_is_that_of_the_timetable_and_the_mark_sheet() {
    let folder = folder("round");
    let round = round(&folder);
    let group = &round.groups[0];
    let sheet = folder.read("mark_sheet.csv");
    let mut marked = 0;
    for visit in &group.visits {
        let line = visit.planned.join(",") + ",";
        match visit.station {
            Some(station) => {
                assert!(sheet.lines().any(|l| l.starts_with(&line)), "{line}");
                assert_eq!(visit.planned[5], group.stations[station].code);
                marked += 1;
            }
            None => assert!(!sheet.contains(&line), "{line}"),
        }
        let b = visit.bells;
        assert!(
            b.read <= b.begin && b.begin <= b.warn && b.warn <= b.stop,
            "{b:?}"
        );
    }
    assert_eq!(marked, sheet.lines().count() - 1);
    // Everybody is in one place at a time, and each visit is met from both sides.
    let mut met = vec![0; group.visits.len()];
    for way in &group.ways {
        for pair in way.visits.windows(2) {
            let [before, after] = [pair[0], pair[1]].map(|v| group.visits[v].bells);
            assert!(before.stop <= after.read, "{} is in two places", way.id);
        }
        way.visits.iter().for_each(|v| met[*v] += 1);
    }
    for (visit, times) in group.visits.iter().zip(met) {
        assert_eq!(times, if visit.station.is_some() { 2 } else { 1 });
    }
}

#[test]
fn a_circuit_is_told_what_it_lacks() {
    let folder = folder("wrong");
    let dir = folder.shown();
    let out = folder.path("x.html");
    for (arguments, words) in [
        (
            vec![dir.as_str(), "--group", "B"],
            vec!["no group `B`", "A-1"],
        ),
        (
            vec![&dir, "--kind", "trace"],
            vec!["has its stations already"],
        ),
        (vec![&dir, "--seed", "4"], vec!["has its seed already"]),
        (
            vec!["faculty_day", "--group", "A", "--level", "early"],
            vec!["has its stations already"],
        ),
        (
            vec!["ulnar_elbow", "--group", "A"],
            vec!["only a circuit has groups"],
        ),
        (vec!["src"], vec!["no circuit lies here"]),
    ] {
        let (code, _, err) = call(&[&["mock", "--out", &out], &arguments[..]].concat());
        assert_eq!(code, 2, "{arguments:?}: {err}");
        says(&err, &words);
    }
    // Content that has changed since the day gives other stations: that is told, never passed over.
    let changed = folder.read(ROUND_FILE).replacen("VS-", "VS-X", 2);
    folder.with(ROUND_FILE, changed);
    let (code, _, err) = call(&["mock", &dir, "--out", &out]);
    assert_eq!(code, 1, "{err}");
    says(&err, &["is no longer what the circuit printed"]);
    assert!(!folder.files().contains(&"x.html".to_string()));
}

/// Lines that other examiners saved join the table; what is no such table does not.
fn gathers(b: &mut Browser, folder: &Folder, csv: &str) {
    let file = |b: &mut Browser, name: &str| {
        b.give(".close:not([hidden]) [data-gather]", &folder.0.join(name));
    };
    // A field for text shows every line end as one sign.
    let (head, rest) = csv.split_once('\n').expect("lines");
    let row = rest.lines().next().expect("a line");
    let (_, other) = row.split_once(',').expect("cells");
    folder.with(
        "other.csv",
        format!("{head}\r\n{row}\r\nSomebody,{other}\r\n"),
    );
    folder.with("notes.csv", "candidate,marks\nA1,20\n");
    file(b, "notes.csv");
    b.until("document.querySelector('.close:not([hidden]) [data-gathered]').textContent.includes('notes.csv is no table')");
    file(b, "other.csv");
    b.until("document.querySelector('.close:not([hidden]) [data-gathered]').textContent.includes('Lines added: 2')");
    let all = b.run("document.querySelector('.close:not([hidden]) .csv').value");
    assert_eq!(
        all,
        json!(format!("{csv}Somebody,{other}\n")),
        "its own line is there once"
    );
}

#[test]
fn a_candidate_goes_round_and_the_marks_come_back() {
    let Some(mut b) = Browser::start("circuit") else {
        return;
    };
    let folder = folder("browser");
    let out = folder.path("round.html");
    let (code, said, err) = call(&["mock", &folder.shown(), "--out", &out]);
    assert_eq!((code, err.as_str()), (0, ""), "{said}");
    let round = round(&folder);
    let group = &round.groups[0];
    let way = group
        .ways
        .iter()
        .position(|w| w.part == Part::Candidate)
        .expect("a candidate");
    let visits: Vec<_> = group.ways[way]
        .visits
        .iter()
        .map(|v| &group.visits[*v])
        .collect();
    b.open(&PathBuf::from(&out));
    says(
        &b.text("#route"),
        &[&visits[0].clock, &visits[0].planned[4]],
    );
    assert_eq!(
        b.run("document.querySelectorAll('#route tbody tr').length"),
        json!(visits.len())
    );
    // By its bells: where it is, and when it moves on.
    b.click("#route tbody tr:first-child a");
    b.until("!document.getElementById('clock').hidden");
    b.click("#go");
    let mut rests = 0;
    for (n, visit) in visits.iter().enumerate() {
        b.until(&format!("location.hash === '#candidate/{way}/{n}'"));
        let place = format!("{} \u{b7} {}", visit.planned[4], visit.planned[0]);
        b.until(&format!(
            "document.getElementById('where').textContent.includes({})",
            json!(place)
        ));
        match visit.station {
            Some(s) => says(
                &b.text(".candidate:not([hidden])"),
                &[&group.stations[s].code],
            ),
            None => {
                assert_eq!(b.text("#phase"), "Rest");
                rests += 1;
            }
        }
        let next = visits.get(n + 1).map_or(visit.bells.stop, |v| v.bells.read);
        b.run(&format!(
            "(() => {{ const c = JSON.parse(localStorage.getItem({key})); c.zero = Date.now() - {next} * 1000; localStorage.setItem({key}, JSON.stringify(c)); }})()",
            key = json!(format!("{}-{}-{}/clock", round.circuit, round.seed, group.id))
        ));
    }
    assert_eq!(rests, 1);
    b.until("document.getElementById('phase').textContent === 'Stop'");

    // The examiner marks all but the last; one candidate did not come.
    let stations: Vec<usize> = (0..visits.len())
        .filter(|n| visits[*n].station.is_some())
        .collect();
    let mut total = 0.0;
    for (i, n) in stations.iter().enumerate() {
        b.run(&format!("location.hash = '#examiner/{way}/{n}'"));
        if i == 0 {
            b.until("!document.getElementById('gate').hidden");
            b.click("#open");
        }
        b.until("document.querySelector('.examiner:not([hidden])')");
        b.until(&format!(
            "document.querySelector('.examiner:not([hidden]) h1').textContent.startsWith({})",
            json!(visits[*n].planned[5])
        ));
        if i == 1 {
            b.run("(() => { const s = document.querySelector('.examiner:not([hidden]) [data-field=status]'); s.value = 'absent'; s.dispatchEvent(new Event('change', {bubbles: true})); })()");
        } else {
            b.click(".examiner:not([hidden]) [data-point]");
            b.click(".examiner:not([hidden]) [type=radio][value='1']");
            let mark = b.run("document.querySelector('.examiner:not([hidden]) [data-mark]').value");
            total += mark
                .as_str()
                .and_then(|m| m.parse::<f64>().ok())
                .expect("a mark");
        }
        b.click(".examiner:not([hidden]) [data-close]");
        b.until("document.querySelector('.close:not([hidden])')");
    }
    let csv = b.run("document.querySelector('.close:not([hidden]) .csv').value");
    let csv = csv.as_str().expect("a table");
    assert_eq!(csv.lines().count(), 1 + stations.len(), "{csv}");
    folder.with("marks.csv", csv);
    gathers(&mut b, &folder, csv);
    let (code, told, err) = call(&[
        "marks",
        &folder.path("marks.csv"),
        "--circuit",
        &folder.shown(),
        "--partial",
        "--json",
    ]);
    assert_eq!((code, err.as_str()), (0, ""), "{csv}");
    let told: Value = serde_json::from_str(&told).expect("JSON");
    let mine = told["candidates"].as_array().expect("candidates").iter();
    let mine = mine
        .clone()
        .find(|c| c["id"] == json!(visits[0].planned[0]))
        .expect("the candidate");
    assert_eq!(mine["total"].as_f64(), Some(total), "{csv}");
    // The overview ticks what is done.
    b.run(&format!("location.hash = '#start/{way}/0'"));
    b.until("document.querySelector('#route td')");
    assert_eq!(b.text("#route").matches('\u{2713}').count(), stations.len());
}
