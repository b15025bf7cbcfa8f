//! House style: institution, paper, eponyms, phrases, language, grades and own templates, each from the user's folder.

use crate::own_support::{Folder, call, says};
use std::sync::atomic::{AtomicUsize, Ordering};

fn sheets(folder: &Folder, arguments: &[&str]) -> (i32, String) {
    let (content, out) = (folder.path("content"), folder.path("out"));
    let all = [
        &[
            "station",
            "ulnar_elbow@complete",
            "--seed",
            "3",
            "--content",
            &content,
            "--out",
            &out,
        ],
        arguments,
    ]
    .concat();
    let (code, _, err) = call(&all);
    (code, err)
}

fn sheet(folder: &Folder, end: &str) -> String {
    let file = folder
        .files()
        .into_iter()
        .find(|f| f.starts_with("out/") && f.ends_with(end))
        .expect("a sheet");
    folder.read(&file)
}

/// What stands in the way of printing with this file.
fn refused(file: &str, text: &str, words: &[&str]) {
    static COUNT: AtomicUsize = AtomicUsize::new(0);
    let folder = Folder::new(&format!("house-{}", COUNT.fetch_add(1, Ordering::Relaxed)));
    folder.with(&format!("content/{file}"), text);
    let (code, err) = sheets(&folder, &["--formats", "md"]);
    assert!(matches!(code, 1 | 2), "{code} {err}");
    says(&err, words);
    assert!(!folder.files().iter().any(|f| f.starts_with("out/")));
    let (checked, _, err) = call(&["check", &folder.path("content")]);
    assert_eq!(checked, code, "check says the same: {err}");
    says(&err, words);
}

const SETTINGS: &str = r#"institution: Brackletoft Infirmary, School of Anatomy
paper: letter
eponyms: possessive
phrases: {title_briefing: "Notes for the assessor"}
rating:
  - {grade: Distinction, anchor: "needs no help"}
  - {grade: Pass, anchor: "needs some help"}
  - {grade: Doubtful, anchor: "could be argued either way", borderline: true}
  - {grade: Fail, anchor: "is unsafe or lost"}
"#;

const EPONYM: &str = "{% include \"builtin/answer.md.tera\" %}\n\nLook for Froment sign.\n";

#[test]
fn the_settings_shape_every_sheet() {
    let folder = Folder::new("settings");
    folder
        .with("content/settings.yaml", SETTINGS)
        .with("content/templates/answer.md.tera", EPONYM);
    let (code, err) = sheets(&folder, &["--kind", "trace"]);
    assert_eq!(code, 0, "{err}");
    for end in ["candidate.md", "answer.md"] {
        says(
            &sheet(&folder, end),
            &["Brackletoft Infirmary, School of Anatomy"],
        );
    }
    says(
        &sheet(&folder, "briefing.md"),
        &["# Notes for the assessor"],
    );
    let room = sheet(&folder, "room.md");
    says(&room, &["Distinction", "Doubtful \\*"]);
    assert!(!room.contains("Excellent"));
    let answer = sheet(&folder, "answer.md");
    says(&answer, &["Froment\u{2019}s sign"]);
    assert!(!answer.contains("Froment sign"));
    // Letter is 612 by 792 points (ANSI A).
    let name = folder
        .files()
        .into_iter()
        .find(|f| f.ends_with("candidate.pdf"))
        .expect("a PDF");
    let pdf = lopdf::Document::load(folder.0.join(name)).expect("a PDF");
    let page = *pdf.get_pages().values().next().expect("a page");
    let size = pdf
        .get_object(page)
        .and_then(|o| o.as_dict())
        .and_then(|d| d.get(b"MediaBox"))
        .and_then(|m| m.as_array())
        .expect("a size");
    let side = |i: usize| {
        size[i]
            .as_float()
            .or_else(|_| size[i].as_i64().map(|n| n as f32))
            .expect("a number")
            .round()
    };
    assert_eq!((side(2), side(3)), (612.0, 792.0));
}

#[test]
fn eponyms_are_plain_unless_asked() {
    let folder = Folder::new("plain");
    folder
        .with(
            "content/settings.yaml",
            "institution: Brackletoft Infirmary\n",
        )
        .with("content/templates/answer.md.tera", EPONYM);
    let (code, err) = sheets(&folder, &["--kind", "trace", "--formats", "md"]);
    assert_eq!(code, 0, "{err}");
    says(&sheet(&folder, "answer.md"), &["Froment sign"]);
    assert!(!sheet(&folder, "answer.md").contains("Froment\u{2019}s"));
}

