//! Turns the nerve that a picture shows into its title and its alternative text.

use super::Kind;
use super::fibres::Fate;
use super::figure_style::FigureStyle;
use super::nerve_rows::{Course, Stretch};
use crate::anatomy::Model;
use crate::findings::join_and;
use crate::lesion::Lesion;
use crate::station::capital;

pub fn title(
    model: &Model,
    course: &Course,
    lesion: Option<&Lesion>,
    kind: Kind,
    style: &FigureStyle,
) -> String {
    let nerve = capital(&model.nerves[course.nerve].label);
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
pub fn origins(model: &Model, first: &Stretch) -> Vec<String> {
    model.segments[first.segment]
        .from
        .iter()
        .filter(|&&f| !model.segments[f].only_in_variant)
        .map(|&f| format!("the {}", model.segments[f].label))
        .collect()
}

pub fn alt(
    model: &Model,
    course: &Course,
    lesion: Option<&Lesion>,
    blank: bool,
    style: &FigureStyle,
) -> String {
    let label = &model.nerves[course.nerve].label;
    let mut twigs = 0;
    let mut sentences = Vec::new();
    let mut cut: Vec<String> = Vec::new();
    let mut part: Vec<String> = Vec::new();
    course.walk(&mut |own, stretch| {
        twigs += stretch.twigs.len();
        for twig in &stretch.twigs {
            match twig.fate {
                Fate::Cut => cut.push(twig.text.clone()),
                Fate::Part => part.push(twig.text.clone()),
                Fate::Whole => {}
            }
        }
        let mut names: Vec<String> = stretch.twigs.iter().map(|t| t.text.clone()).collect();
        names.extend(
            stretch
                .sides
                .iter()
                .map(|s| format!("the {}", model.nerves[s.nerve].label)),
        );
        if !names.is_empty() {
            sentences.push(style.say(
                "fig_nerve_alt_level",
                &[
                    ("nerve", &capital(&model.nerves[own.nerve].label)),
                    ("level", &stretch.level),
                    ("branches", &join_and(&names)),
                ],
            ));
        }
    });
    if blank {
        return style.say(
            "fig_nerve_alt_blank",
            &[("nerve", label), ("branches", &twigs.to_string())],
        );
    }
    let from = course
        .stretches
        .first()
        .map(|first| join_and(&origins(model, first)))
        .unwrap_or_default();
    let mut all = vec![style.say("fig_nerve_alt", &[("nerve", label), ("origins", &from)])];
    all.extend(sentences);
    if let Some(lesion) = lesion {
        all.push(style.say("fig_alt_marked", &[("lesion", &lesion.sentence())]));
        for (names, key) in [(cut, "fig_nerve_alt_cut"), (part, "fig_nerve_alt_part")] {
            if !names.is_empty() {
                all.push(style.say(key, &[("branches", &join_and(&names))]));
            }
        }
    }
    all.join(" ")
}
