//! Feeds scenario files with one mistake each to the check: every mistake is found, at its line, with a way out.

use proptest::prelude::*;
use vivasmith::case::mechanism;
use vivasmith::diagnostic::{Failure, Problem};
use vivasmith::files::{Content, Source};

/// A file without a mistake; the third mechanism is a newborn's.
const GOOD: &str = "\
site: radial_axilla
mechanisms:
  - id: one
    weight: 4
    why_weight: common practice, no source
    age: [20, 65]
    side: dominant
    occupations: [potter]
    settings: [a clinic at Quossle Edge]
    story: '{name} leant on the {side} arm; {they} slept.'
    since_days: [1, 20]
    onset: sudden
    severity: {complete: 60, partial: 40}
    nerve_injury: neurapraxia
    also_damaged: []
    stem_note: ''
    examiner_note: Pressure.
  - id: two
    weight: 1
    why_weight: common practice, no source
    age: [5, 12]
    side: left
    occupations: []
    settings: [a clinic at Quossle Edge]
    story: '{name} fell on {their} {other_side} arm.'
    since_days: [1, 300]
    onset: gradual
    severity: {partial: 1}
    nerve_injury: axonotmesis
    also_damaged: [a bruise]
    stem_note: ''
    examiner_note: A fall.
  - id: three
    weight: 0.5
    why_weight: common practice, no source
    age_days: [1, 21]
    side: any
    occupations: []
    settings: [a ward at Quossle Edge]
    story: '{name} was born with the {side} arm up.'
    since_days: [1, 21]
    onset: sudden
    severity: {complete: 1}
    nerve_injury: neurotmesis
    also_damaged: []
    stem_note: ''
    examiner_note: Birth.
";

fn source(text: &str) -> Source {
    Source::new(
        "scenarios/radial_axilla.yaml",
        "radial_axilla.yaml",
        text.to_string(),
    )
}

fn check(text: &str) -> Result<mechanism::Scenarios, Failure> {
    mechanism::read(&source(text), &["radial_axilla", "ulnar_elbow"])
}

/// The problems after replacing the first `old` at or after `from` by `new`.
fn broken(from: &str, old: &str, new: &str) -> Vec<Problem> {
    let start = GOOD.find(from).expect("anchor");
    let at = start + GOOD[start..].find(old).expect("old text");
    let text = format!("{}{new}{}", &GOOD[..at], &GOOD[at + old.len()..]);
    let failure = check(&text).expect_err("a mistake must be found");
    assert_eq!(failure.exit_code(), 1, "{failure}");
    failure.problems().to_vec()
}

fn line(problem: &Problem) -> usize {
    problem.place.as_ref().expect("a place").line
}

#[test]
fn a_good_file_passes() {
    let good = check(GOOD).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(good.mechanisms.len(), 3);
    assert_eq!(good.mechanisms[2].age_days, Some((1, 21)));
}

#[test]
fn each_mistake_is_found_at_its_line_with_a_way_out() {
    // (anchor, what stands there, the mistake, the line, words of the message, words of the hint)
    #[rustfmt::skip] // One mistake a line.
    let cases = [
        ("site", "radial_axilla", "radial_axila", 1, "no site is called", "did you mean `radial_axilla`"),
        ("site", "radial_axilla", "ulnar_elbow", 1, "is about `ulnar_elbow`", "ulnar_elbow.yaml"),
        ("- id: two", "two", "one", 18, "two mechanisms are called `one`", "its own id"),
        ("- id: two", "two", "Two!", 18, "is no id", "small letters"),
        ("- id: one", "weight: 4", "weight: 0", 4, "never be drawn", "above 0"),
        ("- id: one", "weight: 4", "weight: -2", 4, "never be drawn", "above 0"),
        ("- id: one", "weight: 4", "weight: .nan", 4, "never be drawn", "above 0"),
        ("- id: one", "[20, 65]", "[65, 20]", 6, "runs backwards", "[20, 65]"),
        ("- id: one", "[20, 65]", "[20, 650]", 6, "cannot be", "between 1 and 110"),
        ("- id: one", "[potter]", "[]", 8, "adult without an occupation", "list occupations"),
        ("- id: two", "[]", "[potter]", 23, "child with an occupation", "occupations: []"),
        ("- id: two", "[5, 12]\n    side: left", "[2, 12]\n    side: dominant", 22, "no dominant hand yet", "any, right or left"),
        ("- id: three", "side: any", "side: dominant", 37, "newborn has no dominant hand", "any, right or left"),
        ("- id: three", "occupations: []", "occupations: [potter]", 38, "newborn has no occupation", "occupations: []"),
        ("- id: three", "since_days: [1, 21]", "since_days: [30, 60]", 41, "as old as the child", "range of age_days"),
        ("- id: three", "sudden", "gradual", 42, "came with birth", "onset: sudden"),
        ("- id: three", "age_days: [1, 21]", "age_days: [21, 1]", 36, "runs backwards", "[1, 21]"),
        ("- id: three", "age_days: [1, 21]", "age_days: [1, 21]\n    age: [20, 30]", 36, "age in years and one in days", "keep age_days"),
        ("- id: three", "    age_days: [1, 21]\n", "", 33, "no age", "age_days: [1, 21]"),
        ("- id: one", "[1, 20]", "[20, 1]", 11, "runs backwards", "[1, 20]"),
        ("- id: one", "[1, 20]", "[0, 20]", 11, "cannot be", "between 1"),
        ("- id: one", "[1, 20]", "[100, 200]", 11, "begun to recover by day 84", "84 or earlier"),
        ("- id: one", "{complete: 60, partial: 40}", "{complete: 0, partial: 0}", 13, "all chances are 0", "above 0"),
        ("- id: one", "{complete: 60, partial: 40}", "{complete: 60, partial: -1}", 13, "below 0", "from 0 up"),
        ("- id: one", "{they} slept", "{thye} slept", 10, "placeholder {thye} means nothing", "did you mean `they`"),
        ("- id: one", "{they} slept", "{they slept", 10, "brace without its partner", "{name}"),
        ("- id: one", "'{name} leant", "'A patient, {name}, leant", 10, "does not start with {name}", "start it"),
        ("- id: one", "stem_note: ''", "stem_note: 'See {x}.'", 16, "placeholder {x} means nothing", "use one of"),
        ("- id: one", "[a clinic at Quossle Edge]", "[]", 9, "no place where", "at least one"),
        ("- id: two", "[a bruise]", "[a bruise, '']", 30, "empty entry in also_damaged", "remove it"),
        ("- id: two", "also_damaged: [a bruise]", "also_damaged: [a bruise]\n    care: [rest, '']", 31, "empty entry in care", "remove it"),
        ("- id: two", "also_damaged: [a bruise]", "also_damaged: [a bruise]\n    causes: ['{x}']", 31, "placeholder {x} means nothing", "use one of"),
        ("- id: one", "examiner_note: Pressure.", "examiner_note: ''", 17, "examiner_note is empty", "one sentence"),
    ];
    for (from, old, new, at, message, hint) in cases {
        let problems = broken(from, old, new);
        let hit = problems
            .iter()
            .find(|p| p.message.contains(message))
            .unwrap_or_else(|| panic!("{new}: {problems:?}"));
        assert_eq!(line(hit), at, "{new}: {hit}");
        assert!(hit.hint.contains(hint), "{new}: {hit}");
        assert_eq!(
            problems.len(),
            1,
            "{new}: one mistake, one message: {problems:?}"
        );
    }
}

