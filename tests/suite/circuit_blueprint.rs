//! Wrong blueprints, each answered with one clear message at its place; all messages at once where the file can be read.

use crate::cli_findings::{run, text};
use vivasmith::anatomy::{Model, load};
use vivasmith::circuit::blueprint::Starts;
use vivasmith::circuit::{self, Blueprint, Limbs, Lists};
use vivasmith::diagnostic::Failure;
use vivasmith::files::{Content, Source};

const GOOD: &str = "\
title: Day
level: clinical
time: {station: 8, reading: 2, changeover: 1, warning: 1}
positions:
  - {times: 3}
  - {rest: same}
wanted:
  - {kind: trace, least: 1}
groups:
  - {id: A, count: 4, sittings: [{id: one, start: \"09:00\"}]}
examiners:
  - {id: X1, knows: [A01]}
";

fn world() -> (Content, Model) {
    let content = Content::embedded();
    let model = load(&content, "upper_limb").expect("the shipped model loads");
    (content, model)
}

fn source(text: &str) -> Source {
    Source::new("day.yaml", "day.yaml", text.to_string())
}

fn check(text: &str) -> Result<Blueprint, Failure> {
    let (content, model) = world();
    circuit::check(
        &source(text),
        &Lists::default(),
        &content,
        &Limbs::of([&model]),
    )
}

/// GOOD with one line changed; the message must stand at that line and say and advise the given words.
fn wrong(from: &str, to: &str, code: u8, says: &str, hint: &str) {
    assert!(GOOD.contains(from), "{from}");
    let text = GOOD.replacen(from, to, 1);
    let failure = check(&text).expect_err(to);
    assert_eq!(failure.exit_code(), code, "{failure}");
    let found = failure
        .problems()
        .iter()
        .find(|p| p.message.contains(says))
        .unwrap_or_else(|| panic!("{to}: {failure}"));
    assert!(found.hint.contains(hint), "{to}: {}", found.hint);
    let place = found.place.as_ref().expect("a place");
    assert_eq!(place.file, "day.yaml");
    let line = text
        .lines()
        .nth(place.line - 1)
        .expect("a line of the file");
    let first = to.lines().next().expect("a line");
    assert!(
        line.contains(first.trim()) || first.contains(line.trim()),
        "{to}: line {} is `{line}`",
        place.line
    );
    assert!(place.column >= 1);
}

#[test]
fn a_good_blueprint_says_what_it_means() {
    let blueprint = check(GOOD).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(blueprint.id, "day");
    assert_eq!(blueprint.positions.len(), 4);
    assert_eq!(blueprint.stations(), 3);
    assert_eq!(blueprint.pace.starts, Starts::Together);
    // The rest lasts as long as reading and station together.
    assert_eq!(blueprint.positions[3].length, 600);
    assert_eq!(blueprint.groups[0].candidates[3].id, "A04");
}

#[test]
fn shipped_blueprints_and_the_starter_are_good() {
    let (content, model) = world();
    let starter = content
        .get("templates/new/blueprint.yaml")
        .expect("the starter");
    let shipped = content.under("circuits/");
    let mut count = 0;
    for s in shipped.chain([starter]) {
        circuit::check(s, &Lists::default(), &content, &Limbs::of([&model]))
            .unwrap_or_else(|e| panic!("{}: {e}", s.name));
        count += 1;
    }
    assert!(count >= 3);
}

#[test]
fn typos_are_answered_with_the_word_meant() {
    wrong(
        "wanted:",
        "wantd:",
        2,
        "no key `wantd`",
        "did you mean `wanted`?",
    );
    wrong(
        "kind: trace",
        "kind: trase",
        1,
        "no kind of station",
        "did you mean `trace`?",
    );
    wrong(
        "least: 1}",
        "leest: 1}",
        2,
        "no key `leest`",
        "did you mean `least`?",
    );
    wrong(
        "level: clinical",
        "level: clincal",
        1,
        "no level `clincal`",
        "did you mean `clinical`?",
    );
    wrong(
        "{kind: trace,",
        "{nerve: radail,",
        1,
        "no part and no nerve",
        "did you mean `radial`?",
    );
    wrong(
        "{kind: trace,",
        "{site: ulnar_elbo,",
        1,
        "no site",
        "did you mean `ulnar_elbow`?",
    );
    wrong(
        "{kind: trace,",
        "{domain: safty,",
        1,
        "no question has the domain",
        "did you mean `safety`?",
    );
    wrong(
        "{kind: trace,",
        "{lesion: nerv,",
        1,
        "cannot lie in",
        "did you mean `nerve`?",
    );
    wrong(
        "knows: [A01]",
        "knows: [A1]",
        1,
        "no candidate is called `A1`",
        "did you mean",
    );
    wrong(
        "warning: 1}",
        "warning: 1, starts: stagered}",
        1,
        "nobody can start",
        "did you mean `staggered`?",
    );
}

#[test]
fn impossible_numbers_are_refused() {
    wrong(
        "station: 8",
        "station: -8",
        1,
        "-8 minutes of a station are negative",
        "4 to 20",
    );
    wrong("reading: 2", "reading: -1", 1, "negative", "minutes");
    wrong(
        "changeover: 1",
        "changeover: 0.3",
        1,
        "no length for changeover",
        "halves",
    );
    wrong(
        "{times: 3}",
        "{times: 10000}",
        1,
        "10000 is no number of positions",
        "1 to 60",
    );
    wrong("{times: 3}", "{times: 1.5}", 1, "no number", "whole number");
    wrong("{times: 3}", "{times: -2}", 1, "-2 is no number", "1 to 60");
    wrong(
        "least: 1}",
        "least: 9}",
        1,
        "9 is no number of stations out of 3",
        "0 to 3",
    );
    wrong(
        "least: 1}",
        "least: 3, most: 1}",
        1,
        "cannot both be",
        "exchange",
    );
    wrong("least: 1}", "share: 1.5}", 1, "no share", "0 to 1");
    wrong(
        "least: 1}",
        "exactly: 1, share: 0.5}",
        1,
        "one way to count",
        "exactly",
    );
    wrong(
        "count: 4",
        "count: -4",
        1,
        "-4 is no number of candidates",
        "whole number",
    );
    wrong(
        "count: 4",
        "count: 0",
        1,
        "0 is no number of candidates",
        "1 to",
    );
    wrong("\"09:00\"", "\"25:00\"", 1, "no time of day", "09:00");
    wrong(
        "{rest: same}",
        "{rest: 3}",
        1,
        "would have to wait",
        "staggered",
    );
    wrong("{rest: same}", "{rest: sane}", 1, "cannot last", "same");
    wrong(
        "{rest: same}",
        "{minutes: 2}",
        1,
        "no length for a station",
        "4 to 20",
    );
    wrong(
        "warning: 1",
        "warning: 8",
        1,
        "before the station begins",
        "fewer",
    );
}

#[test]
fn days_and_times_that_are_none_are_refused() {
    wrong(
        "level: clinical",
        "date: 2026-02-31",
        1,
        "there is no day 2026-02-31",
        "calendar",
    );
    wrong(
        "\"09:00\"",
        "\"23:40\"",
        1,
        "past midnight: once round takes 44 minutes",
        "earlier",
    );
    // Eleven minutes a slot: a station of 5 minutes moves on with the others when its reading is longer.
    wrong(
        "{rest: same}",
        "{minutes: 5}",
        1,
        "would have to wait",
        "position 4 with `reading: 5`",
    );
    // 12 + 2 among 8 + 2: those of 8 minutes read for 6.
    wrong(
        "{rest: same}",
        "{minutes: 12}",
        1,
        "would have to wait",
        "position 1 and those like it with `reading: 6`",
    );
    wrong(
        "{kind: trace,",
        "{nerve: radail,",
        1,
        "no part and no nerve",
        "did you mean",
    );
    let failure = check(&GOOD.replace("{kind: trace,", "{nerve: radail,")).expect_err("a slip");
    assert_eq!(
        failure.problems().len(),
        1,
        "nothing that follows from it: {failure}"
    );
}

#[test]
fn a_blueprint_is_checked_as_one_wherever_it_lies_and_its_names_before_any_work() {
    let folder = std::env::temp_dir().join(format!("vivasmith-alone-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let file = folder.join("day.yaml").to_string_lossy().into_owned();
    std::fs::write(&file, GOOD).expect("written");
    let done = run(&["check", &file]);
    assert!(done.status.success(), "{}", text(&done.stderr));
    std::fs::write(&file, GOOD.replace("kind: trace", "kind: trase")).expect("written");
    let said = text(&run(&["check", &file]).stderr);
    assert!(
        said.contains("day.yaml:8:12: no kind of station is called `trase`"),
        "{said}"
    );
    let named = GOOD.replace("{id: X1,", "{id: X1, name: \u{5c71}\u{7530},");
    std::fs::write(&file, named).expect("written");
    let out = folder.join("out").to_string_lossy().into_owned();
    let done = run(&["circuit", &file, "--seed", "1", "--out", &out]);
    let said = text(&done.stderr);
    assert_eq!(done.status.code(), Some(1), "{said}");
    assert!(
        said.contains("day.yaml:12:20: the letter `\u{5c71}` cannot be printed"),
        "{said}"
    );
    let _ = std::fs::remove_dir_all(&folder);
}

#[test]
fn ids_that_would_leave_the_folder_are_refused() {
    wrong(
        "{id: A, count",
        "{id: ../up, count",
        1,
        "no id of a group",
        "letters",
    );
    wrong(
        "{id: X1",
        "{id: \"a,b\"",
        1,
        "no id of an examiner",
        "letters",
    );
    wrong("{id: one", "{id: \"\"", 1, "no id of a sitting", "letters");
}

#[test]
fn exclusions_that_run_in_a_ring_are_named() {
    let ring = "apart:\n  - {site: root_c5, from: [root_c6]}\n  - {site: root_c6, from: [root_c7]}\n  - {site: root_c7, from: [root_c5]}\n";
    let failure = check(&format!("{GOOD}{ring}")).expect_err("a ring");
    let problem = &failure.problems()[0];
    assert!(
        problem
            .message
            .contains("ring: root_c7 from root_c5 from root_c6 from root_c7"),
        "{problem}"
    );
    assert_eq!(
        problem.place.as_ref().map(|p| p.line),
        Some(GOOD.lines().count() + 4)
    );
    // Two ways round is a ring as well; a site from itself is none, but as wrong.
    for (entry, says) in [
        (
            "  - {site: root_c5, from: [root_c6]}\n  - {site: root_c6, from: [root_c5]}\n",
            "ring",
        ),
        ("  - {site: root_c5, from: [root_c5]}\n", "itself"),
    ] {
        let failure = check(&format!("{GOOD}apart:\n{entry}")).expect_err(says);
        assert!(failure.to_string().contains(says), "{failure}");
    }
    let fine = "apart:\n  - {site: root_c5, from: [root_c6, root_c7]}\n  - {site: root_c6, from: [root_c7]}\n";
    assert!(check(&format!("{GOOD}{fine}")).is_ok());
}

#[test]
fn what_is_to_be_used_and_kept_apart_is_a_contradiction() {
    let text = format!(
        "{GOOD}reuse:\n  - {{site: root_c8, kind: trace, seed: 1}}\n  - {{site: lower_trunk, kind: trace, seed: 1}}\napart:\n  - {{site: root_c8, from: [lower_trunk]}}\navoid: [root_c8]\n"
    );
    let said = check(&text).expect_err("contradictions").to_string();
    assert!(
        said.contains("to be used, and to be kept apart")
            && said.contains("to be used, and to be avoided"),
        "{said}"
    );
}

#[test]
fn all_problems_come_at_once_in_the_order_of_the_file() {
    let text = GOOD
        .replace("station: 8", "station: -8")
        .replace("kind: trace", "kind: trase")
        .replace("knows: [A01]", "knows: [B7]")
        .replace("\"09:00\"", "\"9 o'clock\"");
    let failure = check(&text).expect_err("four mistakes");
    assert!(failure.problems().len() >= 4, "{failure}");
    let lines: Vec<usize> = failure
        .problems()
        .iter()
        .filter_map(|p| p.place.as_ref())
        .map(|p| p.line)
        .collect();
    assert!(lines.windows(2).all(|w| w[0] <= w[1]), "{lines:?}");
    assert!(failure.problems().iter().all(|p| !p.hint.is_empty()));
}

#[test]
fn files_that_are_no_text_and_names_that_are_no_blueprint() {
    let folder = std::env::temp_dir().join(format!("vivasmith-blueprints-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let write = |name: &str, bytes: &[u8]| {
        let path = folder.join(name);
        std::fs::write(&path, bytes).expect("written");
        path.to_string_lossy().into_owned()
    };
    let latin = write("latin.yaml", b"title: Pr\xfcfung\n");
    let utf16: Vec<u8> = "title: Day\n"
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    let utf16 = write("wide.yaml", &[&[0xff, 0xfe][..], &utf16].concat());
    let out = folder.join("out");
    let out_text = out.to_string_lossy().into_owned();
    for (arguments, code, says) in [
        (vec!["circuit", &latin], 2, "latin.yaml:1:10: is not UTF-8"),
        (vec!["circuit", &utf16], 2, "wide.yaml:1:1: is not UTF-8"),
        (vec!["circuit", "peer_mok"], 2, "did you mean `peer_mock`?"),
        (vec!["circuit", "nowhere.yaml"], 3, "cannot be opened"),
        (
            vec!["circuit", "peer_mock", "--exposure", &latin],
            2,
            "is not UTF-8",
        ),
    ] {
        let done = run(&[&arguments[..], &["--out", &out_text]].concat());
        let said = text(&done.stderr);
        assert_eq!(done.status.code(), Some(code), "{said}");
        assert!(said.contains(says), "{said}");
        assert!(said.contains("hint:"), "{said}");
    }
    assert!(!out.exists(), "nothing is written");
    // A byte order mark is no mistake.
    let marked = write(
        "marked.yaml",
        format!("\u{feff}{}", GOOD.replace("count: 4", "count: 400")).as_bytes(),
    );
    let said = text(&run(&["circuit", &marked, "--seed", "1", "--out", &out_text]).stderr);
    assert!(!said.contains("UTF-8"), "{said}");
    let _ = std::fs::remove_dir_all(&folder);
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(300))]

    /// Whatever stands in the file: an answer or a message, never a panic.
    #[test]
    fn no_text_brings_the_reader_down(cut in 0usize..400, insert in "[ -~\n]{0,12}") {
        use std::sync::OnceLock;
        static WORLD: OnceLock<(Content, Model)> = OnceLock::new();
        let (content, model) = WORLD.get_or_init(world);
        let mut text = GOOD.to_string();
        let mut at = cut.min(text.len());
        while !text.is_char_boundary(at) {
            at -= 1;
        }
        text.insert_str(at, &insert);
        let _ = circuit::check(&source(&text), &Lists::default(), content, &Limbs::of([model]));
    }
}
