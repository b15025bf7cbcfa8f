//! An invented limb (tests/fixtures/toy) with other kinds of segment than the shipped regions has everything that these have: no region, and no
//! kind of one, is known to the program.

use crate::draw_figures::style;
use crate::own_support::{Folder, call, says};
use crate::station_support::{World, case, printed, station};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use vivasmith::anatomy;
use vivasmith::figure::{self, Kind};
use vivasmith::files::Content;
use vivasmith::sheets::pictures::{drawn_blanks, pictures};
use vivasmith::station::{LEVELS, is_unfit};

const KINDS: [&str; 6] = ["trace", "examine", "compare", "forecast", "nerve", "risk"];

fn fixture() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/toy")
}

fn world(folder: &Path) -> World {
    let content = Content::overlaid(folder).expect("content");
    let model = anatomy::load(&content, "toy").unwrap_or_else(|e| panic!("{e}"));
    World { content, model }
}

/// Words that only a region of the body can have brought in.
const FOREIGN: [&str; 7] = [
    "arm",
    "forearm",
    "leg",
    "trunk",
    "cord",
    "upper limb",
    "lower limb",
];

fn foreign(text: &str) -> Option<&'static str> {
    let words = text.split(|c: char| !c.is_alphanumeric());
    let text = words
        .filter(|w| !w.is_empty())
        .collect::<Vec<_>>()
        .join(" ");
    let text = format!(" {} ", text.to_lowercase());
    FOREIGN
        .into_iter()
        .find(|w| text.contains(&format!(" {w} ")))
}

#[test]
fn a_toy_region_prints_every_kind_of_station_with_its_pictures() {
    let w = world(&fixture());
    let cache = w.cache();
    let mut count: BTreeMap<&str, usize> = BTreeMap::new();
    let mut courses = 0;
    for (i, site) in w.model.sites.iter().enumerate() {
        for (k, kind) in KINDS.into_iter().enumerate() {
            let level = LEVELS[(i + k) % LEVELS.len()];
            let built = match station(&w, &cache, (&site.id, kind), level, 3) {
                Ok(built) => built,
                Err(failure) if is_unfit(&failure) => continue,
                Err(failure) => panic!("{} {kind}: {failure}", site.id),
            };
            *count.entry(kind).or_default() += 1;
            let mut texts: Vec<String> = printed(&w, &built)
                .into_iter()
                .map(|s| s.markdown)
                .collect();
            let patient = case(&w, &site.id, level, 3);
            let drawn = pictures(&w.model, &patient, &built, style()).expect("pictures");
            courses += drawn.iter().filter(|p| p.shows == "course").count();
            texts.extend(drawn.iter().map(|p| p.text()));
            for text in texts {
                assert_eq!(foreign(&text), None, "{} {kind}: {text}", site.id);
            }
        }
    }
    for (kind, least) in [
        ("trace", 8),
        ("examine", 8),
        ("compare", 8),
        ("forecast", 8),
        ("nerve", 4),
        ("risk", 1),
    ] {
        assert!(count.get(kind) >= Some(&least), "{kind}: {count:?}");
    }
    assert_eq!(
        courses,
        count.values().sum::<usize>(),
        "each answer shows the nerve or the plexus"
    );
}

#[test]
fn its_plexus_has_the_columns_that_it_declares() {
    let w = world(&fixture());
    let drawn = figure::plexus(&w.model, None, Kind::Plain, style()).expect("a plexus");
    let bold: Vec<&str> = drawn
        .labels()
        .filter(|l| l.bold)
        .map(|l| l.text.as_str())
        .collect();
    assert_eq!(bold.join(" "), "K1 K2 K3 K4 stems strands branches");
    let names: Vec<&str> = drawn.labels().map(|l| l.text.as_str()).collect();
    for name in [
        "front strand",
        "back strand",
        "low strand",
        "alder nerve",
        "birch nerve",
        "cedar nerve",
        "dogwood nerve",
    ] {
        assert!(names.contains(&name), "{name}: {names:?}");
    }
    assert!(
        drawn
            .alt
            .contains("Birch nerve from the front strand and the low strand.")
    );
    let blank = figure::plexus(&w.model, None, Kind::Blank, style()).expect("a blank");
    assert!(
        blank.alt.contains("4 stems and 3 strands, then 4 branches"),
        "{}",
        blank.alt
    );
}

