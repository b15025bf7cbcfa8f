//! Which way do fibres run, where do two structures part, and what shares their roots?

use crate::anatomy::{Fibres, Kind, Model, SegmentIx, Structure};
use crate::findings::{Finding, Findings};
use crate::lesion::Lesion;

/// How many segments lie between the spinal cord and the far end of this one.
pub fn depth(model: &Model, segment: SegmentIx) -> usize {
    let from = model.segments.get(segment).map_or(&[][..], |s| &s.from);
    from.iter().map(|&f| depth(model, f) + 1).max().unwrap_or(0)
}

/// The fibres of a structure in the usual limb; a movement has those of the muscle that carries most of it.
fn fibres(model: &Model, s: Structure) -> &[Fibres] {
    let routes = model.routes(s);
    let main = routes.into_iter().max_by(|a, b| a.0.total_cmp(&b.0));
    main.map_or(&[], |(_, supply)| supply.usual())
}

/// The muscle that carries most of a movement; a muscle itself.
pub fn main_muscle(model: &Model, s: Structure) -> Option<Structure> {
    if s.kind == Kind::Muscle {
        return Some(s);
    }
    let shares = &model.movement(s)?.shares;
    let best = shares.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(Structure {
        kind: Kind::Muscle,
        position: best.0,
    })
}

/// The muscles that chiefly make a movement, as one says them: at most two, the largest first, each with a fifth of it or more. Of a
/// movement that fails, those that make it fail.
fn chief_muscles<'m>(model: &'m Model, found: &Findings, s: Structure) -> Vec<&'m str> {
    let muscle = |position| Structure {
        kind: Kind::Muscle,
        position,
    };
    let fails = |s: Structure| found.get(s).is_some_and(Finding::affected);
    let shares = model.movement(s).map_or(&[][..], |m| &m.shares);
    let only = fails(s) && shares.iter().any(|&(m, _)| fails(muscle(m)));
    let mut parts: Vec<(&str, f64)> = Vec::new();
    for &(position, share) in shares {
        if only && !fails(muscle(position)) {
            continue;
        }
        let name = model.spoken(muscle(position));
        match parts.iter_mut().find(|(known, _)| *known == name) {
            Some((_, sum)) => *sum += share,
            None => parts.push((name, share)),
        }
    }
    parts.sort_by(|a, b| b.1.total_cmp(&a.1));
    let chief = |(k, (_, share)): &(usize, (&str, f64))| *k == 0 || *k == 1 && *share >= 0.2;
    let parts = parts.into_iter().enumerate().filter(chief);
    parts.map(|(_, (name, _))| name).collect()
}

/// A finding in plain words beside the terms that a student should learn: "straightening the elbow: triceps", "ulnar claw: the ring and
/// little fingers ...".
pub fn in_full(model: &Model, found: &Findings, s: Structure) -> String {
    let plain = model.named(s);
    match s.kind {
        Kind::Movement => format!("{plain}: {}", chief_muscles(model, found, s).join(", ")),
        Kind::Sign if !plain.contains(model.label(s)) => format!("{}: {plain}", model.label(s)),
        _ => plain.to_string(),
    }
}

/// Share of the structure's fibres, 0-1, that pass the segment.
fn through(fibres: &[Fibres], segment: SegmentIx) -> f64 {
    let passing = fibres.iter().filter(|f| f.path.contains(segment));
    passing.map(|f| f.weight).sum()
}

/// The last segment, from the cord outwards, that at least half of the fibres of both pass; where there is none, the one that most pass.
/// `None`: no segment carries fibres of both.
pub fn last_together(model: &Model, a: Structure, b: Structure) -> Option<SegmentIx> {
    let (a, b) = (fibres(model, a), fibres(model, b));
    let shared = |s: SegmentIx| through(a, s).min(through(b, s));
    let common = (0..model.segments.len()).filter(|&s| shared(s) > 1e-9);
    let rank = |s: &SegmentIx| {
        let share = shared(*s);
        // Half is enough; below that the larger share wins before the greater depth.
        (share.min(0.5 - 1e-9), depth(model, *s))
    };
    common.max_by(|x, y| {
        let (x, y) = (rank(x), rank(y));
        x.0.total_cmp(&y.0).then(x.1.cmp(&y.1))
    })
}

