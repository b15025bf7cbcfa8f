//! Words of pictures: every one stands in the phrases, can be changed in a folder, and cannot part from its picture.

use crate::own_support::{Folder, call, says};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use vivasmith::files::Content;

fn phrases() -> String {
    let content = Content::embedded();
    let source = content.get("templates/phrases.yaml").expect("phrases");
    source.text.to_string()
}

/// Keys that start so in a text, wherever a word begins with them.
fn keys(text: &str, start: &str) -> BTreeSet<String> {
    text.match_indices(start)
        .filter(|(at, _)| !text[..*at].ends_with(|c: char| c.is_ascii_alphanumeric() || c == '_'))
        .map(|(at, _)| {
            text[at..]
                .chars()
                .take_while(|c| c.is_ascii_lowercase() || *c == '_')
                .collect()
        })
        .collect()
}

#[test]
fn every_phrase_of_a_picture_is_used_and_every_one_used_is_there() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/figure");
    let mut source = String::new();
    for entry in fs::read_dir(folder).expect("sources") {
        source += &fs::read_to_string(entry.expect("entry").path()).expect("text");
    }
    let used = keys(&source, "fig_");
    let written: BTreeSet<String> = phrases()
        .lines()
        .filter_map(|l| l.trim().split_once(':'))
        .map(|(key, _)| key.to_string())
        .filter(|key| key.starts_with("fig_"))
        .collect();
    assert!(written.len() > 50);
    assert_eq!(used, written);
}

fn draw(folder: &Folder, arguments: &[&str]) -> (i32, String) {
    let (content, out) = (folder.path("content"), folder.path("out"));
    let rest = ["--content", &content, "--out", &out];
    let (code, _, err) = call(&[&["draw"], arguments, &rest].concat());
    (code, err)
}

#[test]
fn a_teacher_words_titles_keys_and_caution() {
    let folder = Folder::new("draw-words");
    folder.with(
        "content/settings.yaml",
        "phrases:\n  fig_key_lost: feels nothing\n  fig_branches: nerves\n  fig_skin_title_lost_nerves: \"{side} {region}, tested\"\n  fig_skin_alt_lost: \"Numb: {areas}.\"\n  caution: For the seminar only.\n",
    );
    let (code, err) = draw(&folder, &["skin", "--lesion", "ulnar_elbow"]);
    assert_eq!(code, 0, "{err}");
    let svg = folder.read("out/skin-nerves-right-ulnar_elbow.svg");
    says(
        &svg,
        &[
            ">feels nothing<",
            "<title id=\"t\">right upper limb, tested</title>",
            " Numb: superficial branch of the ulnar nerve",
        ],
    );
    assert!(!svg.contains("sensation lost"));
    let pdf = folder.0.join("out/skin-nerves-right-ulnar_elbow.pdf");
    let pdf = lopdf::Document::load(pdf).expect("a PDF");
    let text = pdf.extract_text(&[1]).expect("text");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    says(
        &text,
        &["For the seminar only.", "right upper limb, tested"],
    );
    let (code, err) = draw(&folder, &["plexus"]);
    assert_eq!(code, 0, "{err}");
    says(&folder.read("out/plexus.svg"), &[">nerves<"]);
}

#[test]
fn the_caution_of_a_picture_is_that_of_the_sheets() {
    let folder = Folder::new("draw-caution");
    folder.with(
        "content/settings.yaml",
        "institution: Brackletoft Infirmary\n",
    );
    let (code, err) = draw(&folder, &["skin", "--blank", "--format", "pdf"]);
    assert_eq!(code, 0, "{err}");
    let pdf = folder.0.join("out/skin-nerves-right-blank.pdf");
    let text = lopdf::Document::load(pdf)
        .and_then(|d| d.extract_text(&[1]))
        .expect("text");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let shipped = phrases();
    let line = shipped
        .lines()
        .find_map(|l| l.trim().strip_prefix("caution: "));
    says(&text, &[line.expect("the caution").trim_matches('"')]);
}

#[test]
fn a_phrase_that_parts_from_its_picture_is_refused_in_its_place() {
    let folder = Folder::new("draw-phrase");
    for (key, text, words) in [
        (
            "fig_skin_alt_lost",
            "Some skin is numb.",
            "leaves out {areas}",
        ),
        ("fig_key_lesion_above", "above", "leaves out {lesion}"),
        ("fig_key_lost", "{areas} lost", "uses {areas}"),
        ("fig_key_lots", "lost", "did you mean `fig_key_lost`?"),
    ] {
        folder.with(
            "content/settings.yaml",
            format!("phrases:\n  {key}: \"{text}\"\n"),
        );
        let (code, err) = draw(&folder, &["skin"]);
        assert_eq!(code, 1, "{err}");
        says(&err, &["settings.yaml:2:", words]);
        assert!(!folder.0.join("out").exists());
        assert_eq!(call(&["check", &folder.path("content")]).0, 1);
    }
}
