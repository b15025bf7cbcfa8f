//! A station written by hand: findings, sentences, side, name, stem, marks, times and kind are each held against model, patient and bank.

use crate::own_support::says;
use vivasmith::anatomy::{self, Model};
use vivasmith::files::Content;
use vivasmith::station::authored::{self, Checked};

fn starter() -> String {
    let content = Content::embedded();
    let text = &content
        .get("templates/new/station.yaml")
        .expect("the starter")
        .text;
    text.replace("NEW_ID", "mine")
}

fn model() -> Model {
    anatomy::load(&Content::embedded(), "upper_limb").expect("sound")
}

/// The starter with some words replaced by others, proofread.
fn read(changes: &[(&str, &str)]) -> Checked {
    let mut text = starter();
    for (from, to) in changes {
        assert!(text.contains(from), "the starter holds `{from}`");
        text = text.replacen(from, to, 1);
    }
    let mut content = Content::embedded();
    content.insert("own/mine.yaml", "mine.yaml", text);
    let source = content.get("own/mine.yaml").expect("there");
    authored::read(&model(), &content, source).unwrap_or_else(|e| panic!("{e}"))
}

/// What is said of it, each with its line and a hint.
fn problems(changes: &[(&str, &str)]) -> String {
    let checked = read(changes);
    assert!(
        checked.station.is_none() && !checked.problems.is_empty(),
        "this must be refused: {changes:?}"
    );
    for p in &checked.problems {
        let placed = p.place.as_ref().is_some_and(|at| at.line > 1);
        assert!(placed && !p.hint.is_empty(), "{p}");
    }
    checked.problems.iter().map(|p| format!("{p}\n")).collect()
}

fn refused(change: (&str, &str), words: &[&str]) {
    says(&problems(&[change]), words);
}

#[test]
fn the_starter_is_sound_and_proves_its_lesion() {
    let checked = read(&[]);
    assert_eq!(checked.problems, []);
    assert_eq!(checked.advice, []);
    let back = checked.way_back.expect("findings are stated");
    // 3 bits are asked for (localise::MARGIN_BITS).
    assert!(back.margin_bits > 3.0, "{back:?}");
    let station = checked.station.expect("sound");
    assert_eq!(station.total_marks, 20);
    let told = station
        .candidate
        .rows
        .iter()
        .map(|r| r.items.len())
        .sum::<usize>();
    assert_eq!(told, 5, "triceps is kept back");
}

#[test]
fn a_finding_that_the_model_contradicts_is_told_with_the_reason() {
    refused(
        ("triceps: spared", "triceps: weak"),
        &[
            "stated: triceps weak; derived: spared",
            "write `triceps: spared`",
        ],
    );
    refused(
        ("wrist_extension: lost", "wrist_extension: 4"),
        &["(wrist_extension) 4; derived: lost"],
    );
}

#[test]
fn a_sentence_that_the_model_contradicts_is_found_wherever_it_stands() {
    refused(
        (
            "extensor digitorum; posterior interosseous nerve",
            "extensor digitorum; median nerve",
        ),
        &["the nerve of this muscle is the"],
    );
    refused(
        (
            "back: extensor carpi radialis longus;",
            "back: flexor carpi radialis;",
        ),
        &["takes no part in bending the wrist back"],
    );
    refused(
        (
            "straightening the elbow: the axilla is cleared",
            "triceps is lost",
        ),
        &["triceps is called affected, and in this lesion it is normal"],
    );
    refused(
        (
            "The arm pushes well.",
            "Triceps is served by the median nerve.",
        ),
        &["the nerve of this muscle is the radial nerve"],
    );
    refused(
        ("second_chance: \"", "why_one: \"C4 feeds triceps. "),
        &["has no fibres of C4"],
    );
    refused(
        (
            "Pressure on the arm",
            "Deltoid is served by the ulnar nerve; pressure",
        ),
        &["the nerve of this muscle is the axillary nerve"],
    );
}

#[test]
fn side_name_and_answer_of_the_patient_are_watched() {
    refused(
        ("with the right arm hanging", "with the left arm hanging"),
        &["this speaks of the left side, and the patient is hurt on the right"],
    );
    refused(
        ("  Joscott Trestlequay slept", "  Amdrow Bucklefen slept"),
        &["this speaks of Amdrow Bucklefen, and the patient is called Joscott Trestlequay"],
    );
    refused(
        ("takes no medicines", "is proud of a strong brachioradialis"),
        &["the candidate reads \u{201c}brachioradialis\u{201d}, for which a line pays a mark"],
    );
    refused(
        ("takes no medicines", "has heard of the radial nerve"),
        &["the candidate would read \u{201c}radial"],
    );
}

#[test]
fn marks_minutes_and_kind_have_to_fit() {
    refused(("marks: 20 ", "marks: 19 "), &["make 20 marks, not 19"]);
    refused(("minutes: 8 ", "minutes: 9 "), &["that is 8, not 9"]);
    refused(
        ("kind: trace", "kind: forecast"),
        &["the kind `forecast` does not ask `muscles`"],
    );
    refused(
        ("ask: kept", "ask: kep"),
        &["no question is called `kep`", "did you mean `kept`?"],
    );
    refused(
        ("choose: 3", "choose: 5"),
        &["5 of 4 lines cannot be chosen"],
    );
    refused(
        (
            "p: \"Who lifts the knuckles, and by which branch?\"",
            "p: \"Is it extensor digitorum?\"",
        ),
        &[
            "says \u{201c}digitorum, extensor\u{201d}, which a line of this or an earlier question pays",
        ],
    );
    refused(
        ("about: thumb_ip_extension", "about: wrist_extension"),
        &["is paid in question 1 already"],
    );
}

#[test]
fn findings_that_lead_elsewhere_are_told_so() {
    refused(
        (
            "  wrist_extension: lost\n  finger_mcp_extension: lost\n  elbow_extension: spared\n  triceps: spared\n  dorsoradial_hand: lost\n",
            "  triceps: spared\n",
        ),
        &["do not lead to one lesion"],
    );
}
