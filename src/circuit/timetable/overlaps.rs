//! Which sittings get in each other's way?

use super::track::Track;
use crate::circuit::blueprint::{Blueprint, Sitting, clock};
use crate::diagnostic::Problem;

/// The tracks of one sitting together.
struct Span<'b> {
    group: usize,
    sitting: &'b Sitting,
    end: u32,
}

fn spans<'b>(blueprint: &'b Blueprint, tracks: &[Track]) -> Vec<Span<'b>> {
    let mut all: Vec<Span<'b>> = Vec::new();
    for track in tracks {
        let Some(sitting) = track.sitting(blueprint) else {
            continue;
        };
        let end = track.end(blueprint);
        let same = |s: &&mut Span<'_>| s.group == track.group && s.sitting.id == sitting.id;
        match all.iter_mut().find(same) {
            Some(span) => span.end = span.end.max(end),
            None => all.push(Span {
                group: track.group,
                sitting,
                end,
            }),
        }
    }
    all
}

/// Two sittings at the same time need two sets of rooms: they are tracks then, or the times are a slip.
pub(super) fn overlaps(blueprint: &Blueprint, tracks: &[Track]) -> Vec<Problem> {
    let mut problems = Vec::new();
    let all = spans(blueprint, tracks);
    for span in all.iter().filter(|s| s.end > clock::DAY) {
        problems.push(
            Problem::new(format!(
                "sitting {} would go on past midnight",
                span.sitting.id
            ))
            .hint("look at the times under `changes:`"),
        );
    }
    for (i, a) in all.iter().enumerate() {
        for b in &all[i + 1..] {
            let (x, y) = (a.sitting, b.sitting);
            let meet = x.start < b.end && y.start < a.end;
            // Groups side by side, and those with more time, are meant when they start at the same minute.
            let beside = a.group != b.group || x.extra != y.extra;
            if !meet || (beside && x.start == y.start) {
                continue;
            }
            let (first, later) = if x.start <= y.start { (a, b) } else { (b, a) };
            let end = clock::show(first.end);
            let side_by_side = match beside {
                false => "write one sitting with `tracks: 2`, for rooms side by side".to_string(),
                true => format!(
                    "start both at {}, with rooms of their own",
                    clock::show(first.sitting.start)
                ),
            };
            problems.push(
                Problem::new(format!(
                    "sitting {} ends at {end}, but sitting {} begins at {}",
                    first.sitting.id,
                    later.sitting.id,
                    clock::show(later.sitting.start)
                ))
                .hint(format!(
                    "start {} at {end} or later, or {side_by_side}",
                    later.sitting.id
                )),
            );
        }
    }
    problems
}
