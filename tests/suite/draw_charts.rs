//! Breaks copies of the chart file and reads the messages as an editor would; checks what the shipped charts show.

use crate::anatomy_loader::Folder;
use crate::draw_figures::style;
use kurbo::{BezPath, Shape};
use std::fs;
use std::path::Path;
use vivasmith::anatomy::{self, Model, SkinKind};
use vivasmith::diagnostic::Failure;
use vivasmith::figure::geometry::{Lean, Ring, clip, flatten, hatch, sides, smooth};
use vivasmith::figure::shape::{P, p, rectangle};
use vivasmith::files::Content;

const FILE: &str = "anatomy/upper_limb/charts.yaml";

fn shipped() -> String {
    fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("stations")
            .join(FILE),
    )
    .expect("shipped charts")
}

fn load(name: &str, text: &str) -> Result<Model, Failure> {
    let folder = Folder::new(name);
    folder.with(FILE, text);
    let content = Content::overlaid(&folder.0).expect("content");
    anatomy::load(&content, "upper_limb")
}

/// The one problem of a broken chart file, with the text of the line it points to.
fn complaint(name: &str, text: &str) -> (String, String, i32) {
    let failure = load(name, text).expect_err("broken charts are refused");
    assert_eq!(failure.problems().len(), 1, "{failure}");
    let problem = &failure.problems()[0];
    let place = problem.place.as_ref().expect("a place");
    assert!(place.file.ends_with("charts.yaml"));
    assert!(!problem.hint.is_empty(), "{problem}");
    let line = text.lines().nth(place.line - 1).unwrap_or_default();
    let rest: String = line.chars().skip(place.column - 1).collect();
    (problem.to_string(), rest, i32::from(failure.exit_code()))
}

#[test]
fn each_mistake_has_its_place_and_a_hint() {
    let good = shipped();
    let point = good
        .lines()
        .position(|l| l.contains("skin: supraclavicular"))
        .expect("a region");
    let swap = |line: usize, new: &str| -> String {
        good.lines()
            .enumerate()
            .map(|(i, l)| if i == line { new } else { l })
            .collect::<Vec<_>>()
            .join("\n")
    };
    let (said, at, code) = complaint(
        "chart-id",
        &good.replacen("skin: derm_C5,", "skin: derm_C55,", 1),
    );
    assert!(said.contains("no skin area has the id `derm_C55`") && said.contains("did you mean"));
    assert!(at.starts_with("derm_C55") && code == 1, "{at}");

    let (said, at, code) = complaint(
        "chart-few",
        &swap(point + 1, "         points: [[1, 1], [2, 2], [1, 1]]}"),
    );
    assert!(
        said.contains("at least 3 different points, this one has 2"),
        "{said}"
    );
    assert!(at.starts_with("[[1, 1]") && code == 1, "{at}");

    let (said, at, _) = complaint(
        "chart-far",
        &swap(point + 1, "         points: [[1, 1], [20, 2], [1, 400]]}"),
    );
    assert!(
        said.contains("[1, 400] lies outside the view `front`"),
        "{said}"
    );
    assert!(at.starts_with("[1, 400]"), "{at}");

    let (said, at, _) = complaint(
        "chart-label",
        &swap(point, "      - {skin: supraclavicular, label: [25, -3],"),
    );
    assert!(said.contains("[25, -3] lies outside"), "{said}");
    assert!(at.starts_with("[25, -3]"), "{at}");

    let (said, ..) = complaint(
        "chart-mirror",
        &good.replacen("mirrors: palm", "mirrors: plam", 1),
    );
    assert!(
        said.contains("no view above has the id `plam`") && said.contains("`palm`"),
        "{said}"
    );

    let (said, ..) = complaint(
        "chart-outline",
        &good.replacen("    mirrors: palm\n", "", 1),
    );
    assert!(said.contains("needs an `outline` or `mirrors`"), "{said}");

    let (said, ..) = complaint("chart-size", &good.replacen("width: 36", "width: -36", 1));
    assert!(said.contains("the width of the view is -36"), "{said}");

    // One dermatome left out of every view.
    let mut without = String::new();
    let mut skip = false;
    for line in good.lines() {
        skip = line.contains("skin: derm_T2") || (skip && line.trim_start().starts_with("points:"));
        if !skip {
            without.push_str(line);
            without.push('\n');
        }
    }
    let (said, ..) = complaint("chart-missing", &without);
    assert!(
        said.contains("the dermatome `derm_T2` stands in no view"),
        "{said}"
    );

    let patches = good.find("    patches:\n").expect("patches") + "    patches:\n".len();
    let patch = |skin: &str| {
        let line = format!("      - {{skin: {skin}, points: [[9, 20], [9, 24], [12, 24]]}}\n");
        format!("{}{line}{}", &good[..patches], &good[patches..])
    };
    let (said, at, code) = complaint("patch-id", &patch("upper_lateral_amr"));
    assert!(said.contains("no skin area has the id") && said.contains("did you mean"));
    assert!(at.starts_with("upper_lateral_amr") && code == 1, "{at}");
    for (name, skin, words) in [
        (
            "patch-derm",
            "derm_C6",
            "has no patch that only its nerve supplies",
        ),
        (
            "patch-none",
            "medial_arm",
            "has no patch that only its nerve supplies",
        ),
        (
            "patch-view",
            "dorsoradial_hand",
            "has a patch but no region in this view",
        ),
    ] {
        let (said, at, code) = complaint(name, &patch(skin));
        assert!(said.contains(words), "{said}");
        assert!(at.starts_with(skin) && code == 1, "{at}");
    }

    let (said, _, code) = complaint("chart-field", &good.replacen("details:", "detials:", 1));
    assert!(said.contains("detials") && code == 2, "{said}");
}

