//! What would be marked in each question where no teacher has written lines? The derived moves in the words of `questions/*.yaml`.

use super::approach::Approach;
use super::block::{Block, Line};
use super::check::same;
use super::family::Asking;
use super::ground::*;
use super::notes::{Negative, Notes};
use crate::anatomy::{Kind, Nerve, Structure};
use crate::findings::Finding;
use crate::reasoning::{self, Rival};
use crate::wording::list;

pub fn muscles(ground: &Ground<'_>, asking: &Asking, affected: &[Structure]) -> Block {
    let motor = affected.iter().filter(|s| s.kind == Kind::Movement);
    let mut lines: Vec<Line> = motor
        .filter_map(|&s| line(asking, "muscle", Some(s), &motor_facts(ground, s)))
        .collect();
    let mut ready = "more";
    if lines.is_empty() {
        let skin = affected.iter().filter(|s| s.kind == Kind::Skin);
        lines = skin
            .take(1)
            .filter_map(|&s| line(asking, "skin", Some(s), &area_facts(ground, s)))
            .collect();
        ready = "more_skin";
    }
    topped(asking, 2, lines, 3, ready)
}

/// `paid`: what other questions of the same stations pay.
pub fn place(ground: &Ground<'_>, asking: &Asking, notes: &Notes, paid: &[Structure]) -> Block {
    let model = ground.model;
    let along = reasoning::along(model, ground.lesion, ground.found);
    let named = |s: Option<&Structure>| s.map(|&s| model.spoken(s).to_string()).unwrap_or_default();
    let muscle = |s: &&Structure| s.kind == Kind::Muscle && model.testable(**s);
    let facts = [
        ("short", notes.short.clone()),
        ("last_kept", named(along.above.iter().find(muscle))),
        ("first_lost", named(along.below.iter().find(muscle))),
    ];
    let free = |kind: Kind| {
        let mut cited = notes.cardinal.iter().map(|c| c.finding);
        cited.find(|s| s.kind == kind && !paid.contains(s))
    };
    let (skin, reflex) = (free(Kind::Skin), free(Kind::Reflex));
    let two = |mut line: Line| {
        line.marks = 2;
        line
    };
    let one_nerve = ground.nerve.is_some();
    let reason = if one_nerve { "level" } else { "many" };
    let points = [
        line(asking, "here", None, &facts).map(two),
        line(asking, reason, None, &facts).map(two),
        skin.and_then(|s| line(asking, "skin", Some(s), &area_facts(ground, s))),
        reflex.and_then(|s| {
            let facts = [
                ("reflex", model.plain(s).to_string()),
                ("state", state(ground, s).to_string()),
            ];
            line(asking, "reflex", Some(s), &facts)
        }),
    ];
    let mut points: Vec<Line> = points.into_iter().flatten().collect();
    points.extend(self::points(asking, "more").points);
    Block {
        points,
        ..Block::default()
    }
}

pub fn kept_lines(
    ground: &Ground<'_>,
    asking: &Asking,
    negatives: &[Negative<Structure, usize>],
) -> Block {
    let of = negatives.iter().filter_map(|n| {
        let facts = [
            ("finding", ground.model.named(n.finding).to_string()),
            (
                "place",
                n.clears
                    .first()
                    .map(|&s| site_label(ground, s))
                    .unwrap_or_default(),
            ),
        ];
        let key = if n.finding.kind == Kind::Skin {
            "skin"
        } else {
            "line"
        };
        line(asking, key, Some(n.finding), &facts)
    });
    topped(asking, 2, of.collect(), 3, "more")
}

pub fn moves(ground: &Ground<'_>, asking: &Asking) -> Block {
    let shifts = reasoning::shifts(ground.model, ground.lesion, ground.rivals);
    let mut points = Vec::new();
    for shift in &shifts {
        let Some(d) = shift.flips.first() else {
            continue;
        };
        let facts = [
            ("place", site_label(ground, shift.to.site)),
            ("finding", ground.model.named(d.structure()).to_string()),
            ("there", d.there.word().to_string()),
        ];
        points.extend(line(asking, "line", None, &facts).map(|mut l| {
            l.marks = if points.is_empty() { 2 } else { 1 };
            l.to = Some(shift.to.site);
            l.flips = vec![d.structure()];
            l
        }));
    }
    points.extend(self::points(asking, "more").points);
    Block {
        points,
        ..Block::default()
    }
}

