//! Turns the chart file of a region into checked outlines of the body with the skin areas drawn on them.

use super::check::{At, Checker, Names};
use super::model::{Chart, ChartRegion, Charts, SkinArea, SkinKind};
use super::raw::{Points, SkinArea as SkinEntry, View};

/// Largest side of a view in millimetres: it has to fit a page.
const LARGEST: f64 = 250.0;
/// How far a region may reach beyond its view: it is cut at the outline, so drawing it generously does no harm.
const OVER: f64 = 15.0;
/// More points than a patient editor draws by hand.
const MOST_POINTS: usize = 400;

/// Checks the charts against the skin areas of the region.
pub fn resolve(check: &mut Checker, views: &[View], skin: &[SkinArea]) -> Charts {
    let mut charts = Charts::default();
    check.ids(views);
    let areas = Names::new("skin area", skin.iter().map(|s| s.id.as_str()));
    for (v, view) in views.iter().enumerate() {
        let at = At::entry::<View>(v);
        for (name, side) in [("width", view.width), ("height", view.height)] {
            let what = format!("the {name} of the view");
            check.within(&at.key(name), &what, side, 1.0, LARGEST);
        }
        let sized = [view.width, view.height]
            .iter()
            .all(|side| (1.0..=LARGEST).contains(side));
        if !sized {
            continue;
        }
        if let Some(outline) = outline(check, v, views, &charts.views) {
            let chart = Chart {
                id: view.id.clone(),
                label: view.label.clone(),
                row: view.row,
                width: view.width,
                height: view.height,
                outline,
                details: details(check, &at, view),
                regions: regions(check, &at, view, &areas),
                patches: patches(check, &at, view, &areas, skin),
            };
            charts.views.push(chart);
        }
    }
    // A view that could not be read would only make its areas seem to be missing.
    if charts.views.len() == views.len() {
        all_drawn(check, &charts, skin);
    }
    charts
}

/// Somebody's own area may do without a drawing; one that ships may not.
fn all_drawn(check: &mut Checker, charts: &Charts, skin: &[SkinArea]) {
    for (i, area) in skin.iter().enumerate() {
        if check.own::<SkinEntry>(i) {
            continue;
        }
        let regions = charts.views.iter().flat_map(|c| &c.regions);
        let shown: Vec<&ChartRegion> = regions.filter(|r| r.skin == i).collect();
        let kind = match area.kind {
            SkinKind::Peripheral => "skin area",
            SkinKind::Dermatome => "dermatome",
        };
        let at = At::list::<View>();
        if shown.is_empty() {
            check.complain(
                &at,
                format!("the {kind} `{}` stands in no view", area.id),
                "add a region for it: {skin: ..., points: [...], label: [x, y]}",
            );
        } else if shown.iter().all(|r| r.label.is_none()) {
            check.complain(
                &at,
                format!("the {kind} `{}` has no label in any view", area.id),
                "add `label: [x, y]` to one of its regions",
            );
        }
    }
}

fn outline(check: &mut Checker, v: usize, views: &[View], earlier: &[Chart]) -> Option<Points> {
    let view = views.get(v)?;
    let at = At::entry::<View>(v);
    match (&view.outline, &view.mirrors) {
        (Some(points), None) => {
            sound(check, &at.key("outline"), points, view, 0.0).then(|| points.clone())
        }
        (None, Some(id)) => match earlier.iter().find(|c| c.id == *id) {
            Some(other) => Some(
                other
                    .outline
                    .iter()
                    .map(|&(x, y)| (((view.width - x) * 1000.0).round() / 1000.0, y))
                    .collect(),
            ),
            // A view above that is itself wrong has been complained of.
            None if views.iter().take(v).any(|r| r.id == *id) => None,
            None => {
                let known = earlier.iter().map(|c| c.id.as_str());
                check.unknown(&at.key("mirrors"), "view above", id, known);
                None
            }
        },
        _ => {
            check.complain(
                &at,
                format!(
                    "the view `{}` needs an `outline` or `mirrors`, one of the two",
                    view.id
                ),
                "write `outline: [[x, y], ...]`, or `mirrors: ID` of a view above",
            );
            None
        }
    }
}

