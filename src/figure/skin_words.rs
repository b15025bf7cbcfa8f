//! Turns the charts of a region and the findings in skin into the title, the key and the alternative text of a picture.

use super::Kind;
use super::skin::{Map, Shade, Subject};
use super::strokes::Sample;
use crate::findings::join_and;

const SHADES: [(Shade, &str, &str); 3] = [
    (Shade::Lost, "fig_key_lost", "fig_skin_alt_lost"),
    (Shade::Reduced, "fig_key_reduced", "fig_skin_alt_reduced"),
    (Shade::Variable, "fig_key_variable", "fig_skin_alt_variable"),
];

pub fn title(subject: &Subject<'_>) -> String {
    let key = match (subject.kind, subject.map) {
        (Kind::Blank, _) => "fig_skin_title_blank",
        (Kind::Plain, Map::Peripheral) => "fig_skin_title_nerves",
        (Kind::Plain, Map::Dermatome) => "fig_skin_title_dermatomes",
        (Kind::Lesion, Map::Peripheral) => "fig_skin_title_lost_nerves",
        (Kind::Lesion, Map::Dermatome) => "fig_skin_title_lost_dermatomes",
    };
    let (side, region) = (subject.side_word(), &subject.model.label);
    subject
        .style
        .say(key, &[("side", &side), ("region", region)])
}

/// Samples of what is drawn, with their words.
pub fn key(subject: &Subject<'_>) -> Vec<(Sample, String)> {
    let say = |key: &str, values: &[(&str, &str)]| subject.style.say(key, values);
    let mut entries = Vec::new();
    if subject.kind == Kind::Lesion {
        for (shade, key, _) in SHADES {
            entries.push((Sample::Hatch(shade), say(key, &[])));
        }
        for i in 0..subject.model.skin.len() {
            let views = subject.model.charts.views.iter();
            let drawn = views.flat_map(|v| &v.regions).any(|r| r.skin == i);
            let shade = subject.shade_of(i);
            if let Some(shade) = shade.filter(|_| subject.on_map(i) && !drawn) {
                let words = say("fig_key_not_drawn", &[("area", &subject.name(i))]);
                entries.push((Sample::Hatch(shade), words));
            }
        }
    }
    if !patches(subject).is_empty() {
        entries.push((Sample::Patch, say("fig_key_patch", &[])));
    }
    entries
}

/// The areas of which a patch is drawn, in the model's order.
fn patches(subject: &Subject<'_>) -> Vec<usize> {
    let views = &subject.model.charts.views;
    (0..subject.model.skin.len())
        .filter(|&i| subject.shows_patches() && subject.on_map(i))
        .filter(|&i| views.iter().flat_map(|v| &v.patches).any(|p| p.0 == i))
        .collect()
}

pub fn alt(subject: &Subject<'_>) -> String {
    let model = subject.model;
    let say = |key: &str, values: &[(&str, &str)]| subject.style.say(key, values);
    let views: Vec<String> = model.charts.views.iter().map(|v| v.label.clone()).collect();
    let mut all = vec![say(
        "fig_skin_alt",
        &[
            ("side", &subject.side_word()),
            ("region", &model.label),
            ("views", &join_and(&views)),
        ],
    )];
    if subject.kind == Kind::Blank {
        all.push(say("fig_skin_alt_blank", &[]));
        return all.join(" ");
    }
    let areas = |wanted: Option<Shade>| -> Vec<String> {
        let skin = model.skin.iter().enumerate();
        skin.filter(|(i, _)| subject.on_map(*i) && subject.shade_of(*i) == wanted)
            .map(|(i, area)| format!("{} ({})", subject.name(i), area.region))
            .collect()
    };
    let mut list = |key: &str, names: Vec<String>| {
        if !names.is_empty() {
            all.push(say(key, &[("areas", &names.join("; "))]));
        }
    };
    if subject.kind == Kind::Plain {
        list("fig_skin_alt_areas", areas(None));
    } else {
        for (shade, _, key) in SHADES {
            list(key, areas(Some(shade)));
        }
        list("fig_skin_alt_normal", areas(None));
    }
    let patch = |&i: &usize| {
        let area = model.skin.get(i)?;
        let place = area.autonomous.as_deref().unwrap_or(&area.region);
        Some(format!("{place} ({})", area.nerve_label))
    };
    let named = patches(subject).iter().filter_map(patch).collect();
    list("fig_skin_alt_patches", named);
    all.join(" ")
}