#[test]
fn two_mechanisms_are_too_few() {
    let cut = GOOD.find("  - id: three").expect("third");
    let failure = check(&GOOD[..cut]).expect_err("too few");
    assert!(
        failure.to_string().contains("2 of at least 3 mechanisms"),
        "{failure}"
    );
}

#[test]
fn all_mistakes_are_told_at_once() {
    let text = GOOD
        .replace("weight: 4", "weight: 0")
        .replace("[5, 12]", "[12, 5]")
        .replace("'{name} was born", "'{nmae} was born");
    let failure = check(&text).expect_err("three mistakes");
    let lines: Vec<usize> = failure.problems().iter().map(line).collect();
    // The last one is two: an unknown placeholder, and a story that does not open with the name.
    assert_eq!(lines, [4, 21, 40, 40]);
}

#[test]
fn a_misspelt_key_or_word_is_placed_too() {
    for (old, new, at) in [
        ("weight: 4", "wieght: 4", 4),
        ("side: dominant", "side: dominnat", 7),
        ("nerve_injury: neurapraxia", "nerve_injury: bruise", 14),
        ("age: [20, 65]", "age: [20]", 6),
        ("age: [20, 65]", "age: [-3, 65]", 6),
    ] {
        let failure = check(&GOOD.replacen(old, new, 1)).expect_err(new);
        assert_eq!(failure.exit_code(), 2);
        assert_eq!(line(&failure.problems()[0]), at, "{new}: {failure}");
        assert!(!failure.problems()[0].hint.is_empty());
    }
}

proptest! {
    /// A file damaged anywhere is read or refused with a place, never a panic.
    #[test]
    fn a_damaged_file_never_panics(start in 0..GOOD.len(), length in 0usize..40, new in "[-{}\\[\\]:,'\"&*a-z0-9 \n\u{e9}]{0,12}") {
        let end = (start + length).min(GOOD.len());
        let text = format!("{}{new}{}", &GOOD[..start], &GOOD[end..]);
        if let Err(failure) = check(&text) {
            prop_assert!(failure.problems().iter().all(|p| p.place.is_some()), "{failure}");
        }
    }
}

#[test]
fn people_need_names_and_each_only_once() {
    let dir = std::path::PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("case_people");
    std::fs::create_dir_all(dir.join("scenarios")).expect("folder");
    let text = "people:\n  - {given: Amdrow, family: Bucklefen}\n  - {given: Amdrow, family: Bucklefen}\n  - {given: ' ', family: Inkerlaw}\nnewborns: []\n";
    std::fs::write(dir.join("scenarios/people.yaml"), text).expect("file");
    let content = Content::overlaid(&dir).unwrap_or_else(|e| panic!("{e}"));
    let failure = mechanism::people(&content).expect_err("three mistakes");
    assert_eq!(failure.exit_code(), 1);
    let mut lines: Vec<usize> = failure.problems().iter().map(line).collect();
    lines.sort_unstable();
    assert_eq!(lines, [3, 4, 5], "{failure}");
    // The check of everything finds them as well.
    let ids: Vec<String> = content
        .under("scenarios/")
        .filter_map(|s| {
            Some(
                s.name
                    .strip_prefix("scenarios/")?
                    .strip_suffix(".yaml")?
                    .to_string(),
            )
        })
        .collect();
    let ids: Vec<&str> = ids.iter().map(String::as_str).collect();
    let all = vivasmith::case::check_all(&content, &ids);
    assert_eq!(all.len(), 3, "{all:?}");
}
