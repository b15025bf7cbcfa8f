//! Is a word found in whichever limb has it, and does one circuit hold both limbs?

use crate::cli_findings::{run, text};
use crate::own_support::Folder;
use std::collections::BTreeSet;

/// No limb is named: the place tells it.
#[test]
fn a_place_is_found_in_the_limb_that_has_it() {
    for (place, word) in [
        ("tarsal_tunnel", "Abductor hallucis"),
        ("carpal_tunnel", "Abductor pollicis brevis"),
    ] {
        let out = run(&["findings", place]);
        assert!(text(&out.stdout).contains(word), "{place}");
    }
    let list = text(&run(&["list", "sites"]).stdout);
    assert!(list.contains("tarsal_tunnel ") && list.contains("carpal_tunnel "));
    let arm = text(&run(&["list", "sites", "--region", "upper_limb"]).stdout);
    assert!(!arm.contains("tarsal_tunnel ") && arm.contains("carpal_tunnel "));
}

#[test]
fn a_slip_is_answered_with_the_nearest_word_of_either_limb() {
    for (word, meant) in [
        ("tarsal_tunel", "tarsal_tunnel"),
        ("carpal_tunel", "carpal_tunnel"),
    ] {
        let out = run(&["findings", word]);
        assert_eq!(out.status.code(), Some(2));
        let said = text(&out.stderr);
        assert!(said.contains(&format!("did you mean `{meant}`?")), "{said}");
    }
    // A limb that is named is not left.
    let out = run(&["findings", "tarsal_tunnel", "--region", "upper_limb"]);
    assert_eq!(out.status.code(), Some(2));
}

/// A station of neither limb in particular may be of either, and `--region` or settings of one's own keep it to one.
#[test]
fn a_station_is_drawn_from_either_limb() {
    let folder = Folder::new("limbs");
    folder.with("settings.yaml", "region: lower_limb\n");
    let content = folder.shown();
    let out = Folder::new("limbs-out");
    let limbs = |options: &[&str]| -> BTreeSet<bool> {
        let mut all = BTreeSet::new();
        for seed in ["1", "2", "3", "4", "5", "6"] {
            let printed = out.path(seed);
            let usual = [
                "station",
                "--kind",
                "forecast",
                "--level",
                "early",
                "--seed",
                seed,
                "--formats",
                "md",
                "--out",
                &printed,
            ];
            let done = run(&[&usual, options].concat());
            assert!(done.status.success(), "{}", text(&done.stderr));
            let mut files = std::fs::read_dir(&printed).expect("a folder").flatten();
            let sheet = files.find(|f| f.file_name().to_string_lossy().ends_with("briefing.md"));
            let sheet = std::fs::read_to_string(sheet.expect("a sheet").path()).expect("text");
            let again = sheet
                .split("vivasmith station ")
                .nth(1)
                .expect("the command");
            let place = again.split_whitespace().next().expect("a place");
            all.insert(
                run(&["findings", place, "--region", "lower_limb"])
                    .status
                    .success(),
            );
            std::fs::remove_dir_all(&printed).expect("removed");
        }
        all
    };
    assert_eq!(limbs(&[]), [false, true].into());
    assert_eq!(limbs(&["--region", "upper_limb"]), [false].into());
    assert_eq!(limbs(&["--content", &content]), [true].into());
}

const BOTH: &str = "\
title: Both limbs
time: {station: 8, reading: 2, changeover: 1, starts: together}
positions: [{times: 3, kind: forecast}]
wanted:
  - {region: lower_limb, exactly: 2}
  - {region: upper limb, exactly: 1}
  - {nerve: tibial, least: 1}
groups: [{id: A, count: 3, sittings: [{id: morning, start: \"08:30\"}]}]
examiners: [{id: X1}, {id: X2}, {id: X3}]
";

#[test]
fn a_circuit_holds_both_limbs_in_the_shares_that_are_asked_for() {
    let folder = Folder::new("limbs-circuit");
    folder.with("both.yaml", BOTH);
    let (blueprint, out) = (folder.path("both.yaml"), folder.path("out"));
    let command = [
        "circuit",
        &blueprint,
        "--seed",
        "4",
        "--formats",
        "md",
        "--out",
        &out,
    ];
    let done = run(&command);
    assert!(done.status.success(), "{}", text(&done.stderr));
    let record = std::fs::read_to_string(format!("{out}/exposure.yaml")).expect("the record");
    let sites: Vec<&str> = record
        .split("site: \"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .collect();
    let of_the_leg = |s: &&&str| {
        run(&["findings", s, "--region", "lower_limb"])
            .status
            .success()
    };
    assert_eq!(
        (sites.len(), sites.iter().filter(of_the_leg).count()),
        (3, 2),
        "{record}"
    );

    // One limb alone: the cell of the other cannot be met, and the file says where.
    folder.with(
        "one.yaml",
        BOTH.replace("time:", "region: upper_limb\ntime:"),
    );
    let done = run(&[
        "circuit",
        &folder.path("one.yaml"),
        "--out",
        &format!("{out}-one"),
    ]);
    let said = text(&done.stderr);
    assert!(
        said.contains("one.yaml:6:14: the circuit has no limb `lower_limb`"),
        "{said}"
    );
}

/// An operation or fracture is a place too: one kind of station is about it, and no lesion is like it.
#[test]
fn an_operation_is_asked_for_by_its_name() {
    let list = text(&run(&["list", "operations"]).stdout);
    assert!(list.contains("hip_posterior ") && list.contains("neck_node "));
    let out = Folder::new("limbs-operation");
    for seed in ["1", "2", "3"] {
        let printed = out.path(seed);
        let command = [
            "station",
            "hip_posterior",
            "--seed",
            seed,
            "--formats",
            "md",
            "--out",
            &printed,
        ];
        let done = run(&command);
        assert!(done.status.success(), "{}", text(&done.stderr));
        let files = std::fs::read_dir(&printed).expect("a folder").flatten();
        let sheets: Vec<String> = files
            .filter(|f| f.file_name().to_string_lossy().ends_with(".md"))
            .map(|f| std::fs::read_to_string(f.path()).expect("text"))
            .collect();
        let all = sheets.join("\n");
        assert!(
            all.contains("`vivasmith station hip_posterior --kind risk"),
            "{all}"
        );
        assert!(!all.contains("the same mark"), "{all}");
    }
    let done = run(&["station", "hip_posterior", "--kind", "trace"]);
    assert_eq!(done.status.code(), Some(2));
    assert!(text(&done.stderr).contains("is an operation or fracture"));
}
