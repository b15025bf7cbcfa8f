//! Draws the plexus of every shipped region: labels apart in both sizes of print, the order of the branches, and nothing known of a kind but
//! what its region declares.

use crate::draw_figures::style;
use vivasmith::anatomy::{self, Model};
use vivasmith::figure::check::collisions;
use vivasmith::figure::geometry::flatten;
use vivasmith::figure::{self, Figure, Kind, Lettering, PAGE};
use vivasmith::files::Content;
use vivasmith::lesion::{self, Lesion, Severity};

fn regions() -> Vec<Model> {
    let content = Content::embedded();
    anatomy::regions(&content)
        .iter()
        .map(|r| anatomy::load_undrawn(&content, r).expect("a shipped region"))
        .collect()
}

fn leg() -> Model {
    anatomy::load_undrawn(&Content::embedded(), "lower_limb").expect("the lower limb")
}

fn plain(model: &Model) -> Figure {
    figure::plexus(model, None, Kind::Plain, style()).expect("a plexus")
}

/// Every site, and every segment before the nerves.
fn lesions(model: &Model) -> Vec<Lesion> {
    let sites = model.sites.iter().map(|s| s.id.as_str());
    let inner = model.segments.iter().filter(|s| !s.kind.named);
    sites
        .chain(inner.map(|s| s.id.as_str()))
        .map(|place| lesion::at(model, place, Severity::Complete).expect("a place"))
        .collect()
}

fn fits(figure: &Figure, least: f64) {
    let title = &figure.title;
    assert_eq!(collisions(figure), Vec::<String>::new(), "{title}");
    for label in figure.labels() {
        assert!(label.size >= least, "{} in {title}", label.text);
    }
    assert_eq!(figure.width_mm, PAGE.0, "{title}");
    assert!(figure.height_mm <= PAGE.1, "{}: {title}", figure.height_mm);
    for path in figure.paths() {
        for q in flatten(&path.line).iter().filter_map(|e| e.end_point()) {
            let inside = (-0.01..=figure.width_mm + 0.01).contains(&q.x)
                && (-0.01..=figure.height_mm + 0.01).contains(&q.y);
            assert!(inside, "({}, {}) in {title}", q.x, q.y);
        }
    }
}

#[test]
fn every_plexus_fits_a_page_in_both_sizes_of_print() {
    let large = style().clone().lettered(Lettering::LARGE);
    for model in regions() {
        for kind in [Kind::Plain, Kind::Blank] {
            fits(
                &figure::plexus(&model, None, kind, style()).expect("a plexus"),
                7.0,
            );
            fits(
                &figure::plexus(&model, None, kind, &large).expect("large"),
                10.5,
            );
        }
        for (i, lesion) in lesions(&model).iter().enumerate() {
            let drawn = |style| figure::plexus(&model, Some(lesion), Kind::Lesion, style);
            fits(&drawn(style()).expect("a lesion"), 7.0);
            if i % 4 == 0 {
                fits(&drawn(&large).expect("a lesion in large print"), 10.5);
            }
        }
    }
}

/// The labels beside the rows, from above downwards.
fn rows(figure: &Figure) -> Vec<String> {
    let one = figure.labels().find(|l| l.text == "femoral nerve");
    let left = one.expect("the femoral nerve").left();
    let mut names: Vec<(f64, &str)> = figure
        .labels()
        .filter(|l| (l.left() - left).abs() < 0.01)
        .map(|l| (l.at.y, l.text.as_str()))
        .collect();
    names.sort_by(|a, b| a.0.total_cmp(&b.0));
    names.into_iter().map(|n| n.1.to_string()).collect()
}

