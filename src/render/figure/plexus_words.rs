//! Turns the plexus that a picture shows into its title and its alternative text.

use super::fibres::{Fate, Loss, fate};
use super::plexus_layout::Places;

use crate::anatomy::{Model, SegmentIx, SegmentKind};
use crate::findings::join_and;
use crate::lesion::Lesion;
use crate::station::capital;

pub fn title(model: &Model, lesion: Option<&Lesion>, blank: bool) -> String {
    match lesion {
        Some(lesion) => format!("Plexus of the {}: {}", model.label, lesion.sentence()),
        None if blank => format!("Plexus of the {}, to be labelled", model.label),
        None => format!("Plexus of the {}", model.label),
    }
}

pub fn alt(
    model: &Model,
    places: &Places,
    loss: &Loss,
    lesion: Option<&Lesion>,
    blank: bool,
) -> String {
    let of_kind = |kind: SegmentKind| -> Vec<SegmentIx> {
        places
            .bars
            .keys()
            .chain(places.slants.keys())
            .copied()
            .filter(|&s| model.segments[s].kind == kind)
            .collect()
    };
    let roots = of_kind(SegmentKind::Root);
    if blank {
        return format!(
            "Unlabelled schematic of the plexus of the {}: {} roots on the left, {} trunks, {} divisions and {} cords, \
             and {} branches on the right, with an empty box for each root, trunk, cord and branch and for the name of \
             each column.",
            model.label,
            roots.len(),
            of_kind(SegmentKind::Trunk).len(),
            of_kind(SegmentKind::Division).len(),
            places
                .bars
                .keys()
                .filter(|&&s| model.segments[s].kind == SegmentKind::Cord)
                .count(),
            places.branches.len()
        );
    }
    let label = |s: SegmentIx| model.segments[s].label.clone();
    let mut text = format!(
        "Schematic of the plexus of the {}, from the roots on the left to the branches on the right.",
        model.label
    );
    for kind in [SegmentKind::Trunk, SegmentKind::Cord] {
        for s in of_kind(kind) {
            let from: Vec<String> = model.segments[s]
                .from
                .iter()
                .filter(|&&f| places.bars.contains_key(&f))
                .map(|&f| format!("the {}", label(f)))
                .collect();
            text.push_str(&format!(
                " The {} comes from {}.",
                label(s),
                join_and(&from)
            ));
        }
    }
    for branch in &places.branches {
        let from: Vec<String> = branch
            .exits
            .iter()
            .map(|&(f, _)| format!("the {}", label(f)))
            .collect();
        let name = &model.nerves[branch.nerve].label;
        text.push_str(&format!(" {} from {}.", capital(name), join_and(&from)));
    }
    let Some(lesion) = lesion else {
        return text;
    };
    text.push_str(&format!(" Marked: {}.", lesion.sentence()));
    for (state, words) in [
        (Fate::Cut, "All fibres are cut off in"),
        (Fate::Part, "Part of the fibres are cut off in"),
    ] {
        let mut names: Vec<String> = places
            .bars
            .keys()
            .chain(places.slants.keys())
            .filter(|&&s| fate(loss.after[s]) == state)
            .map(|&s| format!("the {}", label(s)))
            .collect();
        for branch in &places.branches {
            let nerve = &model.nerves[branch.nerve];
            let worst = |wanted: Fate| {
                nerve
                    .segments
                    .iter()
                    .any(|&s| fate(loss.after[s]) == wanted)
            };
            let begins = nerve
                .segments
                .first()
                .is_some_and(|&s| fate(loss.after[s]) == state);
            if begins {
                names.push(format!("the {}", nerve.label));
            } else if worst(state) && !(state == Fate::Part && worst(Fate::Cut)) {
                names.push(format!("the further course of the {}", nerve.label));
            }
        }
        if !names.is_empty() {
            text.push_str(&format!(" {words} {}.", join_and(&names)));
        }
    }
    text
}
