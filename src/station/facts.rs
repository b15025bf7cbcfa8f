//! Turns a case into the named facts that a question's wording may use, and the conditions it may ask for.

use super::english::{article, list, small};
use crate::anatomy::{Model, SegmentIx, SegmentKind};
use crate::case::{Age, Case, NerveInjury};
use crate::findings::{Kind, Structure};
use std::collections::BTreeMap;

/// The facts a wording may use.
pub const FACTS: &[&str] = &[
    "name",
    "side",
    "other_side",
    "since",
    "lesion",
    "a_lesion",
    "place",
    "nerve",
    "level",
    "injury",
    "damage",
    "cause",
    "origin",
    "destination",
    "muscle",
    "muscle_root",
    "recovery",
    "limb",
    "one",
    "two",
    "rival",
    "a_rival",
    "whole_nerve",
    "nerve_from",
    "approach",
    "danger_place",
    "relation",
];

/// The conditions a family, a point or a danger may ask for.
pub const WHENS: [&str; 28] = [
    "newborn",
    "older",
    "sudden",
    "gradual",
    "wasting",
    "no_wasting",
    "denervation",
    "damaged",
    "cause_known",
    "avulsion",
    "no_avulsion",
    "root",
    "plexus",
    "nerve",
    "motor",
    "no_motor",
    "sensory",
    "no_sensory",
    "complete",
    "partial",
    "neurapraxia",
    "divided",
    "rival",
    "tests",
    "one_nerve",
    "at_risk",
    "fracture",
    "operation",
];

/// What is true and what is known of one case.
#[derive(Debug, Clone, Default)]
pub struct Facts {
    pub known: BTreeMap<&'static str, String>,
    pub holds: Vec<&'static str>,
}

impl Facts {
    pub fn get(&self, name: &str) -> Option<String> {
        self.known.get(name).cloned()
    }

    pub fn all_hold(&self, whens: &[String]) -> bool {
        whens.iter().all(|w| self.holds.contains(&w.as_str()))
    }
}

/// The first segment of each injured place: the one that names it.
pub fn named_segments(model: &Model, case: &Case) -> Vec<SegmentIx> {
    let mut all: Vec<SegmentIx> = case.lesion.cuts.iter().map(|c| c.segment).collect();
    all.sort_unstable();
    all.dedup();
    // A place may cut a segment and what hangs on it: keep those that hang on no other cut segment.
    let heads: Vec<SegmentIx> = all
        .iter()
        .copied()
        .filter(|&s| {
            model
                .segments
                .get(s)
                .is_some_and(|seg| !seg.from.iter().any(|f| all.contains(f)))
        })
        .collect();
    if heads.is_empty() { all } else { heads }
}

/// Collects the facts.
pub fn facts(model: &Model, case: &Case) -> Facts {
    let mut known = BTreeMap::new();
    let mut put = |name: &'static str, value: String| {
        if !value.is_empty() {
            known.insert(name, value);
        }
    };
    let heads = named_segments(model, case);
    let segments: Vec<_> = heads
        .iter()
        .filter_map(|&s| model.segments.get(s))
        .collect();
    put("name", case.patient.name.clone());
    put("side", case.patient.side.word().to_string());
    put("other_side", case.patient.side.other().word().to_string());
    put("since", case.timeline.since.clone());
    put("lesion", case.lesion.sentence());
    put("a_lesion", article(&case.lesion.sentence()));
    let places: Vec<&str> = case.lesion.parts.iter().map(|p| p.label.as_str()).collect();
    put("place", list(&places));
    let mut nerves: Vec<&str> = segments.iter().map(|s| s.nerve_label.as_str()).collect();
    nerves.dedup();
    put("nerve", list(&nerves));
    if let [one] = segments.as_slice()
        && one.kind == SegmentKind::Nerve
    {
        put("level", one.level.clone());
    }
    put("injury", injury_word(case.timeline.injury).to_string());
    put("damage", list(&case.also_damaged));
    put("cause", list(&case.causes));
    put("recovery", case.timeline.recovery.clone());
    put("limb", model.label.clone());
    let origin: Vec<String> = from_labels(model, &heads);
    put("origin", list(&origin));
    put("destination", list(&to_labels(model, &heads)));
    if let Some((muscle, root)) = root_example(model, case) {
        put("muscle", muscle);
        put("muscle_root", root);
    }
    Facts {
        holds: holds(case, &segments.iter().map(|s| s.kind).collect::<Vec<_>>()),
        known,
    }
}