#[test]
fn charts_are_checked_all_at_once_and_never_panic() {
    let good = shipped();
    let twice = good
        .replacen("skin: derm_C5,", "skin: derm_C55,", 1)
        .replacen("skin: derm_C6,", "skin: derm_C66,", 1);
    let failure = load("chart-twice", &twice).expect_err("broken");
    assert_eq!(failure.problems().len(), 2, "{failure}");
    for (i, bad) in [
        "views: []\n",
        "views:\n",
        "",
        "views: [{id: a, label: a, row: 1, width: .nan, height: 3, outline: [[.inf, 0], [1, 1], [0, 1]], regions: []}]",
        "views: [{id: a, label: a, row: 300, width: 3, height: 3, outline: [], regions: []}]",
    ]
    .iter()
    .enumerate()
    {
        assert!(load(&format!("chart-bad{i}"), bad).is_err(), "{bad}");
    }
}

#[test]
fn who_draws_no_skin_does_not_wait_for_charts() {
    let folder = Folder::new("chart-unneeded");
    folder.with(FILE, "views: [{id: a}]\n");
    let content = Content::overlaid(&folder.0).expect("content");
    let model = anatomy::load_undrawn(&content, "upper_limb").expect("the charts are not read");
    assert!(model.charts.views.is_empty());
    assert!(anatomy::load(&content, "upper_limb").is_err());
    // The proofreading finds what the other commands pass over.
    let run = |words: &[&str]| {
        let program = std::process::Command::new(env!("CARGO_BIN_EXE_vivasmith"))
            .args(words)
            .arg("--content")
            .arg(&folder.0)
            .output()
            .expect("runs");
        program.status.code()
    };
    assert_eq!(run(&["findings", "pin_supinator"]), Some(0));
    assert_eq!(run(&["draw", "skin"]), Some(2));
    assert_eq!(run(&["check"]), Some(2));
}

