//! Shipped files and starters, broken at random: every reader answers with a placed message or reads on; none panics or hangs.

use proptest::prelude::*;
use proptest::test_runner::TestCaseError;
use vivasmith::anatomy::{self, Model};
use vivasmith::case;
use vivasmith::diagnostic::Failure;
use vivasmith::files::{Content, settings};
use vivasmith::sheets::words;
use vivasmith::station::{self, own};

/// Scraps that YAML readers and templates stumble over.
const SCRAPS: [&str; 24] = [
    "- ",
    ": ",
    "[",
    "]",
    "{",
    "}",
    "\"",
    "'",
    "|",
    ">-\n",
    "&a ",
    "*a ",
    "!!int ",
    "? ",
    "---\n",
    "...\n",
    "\t",
    "\n\n",
    "#",
    "~",
    "\u{feff}",
    "é",
    "{{ station.",
    "{% for x in station.questions %}",
];

#[derive(Debug, Clone)]
enum Change {
    DropLine(usize),
    DoubleLine(usize),
    SwapLines(usize, usize),
    Insert(usize, usize),
    Cut(usize, usize),
    Number(usize, i64),
    Cutoff(usize),
}

fn change() -> impl Strategy<Value = Change> {
    let at = 0usize..100_000;
    prop_oneof![
        at.clone().prop_map(Change::DropLine),
        at.clone().prop_map(Change::DoubleLine),
        (at.clone(), at.clone()).prop_map(|(a, b)| Change::SwapLines(a, b)),
        (at.clone(), 0..SCRAPS.len()).prop_map(|(a, s)| Change::Insert(a, s)),
        (at.clone(), 1usize..12).prop_map(|(a, n)| Change::Cut(a, n)),
        (at.clone(), any::<i64>()).prop_map(|(a, n)| Change::Number(a, n)),
        at.prop_map(Change::Cutoff),
    ]
}

fn changed(text: &str, change: &Change) -> String {
    let mut lines: Vec<&str> = text.lines().collect();
    let count = lines.len().max(1);
    let letters: Vec<char> = text.chars().collect();
    let spot = |at: usize| at % letters.len().max(1);
    let whole = |part: &[char]| part.iter().collect::<String>();
    match change {
        Change::DropLine(a) => {
            if !lines.is_empty() {
                lines.remove(a % count);
            }
        }
        Change::DoubleLine(a) => {
            if let Some(line) = lines.get(a % count).copied() {
                lines.insert(a % count, line);
            }
        }
        Change::SwapLines(a, b) => {
            if !lines.is_empty() {
                lines.swap(a % count, b % count);
            }
        }
        Change::Insert(a, s) => {
            let at = spot(*a);
            return whole(&letters[..at]) + SCRAPS[*s] + &whole(&letters[at..]);
        }
        Change::Cut(a, n) => {
            let at = spot(*a);
            return whole(&letters[..at]) + &whole(&letters[(at + n).min(letters.len())..]);
        }
        Change::Number(a, n) => {
            let at = spot(*a);
            let digit = (at..letters.len()).find(|i| letters[*i].is_ascii_digit());
            return match digit {
                Some(i) => whole(&letters[..i]) + &n.to_string() + &whole(&letters[i + 1..]),
                None => text.to_string(),
            };
        }
        Change::Cutoff(a) => return whole(&letters[..spot(*a)]),
    }
    lines.join("\n") + "\n"
}

/// A refusal says something, and where.
fn fair<T>(outcome: Result<T, Failure>, file: &str, place: bool) -> Result<(), TestCaseError> {
    let Err(failure) = outcome else {
        return Ok(());
    };
    prop_assert!(matches!(failure.exit_code(), 1 | 2), "{failure}");
    for problem in failure.problems() {
        prop_assert!(
            !problem.message.is_empty() && !problem.hint.is_empty(),
            "{problem}"
        );
        prop_assert!(problem.message.chars().count() < 1000, "{problem}");
        prop_assert!(
            !place || problem.place.is_some() || problem.message.contains(file),
            "{problem}"
        );
    }
    Ok(())
}

fn shipped(name: &str) -> String {
    let content = Content::embedded();
    let source = content.get(name).unwrap_or_else(|| panic!("{name}"));
    source
        .text
        .replace("NEW_ID", "mine")
        .replace("NEW_SEGMENT", "ulnar_arm")
}

