//! Draws the pictures of every site in large type: the same demands, 10.5 pt for the smallest, and a page to hold them.

use crate::draw_figures::{lesions, model, pictures, plain_and_blank, skins, style};
use vivasmith::figure::check::collisions;
use vivasmith::figure::geometry::flatten;
use vivasmith::figure::{self, Figure, FigureStyle, Kind, Lettering, PAGE};
use vivasmith::lesion::{self, Severity};

fn large() -> FigureStyle {
    style().clone().lettered(Lettering::LARGE)
}

fn smallest(figure: &Figure) -> f64 {
    figure
        .labels()
        .map(|l| l.size)
        .fold(f64::INFINITY, f64::min)
}

/// Large print is 16 pt for text that runs on; labels grow by the same factor from their 7 pt (common practice, no source).
fn fits(figure: &Figure) {
    let title = &figure.title;
    assert_eq!(collisions(figure), Vec::<String>::new(), "{title}");
    assert!(
        smallest(figure) >= 10.5,
        "{} pt in {title}",
        smallest(figure)
    );
    let (width, height) = PAGE;
    assert_eq!(figure.width_mm, width, "{title}");
    assert!(
        figure.height_mm <= height,
        "{} mm: {title}",
        figure.height_mm
    );
    let ink = figure.paths().map(|path| flatten(&path.line));
    let ink: Vec<_> = ink.flat_map(|line| line.into_elements()).collect();
    for q in ink.iter().filter_map(|e| e.end_point()) {
        let inside = (-0.01..=width + 0.01).contains(&q.x)
            && (-0.01..=figure.height_mm + 0.01).contains(&q.y);
        assert!(inside, "({}, {}) in {title}", q.x, q.y);
    }
}

#[test]
fn every_picture_of_every_site_fits_a_page_in_large_type() {
    let (model, style) = (model(), large());
    let mut count = 0;
    for lesion in lesions(&model) {
        let first = &lesion.parts[0];
        let site = model.site(&first.place).is_some();
        // Each site whole; of the combinations all. What is half cut has the shorter words.
        if lesion.parts.len() > 1 || (site && first.severity == Severity::Complete) {
            for figure in pictures(&model, &lesion, &style) {
                fits(&figure);
                count += 1;
            }
        }
    }
    for figure in plain_and_blank(&model, &style) {
        fits(&figure);
    }
    assert!(count > 100, "only {count} pictures were drawn");
}

#[test]
fn large_type_says_the_same_in_larger_letters() {
    let model = model();
    let lesion = lesion::parse(&model, "radial_axilla").expect("a lesion");
    for (small, big) in
        pictures(&model, &lesion, style())
            .iter()
            .zip(pictures(&model, &lesion, &large()))
    {
        assert_eq!((&small.title, &small.alt), (&big.title, &big.alt));
        let words = |f: &Figure| {
            let texts = f.labels().map(|l| l.text.clone());
            texts.collect::<Vec<_>>().join(" ")
        };
        // Only the breaks of lines may move.
        let sorted = |f: &Figure| {
            let text = words(f);
            let mut all: Vec<String> = text.split_whitespace().map(String::from).collect();
            all.sort();
            all
        };
        assert_eq!(sorted(small), sorted(&big), "{}", small.title);
        assert!((smallest(&big) / smallest(small) - 1.5).abs() < 1e-9);
    }
    // Twice the same, whatever was tried on the way.
    assert_eq!(
        skins(&model, &lesion, &large()),
        skins(&model, &lesion, &large())
    );
}

#[test]
fn what_has_no_room_at_the_wished_size_takes_the_largest_that_fits() {
    let mut model = model();
    let nerve = model.nerves.iter_mut().find(|n| n.id == "phrenic");
    nerve.expect("phrenic").label = "nerve of several names on the way to the diaphragm".into();
    let draw = |factor: f64| {
        let style = style().clone().lettered(Lettering::new(factor));
        figure::plexus(&model, None, Kind::Plain, &style).expect("plexus")
    };
    let best = draw(1.5);
    let factor = smallest(&best) / 7.0;
    assert!((1.0..1.5).contains(&factor), "{factor}");
    assert_eq!(collisions(&best), Vec::<String>::new());
    assert!(best.height_mm <= PAGE.1);
    // Asking for a twentieth more gives no more, asking for just this gives this.
    assert_eq!(draw(factor + 0.05), best);
    assert_eq!(draw(factor), best);
    assert!(smallest(&draw(factor - 0.05)) < smallest(&best) || factor < 1.05);
}

#[test]
fn a_wish_beyond_the_range_is_held() {
    for (wish, kept) in [(0.2, 1.0), (9.0, 1.5), (f64::NAN, 1.0), (1.25, 1.25)] {
        assert_eq!(Lettering::new(wish).factor(), kept);
    }
}
