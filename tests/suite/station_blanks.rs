//! Blanks on the candidate sheet: who gets them, what they say, and that they never give the answer away.

use crate::draw_figures::style;
use crate::own_support::{Folder, call, says};
use crate::station_support::{World, case, good, request, world};
use vivasmith::case::{Age, Case, Level};
use vivasmith::sheets::pictures::{Picture, blanks, pictures};
use vivasmith::sheets::words::Printer;
use vivasmith::station::{Station, build, check_candidate_picture};

fn drawn(w: &World, case: &Case, station: &Station) -> Vec<Picture> {
    pictures(&w.model, case, station, style()).expect("pictures")
}

fn of_candidate(all: &[Picture]) -> Vec<&Picture> {
    let shown = all.iter().filter(|p| p.sheets.contains(&"candidate"));
    shown.collect()
}

#[test]
fn every_forecast_and_no_other_kind_brings_a_chart_to_shade() {
    let w = world();
    let (mut numb, mut not_numb, mut sides) = (0, 0, [0, 0]);
    for (i, site) in w.model.sites.iter().enumerate() {
        for seed in [2 * i as u64, 2 * i as u64 + 1] {
            let case = case(&w, &site.id, Level::Clinical, seed);
            for kind in ["forecast", "trace", "compare", "examine"] {
                if kind != "forecast" && seed % 8 != 0 {
                    continue;
                }
                let Ok(station) = build(
                    &w.model,
                    &w.content,
                    &case,
                    &request(&w, kind, Level::Clinical, seed),
                ) else {
                    continue;
                };
                let all = blanks(&w.model, &case, &station, style()).expect("blanks");
                let blanks = of_candidate(&all);
                if kind != "forecast" || matches!(case.patient.age, Age::Days(_)) {
                    assert!(blanks.is_empty(), "{} {kind}", site.id);
                    continue;
                }
                assert_eq!(blanks.len(), 1, "{}", site.id);
                let blank = blanks[0];
                assert_eq!(blank.shows, "skin_blank");
                // Only the names of the views stand in it, with the patient's side.
                assert_eq!(blank.figure.labels().count(), w.model.charts.views.len());
                let side = case.patient.side.word();
                assert!(blank.figure.labels().all(|l| l.text.ends_with(side)));
                assert!(blank.figure.title.contains(side) && blank.figure.alt.contains(side));
                sides[usize::from(side == "left")] += 1;
                let skin = case.findings.skin.iter().any(|f| f.affected());
                numb += usize::from(skin);
                not_numb += usize::from(!skin);
                let printer = Printer::new(&w.content).expect("phrases");
                let sheets = printer.sheets(&station, &all).expect("sheets");
                says(
                    &sheets[0].markdown,
                    &[
                        "<!-- page break -->",
                        "## Chart to shade",
                        &format!("]({}-skin_blank.svg)", station.code),
                    ],
                );
                says(
                    &sheets[1].markdown,
                    &[
                        "resh copy of the blank skin chart",
                        "The candidate has a blank skin chart",
                    ],
                );
                assert!(!sheets[2].markdown.contains("skin_blank"));
            }
        }
    }
    // The chart is there whether or not there is anything to shade, else it would say so.
    assert!(numb > 20 && not_numb > 3, "{numb} {not_numb}");
    assert!(sides.iter().all(|s| *s > 5), "{sides:?}");
}

#[test]
fn a_newborn_is_asked_nothing_of_skin_and_has_no_chart() {
    let w = world();
    let newborn = (0..200).find(|&seed| {
        let case = case(&w, "upper_trunk", Level::Clinical, seed);
        matches!(case.patient.age, Age::Days(_))
    });
    let seed = newborn.expect("some upper trunks are injured at birth");
    let case = case(&w, "upper_trunk", Level::Clinical, seed);
    let station = good(&w, "upper_trunk", "forecast", Level::Clinical, seed);
    assert!(
        station
            .questions
            .iter()
            .all(|q| q.family != "skin_forecast")
    );
    let all = drawn(&w, &case, &station);
    assert!(of_candidate(&all).is_empty());
    let printer = Printer::new(&w.content).expect("phrases");
    let sheets = printer.sheets(&station, &all).expect("sheets");
    assert!(
        sheets
            .iter()
            .all(|s| !s.markdown.contains("blank skin chart"))
    );
}