#[test]
fn a_blueprint_of_the_toy_region_is_filled() {
    let out = Folder::new("toy-day");
    let (content, to) = (fixture().to_string_lossy().into_owned(), out.path("day"));
    let arguments = [
        "circuit",
        "toy_day",
        "--content",
        &content,
        "--formats",
        "md",
        "--seed",
        "2",
        "--out",
        &to,
    ];
    let (code, _, err) = call(&arguments);
    assert_eq!(code, 0, "{err}");
    let files = out.files();
    let report = files
        .iter()
        .find(|f| f.ends_with("blueprint_and_equality.md"))
        .expect("a report");
    says(&out.read(report), &["Toy day"]);
    // Whatever wanted says is kept: at most one station of the braid, and the place is called as the region says.
    let (code, _, err) = call(&["check", &content]);
    assert_eq!(code, 0, "{err}");
    let sheets = files.iter().filter(|f| f.ends_with(".md"));
    for file in sheets {
        let text = out.read(file).replace("<!-- foot -->", "");
        assert_eq!(foreign(&text), None, "{file}");
    }
}

/// A copy of the fixture with one change to its plexus.
fn changed(name: &str, from: &str, to: &str) -> Folder {
    let folder = Folder::new(name);
    let anatomy = fixture().join("anatomy/toy");
    for entry in std::fs::read_dir(&anatomy).expect("the fixture") {
        let path = entry.expect("a file").path();
        let file = path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        let mut text = std::fs::read_to_string(&path).expect("text");
        if file == "plexus.yaml" {
            assert!(text.contains(from));
            text = text.replace(from, to);
        }
        folder.with(&format!("content/anatomy/toy/{file}"), text);
    }
    folder
}

#[test]
fn a_plexus_without_room_for_its_labels_is_left_out_and_check_says_so() {
    // One word, so that no line can break it.
    let long = "label: front strandwhosenamerunsonandonacrossallthelinesbesideit";
    let folder = changed("toy-labels", "label: front strand", long);
    let content = folder.path("content");
    let (code, out, err) = call(&["check", &content]);
    assert_eq!(code, 0, "{err}");
    says(
        &format!("{out}{err}"),
        &[
            "plexus.yaml",
            "the plexus of the toy limb cannot be drawn",
            "printed without",
            "no room for its labels",
        ],
    );
    let to = folder.path("drawn");
    let (code, _, err) = call(&[
        "draw",
        "plexus",
        "--region",
        "toy",
        "--content",
        &content,
        "--out",
        &to,
    ]);
    assert_eq!(code, 1, "{err}");
    for (site, kind) in [("stem_k2", "trace"), ("alder_low", "forecast")] {
        let to = folder.path(&format!("out-{kind}"));
        let arguments = [
            "station",
            site,
            "--kind",
            kind,
            "--region",
            "toy",
            "--seed",
            "3",
            "--formats",
            "md",
            "--content",
            &content,
            "--out",
            &to,
        ];
        let (code, _, err) = call(&arguments);
        assert_eq!(code, 0, "{err}");
    }
    let files = folder.files();
    let course = |kind: &str| {
        files
            .iter()
            .any(|f| f.starts_with(&format!("out-{kind}/")) && f.ends_with("course.svg"))
    };
    assert!(!course("trace"), "the plexus is left out");
    assert!(course("forecast"), "the nerve is drawn");
    assert!(files.iter().any(|f| f.ends_with("answer.md")));
    // Nor does a blank that a kind asks for stand in the way.
    let mut w = world(&fixture());
    let patient = case(&w, "alder_low", LEVELS[0], 3);
    let blank = |w: &World| {
        let wanted = ["plexus_blank".to_string()];
        let drawn = drawn_blanks(&w.model, &patient, &wanted, true, style());
        drawn.map(|all| all.len())
    };
    assert_eq!(blank(&w), Ok(1));
    for s in &mut w.model.segments {
        s.kind.plexus = false;
    }
    assert_eq!(blank(&w), Ok(0));
    // The region as it is has nothing to be told.
    let (_, out, err) = call(&["check", &fixture().to_string_lossy()]);
    assert!(!format!("{out}{err}").contains("cannot be drawn"));
}