fn details(check: &mut Checker, at: &At, view: &View) -> Vec<Points> {
    for (k, line) in view.details.iter().enumerate() {
        let at = at.key("details").key(k);
        if line.len() < 2 {
            check.complain(
                &at,
                format!(
                    "a line needs at least 2 points, this one has {}",
                    line.len()
                ),
                "add points, or remove the line",
            );
        }
        inside(check, &at, line, view, 0.0);
    }
    view.details.clone()
}

fn regions(check: &mut Checker, at: &At, view: &View, areas: &Names) -> Vec<ChartRegion> {
    let mut regions = Vec::new();
    for (k, region) in view.regions.iter().enumerate() {
        let at = at.key("regions").key(k);
        let Some(skin) = areas.find(check, &at.key("skin"), &region.skin) else {
            continue;
        };
        sound(check, &at.key("points"), &region.points, view, OVER);
        if let Some(label) = region.label {
            inside(check, &at.key("label"), &[label], view, 0.0);
        }
        regions.push(ChartRegion {
            skin,
            points: region.points.clone(),
            label: region.label,
        });
    }
    regions
}

/// The patches of nerves: only where the area says in words which patch is its surest, and is itself drawn.
fn patches(
    check: &mut Checker,
    at: &At,
    view: &View,
    areas: &Names,
    skin: &[SkinArea],
) -> Vec<(usize, Points)> {
    let mut patches = Vec::new();
    for (k, patch) in view.patches.iter().enumerate() {
        let at = at.key("patches").key(k);
        let Some(index) = areas.find(check, &at.key("skin"), &patch.skin) else {
            continue;
        };
        let area = &skin[index];
        if area.kind != SkinKind::Peripheral || area.autonomous.is_none() {
            check.complain(
                &at.key("skin"),
                format!("`{}` has no patch that only its nerve supplies", area.id),
                "name the patch under `autonomous:` of a peripheral area in skin.yaml, or remove it here",
            );
        } else if !view.regions.iter().any(|r| r.skin == patch.skin) {
            check.complain(
                &at.key("skin"),
                format!("`{}` has a patch but no region in this view", area.id),
                "draw the patch in a view that shows the area",
            );
        }
        sound(check, &at.key("points"), &patch.points, view, OVER);
        patches.push((index, patch.points.clone()));
    }
    patches
}

/// A closed line of enough points, all in or near the view.
fn sound(check: &mut Checker, at: &At, points: &Points, view: &View, over: f64) -> bool {
    let mut different: Vec<&(f64, f64)> = Vec::new();
    for point in points {
        if !different.contains(&point) {
            different.push(point);
        }
    }
    if different.len() < 3 {
        check.complain(
            at,
            format!(
                "an area needs at least 3 different points, this one has {}",
                different.len()
            ),
            "add points around the area, in order",
        );
        return false;
    }
    if points.len() > MOST_POINTS {
        check.complain(
            at,
            format!(
                "{} points are more than the {MOST_POINTS} an area may have",
                points.len()
            ),
            "leave points out: the line between them is drawn smooth",
        );
        return false;
    }
    inside(check, at, points, view, over)
}

fn inside(check: &mut Checker, at: &At, points: &[(f64, f64)], view: &View, over: f64) -> bool {
    let fits = |value: f64, side: f64| value.is_finite() && value >= -over && value <= side + over;
    let stray = points
        .iter()
        .position(|&(x, y)| !fits(x, view.width) || !fits(y, view.height));
    if let Some(stray) = stray {
        let at = match points.len() {
            1 => at.clone(),
            _ => at.key(stray),
        };
        let (x, y) = points[stray];
        check.complain(
            &at,
            format!(
                "the point [{x}, {y}] lies outside the view `{}` of {} x {} mm",
                view.id, view.width, view.height
            ),
            "x counts from the left edge of the view, y from its upper edge",
        );
    }
    stray.is_none()
}
