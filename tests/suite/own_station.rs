//! A station written by hand: each stated finding against the derived one, the way back, the stem, marks, times, prompts, wording.

use crate::own_support::{Folder, call, says};
use vivasmith::anatomy::{self, Model};
use vivasmith::files::Content;
use vivasmith::station::own::{self, Checked};

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
    own::read(&model(), &content, source).unwrap_or_else(|e| panic!("{e}"))
}

fn problems(changes: &[(&str, &str)]) -> String {
    let checked = read(changes);
    assert!(
        checked.station.is_none() && !checked.problems.is_empty(),
        "this must be refused: {changes:?}"
    );
    for p in &checked.problems {
        assert!(
            p.place.as_ref().is_some_and(|at| at.line > 1) && !p.hint.is_empty(),
            "{p}"
        );
    }
    checked.problems.iter().map(|p| format!("{p}\n")).collect()
}

fn line_of(word: &str) -> usize {
    starter()
        .lines()
        .position(|l| l.contains(word))
        .expect("the word")
        + 1
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
    assert_eq!(station.candidate.told.len(), 5, "triceps is kept back");
    let shown: Vec<&str> = station.questions[1]
        .wrong
        .iter()
        .map(|w| w.answer.as_str())
        .collect();
    assert_eq!(shown, ["The radial nerve in the axilla", "A stroke"]);
    // Derived: an axillary lesion would take triceps, and here it works (its branches leave above the groove: Gray 1918, from memory).
    let refuted = &station.questions[1].wrong[0];
    assert_eq!(
        (refuted.here.as_str(), refuted.there.as_str()),
        ("spared", "lost"),
        "{refuted:?}"
    );
}

#[test]
fn a_finding_that_the_model_contradicts_is_told_with_the_reason() {
    let text = problems(&[("triceps: spared", "triceps: weak")]);
    says(
        &text,
        &[
            &format!("mine.yaml:{}:", line_of("  triceps: spared")),
            "stated: triceps weak; derived: spared, its branches leave the radial nerve",
            "above the lesion",
            "write `triceps: spared`",
        ],
    );
    let text = problems(&[("wrist_extension: lost", "wrist_extension: 4")]);
    says(
        &text,
        &[
            "stated: extension of the wrist (wrist_extension) 4; derived: lost, all its muscles are affected, chiefly",
        ],
    );
    let text = problems(&[(
        "finger_abduction: spared",
        "finger_abduction: spared\n  froment: present\n  brachioradialis: spared",
    )]);
    says(
        &text,
        &[
            "stated: Froment sign (froment) present; derived: absent, adductor pollicis works",
            "stated: brachioradialis spared; derived: lost, its branch leaves the radial nerve",
        ],
    );
}

#[test]
fn what_may_go_either_way_cannot_be_stated_as_certain() {
    // Half of a nerve's fibres: many findings are open. Which of them is asked of the model, not written here.
    let m = model();
    let lesion = vivasmith::lesion::parse(&m, "radial_spiral_groove").expect("a site");
    let found = vivasmith::findings::derive(&m, &lesion, &[]);
    let open = found.all().find(|f| {
        f.state == vivasmith::findings::State::Variable
            && f.kind() == vivasmith::findings::Kind::Movement
    });
    let id = open.expect("an open movement").id(&m);
    let text = problems(&[(
        "finger_abduction: spared",
        &format!("finger_abduction: spared\n  {id}: lost"),
    )]);
    says(
        &text,
        &[
            &format!("({id}) lost; derived: either, in about"),
            "it can carry no mark",
        ],
    );
    let checked = read(&[(
        "finger_abduction: spared",
        &format!("finger_abduction: spared\n  {id}: variable"),
    )]);
    assert_eq!(checked.problems, [], "an honest `variable` is no mistake");
}

#[test]
fn findings_of_another_lesion_are_recognised() {
    let text = problems(&[
        ("lesion: radial_spiral_groove", "lesion: pin_supinator"),
        (
            "{answer: \"The radial nerve in the axilla\", lesion: radial_axilla}",
            "{answer: \"x\", because: \"y\"}",
        ),
    ]);
    says(
        &text,
        &[
            "the stated findings lead to another lesion better: a complete lesion of the radial nerve in the spiral groove",
            "stated: extension of the wrist (wrist_extension) lost; derived: weak",
        ],
    );
    // Too little to tell: nothing contradicts, but nothing decides.
    let from = "  wrist_extension: lost\n  finger_mcp_extension: lost\n  elbow_extension: spared\n  triceps: spared\n  dorsoradial_hand: lost\n  finger_abduction: spared\n";
    let text = problems(&[
        (from, "  finger_mcp_extension: lost\n"),
        ("keep_back: [triceps]", "keep_back: []"),
    ]);
    says(
        &text,
        &[
            "do not lead to one lesion",
            "8 times are asked for",
            "add what tells them apart, such as",
        ],
    );
}

