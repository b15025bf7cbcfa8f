//! In which order do the branches of a nerve leave it? Rows from proximal to distal: stretches, twigs to muscles and skin, side
//! branches.

use super::fibres::{Fate, fate, lost_on_the_way};
use super::figure_style::FigureStyle;
use super::skin::bare;
use crate::anatomy::{Model, Nerve, SegmentIx, SkinKind, Supply};
use crate::lesion::Lesion;
use crate::wording::capital;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ends {
    Muscle,
    Skin,
}

/// A branch that ends in a muscle or in skin.
#[derive(Debug, Clone, PartialEq)]
pub struct Twig {
    pub ends: Ends,
    pub text: String,
    pub fate: Fate,
}

/// A stretch of nerve and what leaves it at its far end.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    pub segment: SegmentIx,
    pub level: String,
    pub cut: bool,
    pub twigs: Vec<Twig>,
    /// Nerves that spring from here.
    pub sides: Vec<Course>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Position in `Model::nerves`.
    pub nerve: usize,
    pub stretches: Vec<Stretch>,
    /// Nerves that spring from it, where it is named alone and has a picture of its own.
    pub gives: Vec<usize>,
}

impl Course {
    /// How many nerves deep the side branches go.
    pub fn depth(&self) -> usize {
        self.stretches
            .iter()
            .flat_map(|s| &s.sides)
            .map(|c| 1 + c.depth())
            .max()
            .unwrap_or(0)
    }

    /// The lesion lies on this nerve or on a branch of it.
    pub fn is_cut(&self) -> bool {
        let cut = |s: &Stretch| s.cut || s.sides.iter().any(Course::is_cut);
        self.stretches.iter().any(cut)
    }

    /// In muscles, if any, else in skin.
    pub fn ends(&self) -> Ends {
        let muscle = |s: &Stretch| {
            s.twigs.iter().any(|t| t.ends == Ends::Muscle)
                || s.sides.iter().any(|side| side.ends() == Ends::Muscle)
        };
        match self.stretches.iter().any(muscle) {
            true => Ends::Muscle,
            false => Ends::Skin,
        }
    }

    /// Every stretch, with those of side branches after the one they spring from.
    pub fn walk<'c>(&'c self, each: &mut impl FnMut(&'c Course, &'c Stretch)) {
        for stretch in &self.stretches {
            each(self, stretch);
            for side in &stretch.sides {
                side.walk(each);
            }
        }
    }
}

/// With `folded`, nerves that spring from it are named alone: the first stretch and what they give.
pub fn course(
    model: &Model,
    nerve: usize,
    lesion: Option<&Lesion>,
    style: &FigureStyle,
    folded: bool,
) -> Course {
    let mut stretches: Vec<Stretch> = Vec::new();
    let segments = model.nerves.get(nerve).map_or(&[][..], |n| &n.segments);
    for &segment in segments {
        let leaving = |ends: Ends, label: &str, supply: &Supply| {
            twig((ends, label), supply, segment, lesion, style)
        };
        let muscles = model.muscles.iter().filter_map(|m| {
            let twig = leaving(Ends::Muscle, &m.label, &m.supply)?;
            Some((m.spoken.as_str(), twig))
        });
        let mut twigs = as_one(muscles);
        let areas = model.skin.iter();
        twigs.extend(
            areas
                .filter(|s| s.kind == SkinKind::Peripheral)
                .filter_map(|s| {
                    let name = bare(&s.label, &s.nerve_label);
                    let label = style.say("fig_nerve_skin", &[("area", name)]);
                    leaving(Ends::Skin, &label, &s.supply)
                }),
        );
        let sides = model
            .nerves
            .iter()
            .enumerate()
            .filter(|(n, other)| {
                *n != nerve
                    && other
                        .segments
                        .first()
                        .is_some_and(|&f| model.segments[f].from.contains(&segment))
            })
            .map(|(n, _)| match folded {
                true => named_alone(model, n, lesion),
                false => course(model, n, lesion, style, false),
            })
            .collect();
        stretches.push(Stretch {
            segment,
            level: model.segments[segment].level.clone(),
            cut: lesion.is_some_and(|l| l.set.contains(segment)),
            twigs,
            sides,
        });
    }
    Course {
        nerve,
        stretches,
        gives: Vec::new(),
    }
}

fn named_alone(model: &Model, nerve: usize, lesion: Option<&Lesion>) -> Course {
    let segments = &model.nerves[nerve].segments;
    let springs = |other: &Nerve| {
        let first = other.segments.first();
        first.is_some_and(|&f| {
            let from = &model.segments[f].from;
            !segments.contains(&f) && from.iter().any(|s| segments.contains(s))
        })
    };
    let first = segments.first().map(|&segment| Stretch {
        segment,
        level: model.segments[segment].level.clone(),
        cut: lesion.is_some_and(|l| l.set.contains(segment)),
        twigs: Vec::new(),
        sides: Vec::new(),
    });
    Course {
        nerve,
        stretches: first.into_iter().collect(),
        gives: (0..model.nerves.len())
            .filter(|&n| springs(&model.nerves[n]))
            .collect(),
    }
}

/// Muscles that one speaks of as one (heads of a muscle, interossei) and that share one fate are one row.
fn as_one<'m>(muscles: impl Iterator<Item = (&'m str, Twig)>) -> Vec<Twig> {
    let mut rows: Vec<(&str, Twig)> = Vec::new();
    for (spoken, twig) in muscles {
        let same = |row: &&mut (&str, Twig)| row.0 == spoken && row.1.fate == twig.fate;
        match rows.iter_mut().find(same) {
            Some((_, row)) => row.text = capital(spoken),
            None => rows.push((spoken, twig)),
        }
    }
    rows.into_iter().map(|(_, twig)| twig).collect()
}

/// The branch that leaves here for this structure, if there is one.
fn twig(
    (ends, label): (Ends, &str),
    supply: &Supply,
    segment: SegmentIx,
    lesion: Option<&Lesion>,
    style: &FigureStyle,
) -> Option<Twig> {
    let own: Vec<_> = supply
        .usual()
        .iter()
        .filter(|f| f.leaves == segment)
        .cloned()
        .collect();
    if own.is_empty() {
        return None;
    }
    let share: f64 = own.iter().map(|f| f.weight).sum();
    // Below this the structure has another nerve too that matters at the bedside.
    let text = if share < 0.9 {
        style.say("fig_nerve_in_part", &[("branch", label)])
    } else {
        label.to_string()
    };
    Some(Twig {
        ends,
        text,
        fate: fate(lost_on_the_way(&own, lesion)),
    })
}
