//! On which nerve does a lesion lie, and what leaves a nerve at each level?

use crate::anatomy::{Fibres, Kind, Model, Nerve, SegmentIx, SkinKind, Supply};
use crate::lesion::Lesion;
use crate::wording::list;

/// What leaves a nerve at one level.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Level {
    /// "in the axilla".
    pub level: String,
    /// In every limb, though perhaps not at this level.
    pub branches: Vec<String>,
    /// In most limbs, though not in every one.
    pub open: Vec<String>,
}

/// The injured segments that name the lesion: those that hang on no other injured one.
pub fn heads(model: &Model, lesion: &Lesion) -> Vec<SegmentIx> {
    let mut all: Vec<SegmentIx> = lesion.cuts.iter().map(|c| c.segment).collect();
    all.sort_unstable();
    all.dedup();
    let hangs = |s: &SegmentIx| {
        let from = model.segments.get(*s).map_or(&[][..], |seg| &seg.from);
        from.iter().any(|f| all.contains(f))
    };
    let free: Vec<SegmentIx> = all.iter().copied().filter(|s| !hangs(s)).collect();
    if free.is_empty() { all } else { free }
}

/// The one named nerve on which the lesion lies; `None` for what lies nearer the cord, and for several nerves.
pub fn one_nerve<'m>(model: &'m Model, lesion: &Lesion) -> Option<&'m Nerve> {
    let mut found: Option<&Nerve> = None;
    for s in heads(model, lesion) {
        let nerve = model
            .segments
            .get(s)
            .and_then(|seg| model.nerve(&seg.nerve))?;
        if found.is_some_and(|f| f.id != nerve.id) {
            return None;
        }
        found = Some(nerve);
    }
    found.filter(|n| !n.course.is_empty())
}

/// The levels of a nerve from its origin on, with what leaves at each.
pub fn levels(model: &Model, nerve: &Nerve) -> Vec<Level> {
    let mut all: Vec<Level> = Vec::new();
    for &s in &nerve.segments {
        let Some(segment) = model.segments.get(s) else {
            continue;
        };
        let (mut sure, mut open) = (Vec::new(), Vec::new());
        let mut add = |supply: &Supply, label: &str| {
            if !leaves(supply.usual(), s) {
                return;
            }
            let to = match always(supply, nerve) {
                true => &mut sure,
                false => &mut open,
            };
            if !to.iter().any(|l| l == label) {
                to.push(label.to_string());
            }
        };
        for m in model.structures(Kind::Muscle) {
            if let Some(muscle) = model.muscle(m) {
                add(&muscle.supply, model.spoken(m));
            }
        }
        for area in model.skin.iter().filter(|a| a.kind == SkinKind::Peripheral) {
            add(&area.supply, &area.region);
        }
        for child in &model.segments {
            let own = child.nerve != nerve.id && child.from.contains(&s) && !child.only_in_variant;
            if own && !sure.contains(&child.nerve_label) {
                sure.push(child.nerve_label.clone());
            }
        }
        match all.last_mut() {
            Some(last) if last.level == segment.level => {
                last.branches.extend(sure);
                last.open.extend(open);
            }
            _ => all.push(Level {
                level: segment.level.clone(),
                branches: sure,
                open,
            }),
        }
    }
    all
}

/// What the nerve comes from: "posterior cord".
pub fn origin(model: &Model, nerve: &Nerve) -> String {
    let first = nerve.segments.first().and_then(|&s| model.segments.get(s));
    let mut from: Vec<&str> = first
        .iter()
        .flat_map(|s| &s.from)
        .filter_map(|&f| model.segments.get(f))
        .filter(|s| !s.only_in_variant)
        .map(|s| s.nerve_label.as_str())
        .collect();
    from.dedup();
    list(&from)
}

/// The nerve gives off the branch in every limb.
fn always(supply: &Supply, nerve: &Nerve) -> bool {
    let own = |row: &Vec<Fibres>| row.iter().any(|f| nerve.segments.contains(&f.leaves));
    supply.table.iter().all(own)
}

fn leaves(row: &[Fibres], segment: SegmentIx) -> bool {
    row.iter().any(|f| f.leaves == segment)
}