#[test]
fn unknown_words_are_answered_with_the_nearest() {
    says(
        &problems(&[("dorsoradial_hand", "dorsoradial_hnd")]),
        &["did you mean `dorsoradial_hand`?"],
    );
    says(
        &problems(&[("elbow_extension: spared", "elbow_extension: wonky")]),
        &[
            "no state of a movement",
            "lost, weak, spared, or a power from 0 to 5",
        ],
    );
    says(
        &problems(&[(
            "lesion: radial_spiral_groove",
            "lesion: radial_spiral_grove",
        )]),
        &["did you mean `radial_spiral_groove`?"],
    );
    says(
        &problems(&[("variants: []", "variants: [mgaa]")]),
        &["did you mean `mga`?"],
    );
    says(
        &problems(&[("kind: trace", "kind: trase")]),
        &["did you mean `trace`?"],
    );
    says(
        &problems(&[("keep_back: [triceps]", "keep_back: [froment]")]),
        &["`froment` is none of the findings"],
    );
    says(
        &problems(&[("lesion: radial_axilla}", "lesion: radial_axila}")]),
        &["did you mean `radial_axilla`?"],
    );
}

#[test]
fn a_stem_that_gives_the_answer_away_is_refused() {
    for word in [
        "radial nerve",
        "Radial-nerve",
        "wrist drop",
        "C7",
        "spiral groove",
        "palsy",
    ] {
        let text = problems(&[(
            "the right hand could not be lifted.",
            &format!("the right hand could not be lifted, a {word}."),
        )]);
        says(
            &text,
            &["the candidate would read", "say it in plain words"],
        );
    }
    let text = problems(&[(
        "\"Work out where the lesion is.",
        "\"Work out where the radial nerve is cut.",
    )]);
    says(
        &text,
        &[&format!("mine.yaml:{}:", line_of("Work out where"))],
    );
}

#[test]
fn marks_minutes_and_caps_must_add_up() {
    says(
        &problems(&[("marks: 20 ", "marks: 19 ")]),
        &["the points of all questions make 20 marks, not 19"],
    );
    says(
        &problems(&[("minutes: 8 ", "minutes: 9 ")]),
        &["the questions take 7 minutes", "that is 8, not 9"],
    );
    says(
        &problems(&[("cap: 5}", "cap: 7}")]),
        &["a cap of 7 does not fit a question of 6 marks"],
    );
    says(
        &problems(&[("cap: 4}", "cap: 5}")]),
        &["costs nothing: its cap of 5 is not below 5"],
    );
    says(&problems(&[(", cap: 2}", "}")]), &["has no cap"]);
    says(
        &problems(&[("rung: lead", "rung: probe")]),
        &["are not clarify, probe, lead"],
    );
    says(
        &problems(&[
            ("    minutes: 2\n", "    minutes: 0.5\n"),
            ("minutes: 2.5", "minutes: 4"),
        ]),
        &["half of the time allows at 130 words a minute"],
    );
    says(
        &problems(&[("    minutes: 2\n", "    minutes: 1.7\n")]),
        &["not counted in halves"],
    );
    says(
        &problems(&[(
            "say: \"Extensor digitorum\", marks: 2",
            "say: \"\", marks: 2",
        )]),
        &["the mark line has no answer"],
    );
    says(
        &problems(&[(
            "say: \"Which muscle lifts the knuckles of the fingers?\"",
            "say: \"Please try once more.\"",
        )]),
        &["gives away no more than those before it"],
    );
    let long = format!(
        "Joscott has been well. {}",
        "And so it went on. ".repeat(80)
    );
    says(
        &problems(&[(
            "Joscott has been well otherwise and takes no medicines.",
            &long,
        )]),
        &["2 minutes at 175 words a minute allow 350"],
    );
}

#[test]
fn patient_and_times_must_agree() {
    says(
        &problems(&[("since_days: 10", "since_days: 400")]),
        &["it mends by itself from about day 84"],
    );
    says(
        &problems(&[("age: 34", "age_days: 5")]),
        &["no dominant hand", "no occupation", "older than the child"],
    );
    says(
        &problems(&[("age: 34, ", "")]),
        &["the patient needs one age"],
    );
    says(
        &problems(&[("age: 34", "age: 340")]),
        &["nobody is that old"],
    );
}