#[test]
fn a_region_without_charts_does_without_the_blank() {
    let mut w = world();
    w.model.charts.views.clear();
    let case = case(&w, "ulnar_elbow", Level::Clinical, 1);
    let station = good(&w, "ulnar_elbow", "forecast", Level::Clinical, 1);
    assert!(station.kind.blanks.is_empty());
    let all = drawn(&w, &case, &station);
    let printer = Printer::new(&w.content).expect("printer");
    let sheets = printer.sheets(&station, &all).expect("sheets");
    assert!(!sheets[1].markdown.contains("blank skin chart"));
}

#[test]
fn a_picture_that_names_the_answer_is_found() {
    let w = world();
    let case = case(&w, "radial_spiral_groove", Level::Clinical, 1);
    let forecast = good(&w, "radial_spiral_groove", "forecast", Level::Clinical, 1);
    let all = drawn(&w, &case, &forecast);
    let blank = of_candidate(&all)[0];
    assert_eq!(
        check_candidate_picture(&forecast, &blank.file, &blank.text()),
        []
    );
    // The chart of the answer would do so: in its labels for one who is to find the place, in its words for the other.
    let answer = all.iter().find(|p| p.shows == "skin").expect("skin");
    let trace = good(&w, "radial_spiral_groove", "trace", Level::Clinical, 1);
    for station in [&forecast, &trace] {
        let found = check_candidate_picture(station, &answer.file, &answer.text());
        assert!(!found.is_empty());
        assert!(
            found[0]
                .message
                .contains("-skin.svg on the candidate sheet says")
        );
        assert!(!found[0].hint.is_empty());
    }
    // And it stops the sheets from being printed.
    let mut wrong = all.clone();
    wrong.iter_mut().for_each(|p| p.sheets = &["candidate"]);
    let failure = Printer::new(&w.content)
        .expect("phrases")
        .sheets(&forecast, &wrong)
        .expect_err("refused");
    assert_eq!(i32::from(failure.exit_code()), 1);
}

fn print(folder: &Folder, place: &str, kind: &str) -> (i32, String) {
    let (content, out) = (folder.path("content"), folder.path("out"));
    let (code, _, err) = call(&[
        "station",
        place,
        "--kind",
        kind,
        "--seed",
        "3",
        "--content",
        &content,
        "--out",
        &out,
        "--formats",
        "md",
    ]);
    (code, err)
}

#[test]
fn titles_and_labels_of_a_blank_are_read_too() {
    for key in [
        "fig_skin_title_blank: \"{side} {region}: ulnar claw\"",
        "fig_view: \"{view}, {side}, ulnar claw\"",
    ] {
        let folder = Folder::new(&format!("blank-word-{}", key.len()));
        folder.with("content/settings.yaml", format!("phrases:\n  {key}\n"));
        let (code, err) = print(&folder, "ulnar_elbow", "forecast");
        assert_eq!(code, 1, "{err}");
        says(
            &err,
            &["skin_blank.svg on the candidate sheet says \u{201c}ulnar claw\u{201d}"],
        );
        assert!(!folder.0.join("out").exists());
    }
}

/// The shipped kinds with another choice of pictures for one of them.
fn kinds(id: &str, pictures: &str) -> String {
    let content = vivasmith::files::Content::embedded();
    let text = content
        .get("questions/kinds.yaml")
        .expect("kinds")
        .text
        .to_string();
    let text = text.replace("    pictures: {candidate: [skin_blank]}\n", "");
    let start = format!("  - id: {id}\n");
    assert!(text.contains(&start));
    text.replace(
        &start,
        &format!("{start}    pictures: {{candidate: [{pictures}]}}\n"),
    )
}

