//! Plans a small day with its lists, then again after somebody fell ill, came late and a station was spoilt, as an exam office does.

use crate::circuit_files::Out;
use crate::cli_findings::{run, text};
use std::collections::BTreeMap;
use std::fs;

const DAY: &str = "\
title: Small real day
time: {station: 6, reading: 2, changeover: 1, warning: 1, starts: together, breaks: [{after: 2, minutes: 15}]}
positions: [{times: 2, kind: trace}, {rest: same}]
spares: 1
calibration: true
lists: {candidates: candidates.csv, examiners: examiners.csv}
groups:
  - {id: A, sittings: [{id: early, start: \"09:00\"}, {id: longer, start: \"10:30\", extra: 25}]}
";

fn circuit(arguments: &[&str]) -> (bool, String) {
    let done = run(&[&["circuit"], arguments, &["--formats", "md"]].concat());
    (
        done.status.success(),
        text(&done.stdout) + &text(&done.stderr),
    )
}

/// Candidate and position, with code, examiner and time.
fn seats(files: &BTreeMap<String, Vec<u8>>) -> BTreeMap<(String, String), [String; 3]> {
    let sheet = text(&files["mark_sheet.csv"]);
    let rows = sheet.lines().skip(1).map(|line| {
        let cells: Vec<String> = line.split(',').map(String::from).collect();
        let key = (cells[0].clone(), cells[4].clone());
        (key, [cells[5].clone(), cells[6].clone(), cells[7].clone()])
    });
    rows.collect()
}

#[test]
fn a_day_is_planned_again_without_moving_anybody() {
    let folder = Out::new("kept-lists");
    let (first, second) = (Out::new("kept-first"), Out::new("kept-second"));
    fs::create_dir_all(&folder.0).expect("a folder");
    let write = |name: &str, text: &str| {
        fs::write(folder.0.join(name), text).expect("written");
        folder.0.join(name).to_string_lossy().into_owned()
    };
    write(
        "candidates.csv",
        "candidate;name;extra time\n007;Wenrop Acornquist;\n008;Zinmott Velvetcoe;25 %\n009;Imvick Cornetwade;\n",
    );
    write("examiners.csv", "examiner,reserve\nX1,\nX2,\nX3,yes\n");
    let day = write("day.yaml", DAY);
    let (fine, said) = circuit(&[&day, "--seed", "4", "--out", &first.path()]);
    assert!(fine, "{said}");
    let before = first.files();
    // 25 % more time: ten minutes inside and to read, and the stations of the group.
    let old = seats(&before);
    for position in ["1", "2"] {
        let code = |id: &str| old[&(id.to_string(), position.to_string())][0].clone();
        assert_eq!(code("008"), code("007"));
    }
    let longer = old.keys().any(|(id, _)| id == "008")
        && before
            .iter()
            .any(|(n, b)| n.ends_with("/door-longer.md") && text(b).contains("7.5 minutes inside"));
    assert!(longer, "{:?}", before.keys());
    let rooms: String = before
        .iter()
        .filter(|(n, _)| n.starts_with("rooms/"))
        .map(|(_, b)| text(b))
        .collect();
    assert_eq!(rooms.matches("7.5 min inside").count(), 2);
    // A break for everybody, and one row for each slot.
    let bells = text(&before["timetable_timekeeper.md"]);
    assert!(
        bells.contains("| 09:09 | 09:11 | 09:16 | 09:17 | break until 09:33 |"),
        "{bells}"
    );
    assert_eq!(
        bells.matches("break until").count(),
        2,
        "one a sitting: {bells}"
    );
    let plan = text(&before["print_plan.md"]);
    assert!(
        plan.contains("| calibration/room | the examiners' meeting | 3 |"),
        "{plan}"
    );
    assert_eq!(plan.matches("| in reserve |").count(), 1, "{plan}");
    assert!(
        plan.contains("| group_A/\\*/door-longer | the doors, while that sitting runs | 1 |"),
        "{plan}"
    );
    let plan = text(&before["quarantine.md"]);
    assert!(
        plan.contains("Keep early until 10:30, or have longer in a room of its own by"),
        "{plan}"
    );
    for name in ["sign_in.md", "labels.md", "timetable_candidates.md"] {
        let page = text(&before[name]);
        assert!(
            page.contains("007") && !page.contains("Acornquist"),
            "{name}: {page}"
        );
    }
    assert!(text(&before["calibration/sheet.md"]).contains("| X3 |"));

    write(
        "day.yaml",
        &format!(
            "{DAY}changes: {{absent: [X1], late: [{{candidate: \"007\", at: \"09:01\"}}], spare: [{{group: A, position: 2}}]}}\n"
        ),
    );
    let (fine, said) = circuit(&[&day, "--out", &second.path()]);
    assert!(!fine && said.contains("--keep"), "{said}");
    let keep = ["--keep", &first.path(), "--out", &second.path(), "--names"];
    let (fine, said) = circuit(&[&[day.as_str()][..], &keep[..]].concat());
    assert!(fine, "{said}");
    let after = second.files();
    let new = seats(&after);
    assert_eq!(
        old.keys().collect::<Vec<_>>(),
        new.keys().collect::<Vec<_>>()
    );
    for ((id, position), [code, examiner, time]) in &old {
        let [now_code, now_examiner, now_time] = &new[&(id.clone(), position.clone())];
        assert_eq!(code != now_code, position == "2", "the spare station");
        match examiner.as_str() {
            "X1" => assert_eq!(now_examiner, "X3", "the reserve"),
            _ => assert_eq!(now_examiner, examiner),
        }
        let missed = id == "007" && time.as_str() < "09:03";
        assert_eq!(missed, now_time != time, "{id} at {time}, now {now_time}");
    }
    assert!(text(&after["sign_in.md"]).contains("Wenrop Acornquist"));
    assert!(!text(&after["mark_sheet.csv"]).contains("Acornquist"));
    // What was printed of the other station is printed again, byte for byte.
    let kept = before
        .iter()
        .filter(|(n, _)| n.contains("/01-VS-") && n.ends_with("/answer.md"));
    for (name, bytes) in kept {
        assert_eq!(after.get(name), Some(bytes), "{name}");
    }
    assert!(!after.keys().any(|n| n.contains("/spare-")), "it is in use");
    // Then X2 goes home at 9:20, when the first two slots have been marked.
    let third = Out::new("kept-third");
    let day = write(
        "day.yaml",
        &format!("{DAY}changes: {{left: [{{examiner: X2, at: \"09:20\"}}]}}\n"),
    );
    let (fine, said) = circuit(&[&day, "--keep", &first.path(), "--out", &third.path()]);
    assert!(fine, "{said}");
    let after = third.files();
    let new = seats(&after);
    assert!(
        old.values()
            .any(|[_, e, time]| e == "X2" && time.as_str() < "09:20")
    );
    let mut given = 0;
    for (key, [code, examiner, time]) in &old {
        let gone = examiner == "X2" && time.as_str() >= "09:20";
        given += usize::from(gone);
        let wanted = if gone { "X3" } else { examiner };
        assert_eq!(
            new[key],
            [code.as_str(), wanted, time.as_str()].map(String::from),
            "{key:?}"
        );
    }
    let leaves = |id: &str| new.values().filter(|s| s[1] == id).count();
    assert!(given > 0 && leaves("X3") == given);
    for id in ["X1", "X2", "X3"] {
        let n = leaves(id);
        let room = text(&after[&format!("rooms/{id}.md")]);
        assert_eq!(room.matches("| Candidate no. |").count(), n, "{id}");
        assert!(text(&after["print_plan.md"]).contains(&format!("| rooms/{id} | {n} |")));
    }
    // Who has gone is not waited for at the later sitting.
    let sign_in = text(&after["sign_in.md"]);
    let (early, longer) = sign_in
        .split_once("## Sitting longer")
        .expect("two sittings");
    assert!(
        early.contains("**X2**") && !longer.contains("**X2**") && longer.contains("**X3**"),
        "{sign_in}"
    );
}
