//! Notes that do not agree with the model, with the days of the scenario or with the marks of a kind are told so, each with its place.

use crate::own_support::{Folder, call, says};
use vivasmith::files::Content;

const FILE: &str = "teaching/upper_limb/root_c7.yaml";

/// The shipped notes with some words replaced, proofread.
fn told(name: &str, changes: &[(&str, &str)], words: &[&str]) {
    let shipped = Content::embedded();
    let mut text = shipped.get(FILE).expect("shipped notes").text.to_string();
    for (from, to) in changes {
        assert!(text.contains(from), "the notes hold `{from}`");
        text = text.replacen(from, to, 1);
    }
    let folder = Folder::new(&format!("notes-{name}"));
    folder.with(FILE, text);
    let (code, _, err) = call(&["check", &folder.path(FILE)]);
    assert_eq!(code, 1, "{name}: {err}");
    says(&err, words);
    says(&err, &["root_c7.yaml:"]);
}

#[test]
fn what_is_cited_has_to_be_so() {
    told(
        "cardinal",
        &[("finding: elbow_extension", "finding: finger_abduction")],
        &["is not affected by this lesion"],
    );
    told(
        "negative",
        &[(
            "{finding: shoulder_abduction, clears",
            "{finding: elbow_extension, clears",
        )],
        &["is not sure to be normal here"],
    );
    told(
        "decider",
        &[(
            "site: posterior_cord, decides: shoulder_abduction",
            "site: posterior_cord, decides: elbow_extension",
        )],
        &["does not tell the two places apart"],
    );
    told(
        "card",
        &[(
            "say: \"Press your arm against your side\"",
            "say: \"If asked: \u{201c}It is weak\u{201d}\"",
        )],
        &["what is only said cannot be done with a power"],
    );
    told(
        "source",
        &[("source: \"FURU", "source: \"NOBODY99")],
        &["`NOBODY99` is no code of a source"],
    );
}

#[test]
fn what_is_said_has_to_be_so() {
    told(
        "nerve",
        &[("triceps; radial nerve", "triceps; ulnar nerve")],
        &["the nerve of this muscle is the radial nerve"],
    );
    told(
        "root",
        &[("Check the skin and the jerk.", "C4 feeds triceps.")],
        &["has no fibres of C4"],
    );
}

#[test]
fn days_ways_marks_and_replies_are_counted() {
    told(
        "gap",
        &[("from: 15, to: 56", "from: 20, to: 56")],
        &["day 15 comes next"],
    );
    told(
        "end",
        &[("to: 9999", "to: 90")],
        &["nothing is said of day 91 and later", "may be 91 days old"],
    );
    told(
        "way",
        &[("{from: 15,", "{only: [fell_off_the_moon], from: 15,")],
        &["no way of injury is called `fell_off_the_moon`"],
    );
    told(
        "reply",
        &[("at: place}", "at: palce}")],
        &["`palce` is no question of these notes"],
    );
    told(
        "marks",
        &[(
            "{marks: 1, say: \"dull middle",
            "{marks: 3, say: \"dull middle",
        )],
        &["no choice of its lines makes exactly"],
    );
}

#[test]
fn notes_on_nothing_are_told_so() {
    let folder = Folder::new("notes-nothing");
    folder.with("teaching/upper_limb/nerves/radail.yaml", "site: radail\n");
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 1, "{err}");
    says(
        &err,
        &["no nerve is called `radail`", "did you mean `radial`?"],
    );
}

#[test]
fn a_starter_of_notes_checks_and_prints_at_once() {
    // Without notes of its own: the starter comes from the model.
    for (region, site) in [("lower_limb", "root_l5"), ("upper_limb", "ulnar_elbow")] {
        let folder = Folder::new(&format!("notes-new-{site}"));
        let content = folder.path("content");
        let new = [
            "new",
            "teaching",
            site,
            "--region",
            region,
            "--content",
            &content,
        ];
        let (code, out, err) = call(&new);
        assert_eq!(code, 0, "{err}");
        says(&out, &["teaching/", "vivasmith check"]);
        let (code, _, err) = call(&["check", &content, "--region", region]);
        assert_eq!(code, 0, "{err}");
        let (code, _, err) = call(&new);
        assert_eq!(code, 2, "{err}");
        says(&err, &["already"]);
    }
}
