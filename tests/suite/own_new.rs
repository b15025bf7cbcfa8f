//! `vivasmith new` writes starters that pass `check` untouched, and overwrites nothing; `check` counts, narrows and sets its exit code.

use crate::own_support::{Folder, call, says};

#[test]
fn every_starter_passes_untouched() {
    let folder = Folder::new("new");
    let content = folder.path("content");
    let files = [
        (&["station", "dropped_wrist"][..], "own/dropped_wrist.yaml"),
        (
            &["site", "gate_post"],
            "anatomy/upper_limb/sites.extra.yaml",
        ),
        (
            &["site", "garden_wall"],
            "anatomy/upper_limb/sites.extra.yaml",
        ),
        (&["scenario", "gate_post"], "scenarios/gate_post.yaml"),
        (
            &["scenario", "ulnar_elbow"],
            "scenarios/ulnar_elbow.extra.yaml",
        ),
        (
            &["question", "compare_sides"],
            "questions/compare_sides.yaml",
        ),
    ];
    for (what, file) in files {
        let (code, out, err) = call(&[&["new"], what, &["--content", &content]].concat());
        assert_eq!(code, 0, "{what:?}: {err}");
        says(&out, &[file, "vivasmith check"]);
        let text = folder.read(&format!("content/{file}"));
        assert!(text.starts_with('#') && !text.contains("NEW_"), "{text}");
    }
    let (code, out, err) = call(&["check", &content]);
    assert_eq!(code, 0, "{err}");
    says(
        &out,
        &[
            "all is well",
            "38 sites",
            "1 station of your own",
            "(5 files of your own)",
            "stations built on trial",
        ],
    );
    // The one advice: a question is asked only by a kind whose plan names it.
    assert_eq!(err.matches("advice").count(), 1, "{err}");
    says(
        &err,
        &[
            "no kind of station asks `compare_sides`",
            "kinds.extra.yaml",
        ],
    );
    // Nothing is overwritten, and nothing shipped is put out of use.
    for what in [
        &["station", "dropped_wrist"][..],
        &["site", "gate_post"],
        &["scenario", "gate_post"],
        &["scenario", "ulnar_elbow"],
        &["question", "compare_sides"],
        &["question", "muscles"],
    ] {
        let (code, _, err) = call(&[&["new"], what, &["--content", &content]].concat());
        assert_eq!(code, 2, "{what:?}");
        says(&err, &["already"]);
    }
    let (code, _, err) = call(&["new", "scenario", "ulnar_elbw", "--content", &content]);
    assert_eq!(code, 2);
    says(&err, &["did you mean `ulnar_elbow`?"]);
}

#[test]
fn check_looks_at_one_file_when_asked() {
    let folder = Folder::new("one");
    let content = folder.path("content");
    folder
        .with("content/questions/mine.yaml", "id: mine\n")
        .with(
            "content/scenarios/ulnar_elbow.extra.yaml",
            "site: ulnar_elbow\nmechanisms: [{id: x}]\n",
        );
    let (code, _, err) = call(&["check", &content]);
    assert_eq!(code, 2, "{err}");
    assert_eq!(err.matches("error:").count(), 2, "both at once: {err}");
    let (code, _, err) = call(&["check", &folder.path("content/questions/mine.yaml")]);
    assert_eq!(code, 2);
    says(&err, &["mine.yaml:1:1", "is missing"]);
    assert!(!err.contains("ulnar_elbow"), "{err}");
    let (code, _, err) = call(&["check", &folder.path("nowhere")]);
    assert_eq!(code, 3, "{err}");
    let (code, _, err) = call(&["check", &folder.path("content/notes.txt")]);
    assert_eq!(code, 3, "{err}");
    folder.with("content/questions/notes.txt", "x");
    let (code, _, err) = call(&["check", &folder.path("content/questions/notes.txt")]);
    assert_eq!(code, 2, "{err}");
}

#[test]
fn what_is_wrong_and_what_is_unreadable_are_told_together() {
    let folder = Folder::new("mixed");
    folder
        .with("anatomy/upper_limb/sites.extra.yaml", "sites: [{id: x, label: x, segments: [nowhere], weight: 1, source: \"common practice, no source\", giveaways: [], care: []}]\n")
        .with("questions/mine.yaml", "id: [\n");
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 2, "{err}");
    says(&err, &["no segment has the id `nowhere`", "mine.yaml:"]);
    folder.with("questions/mine.yaml", "# nothing\n");
    let (code, _, _) = call(&["check", &folder.shown()]);
    assert_eq!(code, 2, "an empty file is no question");
    std::fs::remove_file(folder.0.join("questions/mine.yaml")).expect("remove");
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 1, "{err}");
}

#[test]
fn the_shipped_content_is_well() {
    let (code, out, err) = call(&["check", concat!(env!("CARGO_MANIFEST_DIR"), "/stations")]);
    assert_eq!(code, 0, "{err}");
    says(&out, &["all is well", "upper_limb"]);
}

#[test]
fn a_scenario_that_gives_the_answer_away_is_found_on_trial() {
    let folder = Folder::new("trial");
    let shipped = vivasmith::files::Content::embedded();
    let starter = shipped
        .get("templates/new/mechanism.yaml")
        .expect("the starter")
        .text
        .replace("NEW_ID", "ulnar_elbow");
    folder.with(
        "scenarios/ulnar_elbow.extra.yaml",
        starter
            .replace("own_way", "own_way\n    # drawn nearly always")
            .replace("weight: 1", "weight: 100000")
            .replace(
                "had a problem with the {side} side",
                "had a problem with the {side} ulnar nerve",
            ),
    );
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 1, "{err}");
    says(
        &err,
        &[
            "scenarios/ulnar_elbow",
            "the candidate sheet says",
            "ulnar",
            "on trial: vivasmith station ulnar_elbow",
        ],
    );
}
