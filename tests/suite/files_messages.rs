//! Messages about files: no word of the program's own, none without a hint, not too many, and soon.

use crate::own_support::{Folder, call, says};
use std::time::Instant;

/// Words that only a programmer knows.
const INSIDE: [&str; 14] = [
    "f64",
    "f32",
    "u64",
    "u32",
    "usize",
    "i64",
    "struct",
    "enum",
    "variant",
    "sequence",
    "untagged",
    "tuple",
    "unit value",
    "newtype",
];

#[test]
fn no_message_holds_a_word_of_the_program() {
    let folder = Folder::new("words");
    for (file, text, says_so) in [
        (
            "circuits/a.yaml",
            "title: [x]\n",
            "here stands a list, but a text is needed",
        ),
        (
            "circuits/b.yaml",
            "title: x\ntime: {station: eight}\n",
            "the text \"eight\", but a number",
        ),
        (
            "circuits/c.yaml",
            "title: x\ntime: 8\n",
            "the number 8, but a group of keys",
        ),
        (
            "circuits/d.yaml",
            "title: x\ntime: {station: 8}\npositions: 4\n",
            "the number 4, but a list",
        ),
        (
            "circuits/e.yaml",
            "title: x\ntime: {station: 8}\npositions: [{rest: [1]}]\ngroups: []\n",
            "minutes or the word `same`",
        ),
        (
            "circuits/f.yaml",
            "title: x\nseed: -1\n",
            "the number -1, but a whole number that is not negative",
        ),
        (
            "own/g.yaml",
            "- a\n",
            "here stands a list, but a group of keys",
        ),
        (
            "own/h.yaml",
            "id: h\ntitle: {a: b}\n",
            "a group of keys, but a text is needed",
        ),
        (
            "settings.yaml",
            "paper: folio\n",
            "the word `folio` cannot stand here",
        ),
        ("settings.yaml", "rating: no\n", "but a list"),
        (
            "anatomy/upper_limb/muscles.extra.yaml",
            "muscles: {}\n",
            "here stands a group of keys, but a list",
        ),
        (
            "anatomy/upper_limb/muscles.extra.yaml",
            "muscles:\n  - {id: x, isolation: many}\n",
            "but a number is needed",
        ),
    ] {
        folder.with(file, text);
        let (code, _, err) = call(&["check", &folder.shown()]);
        assert_eq!(code, 2, "{file}: {err}");
        says(&err, &[says_so, "hint: "]);
        for word in INSIDE {
            let alone = |w: &str| w == word;
            assert!(
                !err.split(|c: char| !c.is_alphanumeric()).any(alone),
                "{word}: {err}"
            );
        }
        std::fs::remove_file(folder.0.join(file)).expect("removed");
    }
}

#[test]
fn a_key_missing_in_an_extra_file_says_that_the_entry_replaces_the_whole() {
    let folder = Folder::new("extra");
    folder.with(
        "anatomy/upper_limb/muscles.extra.yaml",
        "muscles:\n  - {id: biceps_brachii, label: Biceps}\n",
    );
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 2);
    says(
        &err,
        &["is missing", "takes the place of the whole shipped entry"],
    );
}

#[test]
fn fifty_problems_are_told_and_the_rest_is_counted_soon() {
    let folder = Folder::new("many");
    let ids = |n: usize| {
        (0..n)
            .map(|i| format!("  - bad_site_{i}\n"))
            .collect::<String>()
    };
    let blueprint = |n| {
        format!(
            "title: x\ntime: {{station: 8, reading: 2}}\npositions: [{{times: 2}}]\ngroups:\n  - {{id: A, count: 2, sittings: [{{id: a, start: \"09:00\"}}]}}\navoid:\n{}",
            ids(n)
        )
    };
    folder.with("day.yaml", blueprint(20_000));
    let started = Instant::now();
    let (code, _, err) = call(&[
        "circuit",
        &folder.path("day.yaml"),
        "--out",
        &folder.path("out"),
    ]);
    let took = started.elapsed().as_secs_f64();
    assert_eq!(code, 1);
    says(
        &err,
        &[
            "day.yaml:7:5: no site is called `bad_site_0`",
            "and 19950 more problems",
        ],
    );
    assert_eq!(err.matches("error: ").count(), 50);
    // Under a second in a release build: 11 s before.
    assert!(took < 30.0, "{took} s");
    folder.with("day.yaml", blueprint(50));
    let (_, _, err) = call(&[
        "circuit",
        &folder.path("day.yaml"),
        "--out",
        &folder.path("out"),
    ]);
    assert_eq!(err.matches("error: ").count(), 50);
    assert!(!err.contains("more problems"), "{err}");
}

#[test]
fn a_file_that_nothing_reads_is_told_where_to_lie() {
    let folder = Folder::new("unread");
    folder
        .with("anatomy/muscles.extra.yaml", "muscles: []\n")
        .with("circuits/DAY.YAML", "title: x\n")
        .with("scenario/ulnar_elbow.yaml", "site: ulnar_elbow\n")
        .with("kinds.yml", "kinds: []\n");
    let (code, _, err) = call(&["check", &folder.shown()]);
    assert_eq!(code, 1, "{err}");
    says(
        &err,
        &[
            "muscles.extra.yaml: nothing reads",
            "anatomy/upper_limb/muscles.extra.yaml or",
            "DAY.YAML: nothing reads",
            "call it circuits/day.yaml",
            "did you mean `scenarios`?",
            "move it to questions/kinds.yaml",
        ],
    );
}
