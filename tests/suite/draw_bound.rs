//! A nerve that is two in one sheath: both are drawn, and what each of them loses.

use crate::draw_figures::style;
use crate::own_support::{Folder, call};
use crate::station_support::{World, case, station};
use vivasmith::anatomy::load;
use vivasmith::case::Level;
use vivasmith::figure::check::collisions;
use vivasmith::figure::{self, Figure, Kind, Lettering, PAGE};
use vivasmith::files::Content;
use vivasmith::lesion;
use vivasmith::sheets::pictures::pictures;

fn leg() -> World {
    let content = Content::embedded();
    let model = load(&content, "lower_limb").expect("the lower limb");
    World { content, model }
}

fn fits(figure: &Figure) {
    assert_eq!(collisions(figure), Vec::<String>::new(), "{}", figure.title);
    assert!(
        figure.height_mm <= PAGE.1,
        "{}: {}",
        figure.title,
        figure.height_mm
    );
}

/// What the two divisions supply in the thigh: Gray's Anatomy, 20th edition (1918), from memory.
#[test]
fn the_sciatic_nerve_shows_both_its_divisions() {
    let w = leg();
    let lesion = lesion::parse(&w.model, "sciatic_high").expect("a lesion");
    let draw = |kind, style| {
        figure::nerve(&w.model, "sciatic", Some(&lesion), kind, style).expect("sciatic")
    };
    let figure = draw(Kind::Lesion, style());
    let texts: Vec<&str> = figure.labels().map(|l| l.text.as_str()).collect();
    for text in [
        "Fibular division of the sciatic nerve",
        "Biceps femoris, short head: cut off",
        "Common fibular nerve",
        "Tibial division of the sciatic nerve",
        "Semitendinosus: cut off",
        "Semimembranosus: cut off",
        "Tibial nerve",
    ] {
        assert!(texts.contains(&text), "{text}: {texts:?}");
    }
    assert!(
        figure.title.starts_with("Sciatic nerve: "),
        "{}",
        figure.title
    );
    let cut = figure
        .alt
        .split(" Cut off: ")
        .nth(1)
        .expect("what is cut off");
    assert!(
        cut.contains("the common fibular nerve") && cut.contains("the tibial nerve"),
        "{cut}"
    );
    // A lesion of one half leaves the other.
    let half = lesion::parse(&w.model, "sciatic_fibular_high").expect("a lesion");
    let half =
        figure::nerve(&w.model, "sciatic", Some(&half), Kind::Lesion, style()).expect("half");
    let cut = half
        .alt
        .split(" Cut off: ")
        .nth(1)
        .expect("what is cut off");
    assert!(
        cut.contains("the common fibular nerve") && !cut.contains("the tibial nerve"),
        "{cut}"
    );
    fits(&figure);
    fits(&half);
    let large = style().clone().lettered(Lettering::LARGE);
    fits(&draw(Kind::Lesion, &large));
    for kind in [Kind::Plain, Kind::Blank] {
        fits(&draw(kind, style()));
    }
    let named =
        |words: &str| figure::nerve(&w.model, words, None, Kind::Plain, style()).expect("it");
    assert_eq!(named("sciatic"), named("Sciatic nerve"));
    assert!(named("sciatic_tibial").title.starts_with("Tibial division"));
}

#[test]
fn an_answer_about_the_sciatic_nerve_shows_what_is_injured() {
    let w = leg();
    let cache = w.cache();
    for (site, title) in [
        ("sciatic_high", "Sciatic nerve: "),
        ("sciatic_midthigh", "Sciatic nerve: "),
        ("gluteal_and_sciatic", "Sciatic nerve: "),
        (
            "sciatic_fibular_high",
            "Fibular division of the sciatic nerve: ",
        ),
        ("femoral_ligament", "Femoral nerve: "),
    ] {
        let built = station(&w, &cache, (site, "trace"), Level::Clinical, 3)
            .unwrap_or_else(|e| panic!("{site}: {e}"));
        let patient = case(&w, site, Level::Clinical, 3);
        let drawn = pictures(&w.model, &patient, &built, style()).expect("pictures");
        let course = drawn
            .iter()
            .find(|p| p.shows == "course")
            .expect("a course");
        assert!(
            course.figure.title.starts_with(title),
            "{site}: {}",
            course.figure.title
        );
    }
}

#[test]
fn the_program_draws_what_the_lesion_lies_on() {
    let folder = Folder::new("draw-bound");
    let out = folder.path("out");
    for options in [&["--nerve", "sciatic"][..], &["--lesion", "sciatic_high"]] {
        let arguments = [
            &[
                "draw",
                "nerve",
                "--region",
                "lower_limb",
                "--format",
                "svg",
                "--out",
                &out,
            ],
            options,
        ]
        .concat();
        let (code, _, err) = call(&arguments);
        assert_eq!(code, 0, "{err}");
    }
    let files = folder.files();
    assert_eq!(
        files,
        [
            "out/nerve-sciatic-nerve-sciatic_high.svg",
            "out/nerve-sciatic.svg"
        ]
    );
    assert!(
        files
            .iter()
            .all(|f| folder.read(f).contains("Tibial division"))
    );
}
