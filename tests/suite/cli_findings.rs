//! Runs the program as a user does: findings as table and JSON, mistakes in the argument, exit codes.

use proptest::prelude::*;
use std::process::{Command, Output};
use vivasmith::anatomy::{self, Model};
use vivasmith::files::Content;
use vivasmith::lesion;

pub fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_vivasmith"))
        .args(arguments)
        .output()
        .expect("the program starts")
}

pub fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

fn model() -> Model {
    anatomy::load(&Content::embedded(), "upper_limb").unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn the_same_question_gets_the_same_bytes() {
    let once = run(&["findings", "medial_cord@partial+pin_supinator", "--json"]);
    assert!(once.status.success());
    assert_eq!(
        once.stdout,
        run(&["findings", "medial_cord@partial+pin_supinator", "--json"]).stdout
    );
}

#[test]
fn no_colour_and_no_noise_when_nobody_looks() {
    let out = run(&["findings", "radial_axilla"]);
    assert!(!text(&out.stdout).contains('\u{1b}'));
    assert!(out.stderr.is_empty());
}

#[test]
fn mistakes_are_answered_with_what_to_write() {
    for (argument, words) in [
        (
            "radial_spiral_grove",
            "did you mean `radial_spiral_groove`?",
        ),
        ("radial_axilla@partal", "did you mean `partial`?"),
        ("radial_axilla@140%", "between 1% and 99%"),
        ("radial_axilla+radial_axilla", "named twice"),
        ("carpal_tunnel@C5", "no C5 fibres run through"),
        ("ulnar_elbow@avulsion", "cannot be avulsed"),
        ("", "names no place"),
        ("+", "names no place"),
        ("a+b+c+d+e+f+g+h+i", "at most 8 places"),
    ] {
        let out = run(&["findings", argument]);
        assert_eq!(out.status.code(), Some(2), "{argument}");
        let said = text(&out.stderr);
        assert!(said.contains(words), "{argument}: {said}");
        assert!(
            said.contains("hint:") && out.stdout.is_empty(),
            "{argument}: {said}"
        );
    }
}

#[test]
fn older_and_everyday_names_are_understood() {
    for (word, id) in [
        ("cubital tunnel syndrome", "ulnar_elbow"),
        ("Erb palsy", "upper_trunk"),
        ("arcade of Frohse", "pin_supinator"),
        ("CTS", "carpal_tunnel"),
        ("circumflex nerve", "axillary_quadrangular"),
    ] {
        let lesion = lesion::parse(&model(), word).unwrap_or_else(|e| panic!("{word}: {e}"));
        assert_eq!(lesion.parts[0].place, id, "{word}");
    }
}

#[test]
fn exit_codes_tell_the_kind_of_failure() {
    assert_eq!(run(&["findings"]).status.code(), Some(2));
    assert_eq!(run(&["nonsense"]).status.code(), Some(2));
    assert_eq!(run(&["--help"]).status.code(), Some(0));
    assert_eq!(
        run(&["list", "sites", "--content", "/nowhere/at/all"])
            .status
            .code(),
        Some(2)
    );
    assert_eq!(
        run(&["list", "sites", "--region", "upper_lim"])
            .status
            .code(),
        Some(2)
    );
}

#[test]
fn every_list_shows_something_and_the_licences_are_there() {
    for topic in [
        "sites",
        "segments",
        "muscles",
        "movements",
        "skin",
        "reflexes",
        "signs",
        "variants",
        "sources",
    ] {
        let out = run(&["list", topic]);
        assert!(out.status.success() && out.stdout.len() > 100, "{topic}");
    }
    let licences = text(&run(&["licenses"]).stdout);
    assert!(licences.contains("MIT License") && licences.contains("Bitstream Vera"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// No argument, however strange, makes the lesion reader panic.
    #[test]
    fn any_lesion_argument_is_answered(word in "[a-z_@+%0-9,.C]{0,40}|\\PC{0,30}") {
        thread_local!(static MODEL: Model = model());
        MODEL.with(|m| match lesion::parse(m, &word) {
            Ok(l) => assert!(!l.cuts.is_empty()),
            Err(e) => assert_eq!(e.exit_code(), 2),
        });
    }
}