#[test]
fn a_region_may_do_without_charts() {
    let model = {
        let mut model = anatomy::load(&Content::embedded(), "upper_limb").expect("model");
        model.charts.views.clear();
        model
    };
    use vivasmith::figure::{Kind, Map, Side, skin};
    let problem = skin(
        &model,
        None,
        Map::Peripheral,
        Kind::Plain,
        Side::Right,
        style(),
    )
    .expect_err("none");
    assert!(problem.message.contains("has no charts"));
}

fn points(line: &[(f64, f64)]) -> Vec<P> {
    line.iter().map(|&(x, y)| p(x, y)).collect()
}

#[test]
fn every_area_shows_and_every_label_points_into_its_own() {
    let model = anatomy::load(&Content::embedded(), "upper_limb").expect("model");
    let mut shown = vec![false; model.skin.len()];
    for view in &model.charts.views {
        let outline = flatten(&smooth(&points(&view.outline), true));
        for (i, region) in view.regions.iter().enumerate() {
            let kind = model.skin[region.skin].kind;
            let line = flatten(&smooth(&points(&region.points), true));
            let over: Vec<BezPath> = view.regions[i + 1..]
                .iter()
                .filter(|r| model.skin[r.skin].kind == kind)
                .map(|r| flatten(&smooth(&points(&r.points), true)))
                .collect();
            let over: Vec<&BezPath> = over.iter().collect();
            let lines = hatch(&[&outline, &line], &over, Lean::Up, 0.5);
            let name = &model.skin[region.skin].id;
            assert!(!lines.is_empty(), "{name} is hidden in {}", view.id);
            if let Some((x, y)) = region.label {
                let q = p(x, y);
                assert!(
                    outline.contains(q) && line.contains(q) && !over.iter().any(|o| o.contains(q)),
                    "the label of {name} points elsewhere in {}",
                    view.id
                );
                shown[region.skin] = true;
            }
        }
    }
    for (area, shown) in model.skin.iter().zip(shown) {
        assert!(shown, "{} is labelled nowhere", area.id);
    }
}

/// Sensory points of the international standards for spinal cord injury (ISNCSCI, ASIA/ISCoS, revision 2019; places from
/// memory), read on our outlines: C5 lateral side of the antecubital fossa, C6 dorsal proximal phalanx of the thumb, C7 of the
/// middle finger, C8 of the little finger, T1 medial side of the antecubital fossa, T2 apex of the axilla, C4 over the
/// acromioclavicular joint.
#[test]
fn the_key_sensory_points_lie_in_their_dermatomes() {
    let model = anatomy::load(&Content::embedded(), "upper_limb").expect("model");
    for (view, (x, y), root) in [
        ("front", (21.0, 7.6), "C4"),
        ("front", (11.2, 51.0), "C5"),
        ("back_of_hand", (4.4, 36.5), "C6"),
        ("back_of_hand", (18.9, 22.0), "C7"),
        ("back_of_hand", (30.4, 25.5), "C8"),
        ("front", (19.6, 51.0), "T1"),
        ("front", (24.6, 26.6), "T2"),
    ] {
        let chart = model
            .charts
            .views
            .iter()
            .find(|v| v.id == view)
            .expect("view");
        let q = p(x, y);
        assert!(
            smooth(&points(&chart.outline), true).contains(q),
            "{root} lies beside the {view}"
        );
        let top = chart
            .regions
            .iter()
            .rfind(|r| {
                model.skin[r.skin].kind == SkinKind::Dermatome
                    && smooth(&points(&r.points), true).contains(q)
            })
            .expect("a dermatome");
        assert_eq!(model.skin[top.skin].id, format!("derm_{root}"), "{view}");
    }
}