#[test]
fn a_translation_needs_no_code() {
    let shipped = vivasmith::files::Content::embedded();
    let phrases = shipped
        .get("templates/phrases.yaml")
        .expect("phrases")
        .text
        .to_string();
    let folder = Folder::new("language");
    let german = phrases
        .replace(
            "title_candidate: \"Candidate sheet\"",
            "title_candidate: \"Blatt für Kandidaten\"",
        )
        .replace("language: \"en-GB\"", "language: \"de-DE\"");
    assert_ne!(german, phrases);
    folder
        .with("content/settings.yaml", "language: de\n")
        .with("content/templates/phrases.de.yaml", &german);
    let (code, err) = sheets(&folder, &[]);
    assert_eq!(code, 0, "{err}");
    says(&sheet(&folder, "candidate.md"), &["# Blatt für Kandidaten"]);
    // What is not translated yet is said in English.
    folder.with(
        "content/templates/phrases.de.yaml",
        "phrases: {title_candidate: \"Blatt f\u{fc}r Kandidaten\"}\n",
    );
    let (code, err) = sheets(&folder, &[]);
    assert_eq!(code, 0, "{err}");
    says(
        &sheet(&folder, "candidate.md"),
        &["# Blatt f\u{fc}r Kandidaten", "**Your task**"],
    );
}

/// Whatever stood in a placeholder that a phrase drops would be missing on the sheet, and nobody would see it.
#[test]
fn a_phrase_that_drops_what_it_should_say_is_refused() {
    for file in ["settings.yaml", "templates/phrases.yaml"] {
        for (key, text, gone) in [
            ("room_answer", "ANSWER: {side}", "leaves out {short}"),
            (
                "known_lesion",
                "The {side} side is hurt.",
                "leaves out {lesion}",
            ),
            ("page_of", "Page {page}", "leaves out {pages}"),
        ] {
            refused(
                file,
                &format!("phrases: {{{key}: \"{text}\"}}\n"),
                &[
                    &format!("{}:1:", file.rsplit('/').next().unwrap()),
                    key,
                    gone,
                ],
            );
        }
    }
}

#[test]
fn mistakes_in_the_settings_are_placed() {
    refused(
        "settings.yaml",
        "paper: a5\n",
        &["settings.yaml:1:8", "a4", "letter"],
    );
    refused(
        "settings.yaml",
        "instituton: x\n",
        &["settings.yaml:1:1", "no key `instituton`"],
    );
    refused(
        "settings.yaml",
        "phrases: {title_briefng: x}\n",
        &["settings.yaml:1:", "did you mean `title_briefing`?"],
    );
    refused(
        "settings.yaml",
        "phrases: {since_sudden: \"{when} ago\"}\n",
        &["uses {when}", "{since}"],
    );
    refused(
        "settings.yaml",
        "language: de\n",
        &["no file templates/phrases.de.yaml"],
    );
    refused(
        "settings.yaml",
        "language: ../../etc/passwd\n",
        &["is no language", "settings.yaml:1:11"],
    );
    refused(
        "settings.yaml",
        "rating: [{grade: A, anchor: x}, {grade: A, anchor: y}]\n",
        &["2 grades, 0 of them borderline", "stands twice"],
    );
    refused(
        "settings.yaml",
        "eponym_names: [froment]\n",
        &["`froment` is no name"],
    );
    refused(
        "settings.yaml",
        &format!("institution: {}\n", "x".repeat(200)),
        &["one line of at most 100"],
    );
    refused(
        "templates/phrases.yaml",
        "phrases: {}\nrating: [{grade: A, anchor: x}]\n",
        &["four grades"],
    );
}

#[test]
fn own_templates_override_and_extend_the_shipped_ones() {
    let folder = Folder::new("templates");
    folder
        .with("content/templates/answer.md.tera", "{% include \"builtin/answer.md.tera\" %}\n\n## Where it comes from\n\n{{ station.answer.sources }}\n")
        .with("content/templates/candidate.md.tera", "{% include \"builtin/candidate.md.tera\" %}\n\n{% include \"foot.md.tera\" %}\n")
        .with("content/templates/foot.md.tera", "Hand this sheet back | at the bell.\n");
    let (code, err) = sheets(&folder, &[]);
    assert_eq!(code, 0, "{err}");
    says(
        &sheet(&folder, "candidate.md"),
        &["# Candidate sheet", "Hand this sheet back | at the bell."],
    );
    says(&sheet(&folder, "answer.md"), &["## Where it comes from"]);
    assert_eq!(call(&["check", &folder.path("content")]).0, 0);
}

#[test]
fn a_template_that_gives_the_answer_away_is_refused() {
    let folder = Folder::new("giveaway");
    folder.with(
        "content/templates/candidate.md.tera",
        "{% include \"builtin/candidate.md.tera\" %}\n\n{{ station.lesion.nerve }}\n",
    );
    let (code, err) = sheets(&folder, &["--kind", "trace"]);
    assert_eq!(code, 1);
    says(&err, &["the candidate sheet says", "ulnar"]);
}