#[test]
fn wrong_answers_need_a_finding_that_refutes_them() {
    says(
        &problems(&[(", lesion: radial_axilla}", "}")]),
        &["nothing refutes this wrong answer"],
    );
    // C7 and the middle trunk look the same at the bedside (DEVELOPERS.md).
    says(
        &problems(&[("lesion: radial_axilla}", "lesion: radial_spiral_groove}")]),
        &[
            "no finding tells a complete lesion of the radial nerve in the spiral groove from the stated lesion",
        ],
    );
}

#[test]
fn wording_is_reviewed_by_published_rules() {
    let advice = |changes: &[(&str, &str)]| {
        let checked = read(changes);
        assert_eq!(checked.problems, [], "advice stops nothing");
        checked
            .advice
            .iter()
            .map(|p| format!("{p}\n"))
            .collect::<String>()
    };
    let ask = "ask: \"Which muscles have lost their power?\"";
    // Wakeford, Southgate and Wass 1995; Haladyna, Downing and Rodriguez 2002; NBME 2016: see station/own/wording.rs, from memory.
    says(
        &advice(&[(ask, "ask: \"Are muscles weak here?\"")]),
        &["can be answered with yes or no", "Wakeford 1995"],
    );
    says(
        &advice(&[(ask, "ask: \"Which muscles do not have any power?\"")]),
        &["worded negatively", "Haladyna 2002"],
    );
    says(
        &advice(&[(ask, "ask: \"Which muscles have usually lost power?\"")]),
        &["\u{201c}usually\u{201d}", "NBME 2016"],
    );
    says(
        &advice(&[(
            "say: \"Please go through the movements one by one.\"",
            "say: \"Well done. Please go on.\"",
        )]),
        &["\u{201c}well done\u{201d}", "Wakeford 1995"],
    );
    says(
        &advice(&[("Joscott has been well", "She has been well")]),
        &["tells of sex or origin"],
    );
    let text = problems(&[(ask, "ask: \"Which muscles are weak, and why is that?\"")]);
    says(&text, &["two questions are asked at once"]);
}

#[test]
fn it_prints_through_the_same_sheets() {
    let folder = Folder::new("print");
    folder.with("content/own/mine.yaml", starter()).with(
        "content/settings.yaml",
        "institution: Brackletoft Infirmary\n",
    );
    let (file, content, out) = (
        folder.path("content/own/mine.yaml"),
        folder.path("content"),
        folder.path("out"),
    );
    let (code, said, err) = call(&["check", &file, "--print", "--out", &out]);
    assert_eq!(code, 0, "{err}");
    says(
        &said,
        &["mine.yaml: all is well", "-candidate.pdf", "-answer.md"],
    );
    let sheet = |end: &str| {
        folder.read(
            &folder
                .files()
                .into_iter()
                .find(|f| f.ends_with(end))
                .expect("a sheet"),
        )
    };
    let candidate = sheet("candidate.md");
    says(
        &candidate,
        &[
            "Brackletoft Infirmary",
            "Joscott Trestlequay slept in a chair",
            "No power: extension of the wrist (0)",
        ],
    );
    assert!(
        !candidate.to_lowercase().contains("triceps")
            && !candidate.to_lowercase().contains("radial"),
        "{candidate}"
    );
    says(
        &sheet("examiner.md"),
        &[
            "A hand that will not lift",
            "Which muscles have lost their power?",
            "A stroke. But reflexes and tone",
            "vivasmith station own:mine",
        ],
    );
    says(
        &sheet("answer.md"),
        &[
            "In the author's words",
            "excludes an isolated lesion",
            "Findings, and why",
        ],
    );
    // The command on the sheet prints the same bytes.
    let again = folder.path("again");
    let (code, _, err) = call(&[
        "station",
        "own:mine",
        "--content",
        &content,
        "--out",
        &again,
    ]);
    assert_eq!(code, 0, "{err}");
    for name in folder.files().iter().filter_map(|f| f.strip_prefix("out/")) {
        let bytes = |of: &str| std::fs::read(folder.0.join(of).join(name)).expect("a file");
        assert!(bytes("out") == bytes("again"), "{name}");
    }
    // A contradiction prints nothing.
    folder.with(
        "content/own/mine.yaml",
        starter().replace("triceps: spared", "triceps: lost"),
    );
    let third = folder.path("third");
    let (code, _, err) = call(&[
        "station",
        "own:mine",
        "--content",
        &content,
        "--out",
        &third,
    ]);
    assert_eq!(code, 1, "{err}");
    assert!(!std::path::Path::new(&third).exists());
    let (code, _, err) = call(&["station", "own:mein", "--content", &content]);
    assert_eq!(code, 2);
    says(&err, &["did you mean `mine`?"]);
}