/// Order of the branches by their roots: Gray's Anatomy, 20th edition (1918), the lumbosacral plexus, from memory.
#[test]
fn branches_of_the_lumbosacral_plexus_stand_in_the_order_of_their_roots() {
    let figure = plain(&leg());
    let rows = rows(&figure);
    let order = [
        "iliohypogastric nerve",
        "ilioinguinal nerve",
        "genitofemoral nerve",
        "lateral cutaneous nerve of the thigh",
        "femoral nerve",
        "obturator nerve",
        "superior gluteal nerve",
        "inferior gluteal nerve",
        "fibular division of the sciatic nerve",
        "tibial division of the sciatic nerve",
        "posterior cutaneous nerve of the thigh",
        "pudendal nerve",
        "anococcygeal nerves",
    ];
    let at: Vec<usize> = order
        .iter()
        .map(|name| {
            let at = rows.iter().position(|r| r == name);
            at.unwrap_or_else(|| panic!("{name} is not among {rows:?}"))
        })
        .collect();
    assert!(at.is_sorted(), "{rows:?}");
    // The two parts of the sciatic nerve lie side by side.
    assert_eq!(at[9], at[8] + 1);
    // What comes from posterior rami is no part of the plexus, nor is a nerve of the trunk of the body.
    assert!(
        rows.iter()
            .all(|r| !r.contains("cluneal") && !r.contains("subcostal"))
    );
    for origin in [
        "Femoral nerve from the posterior division of L2, the posterior division of L3 and the posterior division of L4.",
        "Obturator nerve from the anterior division of L2, the anterior division of L3 and the anterior division of L4.",
        "The lumbosacral trunk comes from the L4 root and the L5 root.",
    ] {
        assert!(figure.alt.contains(origin), "{}", figure.alt);
    }
}

fn bold(figure: &Figure) -> Vec<String> {
    let heads = figure.labels().filter(|l| l.bold);
    heads.map(|l| l.text.clone()).collect()
}

#[test]
fn roots_and_columns_are_those_of_the_region() {
    let model = leg();
    let mut heads = bold(&plain(&model));
    let roots: Vec<String> = heads.drain(..9).collect();
    assert_eq!(roots.join(" "), "L1 L2 L3 L4 L5 S1 S2 S3 S4");
    assert_eq!(heads.join(" "), "S5 roots trunks divisions branches");
    let mut renamed = model.clone();
    for kind in &mut renamed.kinds {
        kind.plural = format!("{} so called", kind.id);
    }
    let figure = figure::plexus(&renamed, None, Kind::Plain, style());
    let told = figure.map_or_else(|e| e.to_string(), |f| bold(&f).join(" "));
    assert!(told.contains("trunk so called"), "{told}");
}

/// The number of double lines that the picture draws: white cores within nerves.
fn double_lines(figure: &Figure) -> usize {
    let core = |p: &&figure::shape::Path| p.stroke.is_some_and(|s| s.grey == 1.0 && s.width == 0.7);
    figure.paths().filter(core).count()
}

#[test]
fn posterior_is_what_the_data_call_so_and_no_word_of_a_label() {
    for mut model in regions() {
        let before = double_lines(&plain(&model));
        assert!(before > 10, "{before} double lines: {}", model.label);
        for s in &mut model.segments {
            s.label = s.label.replace("posterior", "back");
        }
        assert_eq!(double_lines(&plain(&model)), before);
        for s in &mut model.segments {
            s.posterior = false;
        }
        let figure = plain(&model);
        assert_eq!(double_lines(&figure), 0);
        assert!(figure.labels().all(|l| !l.text.contains("divisions and")));
    }
}

#[test]
fn a_blank_counts_what_is_to_be_labelled() {
    let blank = figure::plexus(&leg(), None, Kind::Blank, style()).expect("a blank");
    assert_eq!(blank.labels().count(), 0);
    let words = "10 roots, 1 trunk and 13 divisions, then 19 branches";
    assert!(blank.alt.contains(words), "{}", blank.alt);
}

#[test]
fn a_region_without_a_plexus_says_so() {
    let mut model = leg();
    for s in &mut model.segments {
        s.kind.plexus = false;
    }
    let told = figure::plexus(&model, None, Kind::Plain, style()).expect_err("no plexus");
    assert!(told.to_string().contains("has no plexus to draw"), "{told}");
}
