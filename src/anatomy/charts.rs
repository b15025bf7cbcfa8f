//! Turns the chart file of a region into checked outlines of the body with the skin areas drawn on them.

use super::check::{Checker, here};
use super::model::{Chart, ChartRegion, Charts, SkinArea, SkinKind};
use crate::files::{Listed, Step};
use serde::Deserialize;

pub const FILE: &str = "charts.yaml";

/// Largest side of a view in millimetres: it has to fit a page.
const LARGEST: f64 = 250.0;
/// How far a region may reach beyond its view: it is cut at the outline, so drawing it generously does no harm.
const OVER: f64 = 15.0;
/// More points than a patient editor draws by hand.
const MOST_POINTS: usize = 400;

type Points = Vec<(f64, f64)>;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Raw {
    pub views: Vec<RawView>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawView {
    pub id: String,
    pub label: String,
    pub row: u8,
    pub width: f64,
    pub height: f64,
    /// Id of an earlier view of which this outline is the mirror image.
    pub mirrors: Option<String>,
    pub outline: Option<Points>,
    #[serde(default)]
    pub details: Vec<Points>,
    pub regions: Vec<RawRegion>,
    /// Where a loss is surest.
    #[serde(default)]
    pub patches: Vec<RawPatch>,
}

impl Listed for Raw {
    const LIST: &'static str = "views";
    type Entry = RawView;
    fn entries(&mut self) -> &mut Vec<RawView> {
        &mut self.views
    }
    fn id(entry: &RawView) -> String {
        entry.id.clone()
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawRegion {
    pub skin: String,
    pub points: Points,
    /// Where the line from the label ends.
    pub label: Option<(f64, f64)>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawPatch {
    pub skin: String,
    pub points: Points,
}

/// Checks the charts against the skin areas of the region.
pub fn resolve(check: &mut Checker, raw: Option<Raw>, skin: &[SkinArea]) -> Charts {
    let mut charts = Charts::default();
    let Some(raw) = raw else {
        return charts;
    };
    check.ids(FILE, "views", raw.views.iter().map(|v| v.id.as_str()));
    for (v, view) in raw.views.iter().enumerate() {
        for (name, side) in [("width", view.width), ("height", view.height)] {
            check.within(
                FILE,
                &here!["views", v, name],
                &format!("the {name} of the view"),
                side,
                1.0,
                LARGEST,
            );
        }
        let sized = [view.width, view.height]
            .iter()
            .all(|side| (1.0..=LARGEST).contains(side));
        if !sized {
            continue;
        }
        if let Some(outline) = outline(check, v, &raw.views, &charts.views) {
            let chart = Chart {
                id: view.id.clone(),
                label: view.label.clone(),
                row: view.row,
                width: view.width,
                height: view.height,
                outline,
                details: details(check, v, view),
                regions: regions(check, v, view, skin),
                patches: patches(check, v, view, skin),
            };
            charts.views.push(chart);
        }
    }
    // A view that could not be read would only make its areas seem to be missing.
    let whole = charts.views.len() == raw.views.len();
    // Somebody's own area may do without a drawing; one that ships may not.
    let ours: Vec<&SkinArea> = skin
        .iter()
        .enumerate()
        .filter(|(i, _)| whole && !check.own("skin.yaml", *i))
        .map(|(_, area)| area)
        .collect();
    for area in ours {
        let shown: Vec<&ChartRegion> = charts
            .views
            .iter()
            .flat_map(|c| &c.regions)
            .filter(|r| skin.get(r.skin).is_some_and(|s| s.id == area.id))
            .collect();
        let kind = match area.kind {
            SkinKind::Peripheral => "skin area",
            SkinKind::Dermatome => "dermatome",
        };
        if shown.is_empty() {
            check.complain(
                FILE,
                &here!["views"],
                format!("the {kind} `{}` stands in no view", area.id),
                "add a region for it: {skin: ..., points: [...], label: [x, y]}",
            );
        } else if shown.iter().all(|r| r.label.is_none()) {
            check.complain(
                FILE,
                &here!["views"],
                format!("the {kind} `{}` has no label in any view", area.id),
                "add `label: [x, y]` to one of its regions",
            );
        }
    }
    charts
}

fn outline(check: &mut Checker, v: usize, raw: &[RawView], earlier: &[Chart]) -> Option<Points> {
    let view = raw.get(v)?;
    match (&view.outline, &view.mirrors) {
        (Some(points), None) => {
            let path = here!["views", v, "outline"];
            sound(check, &path, points, view, 0.0).then(|| points.clone())
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
            None if raw.iter().take(v).any(|r| r.id == *id) => None,
            None => {
                check.unknown(
                    FILE,
                    &here!["views", v, "mirrors"],
                    "view above",
                    id,
                    earlier.iter().map(|c| c.id.as_str()),
                );
                None
            }
        },
        _ => {
            check.complain(
                FILE,
                &here!["views", v],
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

fn details(check: &mut Checker, v: usize, view: &RawView) -> Vec<Points> {
    for (k, line) in view.details.iter().enumerate() {
        let path = here!["views", v, "details", k];
        if line.len() < 2 {
            check.complain(
                FILE,
                &path,
                format!(
                    "a line needs at least 2 points, this one has {}",
                    line.len()
                ),
                "add points, or remove the line",
            );
        }
        inside(check, &path, line, view, 0.0);
    }
    view.details.clone()
}

fn regions(check: &mut Checker, v: usize, view: &RawView, skin: &[SkinArea]) -> Vec<ChartRegion> {
    let mut regions = Vec::new();
    for (k, region) in view.regions.iter().enumerate() {
        let Some(index) = skin.iter().position(|s| s.id == region.skin) else {
            check.unknown(
                FILE,
                &here!["views", v, "regions", k, "skin"],
                "skin area",
                &region.skin,
                skin.iter().map(|s| s.id.as_str()),
            );
            continue;
        };
        let path = here!["views", v, "regions", k, "points"];
        sound(check, &path, &region.points, view, OVER);
        if let Some(label) = region.label {
            let path = here!["views", v, "regions", k, "label"];
            inside(check, &path, &[label], view, 0.0);
        }
        regions.push(ChartRegion {
            skin: index,
            points: region.points.clone(),
            label: region.label,
        });
    }
    regions
}

/// The patches of nerves: only where the area says in words which patch is its surest, and is itself drawn.
fn patches(
    check: &mut Checker,
    v: usize,
    view: &RawView,
    skin: &[SkinArea],
) -> Vec<(usize, Points)> {
    let mut patches = Vec::new();
    for (k, patch) in view.patches.iter().enumerate() {
        let path = here!["views", v, "patches", k, "skin"];
        let Some((index, area)) = skin.iter().enumerate().find(|(_, s)| s.id == patch.skin) else {
            let known = skin.iter().map(|s| s.id.as_str());
            check.unknown(FILE, &path, "skin area", &patch.skin, known);
            continue;
        };
        if area.kind != SkinKind::Peripheral || area.autonomous.is_none() {
            check.complain(
                FILE,
                &path,
                format!("`{}` has no patch that only its nerve supplies", area.id),
                "name the patch under `autonomous:` of a peripheral area in skin.yaml, or remove it here",
            );
        } else if !view.regions.iter().any(|r| r.skin == patch.skin) {
            check.complain(
                FILE,
                &path,
                format!("`{}` has a patch but no region in this view", area.id),
                "draw the patch in a view that shows the area",
            );
        }
        let path = here!["views", v, "patches", k, "points"];
        sound(check, &path, &patch.points, view, OVER);
        patches.push((index, patch.points.clone()));
    }
    patches
}

/// A closed line of enough points, all in or near the view.
fn sound(check: &mut Checker, path: &[Step], points: &Points, view: &RawView, over: f64) -> bool {
    let mut different: Vec<&(f64, f64)> = Vec::new();
    for point in points {
        if !different.contains(&point) {
            different.push(point);
        }
    }
    if different.len() < 3 {
        check.complain(
            FILE,
            path,
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
            FILE,
            path,
            format!(
                "{} points are more than the {MOST_POINTS} an area may have",
                points.len()
            ),
            "leave points out: the line between them is drawn smooth",
        );
        return false;
    }
    inside(check, path, points, view, over)
}

fn inside(
    check: &mut Checker,
    path: &[Step],
    points: &[(f64, f64)],
    view: &RawView,
    over: f64,
) -> bool {
    let fits = |value: f64, side: f64| value.is_finite() && value >= -over && value <= side + over;
    let stray = points
        .iter()
        .position(|&(x, y)| !fits(x, view.width) || !fits(y, view.height));
    if let Some(stray) = stray {
        let mut at = path.to_vec();
        if points.len() > 1 {
            at.push(Step::from(stray));
        }
        let (x, y) = points[stray];
        check.complain(
            FILE,
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
