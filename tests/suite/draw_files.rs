//! Reads pictures back as files: well-formed SVG, text in the PDF, equal bytes each time, another picture after a change of YAML.

use crate::anatomy_loader::Folder;
use crate::draw_figures::style;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use vivasmith::anatomy::{self, Model};
use vivasmith::figure::{self, Kind, Map, Side};
use vivasmith::files::Content;
use vivasmith::lesion;

fn shipped(file: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("stations/anatomy/upper_limb");
    fs::read_to_string(folder.join(file)).expect("shipped file")
}

fn load(folder: &Folder) -> Model {
    let content = Content::overlaid(&folder.0).expect("content");
    anatomy::load(&content, "upper_limb").unwrap_or_else(|e| panic!("{e}"))
}

fn draw(args: &[&str], out: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_vivasmith"))
        .arg("draw")
        .args(args)
        .arg("--out")
        .arg(out)
        .output()
        .expect("the program runs")
}

/// Walks the tags of an XML text: every element closed in order, no stray `<`, `&` or `>`.
fn elements(xml: &str) -> Result<Vec<String>, String> {
    let (mut open, mut seen): (Vec<String>, Vec<String>) = Default::default();
    let mut rest = xml;
    while let Some(start) = rest.find('<') {
        entities(&rest[..start])?;
        let end = rest[start..].find('>').ok_or("a tag without end")? + start;
        let tag = &rest[start + 1..end];
        if let Some(name) = tag.strip_prefix('/') {
            if open.pop().as_deref() != Some(name) {
                return Err(format!("</{name}> closes nothing"));
            }
        } else {
            let name: String = tag
                .chars()
                .take_while(|c| c.is_ascii_alphanumeric())
                .collect();
            if name.is_empty() || !tag.matches('"').count().is_multiple_of(2) || tag.contains('<') {
                return Err(format!("bad tag <{tag}>"));
            }
            entities(tag)?;
            if !tag.ends_with('/') {
                open.push(name.clone());
            }
            seen.push(name);
        }
        rest = &rest[end + 1..];
    }
    if open.is_empty() {
        Ok(seen)
    } else {
        Err(format!("{open:?} left open"))
    }
}

fn entities(text: &str) -> Result<(), String> {
    for (at, _) in text.match_indices('&') {
        let known = ["&amp;", "&lt;", "&gt;", "&quot;"];
        if !known.iter().any(|e| text[at..].starts_with(e)) {
            return Err(format!("a bare & in {text}"));
        }
    }
    Ok(())
}

#[test]
fn the_check_of_svg_finds_what_is_broken() {
    for bad in [
        "<a><b></a></b>",
        "<a>",
        "<a x=\"1></a>",
        "<a>&x</a>",
        "</a>",
        "<a",
    ] {
        assert!(elements(bad).is_err(), "{bad}");
    }
}

#[test]
fn every_svg_is_well_formed_and_described() {
    let folder = Folder::new("draw-svg");
    // Names that mean something to XML, in a label of the user's own.
    folder.with(
        "anatomy/upper_limb/nerves.yaml",
        shipped("nerves.yaml").replace("label: phrenic nerve", "label: \"<phrenic> & 'nerve\\\"\""),
    );
    let model = load(&folder);
    let lesion = lesion::parse(&model, "lower_trunk").expect("a lesion");
    let found = vivasmith::findings::derive(&model, &lesion, &[]);
    let mut figures = vec![
        figure::plexus(&model, Some(&lesion), Kind::Lesion, style()).expect("plexus"),
        figure::skin(
            &model,
            Some(&found),
            Map::Dermatome,
            Kind::Lesion,
            Side::Left,
            style(),
        )
        .expect("skin"),
    ];
    for n in &model.nerves {
        figures.push(figure::nerve(&model, &n.id, None, Kind::Plain, style()).expect("nerve"));
    }
    for figure in figures {
        let svg = figure::to_svg(&figure);
        let seen = elements(&svg).unwrap_or_else(|e| panic!("{}: {e}", figure.title));
        assert_eq!(seen.first().map(String::as_str), Some("svg"));
        assert_eq!(&seen[1..3], ["title", "desc"]);
        assert_eq!(
            seen.iter().filter(|n| *n == "text").count(),
            figure.labels().count()
        );
        assert!(svg.contains("role=\"img\"") && !svg.contains("NaN"));
        assert_eq!(svg, figure::to_svg(&figure));
    }
}

