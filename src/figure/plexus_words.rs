//! Turns the plexus that a picture shows into its title and its alternative text.

use super::fibres::{Fate, Loss, fate};
use super::figure_style::FigureStyle;
use super::plexus_layout::Places;

use crate::anatomy::{Model, SegmentIx, SegmentKind};
use crate::findings::join_and;
use crate::lesion::Lesion;
use crate::station::capital;

pub fn title(model: &Model, lesion: Option<&Lesion>, blank: bool, style: &FigureStyle) -> String {
    let region = ("region", model.label.as_str());
    match lesion {
        Some(lesion) => style.say(
            "fig_plexus_title_lesion",
            &[region, ("lesion", &lesion.sentence())],
        ),
        None if blank => style.say("fig_plexus_title_blank", &[region]),
        None => style.say("fig_plexus_title", &[region]),
    }
}

pub fn alt(
    model: &Model,
    places: &Places,
    loss: &Loss,
    lesion: Option<&Lesion>,
    blank: bool,
    style: &FigureStyle,
) -> String {
    let drawn = || places.bars.keys().chain(places.slants.keys()).copied();
    let of_kind = |kind: SegmentKind| -> Vec<SegmentIx> {
        drawn()
            .filter(|&s| model.segments[s].kind == kind)
            .collect()
    };
    if blank {
        // The cords that spring from cords have no box of their own.
        let boxed = |kind: SegmentKind| {
            let bars = places.bars.keys();
            let count = bars.filter(|&&s| model.segments[s].kind == kind).count();
            count.to_string()
        };
        return style.say(
            "fig_plexus_alt_blank",
            &[
                ("region", &model.label),
                ("roots", &boxed(SegmentKind::Root)),
                ("trunks", &boxed(SegmentKind::Trunk)),
                ("divisions", &boxed(SegmentKind::Division)),
                ("cords", &boxed(SegmentKind::Cord)),
                ("branches", &places.branches.len().to_string()),
            ],
        );
    }
    let the = |s: SegmentIx| format!("the {}", model.segments[s].label);
    let mut all = vec![style.say("fig_plexus_alt", &[("region", &model.label)])];
    for kind in [SegmentKind::Trunk, SegmentKind::Cord] {
        for s in of_kind(kind) {
            let from: Vec<String> = model.segments[s]
                .from
                .iter()
                .filter(|&&f| places.bars.contains_key(&f))
                .map(|&f| the(f))
                .collect();
            all.push(style.say(
                "fig_plexus_alt_stretch",
                &[
                    ("stretch", &model.segments[s].label),
                    ("origins", &join_and(&from)),
                ],
            ));
        }
    }
    for branch in &places.branches {
        let from: Vec<String> = branch.exits.iter().map(|&(f, _)| the(f)).collect();
        all.push(style.say(
            "fig_plexus_alt_branch",
            &[
                ("nerve", &capital(&model.nerves[branch.nerve].label)),
                ("origins", &join_and(&from)),
            ],
        ));
    }
    let Some(lesion) = lesion else {
        return all.join(" ");
    };
    all.push(style.say("fig_alt_marked", &[("lesion", &lesion.sentence())]));
    for (state, key) in [
        (Fate::Cut, "fig_plexus_alt_cut"),
        (Fate::Part, "fig_plexus_alt_part"),
    ] {
        let mut names: Vec<String> = drawn()
            .filter(|&s| fate(loss.after[s]) == state)
            .map(the)
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
                names.push(style.say("fig_plexus_alt_further", &[("nerve", &nerve.label)]));
            }
        }
        if !names.is_empty() {
            all.push(style.say(key, &[("places", &join_and(&names))]));
        }
    }
    all.join(" ")
}
