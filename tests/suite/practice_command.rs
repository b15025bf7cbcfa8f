//! `vivasmith practice` and `vivasmith station --count` as a user calls them: feedback, record, mistakes.

use crate::own_support::{Folder, call, says};
use std::collections::BTreeSet;
use std::fs;
use vivasmith::circuit::Exposure;
use vivasmith::files::{Content, Source};
use vivasmith::marks::feedback::{CandidateSheet, Practice};
use vivasmith::marks::report::DayHead;
use vivasmith::marks::results::Verdict;
use vivasmith::sheets::words::Printer;

fn record(folder: &Folder, name: &str) -> Exposure {
    let mut all = Exposure::default();
    let source = Source::new(name, name, folder.read(name));
    all.add(&source).unwrap_or_else(|e| panic!("{e}"));
    all
}

#[test]
fn a_record_is_begun_and_no_case_is_met_again() {
    let folder = Folder::new("practice-record");
    let (out, met) = (folder.path("out"), folder.path("met.yaml"));
    let print = |seed: &str| {
        let (code, _, err) = call(&[
            "practice",
            "--cases",
            "3",
            "--seed",
            seed,
            "--formats",
            "md",
            "--exposure",
            &met,
            "--out",
            &out,
        ]);
        assert_eq!((code, err.as_str()), (0, ""));
    };
    print("1");
    let first = record(&folder, "met.yaml").met;
    assert_eq!(first.len(), 3);
    // The same seed again: what it would have printed is left out.
    print("1");
    let both = record(&folder, "met.yaml").met;
    assert_eq!(both[..3], first[..], "older entries stand first");
    let codes: BTreeSet<&str> = both.iter().map(|m| m.code.as_str()).collect();
    let sites: BTreeSet<&str> = both.iter().map(|m| m.site.as_str()).collect();
    assert_eq!(
        (codes.len(), sites.len()),
        (6, 6),
        "places that were met are drawn last"
    );
}

/// A feedback sheet as `vivasmith marks` prints it.
fn feedback(practise: Vec<Practice>) -> String {
    let content = Content::embedded();
    let sheet = CandidateSheet {
        head: DayHead {
            title: "Day".into(),
            place: String::new(),
            date: String::new(),
        },
        id: "A1".into(),
        total: "40".into(),
        max: 120,
        result: Verdict::Fail,
        danger: 0,
        stations: Vec::new(),
        domains: Vec::new(),
        kinds: Vec::new(),
        practise,
    };
    let printer = Printer::new(&content).expect("templates");
    printer
        .page("marks_candidate", &[("s", &sheet)])
        .expect("a sheet")
}

fn lost(site: &str, kind: &str) -> Practice {
    Practice {
        site: [site.into(), format!("label of {site}")],
        kind: [kind.into(), format!("label of {kind}")],
        level: "trainee".into(),
    }
}

#[test]
fn a_feedback_sheet_says_what_to_practise() {
    let folder = Folder::new("practice-feedback");
    let (sheet, met) = (folder.path("A1.md"), folder.path("met.yaml"));
    folder.with(
        "A1.md",
        feedback(vec![
            lost("carpal_tunnel", "forecast"),
            lost("root_c8", "trace"),
        ]),
    );
    let (code, out, err) = call(&[
        "practice",
        "--cases",
        "4",
        "--seed",
        "6",
        "--like",
        &sheet,
        "--exposure",
        &met,
        "--formats",
        "md",
        "--out",
        &folder.path("out"),
    ]);
    assert_eq!((code, err.as_str()), (0, ""));
    says(&out, &["4 cases, trainee"]);
    let all = record(&folder, "met.yaml").met;
    for (site, kind) in [("carpal_tunnel", "forecast"), ("root_c8", "trace")] {
        assert!(
            all.iter().any(|m| m.site == site && m.kind == kind),
            "{all:?}"
        );
    }
    // The sheet of a day with both limbs: the one where most was lost, and word of the other.
    let leg = || lost("tarsal_tunnel", "trace");
    folder.with("A1.md", feedback(vec![leg(), lost("root_c8", "trace")]));
    let common = [
        "practice",
        "--cases",
        "2",
        "--seed",
        "6",
        "--formats",
        "md",
        "--like",
        &sheet,
    ];
    let (code, out, err) = call(&[&common[..], &["--out", &folder.path("both")]].concat());
    assert_eq!((code, err.as_str()), (0, ""));
    says(&out, &["lower limb", "--like root_c8"]);
    let leg_out = folder.path("leg");
    folder.with("A1.md", feedback(vec![leg()]));
    let elsewhere = ["--region", "upper_limb", "--out", &leg_out];
    let (code, _, err) = call(&[&common[..], &elsewhere].concat());
    assert_eq!(code, 2);
    says(&err, &["A1.md:", "tarsal_tunnel", "leave --region out"]);
    folder.with("A1.md", feedback(Vec::new()));
    let (code, _, err) = call(&[&common[..], &["--out", &leg_out]].concat());
    assert_eq!(code, 2);
    says(&err, &["names nothing to practise", "as Markdown"]);
    assert!(!fs::exists(folder.path("leg")).expect("look"));
}

