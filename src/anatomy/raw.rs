//! The YAML of a region as it is written, before anything is checked.

use super::model::SkinKind;
use super::spine::Spine;
use crate::files::UniqueMap;
use serde::Deserialize;
use serde::de::IgnoredAny;

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Region {
    pub region: String,
    pub label: String,
    pub roots: Vec<String>,
    #[serde(default)]
    pub root_names: UniqueMap<String>,
    pub kinds: Vec<Kind>,
    #[serde(default)]
    pub spine: Spine,
}

/// A kind of segment.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Kind {
    pub id: String,
    pub plural: String,
    #[serde(default)]
    pub root: bool,
    #[serde(default)]
    pub preganglionic: bool,
    pub radicular: Option<bool>,
    #[serde(default)]
    pub named: bool,
    #[serde(default)]
    pub unnamed: bool,
    pub blueprint: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Segment {
    pub id: String,
    pub kind: String,
    pub label: String,
    pub level: Option<String>,
    pub root: Option<String>,
    #[serde(default)]
    pub from: Vec<String>,
    #[serde(default)]
    pub posterior: bool,
    #[serde(default)]
    pub only_in_variant: bool,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Nerve {
    pub id: String,
    pub label: String,
    #[serde(default)]
    pub synonyms: Vec<String>,
    pub from: Vec<String>,
    pub bound_in: Option<String>,
    pub source: String,
    pub relations: Vec<String>,
    pub course: Vec<Stretch>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stretch {
    pub order: u32,
    pub id: String,
    pub level: String,
    pub label: Option<String>,
    /// Segments that join here, beside the stretch before.
    #[serde(default)]
    pub from: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Route {
    pub via: String,
    #[serde(default)]
    pub through: Vec<String>,
    pub roots: UniqueMap<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Muscle {
    pub id: String,
    pub label: String,
    #[serde(default)]
    pub synonyms: Vec<String>,
    pub part: String,
    pub nerve_label: String,
    pub action: String,
    #[serde(default)]
    pub spoken: Option<String>,
    #[serde(default)]
    pub plain: Option<String>,
    #[serde(default)]
    pub test: String,
    #[serde(default = "yes")]
    pub testable: bool,
    #[serde(default = "always")]
    pub isolation: f64,
    #[serde(default)]
    pub movement: Option<String>,
    pub supply: Vec<Route>,
    /// A remark for editors, read so that the key is known.
    #[serde(default, rename = "note")]
    _note: IgnoredAny,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Movement {
    pub id: String,
    pub label: String,
    #[serde(default)]
    pub plain: Option<String>,
    pub command: String,
    #[serde(default = "yes")]
    pub testable: bool,
    pub shares: UniqueMap<f64>,
    #[serde(default)]
    pub helpers: Vec<String>,
    #[serde(default)]
    pub unaided: f64,
    pub source: String,
}

fn always() -> f64 {
    1.0
}

fn yes() -> bool {
    true
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SkinArea {
    pub id: String,
    pub kind: SkinKind,
    pub label: String,
    pub nerve_label: String,
    pub region: String,
    pub autonomous: Option<String>,
    /// The area of which this one is a part, named alone where both are in the same state.
    pub part_of: Option<String>,
    #[serde(default = "always")]
    pub reliability: f64,
    pub supply: Vec<Route>,
    /// A remark for editors, read so that the key is known.
    #[serde(default, rename = "note")]
    _note: IgnoredAny,
    pub source: String,
}

/// What reports call a structure or several.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Called {
    pub id: String,
    /// Other words for it; the id is one, too.
    #[serde(default)]
    pub words: Vec<String>,
    /// Ids, with the kind in front where an id names two things: `reflex:triceps`.
    pub means: Vec<String>,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reflex {
    pub id: String,
    pub label: String,
    #[serde(default)]
    pub synonyms: Vec<String>,
    pub muscles: Vec<String>,
    #[serde(default = "always")]
    pub reliability: f64,
    pub supply: Vec<Route>,
    /// A remark for editors, read so that the key is known.
    #[serde(default, rename = "note")]
    _note: IgnoredAny,
    pub source: String,
}

impl Reflex {
    /// As variants call it, because it may share its id with a muscle.
    pub fn key(&self) -> String {
        format!("reflex:{}", self.id)
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sign {
    pub id: String,
    pub label: String,
    #[serde(default)]
    pub synonyms: Vec<String>,
    pub group: String,
    pub look: String,
    #[serde(default = "yes")]
    pub testable: bool,
    pub plain: String,
    pub cases: Vec<SignCase>,
    pub otherwise: String,
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignCase {
    pub when: Condition,
    pub probability: f64,
    pub because: String,
}

/// Exactly one key is set; a plain struct keeps the line numbers that a tagged enum would lose.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Condition {
    pub all: Option<Vec<Condition>>,
    pub any: Option<Vec<Condition>>,
    pub not: Option<Box<Condition>>,
    pub lost: Option<String>,
    pub feeble: Option<String>,
    pub poor: Option<String>,
    pub weak: Option<String>,
    pub works: Option<String>,
    pub strong: Option<String>,
    pub numb: Option<String>,
    pub senseless: Option<String>,
    pub lesion_on: Option<Vec<String>>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum VariantKind {
    Limbs,
    Books,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Variant {
    pub id: String,
    pub label: String,
    #[serde(default)]
    pub synonyms: Vec<String>,
    pub kind: VariantKind,
    pub usual: String,
    pub note: String,
    pub source: String,
    pub alternatives: Vec<Alternative>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Alternative {
    pub id: String,
    pub label: String,
    pub prevalence: f64,
    #[serde(default)]
    pub root_shift: i32,
    #[serde(default)]
    pub supply: UniqueMap<Vec<Route>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    pub id: String,
    pub label: String,
    #[serde(default)]
    pub synonyms: Vec<String>,
    pub segments: Vec<String>,
    #[serde(default)]
    pub avulsion: bool,
    #[serde(default)]
    pub partial: UniqueMap<f64>,
    pub weight: f64,
    pub source: String,
    pub giveaways: Vec<String>,
    pub care: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    pub code: String,
    pub status: String,
    pub citation: String,
}

pub type Points = Vec<(f64, f64)>;

/// A view of the body's outline in charts.yaml.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct View {
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
    pub regions: Vec<ViewRegion>,
    /// Where a loss is surest.
    #[serde(default)]
    pub patches: Vec<Patch>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ViewRegion {
    pub skin: String,
    pub points: Points,
    /// Where the line from the label ends.
    pub label: Option<(f64, f64)>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Patch {
    pub skin: String,
    pub points: Points,
}