pub fn injury_word(injury: NerveInjury) -> &'static str {
    match injury {
        NerveInjury::Neurapraxia => "neurapraxia",
        NerveInjury::Axonotmesis => "axonotmesis",
        NerveInjury::Neurotmesis => "neurotmesis",
    }
}

/// What the segments take their fibres from.
pub fn from_labels(model: &Model, segments: &[SegmentIx]) -> Vec<String> {
    let mut all: Vec<String> = segments
        .iter()
        .filter_map(|&s| model.segments.get(s))
        .flat_map(|s| &s.from)
        .filter_map(|&f| model.segments.get(f))
        .map(|s| s.nerve_label.clone())
        .collect();
    all.dedup();
    all
}

/// What the segments give their fibres to.
pub fn to_labels(model: &Model, segments: &[SegmentIx]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for s in &model.segments {
        if !s.only_in_variant
            && s.from.iter().any(|f| segments.contains(f))
            && !all.contains(&s.nerve_label)
        {
            all.push(s.nerve_label.clone());
        }
    }
    all
}

/// A muscle of the lesion whose main root is clear, and that root.
fn root_example(model: &Model, case: &Case) -> Option<(String, String)> {
    case.findings
        .muscles
        .iter()
        .filter(|f| f.affected())
        .map(|f| f.structure)
        .filter(|&s| model.testable(s))
        .find_map(|s| {
            let shares = root_shares(model, s);
            let (root, share) = shares.first()?;
            // "XI" is a cranial nerve, not a segment that one asks for by number.
            let numbered = root.ends_with(|c: char| c.is_ascii_digit());
            (numbered && *share >= 0.45).then(|| (small(model.label(s)), root.clone()))
        })
}

/// The roots of a structure with their shares, the largest first.
pub fn root_shares(model: &Model, s: Structure) -> Vec<(String, f64)> {
    model
        .root_shares(s)
        .into_iter()
        .filter_map(|(r, w)| model.roots.get(r).map(|name| (name.clone(), w)))
        .collect()
}

fn holds(case: &Case, kinds: &[SegmentKind]) -> Vec<&'static str> {
    use SegmentKind as K;
    let any = |of: &[K]| kinds.iter().any(|k| of.contains(k));
    let affected = |kind: Kind| case.findings.of(kind).iter().any(|f| f.affected());
    let newborn = matches!(case.patient.age, Age::Days(_));
    let t = &case.timeline;
    let motor = affected(Kind::Muscle);
    let sensory = affected(Kind::Skin);
    let whole = case
        .lesion
        .parts
        .iter()
        .all(|p| !matches!(p.severity, crate::lesion::Severity::Partial(_)));
    [
        ("newborn", newborn),
        ("older", !newborn),
        ("sudden", !t.gradual),
        ("gradual", t.gradual),
        ("wasting", t.wasting),
        ("no_wasting", !t.wasting),
        ("denervation", t.denervation),
        ("damaged", !case.also_damaged.is_empty()),
        ("cause_known", !case.causes.is_empty()),
        ("avulsion", any(&[K::Rootlets])),
        ("no_avulsion", !any(&[K::Rootlets])),
        ("root", any(&[K::Root, K::Rootlets])),
        ("plexus", any(&[K::Trunk, K::Division, K::Cord])),
        ("nerve", any(&[K::Nerve])),
        ("motor", motor),
        ("no_motor", !motor),
        ("sensory", sensory),
        ("no_sensory", !sensory),
        ("complete", whole),
        ("partial", !whole),
        ("neurapraxia", t.injury == NerveInjury::Neurapraxia),
        ("divided", t.injury == NerveInjury::Neurotmesis),
    ]
    .into_iter()
    .filter_map(|(name, yes)| yes.then_some(name))
    .collect()
}