#[test]
fn a_change_of_yaml_changes_the_picture() {
    let before = load(&Folder::new("draw-same"));
    let drawn = |m: &Model| {
        figure::to_svg(
            &figure::plexus(m, None, Kind::Plain, style()).unwrap_or_else(|e| panic!("{e}")),
        )
    };
    let moved = Folder::new("draw-moved");
    moved.with(
        "anatomy/upper_limb/nerves.yaml",
        shipped("nerves.yaml").replacen(
            "label: nerve to subclavius\n    from: [upper_trunk]",
            "label: nerve to subclavius\n    from: [root_c5]",
            1,
        ),
    );
    // Its fibres come by C5 and C6: they must find their way from C5 alone.
    moved.with(
        "anatomy/upper_limb/muscles.yaml",
        shipped("muscles.yaml").replace(
            "{via: nerve_to_subclavius, roots: {C5: 0.6, C6: 0.4}}",
            "{via: nerve_to_subclavius, roots: {C5: 1}}",
        ),
    );
    let after = load(&moved);
    assert_ne!(drawn(&before), drawn(&after));
    let alt = figure::plexus(&after, None, Kind::Plain, style())
        .expect("plexus")
        .alt;
    assert!(
        alt.contains("Nerve to subclavius from the C5 root."),
        "{alt}"
    );

    let chart = Folder::new("draw-chart");
    chart.with(
        "anatomy/upper_limb/charts.yaml",
        shipped("charts.yaml").replacen("label: palm\n", "label: palm of the hand\n", 1),
    );
    let skin = figure::skin(
        &load(&chart),
        None,
        Map::Peripheral,
        Kind::Plain,
        Side::Right,
        style(),
    );
    assert!(
        skin.expect("skin")
            .labels()
            .any(|l| l.text == "Palm of the hand, right")
    );
}

#[test]
fn labels_too_long_for_the_picture_are_one_clear_error() {
    let folder = Folder::new("draw-long");
    let long = "nerve of many names ".repeat(12);
    folder.with(
        "anatomy/upper_limb/nerves.yaml",
        shipped("nerves.yaml").replace("label: phrenic nerve", &format!("label: {long}")),
    );
    let problem = figure::plexus(&load(&folder), None, Kind::Plain, style()).expect_err("no room");
    assert!(
        problem.message.contains("has no room for its labels"),
        "{problem}"
    );
    assert!(!problem.hint.is_empty());
}

#[test]
fn the_program_draws_the_same_bytes_each_time() {
    let (a, b) = (Folder::new("draw-a"), Folder::new("draw-b"));
    for args in [
        &["plexus", "--lesion", "root_c5@avulsion+ulnar_elbow@40%"][..],
        &[
            "nerve",
            "--lesion",
            "radial_spiral_groove",
            "--paper",
            "letter",
        ],
        &[
            "skin",
            "--lesion",
            "medial_cord",
            "--side",
            "left",
            "--map",
            "dermatomes",
        ],
        &["skin", "--blank"],
    ] {
        for folder in [&a, &b] {
            let out = draw(args, &folder.0);
            assert!(
                out.status.success(),
                "{}",
                String::from_utf8_lossy(&out.stderr)
            );
            assert_eq!(String::from_utf8_lossy(&out.stdout).lines().count(), 2);
        }
    }
    let names = |folder: &Folder| {
        let mut all: Vec<_> = fs::read_dir(&folder.0)
            .expect("folder")
            .map(|e| e.expect("entry").path())
            .filter(|p| p.is_file())
            .collect();
        all.sort();
        all
    };
    let (first, second) = (names(&a), names(&b));
    assert_eq!(first.len(), 8);
    for (x, y) in first.iter().zip(&second) {
        assert_eq!(x.file_name(), y.file_name());
        assert_eq!(
            fs::read(x).expect("file"),
            fs::read(y).expect("file"),
            "{x:?}"
        );
    }
}

#[test]
fn the_pdf_holds_the_labels_as_text_and_the_shapes_as_vectors() {
    let folder = Folder::new("draw-pdf");
    let out = draw(
        &["plexus", "--lesion", "lower_trunk", "--format", "pdf"],
        &folder.0,
    );
    assert!(out.status.success());
    let path = folder.0.join("plexus-lower_trunk.pdf");
    let file = lopdf::Document::load(&path).expect("a PDF");
    assert_eq!(file.get_pages().len(), 1);
    let text = file.extract_text(&[1]).expect("text");
    for word in ["median nerve", "posterior cord", "lower trunk", "T1"] {
        assert!(text.contains(word), "{word} is missing in {text}");
    }
    let no_images = file.objects.values().all(|o| {
        o.as_stream()
            .ok()
            .and_then(|s| s.dict.get(b"Subtype").ok())
            .and_then(|n| n.as_name().ok())
            .is_none_or(|n| n != b"Image")
    });
    assert!(no_images, "the picture is vectors, not an image");
    assert!(!folder.0.join("plexus-lower_trunk.svg").exists());
}

#[test]
fn wrong_arguments_are_answered_with_what_to_write() {
    let folder = Folder::new("draw-wrong");
    for (args, code, words) in [
        (
            &["nerve", "--nerve", "radail"][..],
            2,
            "did you mean `radial`?",
        ),
        (&["nerve"], 2, "add --nerve ID"),
        (
            &["nerve", "--lesion", "root_c7"],
            2,
            "draw the plexus instead",
        ),
        (&["plexus", "--lesion", "nowhere"], 2, "list sites"),
        (
            &["plexus", "--blank", "--lesion", "lower_trunk"],
            2,
            "cannot be used with",
        ),
        (&["skin", "--format", "png"], 2, "possible values"),
    ] {
        let out = draw(args, &folder.0);
        let said = String::from_utf8_lossy(&out.stderr).into_owned();
        assert_eq!(out.status.code(), Some(code), "{args:?}: {said}");
        assert!(said.contains(words), "{args:?}: {said}");
    }
    let file = folder.0.join("in-the-way");
    fs::write(&file, "x").expect("write");
    assert_eq!(draw(&["skin", "--blank"], &file).status.code(), Some(3));
}
