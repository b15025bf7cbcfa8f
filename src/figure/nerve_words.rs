//! What does the picture of a nerve say in words? Its title, where the nerve comes from, and the alternative text.

use super::Kind;
use super::fibres::{Fate, Loss, fate};
use super::figure_style::FigureStyle;
use super::nerve_rows::{Course, Stretch};
use crate::anatomy::Model;
use crate::lesion::Lesion;
use crate::wording::capital;

/// What the picture is of: the nerve, or what several nerves are bound in.
fn label<'m>(model: &'m Model, courses: &[Course]) -> &'m str {
    let nerve = courses.first().and_then(|c| model.nerves.get(c.nerve));
    let sheath = nerve.and_then(|n| n.bound_in.as_deref());
    sheath
        .filter(|_| courses.len() > 1)
        .or(nerve.map(|n| n.label.as_str()))
        .unwrap_or_default()
}

pub fn title(
    model: &Model,
    courses: &[Course],
    lesion: Option<&Lesion>,
    kind: Kind,
    style: &FigureStyle,
) -> String {
    let nerve = capital(label(model, courses));
    let nerve = ("nerve", nerve.as_str());
    match lesion {
        Some(lesion) => style.say(
            "fig_nerve_title_lesion",
            &[nerve, ("lesion", &lesion.sentence())],
        ),
        None if kind == Kind::Blank => style.say("fig_nerve_title_blank", &[nerve]),
        None => style.say("fig_nerve_title", &[nerve]),
    }
}

/// "the lateral root of the median nerve", one for each segment the first stretch continues.
pub fn origins(model: &Model, first: &Stretch, style: &FigureStyle) -> Vec<String> {
    model.segments[first.segment]
        .from
        .iter()
        .filter(|&&f| !model.segments[f].only_in_variant)
        .map(|&f| style.say("fig_the", &[("thing", &model.segments[f].label)]))
        .collect()
}

/// "the sural nerve", for each of these positions in `Model::nerves`.
pub fn the_nerves(model: &Model, nerves: &[usize], style: &FigureStyle) -> Vec<String> {
    let the = |&n: &usize| style.say("fig_the", &[("thing", &model.nerves[n].label)]);
    nerves.iter().map(the).collect()
}

pub fn alt(
    model: &Model,
    courses: &[Course],
    loss: &Loss,
    lesion: Option<&Lesion>,
    blank: bool,
    style: &FigureStyle,
) -> String {
    let mut twigs = 0;
    let mut all = Vec::new();
    let mut harmed: Vec<(Fate, String)> = Vec::new();
    for course in courses {
        let from = course.stretches.first();
        let from = from.map(|first| style.list(&origins(model, first, style)));
        let nerve = ("nerve", model.nerves[course.nerve].label.as_str());
        let from = ("origins", &*from.unwrap_or_default());
        all.push(style.say("fig_nerve_alt", &[nerve, from]));
        course.walk(&mut |own, stretch| {
            twigs += stretch.twigs.len();
            harmed.extend(stretch.twigs.iter().map(|t| (t.fate, t.text.clone())));
            let nerve = capital(&model.nerves[own.nerve].label);
            let nerve = ("nerve", nerve.as_str());
            let mut names: Vec<String> = stretch.twigs.iter().map(|t| t.text.clone()).collect();
            let sides: Vec<usize> = stretch.sides.iter().map(|s| s.nerve).collect();
            names.extend(the_nerves(model, &sides, style));
            if !names.is_empty() {
                let (level, branches) = (("level", &*stretch.level), &style.list(&names));
                all.push(style.say(
                    "fig_nerve_alt_level",
                    &[nerve, level, ("branches", branches)],
                ));
            }
            if !own.gives.is_empty() {
                // Named alone: what becomes of its branches is said of itself.
                harmed.extend(
                    the_nerves(model, &[own.nerve], style)
                        .into_iter()
                        .map(|name| (fate(loss.after[stretch.segment]), name)),
                );
                let branches = style.list(&the_nerves(model, &own.gives, style));
                all.push(style.say("fig_nerve_alt_gives", &[nerve, ("branches", &branches)]));
            }
        });
    }
    if blank {
        let nerve = ("nerve", label(model, courses));
        return style.say(
            "fig_nerve_alt_blank",
            &[nerve, ("branches", &twigs.to_string())],
        );
    }
    if let Some(lesion) = lesion {
        all.push(style.say("fig_alt_marked", &[("lesion", &lesion.sentence())]));
        for (state, key) in [
            (Fate::Cut, "fig_nerve_alt_cut"),
            (Fate::Part, "fig_nerve_alt_part"),
        ] {
            let names = harmed.iter().filter(|h| h.0 == state);
            let names: Vec<String> = names.map(|h| h.1.clone()).collect();
            if !names.is_empty() {
                all.push(style.say(key, &[("branches", &style.list(&names))]));
            }
        }
    }
    all.join(" ")
}
