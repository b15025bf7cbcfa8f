//! The checked anatomy of one region: after the check nothing in here is doubted again.

use super::spine::Spine;
use super::structure::{Kind, Structure};
use std::collections::HashMap;

/// Index types: positions in the vectors of [`Model`].
pub type SegmentIx = usize;
pub type MuscleIx = usize;

/// A set of segments, as bits; a region holds at most [`SegmentSet::CAPACITY`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub struct SegmentSet([u64; 4]);

impl SegmentSet {
    pub const CAPACITY: usize = 256;

    pub fn insert(&mut self, segment: SegmentIx) {
        if let Some(word) = self.0.get_mut(segment / 64) {
            *word |= 1 << (segment % 64);
        }
    }

    #[inline]
    pub fn contains(&self, segment: SegmentIx) -> bool {
        self.0
            .get(segment / 64)
            .is_some_and(|word| word >> (segment % 64) & 1 == 1)
    }

    #[inline]
    pub fn meets(&self, other: &SegmentSet) -> bool {
        (0..4).any(|i| self.0[i] & other.0[i] != 0)
    }

    #[must_use]
    pub fn union(mut self, other: &SegmentSet) -> Self {
        for i in 0..4 {
            self.0[i] |= other.0[i];
        }
        self
    }

    pub fn iter(&self) -> impl Iterator<Item = SegmentIx> + '_ {
        (0..Self::CAPACITY).filter(|&i| self.contains(i))
    }
}

/// What a segment is, by what its region declares of its kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct SegmentKind {
    /// Position in [`Model::kinds`], which run from the spinal cord outwards.
    pub order: usize,
    /// A root of a spinal or cranial nerve, or its rootlets.
    pub root: bool,
    /// Before the spinal ganglion: what an avulsion tears.
    pub preganglionic: bool,
    /// Fibres still run here as the roots do, so that a loss follows dermatomes.
    pub radicular: bool,
    /// Beyond all roots, and no named nerve yet.
    pub plexus: bool,
    /// A nerve with a name and a course.
    pub named: bool,
}

/// A kind of segment and its words.
#[derive(Debug, Clone)]
pub struct KindOfSegment {
    pub id: String,
    pub plural: String,
    /// What blueprints call a lesion there: "trunk".
    pub place: String,
    /// Too many to be named in a picture.
    pub unnamed: bool,
    pub kind: SegmentKind,
}

/// A stretch of nerve. Whatever leaves it leaves at its far end, so a lesion of the segment cuts it.
#[derive(Debug, Clone)]
pub struct Segment {
    pub id: String,
    /// As in a sentence: "radial nerve in the axilla".
    pub label: String,
    pub kind: SegmentKind,
    /// Id and label of the nerve (or of the root, trunk, cord itself): "radial", "radial nerve".
    pub nerve: String,
    pub nerve_label: String,
    /// Where along the nerve, as in "its branch leaves the radial nerve ...": "in the axilla".
    pub level: String,
    /// Place along the nerve's course, rising towards the periphery.
    pub order: u32,
    pub from: Vec<SegmentIx>,
    /// The root that begins here (position in [`Model::roots`]).
    pub root: Option<usize>,
    /// A posterior division: what comes of it is drawn so.
    pub posterior: bool,
    /// Only some limbs have it: reached only by a variant's routes.
    pub only_in_variant: bool,
    pub source: String,
}

/// A nerve and the segments of its course, from proximal to distal.
#[derive(Debug, Clone)]
pub struct Nerve {
    pub id: String,
    pub label: String,
    pub synonyms: Vec<String>,
    /// What it is called together with the nerves that run in one sheath with it: "sciatic nerve".
    pub bound_in: Option<String>,
    /// Course and relations in prose, from origin to end, one step an entry.
    pub course: Vec<String>,
    pub segments: Vec<SegmentIx>,
    pub source: String,
}

/// A share of a structure's fibres: which root they start in and which segments they pass.
#[derive(Debug, Clone)]
pub struct Fibres {
    pub root: usize,
    /// Share of all the structure's fibres; a structure's shares add to 1.
    pub weight: f64,
    pub path: SegmentSet,
    /// The last segment, from whose far end the branch leaves.
    pub leaves: SegmentIx,
}