pub fn further(ground: &Ground<'_>, asking: &Asking) -> Block {
    let key = if ground.lesion.radicular(ground.model) {
        "root"
    } else {
        "nerve"
    };
    let of = asking.lines(key).iter().map(|say| Line::of(say));
    choice(asking, 1, of.collect())
}

fn decider_facts(
    ground: &Ground<'_>,
    d: &reasoning::Decider,
    site: usize,
) -> [(&'static str, String); 4] {
    [
        ("finding", ground.model.named(d.structure()).to_string()),
        ("here", d.here.word().to_string()),
        ("there", d.there.word().to_string()),
        ("place", site_label(ground, site)),
    ]
}

/// One test for each near rival, each another.
pub fn plan(ground: &Ground<'_>, asking: &Asking) -> Block {
    let mut of: Vec<Line> = Vec::new();
    for rival in ground.rivals.iter().take(8) {
        let free = rival.deciders.iter().find(|d| {
            let sign = d.structure().kind == Kind::Sign;
            let paid = |l: &Line| {
                l.about
                    .is_some_and(|a| same(ground.model, a, d.structure()))
            };
            !sign && (ground.usable)(&d.here) && !of.iter().any(paid)
        });
        if let Some(d) = free {
            of.extend(line(
                asking,
                "line",
                Some(d.structure()),
                &decider_facts(ground, d, rival.site),
            ));
        }
    }
    topped(asking, 2, of, 3, "more")
}

pub fn lost(ground: &Ground<'_>, asking: &Asking, affected: &[Structure]) -> Block {
    let of: Vec<Line> = affected
        .iter()
        .filter(|s| s.kind == Kind::Movement)
        .filter_map(|&s| line(asking, "line", Some(s), &motor_facts(ground, s)))
        .collect();
    // Two at most where there is no choice: five marks must come out too.
    let mut block = topped(asking, 2, of, 2, "more");
    let first = block.points.iter().take_while(|l| l.marks > 1).count();
    let daily = points(asking, "daily").points;
    block.points.splice(first..first, daily);
    block
}

pub fn skin(ground: &Ground<'_>, asking: &Asking) -> Block {
    let areas = ground
        .found
        .skin
        .iter()
        .filter(|f| f.affected() && (ground.usable)(f));
    let areas = areas.filter_map(|f| {
        line(
            asking,
            "area",
            Some(f.structure),
            &area_facts(ground, f.structure),
        )
    });
    let reflexes = ground
        .found
        .reflexes
        .iter()
        .filter(|f| f.affected())
        .filter_map(|f| {
            let facts = [
                ("reflex", ground.model.plain(f.structure).to_string()),
                ("state", f.word().to_string()),
            ];
            line(asking, "reflex", Some(f.structure), &facts)
        });
    let first = areas.take(2).chain(reflexes.take(1));
    let more = points(asking, "more").points;
    Block {
        points: first.chain(more).collect(),
        ..Block::default()
    }
}

/// The rival of the comparison.
fn other<'g>(ground: &'g Ground<'_>, notes: &Notes) -> Option<&'g Rival> {
    let site = notes.compare_with?;
    ground.rivals.iter().find(|r| r.site == site)
}

pub fn shared(ground: &Ground<'_>, asking: &Asking, notes: &Notes) -> Block {
    let both = other(ground, notes).and_then(|rival| {
        ground
            .found
            .movements
            .iter()
            .chain(&ground.found.skin)
            .find(|f| {
                f.affected()
                    && (ground.usable)(f)
                    && rival
                        .findings
                        .get(f.structure)
                        .is_some_and(Finding::affected)
            })
    });
    let first = both.and_then(|f| {
        let facts = [("finding", ground.model.named(f.structure).to_string())];
        line(asking, "line", Some(f.structure), &facts)
    });
    let more = points(asking, "more").points;
    Block {
        points: first.into_iter().chain(more).collect(),
        ..Block::default()
    }
}

pub fn deciders(ground: &Ground<'_>, asking: &Asking, notes: &Notes) -> Block {
    let Some(rival) = other(ground, notes) else {
        return Block::default();
    };
    let usable = rival
        .deciders
        .iter()
        .filter(|d| (ground.usable)(&d.here) && d.structure().kind != Kind::Sign);
    let mut seen: Vec<(Kind, &str)> = Vec::new();
    let mut of = Vec::new();
    for d in usable {
        // Five muscles of one nerve are one argument.
        let argument = (
            d.structure().kind,
            reasoning::nerve_of(ground.model, d.structure()),
        );
        let times = seen.iter().filter(|s| **s == argument).count();
        if times < 2 && of.len() < 6 && d.structure().kind != Kind::Muscle {
            seen.push(argument);
            of.extend(line(
                asking,
                "line",
                Some(d.structure()),
                &decider_facts(ground, d, rival.site),
            ));
        }
    }
    topped(asking, 2, of, 3, "more")
}

/// Why an approach is dangerous, and when: its own protections, then those of any operation.
pub fn moments(approach: &Approach, asking: &Asking) -> Block {
    let mut of: Vec<Line> = approach.protect.iter().map(|say| Line::of(say)).collect();
    let ready = points(asking, "more").points;
    of.extend(ready.into_iter().take(5usize.saturating_sub(of.len())));
    choice(asking, 2, of)
}

/// What a patient says who has nobody's words: what is affected, in plain ones.
pub fn complaints(ground: &Ground<'_>, asking: &Asking, affected: &[Structure]) -> Vec<String> {
    let of = affected.iter().filter_map(|&s| {
        let facts = match s.kind {
            Kind::Movement => motor_facts(ground, s),
            Kind::Skin => area_facts(ground, s),
            _ => return None,
        };
        line(asking, "complaint", None, &facts).map(|l| l.say)
    });
    of.collect()
}

pub fn verdict(asking: &Asking, notes: &Notes) -> Block {
    let facts = [("short", notes.short.clone())];
    let first = line(asking, "here", None, &facts).map(|mut l| {
        l.marks = 2;
        l
    });
    let more = points(asking, "more").points;
    Block {
        points: first.into_iter().chain(more).collect(),
        ..Block::default()
    }
}

pub fn branches(ground: &Ground<'_>, nerve: &Nerve, asking: &Asking) -> Block {
    let origin = [("origin", reasoning::origin(ground.model, nerve))];
    let levels = reasoning::levels(ground.model, nerve)
        .into_iter()
        .filter(|l| !l.branches.is_empty());
    let levels = levels.filter_map(|l| {
        line(
            asking,
            "level",
            None,
            &[("level", l.level), ("branches", list(&l.branches))],
        )
    });
    Block {
        points: line(asking, "origin", None, &origin)
            .into_iter()
            .chain(levels)
            .chain(points(asking, "more").points)
            .collect(),
        ..Block::default()
    }
}

pub fn danger(ground: &Ground<'_>, approach: &Approach, asking: &Asking) -> Block {
    let nerve = ground
        .nerve
        .map(|n| n.label.clone())
        .unwrap_or_else(|| short(ground));
    let facts = [
        ("nerve", nerve),
        ("place", approach.place.clone()),
        ("relation", approach.relation.clone()),
    ];
    let keys = ["nerve", "place", "relation"];
    let mut all: Vec<Line> = keys
        .iter()
        .filter_map(|key| line(asking, key, None, &facts))
        .collect();
    all.extend(points(asking, "more").points);
    Block {
        points: all,
        ..Block::default()
    }
}

pub fn lost_and_kept(ground: &Ground<'_>, asking: &Asking, notes: &Notes) -> Block {
    let about = |key: &str, s: Structure| {
        line(
            asking,
            key,
            Some(s),
            &[("finding", ground.model.named(s).to_string())],
        )
    };
    let lost = notes
        .cardinal
        .iter()
        .take(2)
        .filter_map(|c| about("lost", c.finding));
    let kept = notes
        .negatives
        .iter()
        .take(2)
        .filter_map(|n| about("kept", n.finding));
    Block {
        points: lost
            .chain(kept)
            .chain(points(asking, "more").points)
            .collect(),
        ..Block::default()
    }
}
