//! Stations that cannot be printed are not chosen, and the office hears of it.

use crate::circuit_files::Out;
use crate::cli_findings::{run, text};
use std::fs;

const DAY: &str = "\
title: Day
time: {station: 6, reading: 2}
positions: [{times: 3}]
groups: [{id: A, count: 3, sittings: [{id: one, start: \"09:00\"}]}]
";

/// Plans the day with a briefing of the user's own.
fn planned(name: &str, briefing: &str) -> (Option<i32>, String, Out) {
    let (content, out) = (Out::new(&format!("{name}-own")), Out::new(name));
    fs::create_dir_all(content.0.join("templates")).expect("a folder");
    fs::write(content.0.join("templates/briefing.md.tera"), briefing).expect("written");
    let day = content.0.join("day.yaml");
    fs::write(&day, DAY).expect("written");
    let (day, content, folder) = (day.to_string_lossy(), content.path(), out.path());
    let own = ["circuit", &day, "--content", &content, "--out", &folder];
    let done = run(&[&own[..], &["--seed", "2", "--formats", "md"]].concat());
    let said = text(&done.stdout) + &text(&done.stderr);
    (done.status.code(), said, out)
}

fn kinds(out: &Out) -> Vec<String> {
    let key = text(&out.files()["round.json"]);
    let parts = key.split("\"kind\":\"").skip(1);
    parts
        .filter_map(|p| p.split('"').next())
        .map(String::from)
        .collect()
}

#[test]
fn a_station_with_a_sheet_too_long_is_not_chosen() {
    let usual = "{% include \"builtin/briefing.md.tera\" %}";
    let (code, said, out) = planned("printed", usual);
    assert_eq!(code, Some(0), "{said}");
    assert!(!said.contains("look at this: left out"), "{said}");
    let first = kinds(&out);
    let longest = first.first().expect("a kind").clone();
    // Too many pages: only a layout shows it. The words are few.
    let long = format!(
        "{usual}{{% if station.kind.id == \"{longest}\" %}}\n<!-- space: 60 lines -->\n\n<!-- space: 60 lines -->\n{{% endif %}}"
    );
    let (code, said, out) = planned("long", &long);
    assert_eq!(code, Some(0), "{said}");
    let chosen = kinds(&out);
    assert_eq!(chosen.len(), 3);
    assert!(!chosen.contains(&longest), "{longest}: {chosen:?}");
    assert!(
        said.contains("look at this: left out, because a sheet cannot be printed:")
            && said.contains("and may take 1 page"),
        "{said}"
    );
    assert!(text(&out.files()["blueprint_and_equality.md"]).contains("Left out, because"));
}

#[test]
fn where_no_station_can_be_printed_the_sheet_is_named() {
    let words = "word ".repeat(600);
    let briefing = format!("{{% include \"builtin/briefing.md.tera\" %}}\n{words}");
    let (code, said, out) = planned("wordy", &briefing);
    assert_eq!(code, Some(1), "{said}");
    assert!(
        said.contains("the briefing sheet of VS-") && said.contains("shorten first"),
        "{said}"
    );
    assert!(!out.0.exists());
}