/// How a structure is reached, in every combination of the variants that touch it.
#[derive(Debug, Clone)]
pub struct Supply {
    /// The variants that matter here.
    pub variants: Vec<Choice>,
    /// One list of fibres for each combination of choices, the first choice slowest (mixed radix); row 0 is the usual one.
    pub table: Vec<Vec<Fibres>>,
    /// Every segment any combination passes.
    pub reach: SegmentSet,
}

/// How one variant matters to one structure: alternatives that come to the same are one way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// Position in [`Model::variants`].
    pub variant: usize,
    /// For each alternative of the variant, which of the `ways` it is; alternative 0 is way 0.
    pub way: Vec<usize>,
    pub ways: usize,
    /// How far apart two neighbouring ways stand in [`Supply::table`].
    pub stride: usize,
}

impl Supply {
    /// The textbook routes: every variant in its usual alternative.
    pub fn usual(&self) -> &[Fibres] {
        self.table.first().map_or(&[], Vec::as_slice)
    }
}

#[derive(Debug, Clone)]
pub struct Muscle {
    pub id: String,
    pub label: String,
    pub synonyms: Vec<String>,
    /// Part of the limb: scapula, shoulder, arm, "forearm post", "forearm ant", hand ...
    pub part: String,
    /// The textbook nerve, for sentences: "posterior interosseous nerve".
    pub nerve_label: String,
    /// What it does, as a verb phrase: "extend the fingers at the metacarpophalangeal joints".
    pub action: String,
    /// As one says it in a viva: "triceps".
    pub spoken: String,
    /// What is tested, as somebody says it who names no muscle: "bending the wrist, the tendon on the thumb side felt". Left out: the test.
    pub plain: String,
    /// How it is tested at the bedside, as an instruction; empty when it cannot be.
    pub test: String,
    pub testable: bool,
    /// How well the test isolates it, 0 (cannot be tested alone) to 1.
    pub isolation: f64,
    /// The movement that its test asks for, which other muscles may carry too (position in `Model::movements`).
    pub movement: Option<usize>,
    pub supply: Supply,
    pub source: String,
}

