//! Turns a topic into a table of what the model knows of it.

use super::args::{ListArgs, Topic};
use super::{content, drawn_from, print};
use crate::anatomy::{self, Kind, Model, Structure};
use crate::diagnostic::Failure;
use crate::files::Content;
use crate::localise;
use crate::station::{self, LEVELS};
use std::collections::BTreeSet;

pub fn run(args: &ListArgs) -> Result<String, Failure> {
    let content = content(&args.shared)?;
    if let Some(rows) = of_the_content(&content, args.topic)? {
        return Ok(print::columns(&rows));
    }
    let mut rows = Vec::new();
    for region in drawn_from(&content, &args.shared)? {
        let model = anatomy::load_undrawn(&content, &region)?;
        rows.extend(match args.topic {
            Topic::Operations => operations(&content, &model)?,
            topic => of_a_limb(&model, topic),
        });
    }
    // What several limbs share is said once.
    let mut seen = BTreeSet::new();
    rows.retain(|row: &Vec<String>| seen.insert(row.clone()));
    Ok(print::columns(&rows))
}

/// What a limb's model knows of a topic.
fn of_a_limb(model: &Model, topic: Topic) -> Vec<Vec<String>> {
    match topic {
        Topic::Sites => model
            .sites
            .iter()
            .map(|x| row(&[&x.id, &x.label, &x.synonyms.join("; ")]))
            .collect(),
        Topic::Segments => model
            .segments
            .iter()
            .map(|x| {
                let from: Vec<&str> = x
                    .from
                    .iter()
                    .map(|&f| model.segments[f].id.as_str())
                    .collect();
                row(&[
                    &x.id,
                    &x.label,
                    &format!(
                        "from {}",
                        if from.is_empty() {
                            "the cord".to_string()
                        } else {
                            from.join(", ")
                        }
                    ),
                ])
            })
            .collect(),
        Topic::Muscles => structures(model, Kind::Muscle, |s| {
            vec![model.label(s).into(), roots(model, s), nerve(model, s)]
        }),
        Topic::Movements => model
            .movements
            .iter()
            .map(|x| {
                let shares: Vec<String> = x
                    .shares
                    .iter()
                    .map(|(m, w)| format!("{} {:.0} %", model.muscles[*m].id, w * 100.0))
                    .collect();
                row(&[&x.id, &x.label, &shares.join(", ")])
            })
            .collect(),
        Topic::Skin => structures(model, Kind::Skin, |s| {
            vec![model.plain(s).into(), roots(model, s), nerve(model, s)]
        }),
        Topic::Reflexes => structures(model, Kind::Reflex, |s| {
            vec![model.label(s).into(), roots(model, s)]
        }),
        Topic::Signs => structures(model, Kind::Sign, |s| {
            vec![model.label(s).into(), model.test(s).into()]
        }),
        Topic::Variants => model
            .variants
            .iter()
            .flat_map(|v| {
                v.alternatives.iter().map(|a| {
                    row(&[
                        &format!("{}={}", v.id, a.id),
                        &format!("{:.1} %", a.prevalence * 100.0),
                        &a.label,
                    ])
                })
            })
            .collect(),
        Topic::Lookalikes => lookalikes(model),
        Topic::Sources => model
            .sources
            .iter()
            .map(|(code, text)| row(&[code, text]))
            .collect(),
        Topic::Levels | Topic::Circuits | Topic::Kinds | Topic::Operations => Vec::new(),
    }
}

/// What the content says of a topic that no limb has a word on.
fn of_the_content(content: &Content, topic: Topic) -> Result<Option<Vec<Vec<String>>>, Failure> {
    Ok(Some(match topic {
        Topic::Levels => LEVELS
            .iter()
            .map(|&l| {
                let minutes = station::default_minutes(l);
                row(&[
                    station::level_id(l),
                    &format!("level {} of {}", station::level_number(l), LEVELS.len()),
                    &format!("{minutes} minutes"),
                ])
            })
            .collect(),
        Topic::Circuits => content
            .under("circuits/")
            .map(|s| {
                let stem = s
                    .name
                    .trim_start_matches("circuits/")
                    .trim_end_matches(".yaml");
                let title = s.text.lines().find_map(|l| l.strip_prefix("title:"));
                row(&[stem, title.unwrap_or_default().trim()])
            })
            .collect(),
        Topic::Kinds => station::kinds(content, &crate::teaching::families(content)?)?
            .iter()
            .map(|k| row(&[&k.id, &k.label, &k.synonyms.join("; ")]))
            .collect(),
        _ => return Ok(None),
    }))
}

/// Operation or fracture, the site that is injured when it goes wrong, what the candidate is told.
fn operations(content: &Content, model: &Model) -> Result<Vec<Vec<String>>, Failure> {
    let all = crate::teaching::approaches(content, model)?;
    Ok(all
        .iter()
        .map(|a| row(&[&a.id, &a.site, &a.told]))
        .collect())
}

/// One row a structure: its id, then `cells`.
fn structures(
    model: &Model,
    kind: Kind,
    cells: impl Fn(Structure) -> Vec<String>,
) -> Vec<Vec<String>> {
    model
        .structures(kind)
        .map(|s| [vec![model.id(s).to_string()], cells(s)].concat())
        .collect()
}

fn nerve(model: &Model, s: Structure) -> String {
    model.nerve_label(s).unwrap_or_default().to_string()
}

fn row(cells: &[&str]) -> Vec<String> {
    cells.iter().map(|c| (*c).to_string()).collect()
}

/// "C5 25, C6 65, C7 10": the share of each root in percent.
fn roots(model: &Model, s: Structure) -> String {
    let mut shares = model.root_shares(s);
    shares.sort_by_key(|(root, _)| *root);
    let words: Vec<String> = shares
        .iter()
        .map(|(r, share)| format!("{} {:.0}", model.roots[*r], share * 100.0))
        .collect();
    words.join(", ")
}

/// Site, what looks like it, what beyond the bedside decides.
fn lookalikes(model: &Model) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for l in localise::lookalikes(model) {
        for (other, beyond) in l.alike.iter().zip(&l.beyond) {
            let names: Vec<String> = beyond.iter().map(|s| localise::name(model, *s)).collect();
            let decides = if names.is_empty() {
                "nothing in the model".to_string()
            } else {
                names.join(", ")
            };
            rows.push(vec![
                model.sites[l.site].id.clone(),
                model.sites[*other].id.clone(),
                decides,
            ]);
        }
    }
    rows
}