/// Where a loss is surest: axillary nerve over the insertion of deltoid, radial nerve over the first web space on the back of the hand,
/// median nerve at the tip of the index finger, ulnar nerve at the tip of the little finger: Gray's Anatomy, 20th edition (1918), and
/// Ellis, Clinical Anatomy, from memory. The places are read on our outlines.
#[test]
fn the_patches_lie_where_the_textbooks_put_them() {
    let model = anatomy::load(&Content::embedded(), "upper_limb").expect("model");
    let mut seen = Vec::new();
    for view in &model.charts.views {
        let outline = flatten(&smooth(&points(&view.outline), true));
        for (skin, patch) in &view.patches {
            let area = &model.skin[*skin];
            assert!(area.autonomous.is_some() && area.kind == SkinKind::Peripheral);
            let line = flatten(&smooth(&points(patch), true));
            let regions: Vec<_> = view
                .regions
                .iter()
                .filter(|r| model.skin[r.skin].kind == SkinKind::Peripheral)
                .collect();
            for q in sides(&line).map(|side| side.p0) {
                assert!(outline.contains(q), "{} leaves the {}", area.id, view.id);
                // What lies on top at this point is the patch's own area.
                let top = regions
                    .iter()
                    .rfind(|r| smooth(&points(&r.points), true).contains(q));
                let top = top.map(|r| model.skin[r.skin].id.as_str());
                assert_eq!(
                    top,
                    Some(area.id.as_str()),
                    "({}, {}) in {}",
                    q.x,
                    q.y,
                    view.id
                );
            }
            let corners: Vec<P> = sides(&line).map(|side| side.p0).collect();
            let middle = corners
                .iter()
                .fold((0.0, 0.0), |m, q| (m.0 + q.x, m.1 + q.y));
            let n = corners.len() as f64;
            seen.push((
                area.id.as_str(),
                view.id.as_str(),
                middle.0 / n,
                middle.1 / n,
            ));
        }
    }
    // The tips: beyond the last crease of the finger. The web: between the thumb and the knuckle of the index finger.
    for (area, view, x, y) in [
        ("upper_lateral_arm", "front", 9.0..14.0, 20.0..29.0),
        ("upper_lateral_arm", "back", 22.0..27.0, 20.0..29.0),
        ("median_digits", "palm", 23.4..28.1, 8.6..15.0),
        ("ulnar_palmar_digits", "palm", 4.4..9.0, 16.2..20.8),
        ("dorsoradial_hand", "back_of_hand", 7.0..16.0, 36.0..46.0),
    ] {
        let hit = seen
            .iter()
            .find(|s| (s.0, s.1) == (area, view))
            .expect(area);
        assert!(x.contains(&hit.2) && y.contains(&hit.3), "{hit:?}");
    }
    let named = model.skin.iter().filter(|s| s.kind == SkinKind::Peripheral);
    for area in named.filter(|s| s.autonomous.is_some()) {
        assert!(
            seen.iter().any(|s| s.0 == area.id),
            "{} has no patch",
            area.id
        );
    }
}

#[test]
fn patches_stand_dotted_on_maps_of_nerves_only() {
    use vivasmith::figure::{Kind, Map, Side, skin};
    let model = anatomy::load(&Content::embedded(), "upper_limb").expect("model");
    let lesion = vivasmith::lesion::parse(&model, "ulnar_elbow").expect("a lesion");
    let found = vivasmith::findings::derive(&model, &lesion, &[]);
    let draw =
        |map, kind| skin(&model, Some(&found), map, kind, Side::Left, style()).expect("skin");
    let dotted = |figure: &vivasmith::figure::Figure| {
        let dots = figure.paths().filter_map(|p| p.stroke);
        dots.filter(|s| s.width > 0.6 && !s.dash.is_empty()).count()
    };
    let all: usize = model.charts.views.iter().map(|v| v.patches.len()).sum();
    for (map, kind, patches) in [
        (Map::Peripheral, Kind::Lesion, all + 1),
        (Map::Peripheral, Kind::Plain, all + 1),
        (Map::Peripheral, Kind::Blank, 0),
        (Map::Dermatome, Kind::Lesion, 0),
    ] {
        let figure = draw(map, kind);
        // One more in the key.
        assert_eq!(dotted(&figure), patches, "{}", figure.title);
        let key = figure
            .labels()
            .any(|l| l.text.starts_with("dotted: the patch"));
        assert_eq!(key, patches > 0);
        for area in model.skin.iter().filter(|s| s.kind == SkinKind::Peripheral) {
            let told = area
                .autonomous
                .as_ref()
                .is_some_and(|a| figure.alt.contains(a.as_str()));
            assert_eq!(
                told,
                patches > 0 && area.autonomous.is_some(),
                "{}",
                area.id
            );
        }
    }
}