/// A movement as a sum over muscles: shares of peak torque that add to 1.
#[derive(Debug, Clone)]
pub struct Movement {
    pub id: String,
    /// "extension of the wrist".
    pub label: String,
    /// "bending the wrist back".
    pub plain: String,
    /// As an order to the patient: "Bend your wrist back and stop me pushing it down".
    pub command: String,
    /// Whether the bedside can test it at all.
    pub testable: bool,
    pub shares: Vec<(MuscleIx, f64)>,
    /// Muscles among them that help the others, with the part of their torque, 0-1, that they have when alone.
    pub helpers: Vec<MuscleIx>,
    pub unaided: f64,
    pub source: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SkinKind {
    /// The field of a peripheral nerve.
    Peripheral,
    Dermatome,
}

#[derive(Debug, Clone)]
pub struct SkinArea {
    pub id: String,
    pub kind: SkinKind,
    pub label: String,
    /// Where it lies, for a lay reader of the sheet: "back of the radial side of the hand".
    pub region: String,
    /// The small patch that only this nerve or root supplies, if there is one.
    pub autonomous: Option<String>,
    /// The area of which this one is a part, by its place among the skin areas.
    pub part_of: Option<usize>,
    pub nerve_label: String,
    /// How often the loss is found where the area is cut off, 0-1.
    pub reliability: f64,
    pub supply: Supply,
    pub source: String,
}

#[derive(Debug, Clone)]
pub struct Reflex {
    pub id: String,
    pub label: String,
    pub synonyms: Vec<String>,
    pub muscles: Vec<MuscleIx>,
    /// How often it can be obtained in health, 0-1: a reflex many healthy people lack cannot decide a mark.
    pub reliability: f64,
    pub supply: Supply,
    pub source: String,
}

/// A condition of a sign's rule, over what the lesion leaves.
#[derive(Debug, Clone)]
pub enum Condition {
    All(Vec<Condition>),
    Any(Vec<Condition>),
    Not(Box<Condition>),
    /// Power of the muscle or movement is at most this MRC grade.
    PowerAtMost(Structure, u8),
    PowerAtLeast(Structure, u8),
    /// Sensation of the area is lost or reduced.
    SensationReduced(Structure),
    SensationLost(Structure),
    /// At least one lesion lies on one of these segments.
    LesionOn(Vec<SegmentIx>),
}

/// One way a sign can come about: the chance that it shows when the condition holds, and why.
#[derive(Debug, Clone)]
pub struct SignCase {
    pub when: Condition,
    /// 0-1: how often the sign shows when the condition is met.
    pub probability: f64,
    pub because: String,
}

#[derive(Debug, Clone)]
pub struct Sign {
    pub id: String,
    pub label: String,
    pub synonyms: Vec<String>,
    /// How to bring it out and what is seen, for the examiner.
    pub look: String,
    /// Group: special test, deformity, posture, autonomic, winging, electrodiagnosis.
    pub group: String,
    /// At the bedside, without apparatus.
    pub testable: bool,
    /// May be shown or told to a candidate without naming the nerve (an eponym that gives it away may not).
    pub plain: String,
    /// The first case whose condition holds decides; none: absent.
    pub cases: Vec<SignCase>,
    /// Why it is absent when no case holds.
    pub otherwise: String,
    pub source: String,
}

/// One arrangement that a limb may have instead of the usual one.
#[derive(Debug, Clone)]
pub struct Alternative {
    pub id: String,
    pub label: String,
    /// Share of limbs (or, where sources disagree, weight of the sources), 0-1.
    pub prevalence: f64,
}

#[derive(Debug, Clone)]
pub struct Variant {
    pub id: String,
    pub label: String,
    pub synonyms: Vec<String>,
    /// `true`: limbs differ. `false`: books differ.
    pub anatomical: bool,
    /// Moves the whole plexus by a root, so it touches all findings at once.
    pub shifts_plexus: bool,
    /// Alternative 0 is the usual one; prevalences add to 1.
    pub alternatives: Vec<Alternative>,
    pub note: String,
    pub source: String,
}

/// What reports call a structure, or several of which any may be meant.
#[derive(Debug, Clone)]
pub struct Called {
    pub words: Vec<String>,
    pub structures: Vec<Structure>,
}

/// A place where nerves are injured in practice.
#[derive(Debug, Clone)]
pub struct Site {
    pub id: String,
    /// "radial nerve at spiral groove".
    pub label: String,
    pub synonyms: Vec<String>,
    /// Segments cut by a complete lesion here.
    pub segments: Vec<SegmentIx>,
    /// Where a partial lesion does not take all segments alike: the share, 0-1, that is cut of each when half of the place is.
    pub partial: Vec<(SegmentIx, f64)>,
    /// Relative frequency, any unit: how often it is drawn and its prior.
    pub weight: f64,
    /// A root lesion before the ganglion.
    pub avulsion: bool,
    /// Words that would give this site away in a candidate sheet.
    pub giveaways: Vec<String>,
    /// First steps in care, general terms.
    pub care: Vec<String>,
    pub source: String,
}

/// Outlines of the body with the skin areas on them; empty when the region has no charts.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Charts {
    pub views: Vec<Chart>,
}

/// One outline, of the right limb. Millimetres from the upper left corner, `y` down; a point given twice is a corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    pub id: String,
    /// "front".
    pub label: String,
    /// Views of one row stand side by side.
    pub row: u8,
    pub width: f64,
    pub height: f64,
    pub outline: Vec<(f64, f64)>,
    /// Open lines inside the outline.
    pub details: Vec<Vec<(f64, f64)>>,
    /// A later region hides what it covers of an earlier one of the same kind; all end at the outline.
    pub regions: Vec<ChartRegion>,
    /// Patches where a loss is surest: position in [`Model::skin`] and outline.
    pub patches: Vec<(usize, Vec<(f64, f64)>)>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct ChartRegion {
    /// Position in [`Model::skin`].
    pub skin: usize,
    pub points: Vec<(f64, f64)>,
    pub label: Option<(f64, f64)>,
}