#[test]
fn mistakes_are_named_with_a_hint_and_nothing_is_written() {
    let folder = Folder::new("practice-mistakes");
    let out = folder.path("out");
    for (more, words) in [
        (&["--cases", "13"][..], &["13", "2..=12"][..]),
        (&["--cases", "1"], &["2..=12"]),
        (
            &["--kind", "tracing"],
            &["no kind of station is called `tracing`", "trace"],
        ),
        (
            &["--area", "tail"],
            &["no part and no nerve called `tail`", "name a nerve"],
        ),
        (
            &["--like", "carpal_tunel"],
            &["has no site `carpal_tunel`", "carpal_tunnel"],
        ),
        (&["--like", "gone.md"], &["gone.md: cannot be opened"]),
    ] {
        let (code, _, err) = call(&[&["practice", "--out", &out], more].concat());
        assert_eq!(code, if more[1] == "gone.md" { 3 } else { 2 }, "{err}");
        says(&err, words);
    }
    let (code, _, err) = call(&[
        "practice", "--cases", "12", "--area", "axillary", "--out", &out,
    ]);
    assert_eq!(code, 1);
    says(
        &err,
        &["of 12 cases can be made", "leave --area or --kind out"],
    );
    folder.with("met.yaml", "stations: 7\n");
    let met = folder.path("met.yaml");
    let (code, _, err) = call(&["practice", "--exposure", &met, "--out", &out]);
    assert_eq!(code, 2);
    says(&err, &["met.yaml:1:"]);
    // A record that cannot be written: no booklet either.
    let there = folder.path("met.yaml/met.yaml");
    let (code, ..) = call(&[
        "practice",
        "--cases",
        "2",
        "--exposure",
        &there,
        "--out",
        &out,
    ]);
    assert_eq!(code, 3);
    assert!(folder.files() == ["met.yaml"], "{:?}", folder.files());
}

/// Long notes, many hints, small pages: a booklet makes room, and is not refused. On Letter the seeds need what a key leaves out, less space
/// above what an examination shows, and a second page for what was trained.
#[test]
fn a_full_booklet_of_either_limb_is_printed_on_letter_too() {
    let folder = Folder::new("practice-letter");
    for (region, level, seed) in [
        ("lower_limb", "clinical", "1"),
        ("lower_limb", "trainee", "2"),
        ("lower_limb", "clinical", "4"),
        ("upper_limb", "trainee", "5"),
    ] {
        let out = folder.path("out");
        let limb = [
            "practice", "--cases", "12", "--region", region, "--level", level,
        ];
        let rest = [
            "--seed",
            seed,
            "--paper",
            "letter",
            "--formats",
            "md",
            "--out",
            &out,
        ];
        let (code, _, err) = call(&[&limb[..], &rest[..]].concat());
        assert_eq!((code, err.as_str()), (0, ""), "{region}, {level}, {seed}");
    }
}

#[test]
fn several_stations_in_one_run_are_those_of_single_runs() {
    let folder = Folder::new("practice-count");
    let many = folder.path("many");
    let common = ["station", "--area", "hand", "--level", "early", "--seed"];
    let (code, text, err) = call(&[&common[..], &["18", "--count", "3", "--out", &many]].concat());
    assert_eq!((code, err.as_str()), (0, ""));
    says(&text, &["seed 18: ", "seed 20: "]);
    for seed in ["18", "19", "20"] {
        let alone = folder.path("alone");
        assert_eq!(call(&[&common[..], &[seed, "--out", &alone]].concat()).0, 0);
    }
    let below = |start: &str| -> Vec<(String, String)> {
        let all = folder.files().into_iter().filter(|f| f.starts_with(start));
        let mut named: Vec<(String, String)> = all
            .map(|f| (f.rsplit('/').next().expect("a name").to_string(), f))
            .collect();
        named.sort();
        named
    };
    let (many, alone) = (below("many/"), below("alone/"));
    assert_eq!(many.len(), alone.len());
    assert!(many.len() >= 3 * 9, "{many:?}");
    for ((name, a), (_, b)) in many.iter().zip(&alone) {
        let code = &name[..13];
        assert_eq!(*a, format!("many/{code}/{name}"), "one folder each");
        assert!(
            fs::read(folder.path(a)).expect("a") == fs::read(folder.path(b)).expect("b"),
            "{name}"
        );
    }
}

#[test]
fn of_several_stations_all_are_written_or_none() {
    let folder = Folder::new("practice-count-none");
    let out = folder.path("out");
    let (code, _, err) = call(&[
        "station", "root_c7", "--kind", "risk", "--seed", "7", "--count", "2", "--out", &out,
    ]);
    assert_eq!(code, 1);
    says(&err, &["seed 7: ", "choose another"]);
    for wrong in [
        &["--count", "0"][..],
        &["--count", "101"],
        &["--count", "2", "--write-own", "x"],
    ] {
        let (code, ..) = call(&[&["station", "--out", &out], wrong].concat());
        assert_eq!(code, 2, "{wrong:?}");
    }
    assert!(folder.files().is_empty(), "{:?}", folder.files());
    // A file stands where the second folder is to be.
    let (code, text, _) = call(&[
        "station",
        "ulnar_elbow",
        "--seed",
        "3",
        "--count",
        "2",
        "--formats",
        "md",
        "--out",
        &out,
    ]);
    assert_eq!(code, 0);
    let second = text
        .lines()
        .nth(1)
        .and_then(|l| l.rsplit('/').next())
        .expect("its folder");
    fs::remove_dir_all(&out).expect("away");
    folder.with(&format!("out/{second}"), "in the way");
    let (code, _, err) = call(&[
        "station",
        "ulnar_elbow",
        "--seed",
        "3",
        "--count",
        "2",
        "--formats",
        "md",
        "--out",
        &out,
    ]);
    assert_eq!(code, 3, "{err}");
    assert_eq!(folder.files(), [format!("out/{second}")]);
}