fn with(name: &str, text: String) -> Content {
    let mut content = Content::embedded();
    content.insert(name, name, text);
    content
}

fn model() -> Model {
    anatomy::load(&Content::embedded(), "upper_limb").expect("sound")
}

fn broken(name: &str, changes: &[Change]) -> String {
    changes
        .iter()
        .fold(shipped(name), |text, c| changed(&text, c))
}

fn few() -> ProptestConfig {
    ProptestConfig {
        cases: 40,
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(few())]

    #[test]
    fn extra_anatomy(file in prop::sample::select(vec!["plexus", "nerves", "muscles", "movements", "skin", "reflexes", "signs", "variants", "sites", "sources", "charts"]), changes in prop::collection::vec(change(), 1..4)) {
        let whole = format!("anatomy/upper_limb/{file}.yaml");
        let extra = format!("anatomy/upper_limb/{file}.extra.yaml");
        let content = with(&extra, broken(&whole, &changes));
        fair(anatomy::load(&content, "upper_limb"), &extra, true)?;
    }

    #[test]
    fn scenarios(file in prop::sample::select(vec!["scenarios/people.yaml", "scenarios/ulnar_elbow.yaml", "scenarios/general.yaml"]), changes in prop::collection::vec(change(), 1..4)) {
        let content = with(file, broken(file, &changes));
        for failure in case::failures(&content, &["ulnar_elbow"]) {
            // Every shipped file is about a site that this list does not hold: only the broken one counts.
            let mine = failure.problems().iter().any(|p| p.place.as_ref().is_some_and(|at| at.file == file));
            if mine {
                fair::<()>(Err(failure), file, true)?;
            }
        }
    }

    #[test]
    fn questions_and_kinds(file in prop::sample::select(vec!["questions/lesion_place.yaml", "questions/jerks.yaml", "questions/kinds.yaml", "approaches/upper_limb.yaml"]), changes in prop::collection::vec(change(), 1..4)) {
        let content = with(file, broken(file, &changes));
        match station::kinds(&content) {
            Ok(kinds) => fair(station::families(&content, &kinds), file, false)?,
            Err(failure) => fair::<()>(Err(failure), file, false)?,
        }
        fair(station::approaches(&content, &model()), file, false)?;
    }

    #[test]
    fn house_style(file in prop::sample::select(vec!["settings.yaml", "templates/phrases.yaml"]), changes in prop::collection::vec(change(), 1..4)) {
        let content = with(file, broken(file, &changes));
        fair(settings(&content), file, true)?;
        fair(words::Printer::new(&content).map(drop), file, true)?;
    }

    #[test]
    fn templates(file in prop::sample::select(vec!["templates/candidate.md.tera", "templates/examiner.md.tera", "templates/answer.md.tera"]), changes in prop::collection::vec(change(), 1..4)) {
        let content = with(file, broken(file, &changes));
        fair(words::Printer::new(&content).map(drop), file, true)?;
    }

    #[test]
    fn own_stations(changes in prop::collection::vec(change(), 1..4)) {
        let content = with("own/mine.yaml", broken("templates/new/station.yaml", &changes));
        let source = content.get("own/mine.yaml").expect("it was put there");
        match own::read(&model(), &content, source) {
            Ok(checked) => {
                prop_assert_eq!(checked.station.is_some(), checked.problems.is_empty());
                if !checked.problems.is_empty() {
                    fair::<()>(Err(Failure::Content(checked.problems)), "mine.yaml", true)?;
                }
            }
            Err(failure) => fair::<()>(Err(failure), "mine.yaml", true)?,
        }
    }

    #[test]
    fn any_text_at_all(text in "\\PC{0,200}", file in prop::sample::select(vec!["settings.yaml", "own/mine.yaml", "anatomy/upper_limb/muscles.extra.yaml", "questions/mine.yaml", "templates/phrases.yaml"])) {
        let content = with(file, text);
        fair(settings(&content), file, true)?;
        fair(words::Printer::new(&content).map(drop), file, true)?;
        fair(anatomy::load(&content, "upper_limb"), file, true)?;
        if let Some(source) = content.get("own/mine.yaml") {
            fair(own::read(&model(), &content, source), file, true)?;
        }
        if let Ok(kinds) = station::kinds(&content) {
            fair(station::families(&content, &kinds), file, false)?;
        }
    }
}