/// One region of the body, checked.
#[derive(Debug, Clone)]
pub struct Model {
    /// "upper_limb".
    pub region: String,
    pub label: String,
    /// "C5", "C6" ... in order; `Fibres::root` is a position in here.
    pub roots: Vec<String>,
    /// The same roots as in a sentence: "the spinal accessory nerve" for XI.
    pub root_names: Vec<String>,
    pub spine: Spine,
    pub kinds: Vec<KindOfSegment>,
    pub segments: Vec<Segment>,
    pub nerves: Vec<Nerve>,
    pub muscles: Vec<Muscle>,
    pub movements: Vec<Movement>,
    pub skin: Vec<SkinArea>,
    pub reflexes: Vec<Reflex>,
    pub signs: Vec<Sign>,
    pub variants: Vec<Variant>,
    pub sites: Vec<Site>,
    /// What reports call structures beyond their labels; empty when the region has no list of it.
    pub names: Vec<Called>,
    pub charts: Charts,
    /// Code to citation.
    pub sources: Vec<(String, String)>,
    pub(super) index: HashMap<String, Vec<Entry>>,
}

/// What an id names; one id may name several kinds of thing (`brachioradialis` is a muscle and a reflex).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Entry {
    Segment(SegmentIx),
    Structure(Structure),
    Variant(usize),
    Site(usize),
}

impl Model {
    /// All things with this id or synonym (lower case, `_` for blanks).
    pub fn lookup(&self, id: &str) -> &[Entry] {
        self.index.get(id).map_or(&[], Vec::as_slice)
    }

    /// The segments of nerve from this one up to where the nerve leaves the plexus; just itself for roots, trunks and cords.
    pub fn up_the_nerve(&self, segment: SegmentIx) -> Vec<&Segment> {
        let mut all: Vec<&Segment> = self.segments.get(segment).into_iter().collect();
        while let Some(above) = all
            .last()
            .filter(|s| s.kind.named)
            .and_then(|s| s.from.first())
            .and_then(|&p| self.segments.get(p))
            .filter(|s| s.kind.named && !s.only_in_variant)
        {
            all.push(above);
        }
        all
    }

    pub fn site(&self, id: &str) -> Option<&Site> {
        self.lookup(id).iter().find_map(|e| match e {
            Entry::Site(i) => self.sites.get(*i),
            _ => None,
        })
    }

    pub fn segment_ix(&self, id: &str) -> Option<SegmentIx> {
        self.lookup(id).iter().find_map(|e| match e {
            Entry::Segment(i) => Some(*i),
            _ => None,
        })
    }

    /// The structure of this kind with this id or synonym.
    pub fn structure(&self, kind: Kind, id: &str) -> Option<Structure> {
        self.lookup(id).iter().find_map(|e| match e {
            Entry::Structure(s) if s.kind == kind => Some(*s),
            _ => None,
        })
    }

    /// The outermost kind between roots and named nerves, if the region has a plexus.
    pub fn outermost(&self) -> Option<&KindOfSegment> {
        self.kinds.iter().rfind(|k| k.kind.plexus)
    }

    /// What blueprints call the place of a site: the kind of its first segment.
    pub fn place_of(&self, site: usize) -> &str {
        self.sites
            .get(site)
            .and_then(|s| self.segments.get(*s.segments.first()?))
            .map_or("", |s| &self.kinds[s.kind.order].place)
    }

    /// The places that sites of the region lie in, from the spinal cord outwards.
    pub fn places(&self) -> Vec<&str> {
        let mut all: Vec<&str> = Vec::new();
        for kind in &self.kinds {
            let place = kind.place.as_str();
            let used = (0..self.sites.len()).any(|s| self.place_of(s) == place);
            if used && !all.contains(&place) {
                all.push(place);
            }
        }
        all
    }

    /// The segments of nerve from the site's up to where the nerve leaves the plexus; just the site's own for roots, trunks and cords.
    pub fn above_site(&self, site: usize) -> Vec<&Segment> {
        let first = self.sites.get(site).and_then(|s| s.segments.first());
        first.map_or_else(Vec::new, |&s| self.up_the_nerve(s))
    }

    pub fn nerve(&self, id: &str) -> Option<&Nerve> {
        self.nerves.iter().find(|n| n.id == id)
    }

    /// What two of these nerves are bound in, else the first of them by its id.
    pub fn whole<'m>(&'m self, nerves: &[&'m str]) -> Option<&'m str> {
        let bound = |id: &str| self.nerve(id).and_then(|n| n.bound_in.as_deref());
        let shared = |n: &&str| {
            let others = nerves.iter().filter(|o| *o != n);
            bound(n).filter(|&sheath| others.clone().any(|o| bound(o) == Some(sheath)))
        };
        nerves.iter().find_map(shared).or(nerves.first().copied())
    }
}