/// The nerve whose branch reaches the structure, as its label says; of a movement that of its main muscle. Empty for signs and reflexes.
pub fn nerve_of(model: &Model, s: Structure) -> &str {
    let carrier = main_muscle(model, s).unwrap_or(s);
    model.nerve_label(carrier).unwrap_or_default()
}

/// The nerve behind what is found: of a movement that is affected that of the muscle which carries most of it among those affected, of a
/// reflex that of its arc; else as [`nerve_of`].
pub fn served_by<'m>(model: &'m Model, found: &Findings, s: Structure) -> &'m str {
    let muscle = |position: usize| Structure {
        kind: Kind::Muscle,
        position,
    };
    let affected = |s: Structure| found.get(s).is_some_and(Finding::affected);
    let failing = || {
        let shares = model.movement(s).filter(|_| affected(s))?.shares.iter();
        let failing = shares.filter(|(m, _)| affected(muscle(*m)));
        failing
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(m, _)| muscle(*m))
    };
    let arc = || Some(muscle(*model.reflex(s)?.muscles.first()?));
    nerve_of(model, failing().or_else(arc).unwrap_or(s))
}

/// The roots of a structure, of a movement those of its main muscle.
fn roots(model: &Model, s: Structure) -> Vec<(usize, f64)> {
    model.root_shares(main_muscle(model, s).unwrap_or(s))
}

/// Kept movements and muscles of another nerve whose roots are those of `of`: they clear the roots. The largest overlap first (0-1), at least half.
pub fn same_roots(model: &Model, found: &Findings, of: Structure) -> Vec<(Structure, f64)> {
    let own = roots(model, of);
    let nerve = nerve_of(model, of);
    let overlap = |other: Structure| -> f64 {
        let theirs = roots(model, other);
        let common = own.iter().filter_map(|(r, w)| {
            let (_, v) = theirs.iter().find(|(o, _)| o == r)?;
            Some(w.min(*v))
        });
        common.sum()
    };
    let mut all: Vec<(Structure, f64)> = found
        .movements
        .iter()
        .filter(|f| f.spared() && nerve_of(model, f.structure) != nerve)
        .map(|f| (f.structure, overlap(f.structure)))
        .filter(|(_, share)| *share >= 0.5)
        .collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.position.cmp(&b.0.position)));
    all
}

/// What leaves the injured path on either side of the lesion, the nearest first.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Along {
    /// Kept: their branches leave above.
    pub above: Vec<Structure>,
    /// Affected: their branches leave at the lesion or beyond it.
    pub below: Vec<Structure>,
}

/// Muscles and skin that leave just above and just below a lesion. What shares no stretch of nerve with the lesion is in neither list.
pub fn along(model: &Model, lesion: &Lesion, found: &Findings) -> Along {
    // The way into the lesion: everything that leads to a cut segment.
    let mut way: Vec<SegmentIx> = lesion.set.iter().collect();
    let mut next = 0;
    while let Some(&s) = way.get(next) {
        next += 1;
        for &from in model.segments.get(s).map_or(&[][..], |s| &s.from) {
            if !way.contains(&from) {
                way.push(from);
            }
        }
    }
    let cut = lesion
        .set
        .iter()
        .map(|s| depth(model, s))
        .min()
        .unwrap_or(0);
    let mut above: Vec<(usize, Structure)> = Vec::new();
    let mut below: Vec<(usize, Structure)> = Vec::new();
    for f in found.muscles.iter().chain(&found.skin) {
        let Some(main) = fibres(model, f.structure)
            .iter()
            .max_by(|a, b| a.weight.total_cmp(&b.weight))
        else {
            continue;
        };
        if main.path.meets(&lesion.set) {
            if f.affected() {
                below.push((depth(model, main.leaves).saturating_sub(cut), f.structure));
            }
        } else if f.spared() {
            let parting = way
                .iter()
                .filter(|&&s| main.path.contains(s))
                .map(|&s| depth(model, s))
                .max();
            above.extend(parting.map(|d| (cut.saturating_sub(d), f.structure)));
        }
    }
    let sorted = |mut all: Vec<(usize, Structure)>| {
        all.sort_by_key(|(d, s)| (*d, s.kind != Kind::Muscle, s.position));
        all.into_iter().map(|(_, s)| s).collect()
    };
    Along {
        above: sorted(above),
        below: sorted(below),
    }
}
