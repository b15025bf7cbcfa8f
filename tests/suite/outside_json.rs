//! Turns the output of `findings --json` back into data and holds it to its exact published form.
//! Source: the form agreed for this project, which other programs read; there is no outside standard for it.

use crate::outside_common::{derive, model};
use serde_json::Value;
use std::collections::BTreeSet;
use std::process::{Command, Output};
use vivasmith::findings::Kind;

fn run(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_vivasmith"))
        .args(args)
        .output()
        .expect("the program starts")
}

fn json(lesion: &str) -> Value {
    let out = run(&["findings", lesion, "--json"]);
    assert_eq!(
        out.status.code(),
        Some(0),
        "{lesion}: {}",
        String::from_utf8_lossy(&out.stderr)
    );
    assert!(
        out.stderr.is_empty(),
        "{lesion}: {}",
        String::from_utf8_lossy(&out.stderr)
    );
    // One object and nothing else on standard output.
    serde_json::from_slice(&out.stdout).unwrap_or_else(|e| panic!("{lesion}: {e}"))
}

fn keys(value: &Value) -> BTreeSet<&str> {
    value
        .as_object()
        .expect("an object")
        .keys()
        .map(String::as_str)
        .collect()
}

fn word<'v>(value: &'v Value, key: &str) -> &'v str {
    value[key]
        .as_str()
        .unwrap_or_else(|| panic!("{key} is no text in {value}"))
}

const LISTS: [(&str, Kind, &[&str]); 5] = [
    (
        "muscles",
        Kind::Muscle,
        &["lost", "weak", "variable", "spared"],
    ),
    (
        "movements",
        Kind::Movement,
        &["lost", "weak", "variable", "spared"],
    ),
    (
        "skin",
        Kind::Skin,
        &["lost", "reduced", "variable", "spared"],
    ),
    (
        "reflexes",
        Kind::Reflex,
        &["absent", "reduced", "variable", "present"],
    ),
    ("signs", Kind::Sign, &["present", "variable", "absent"]),
];

#[test]
fn the_report_has_exactly_the_agreed_keys_words_and_ranges() {
    let power_keys = BTreeSet::from(["id", "power", "expect", "probability", "reason"]);
    let plain_keys = BTreeSet::from(["id", "expect", "probability", "reason"]);
    for lesion in [
        "radial_axilla",
        "lower_trunk@partial",
        "carpal_tunnel+ulnar_elbow",
        "avulsion_c8t1",
        "root_c7@40%",
    ] {
        let report = json(lesion);
        assert_eq!(
            keys(&report),
            BTreeSet::from([
                "lesion",
                "muscles",
                "movements",
                "skin",
                "reflexes",
                "signs"
            ])
        );
        for (list, kind, words) in LISTS {
            let rows = report[list].as_array().expect("a list");
            let motor = matches!(kind, Kind::Muscle | Kind::Movement);
            for row in rows {
                assert_eq!(
                    keys(row),
                    if motor {
                        power_keys.clone()
                    } else {
                        plain_keys.clone()
                    }
                );
                assert!(words.contains(&word(row, "expect")), "{list}: {row}");
                let p = row["probability"].as_f64().expect("a number");
                assert!((0.0..=1.0).contains(&p), "{row}");
                let reason = word(row, "reason");
                assert!(!reason.trim().is_empty() && !reason.contains('\n'), "{row}");
                if motor {
                    assert!(row["power"].as_u64().is_some_and(|p| p <= 5), "{row}");
                }
            }
        }
    }
}

#[test]
fn every_structure_is_listed_once_and_says_what_the_library_derives() {
    for lesion in [
        "radial_axilla",
        "ulnar_guyon_2b@partial",
        "radial_spiral_groove+ain",
    ] {
        let (report, found) = (json(lesion), derive(lesion));
        for (list, kind, _) in LISTS {
            let rows = report[list].as_array().expect("a list");
            let ids: BTreeSet<&str> = rows.iter().map(|r| word(r, "id")).collect();
            assert_eq!(ids.len(), rows.len(), "{lesion} {list}: an id twice");
            assert_eq!(rows.len(), found.of(kind).len(), "{lesion} {list}");
            for f in found.of(kind) {
                let row = rows
                    .iter()
                    .find(|r| word(r, "id") == f.id(model()))
                    .unwrap_or_else(|| panic!("{lesion}: no {}", f.id(model())));
                assert_eq!(word(row, "expect"), f.word(), "{lesion} {}", f.id(model()));
                assert!(
                    (row["probability"].as_f64().expect("a number") - f.probability).abs() < 1e-9
                );
                if matches!(kind, Kind::Muscle | Kind::Movement) {
                    assert_eq!(row["power"].as_u64(), Some(u64::from(f.power)));
                }
            }
        }
    }
}

#[test]
fn the_lesion_is_echoed_part_by_part() {
    let expected = [
        ("radial_axilla", vec![("radial_axilla", "complete")]),
        (
            "radial_axilla@complete",
            vec![("radial_axilla", "complete")],
        ),
        (
            "radial_axilla@partial+ain",
            vec![("radial_axilla", "partial"), ("ain", "complete")],
        ),
    ];
    for (lesion, parts) in expected {
        let report = json(lesion);
        let rows = report["lesion"].as_array().expect("a list");
        for row in rows {
            assert_eq!(keys(row), BTreeSet::from(["site", "severity"]), "{lesion}");
        }
        let got: Vec<(&str, &str)> = rows
            .iter()
            .map(|r| (word(r, "site"), word(r, "severity")))
            .collect();
        assert_eq!(got, parts, "{lesion}");
    }
}

#[test]
fn every_agreed_site_answers_in_json() {
    let ids = crate::outside_common::rows(include_str!("../fixtures/outside_ids.csv"));
    let sites: Vec<&str> = ids
        .iter()
        .filter(|r| r.get("kind") == "site")
        .map(|r| r.get("id"))
        .collect();
    assert_eq!(sites.len(), 36);
    for site in sites {
        let report = json(site);
        assert_eq!(word(&report["lesion"][0], "site"), site);
        let touched = LISTS.iter().any(|(list, _, _)| {
            report[*list].as_array().is_some_and(|rows| {
                rows.iter()
                    .any(|r| r["probability"].as_f64().is_some_and(|p| p > 0.85))
            })
        });
        assert!(touched, "{site} does nothing");
    }
}

#[test]
fn a_wrong_lesion_leaves_standard_output_empty_and_ends_with_2() {
    for lesion in [
        "radial_axila",
        "",
        "+",
        "ain+",
        "ain+ain",
        "ain@",
        "ain@0%",
        "ain@100%",
        "ain@avulsion",
        "ain@C5",
        "radial_axilla@@partial",
    ] {
        let out = run(&["findings", lesion, "--json"]);
        assert_eq!(out.status.code(), Some(2), "`{lesion}`");
        assert!(out.stdout.is_empty(), "`{lesion}` wrote to standard output");
        assert!(!out.stderr.is_empty(), "`{lesion}` says nothing");
    }
}

#[test]
fn the_same_lesion_gives_the_same_bytes() {
    let args = ["findings", "carpal_tunnel+root_c6@partial", "--json"];
    assert_eq!(run(&args).stdout, run(&args).stdout);
}