#[test]
fn a_teacher_chooses_the_blanks_of_a_kind() {
    let folder = Folder::new("blank-kind");
    folder.with(
        "content/questions/kinds.yaml",
        kinds("compare", "plexus_blank, skin_blank"),
    );
    let (code, err) = print(&folder, "ulnar_elbow", "compare");
    assert_eq!(code, 0, "{err}");
    let names = folder.files();
    let sheet = |end: &str| {
        let name = names.iter().find(|f| f.ends_with(end)).expect("a file");
        folder.read(name)
    };
    says(
        &sheet("candidate.md"),
        &[
            "## Plexus to label",
            "## Chart to shade",
            "Unlabelled schematic",
        ],
    );
    says(
        &sheet("examiner.md"),
        &["resh copy of the blank plexus", "a plexus with empty boxes"],
    );
    // Boxes instead of names.
    assert!(!sheet("plexus_blank.svg").contains("<text"));
    let (code, err) = print(&folder, "ulnar_elbow", "forecast");
    assert_eq!(code, 0, "{err}");
    assert!(
        !folder
            .files()
            .iter()
            .any(|f| f.contains("-FC-") && f.contains("blank"))
    );
}

#[test]
fn a_wrong_choice_is_placed() {
    let folder = Folder::new("blank-wrong");
    let line = |text: &str| {
        // Not the head of the file, which explains the key.
        let at = text
            .lines()
            .position(|l| l.starts_with("    pictures: {cand"));
        at.expect("the line") + 1
    };
    for (kind, pictures, column, words) in [
        (
            "forecast",
            "skin_blnk",
            28,
            &["`skin_blnk` is no picture", "did you mean `skin_blank`?"][..],
        ),
        ("nerve", "nerve_blank", 28, &["`nerve_blank` is no picture"]),
        (
            "forecast",
            "skin_blank, skin_blank",
            40,
            &["stands in the list twice"],
        ),
        (
            "trace",
            "plexus_blank",
            28,
            &["where to look for the lesion", "skin_blank"],
        ),
        (
            "risk",
            "skin_blank, plexus_blank",
            40,
            &["where to look for the lesion"],
        ),
    ] {
        let text = kinds(kind, pictures);
        folder.with("content/questions/kinds.yaml", &text);
        let (code, err) = print(&folder, "ulnar_elbow", "forecast");
        assert_eq!(code, 1, "{err}");
        says(&err, &[&format!("kinds.yaml:{}:{column}", line(&text))]);
        says(&err, words);
        assert_eq!(call(&["check", &folder.path("content")]).0, 1);
    }
}

#[test]
fn a_station_of_ones_own_asks_for_a_blank_and_shows_the_lesion_in_pictures() {
    let folder = Folder::new("blank-own");
    let content = folder.path("content");
    assert_eq!(
        call(&["new", "station", "mine", "--content", &content]).0,
        0
    );
    let file = "content/own/mine.yaml";
    let text = folder.read(file);
    let asked = text.replace("# pictures: {candidate", "pictures: {candidate");
    assert_ne!(asked, text);
    let out = folder.path("out");
    let print = || {
        let (code, _, err) = call(&[
            "station",
            "own:mine",
            "--content",
            &content,
            "--out",
            &out,
            "--formats",
            "md",
        ]);
        (code, err)
    };
    assert_eq!(print().0, 0);
    let ends = |end: &str| {
        folder
            .files()
            .into_iter()
            .find(|f| f.starts_with("out/") && f.ends_with(end))
    };
    assert!(ends("course.svg").is_some() && ends("-skin.svg").is_some());
    assert!(
        ends("skin_blank.svg").is_none(),
        "a trace station has none of its own accord"
    );
    folder.with(file, &asked);
    let (code, err) = print();
    assert_eq!(code, 0, "{err}");
    assert!(ends("skin_blank.svg").is_some());
    // Two sets lie there now: one without the chart, one with it.
    let candidates: Vec<String> = folder
        .files()
        .into_iter()
        .filter(|f| f.ends_with("candidate.md"))
        .map(|f| folder.read(&f))
        .collect();
    assert!(candidates.iter().any(|c| c.contains("Chart to shade")));
    folder.with(file, asked.replace("[skin_blank]", "[plexus_blank]"));
    let (code, err) = print();
    assert_eq!(code, 1);
    let row = asked
        .lines()
        .position(|l| l.starts_with("pictures:"))
        .expect("the line")
        + 1;
    says(
        &err,
        &[&format!("mine.yaml:{row}:"), "where to look for the lesion"],
    );
}