#[test]
fn hatching_and_borders_stop_at_the_outline_and_at_what_lies_on_top() {
    let square = |x: f64, y: f64, side: f64| flatten(&rectangle(x, y, side, side));
    let (outline, area, top) = (
        square(0.0, 0.0, 10.0),
        square(-5.0, 2.0, 10.0),
        square(2.0, 0.0, 2.9),
    );
    let (within, without) = ([&outline, &area], [&top]);
    for lean in [Lean::Up, Lean::Down, Lean::Level] {
        let lines = hatch(&within, &without, lean, 0.31);
        assert!(lines.subpaths().count() > 10);
        for line in sides(&lines) {
            for q in [line.p0, line.p1] {
                assert!(
                    q.x > -0.01 && q.x < 5.01 && q.y > 1.99 && q.y < 10.01,
                    "{q:?}"
                );
                assert!(
                    !(q.x > 2.01 && q.x < 4.89 && q.y < 2.89),
                    "{q:?} lies under the upper area"
                );
            }
        }
    }
    // The border of the area: in from the left edge, round the corner, out again; the upper area hides a piece of it.
    let [outline, area, top] = [outline, area, top].map(Ring::of);
    let parts = clip(&area, &outline, [&top].into_iter());
    let length: f64 = sides(&parts).map(|line| line.p0.distance(line.p1)).sum();
    // 5 along the top of which 2.9 are hidden; 8 down the right side, which lies beside the upper area.
    assert!((length - (5.0 - 2.9 + 8.0)).abs() < 1e-6, "{length}");
}

#[test]
fn a_teachers_own_area_may_do_without_a_drawing_and_an_extra_file_may_add_one() {
    use vivasmith::figure::{Kind, Map, Side, skin};
    let extra = "skin:\n  - id: snuffbox\n    kind: peripheral\n    label: Skin of the snuffbox twig\n    nerve_label: radial nerve\n    region: the anatomical snuffbox\n    supply:\n      - {via: superficial_radial_wrist, roots: {C6: 1}}\n    source: G925\n";
    let folder = Folder::new("chart-own");
    folder.with("anatomy/upper_limb/skin.extra.yaml", extra);
    let load = || {
        let content = Content::overlaid(&folder.0).expect("content");
        anatomy::load(&content, "upper_limb").unwrap_or_else(|e| panic!("{e}"))
    };
    let draw = |model: &Model| {
        let lesion = vivasmith::lesion::parse(model, "radial_axilla").expect("a lesion");
        let found = vivasmith::findings::derive(model, &lesion, &[]);
        skin(
            model,
            Some(&found),
            Map::Peripheral,
            Kind::Lesion,
            Side::Right,
            style(),
        )
        .expect("skin")
    };
    let note = "snuffbox twig (not drawn)";
    assert!(draw(&load()).labels().any(|l| l.text == note));

    // The shipped back of the hand again, with the area added on top: an entry whose id is known takes its place.
    let shipped = shipped();
    let at = shipped.find("  - id: back_of_hand").expect("a view");
    let view = format!(
        "views:\n{}\n      - {{skin: snuffbox, label: [32, 50], points: [[30, 47], [34, 47], [34, 53], [30, 53]]}}\n",
        shipped[at..].trim_end()
    );
    folder.with("anatomy/upper_limb/charts.extra.yaml", view);
    let model = load();
    assert_eq!(model.charts.views.len(), 4);
    let drawn = draw(&model);
    assert!(!drawn.labels().any(|l| l.text == note));
    assert!(drawn.labels().any(|l| l.text.contains("snuffbox")));
}
