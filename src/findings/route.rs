//! Turns the route of a structure's fibres and the cuts on it into a clause: why they arrive, or why they do not.

use super::share::{Fixed, passing};
use super::{Finding, State};
use crate::anatomy::{Fibres, Model, Supply};
use crate::lesion::{Cut, Lesion};

pub(super) fn row<'s>(supply: &'s Supply, fixed: &[Fixed]) -> &'s [Fibres] {
    let row: usize = supply
        .variants
        .iter()
        .filter_map(|c| {
            let (_, a) = fixed.iter().find(|(v, _)| *v == c.variant)?;
            Some(c.way.get(*a)? * c.stride)
        })
        .sum();
    supply.table.get(row).map_or(&[], Vec::as_slice)
}

pub(super) fn of_supply(
    model: &Model,
    lesion: &Lesion,
    fixed: &[Fixed],
    finding: &Finding,
    supply: &Supply,
    nerve_label: &str,
    leaves: &str,
) -> String {
    let fibres = row(supply, fixed);
    let share = passing(fibres, lesion);
    let usual = if share > 1.0 - 1e-9 {
        spared(model, lesion, fibres, nerve_label, leaves)
    } else {
        cut(model, lesion, fibres, share, nerve_label, leaves)
    };
    if finding.state != State::Variable {
        return usual;
    }
    match decisive_variant(model, lesion, fixed, supply, share) {
        Some(text) => format!("{usual}; {text}"),
        None => format!("{usual}; sources do not agree on how much that matters"),
    }
}

/// Why fibres pass untouched.
fn spared(
    model: &Model,
    lesion: &Lesion,
    fibres: &[Fibres],
    nerve_label: &str,
    leaves: &str,
) -> String {
    let Some(main) = heaviest(fibres) else {
        return "such a limb does not have it".to_string();
    };
    let leaf = &model.segments[main.leaves];
    let trunkward = |c: &&Cut| model.segments[c.segment].kind.named;
    // Same nerve, further up.
    for c in lesion.cuts.iter().filter(trunkward) {
        let at = &model.segments[c.segment];
        if at.nerve == leaf.nerve && leaf.order < at.order {
            return format!(
                "{leaves} the {} {}, above the lesion",
                leaf.nerve_label, leaf.level
            );
        }
    }
    // Another nerve that parted from the injured one above the lesion.
    for c in lesion.cuts.iter().filter(trunkward) {
        let at = &model.segments[c.segment];
        let parting = main
            .path
            .iter()
            .map(|s| &model.segments[s])
            .filter(|s| s.nerve == at.nerve && s.kind.named && s.order < at.order)
            .max_by_key(|s| s.order);
        if let Some(parting) = parting {
            return format!(
                "the {} leaves the {} {}, above the lesion",
                leaf.nerve_label, parting.nerve_label, parting.level
            );
        }
    }
    // The lesion lies beyond, on a branch of the nerve that supplies it.
    for c in lesion.cuts.iter().filter(trunkward) {
        let mut up = vec![c.segment];
        while let Some(s) = up.pop() {
            if s == main.leaves {
                return format!(
                    "{leaves} the {} {}, above the lesion",
                    leaf.nerve_label, leaf.level
                );
            }
            up.extend(
                model.segments[s]
                    .from
                    .iter()
                    .copied()
                    .filter(|p| model.segments[*p].kind.named),
            );
        }
    }
    let roots = root_names(model, fibres.iter());
    let outermost = model.outermost();
    let plural = outermost.map_or("", |k| k.plural.as_str());
    let last = main
        .path
        .iter()
        .map(|s| &model.segments[s])
        .find(|s| outermost.is_some_and(|k| k.kind == s.kind));
    let in_plexus = lesion.cuts.iter().any(|c| {
        let kind = model.segments[c.segment].kind;
        kind.plexus && !kind.radicular
    });
    if lesion.radicular(model) {
        let early = lesion.cuts.iter().find(|c| {
            !model.segments[c.segment].kind.root
                && model.segments[c.segment]
                    .from
                    .iter()
                    .any(|p| fibres.iter().any(|f| f.path.contains(*p)))
        });
        return match early {
            Some(c) => format!(
                "the {} leaves the {}, above the {}",
                leaf.nerve_label,
                roots_word(model),
                model.segments[c.segment].label
            ),
            None => format!("its fibres come from {roots}"),
        };
    }
    match last {
        Some(last) if in_plexus => format!("its fibres run through the {}", last.label),
        _ if in_plexus => format!(
            "supplied by the {}, which leaves above the {plural}",
            leaf.nerve_label
        ),
        _ => format!(
            "supplied by the {}",
            plain_nerve(nerve_label, &leaf.nerve_label)
        ),
    }
}

/// "roots".
fn roots_word(model: &Model) -> &str {
    let root = model.kinds.iter().rfind(|k| k.kind.root);
    root.map_or("", |k| k.plural.as_str())
}

/// Why fibres are lost, wholly or in part.
fn cut(
    model: &Model,
    lesion: &Lesion,
    fibres: &[Fibres],
    share: f64,
    nerve_label: &str,
    leaves: &str,
) -> String {
    let hit: Vec<(&Fibres, &Cut)> = fibres
        .iter()
        .filter_map(|f| {
            let c = lesion.cuts.iter().find(|c| {
                f.path.contains(c.segment) && (c.roots.is_empty() || c.roots.contains(&f.root))
            })?;
            Some((f, c))
        })
        .collect();
    let Some((main, c)) = hit.iter().max_by(|a, b| a.0.weight.total_cmp(&b.0.weight)) else {
        return format!("supplied by the {}", plain_nerve(nerve_label, ""));
    };
    let leaf = &model.segments[main.leaves];
    let at = &model.segments[c.segment];
    let percent = ((1.0 - share) * 100.0).round();
    let roots = root_names(model, hit.iter().map(|(f, _)| *f));
    if at.kind.root && share > 0.02 {
        return format!(
            "{roots} {} about {percent:.0} % of its fibres",
            if roots.contains(' ') {
                "carry"
            } else {
                "carries"
            }
        );
    }
    if at.kind.root {
        return format!("all its fibres come from {roots}");
    }
    let place = match at.kind.named {
        true if leaf.nerve == at.nerve && main.leaves == c.segment => {
            format!(
                "{leaves} the {} {}, at the lesion",
                leaf.nerve_label, leaf.level
            )
        }
        true if leaf.nerve == at.nerve => {
            format!(
                "{leaves} the {} {}, beyond the lesion",
                leaf.nerve_label, leaf.level
            )
        }
        true => {
            format!(
                "the {} comes off the {} beyond the lesion",
                leaf.nerve_label, at.nerve_label
            )
        }
        false => format!(
            "its fibres pass the {} on their way to the {}",
            at.label, leaf.nerve_label
        ),
    };
    let partial = hit.iter().all(|(_, c)| c.passes > 0.0);
    if partial {
        format!(
            "{place}; the lesion lets about {:.0} % of its fibres through",
            share * 100.0
        )
    } else if !c.roots.is_empty() {
        format!(
            "{place}, and {roots} {} about {percent:.0} % of its fibres",
            if roots.contains(' ') {
                "carry"
            } else {
                "carries"
            }
        )
    } else if share > 0.02 {
        format!(
            "{place}; about {:.0} % of its fibres come another way",
            share * 100.0
        )
    } else {
        place
    }
}

/// The variant that changes most what arrives, in words.
fn decisive_variant(
    model: &Model,
    lesion: &Lesion,
    fixed: &[Fixed],
    supply: &Supply,
    usual: f64,
) -> Option<String> {
    let mut best: Option<(f64, String)> = None;
    for choice in supply
        .variants
        .iter()
        .filter(|c| !fixed.iter().any(|(v, _)| *v == c.variant))
    {
        let variant = &model.variants[choice.variant];
        for (a, alternative) in variant.alternatives.iter().enumerate().skip(1) {
            let way = choice.way.get(a).copied().unwrap_or(0);
            let Some(fibres) = supply.table.get(way * choice.stride) else {
                continue;
            };
            let effect = (passing(fibres, lesion) - usual).abs() * alternative.prevalence;
            if way == 0 || effect < 0.02 || best.as_ref().is_some_and(|(b, _)| *b >= effect) {
                continue;
            }
            let text = if variant.anatomical {
                format!(
                    "but about {:.0} % of limbs have {}",
                    alternative.prevalence * 100.0,
                    alternative.label
                )
            } else {
                format!("but some sources describe {}", alternative.label)
            };
            best = Some((effect, text));
        }
    }
    best.map(|(_, text)| text)
}

pub(super) fn heaviest(fibres: &[Fibres]) -> Option<&Fibres> {
    fibres.iter().max_by(|a, b| a.weight.total_cmp(&b.weight))
}

pub(super) fn root_names<'f>(model: &Model, fibres: impl Iterator<Item = &'f Fibres>) -> String {
    let mut roots: Vec<usize> = fibres.map(|f| f.root).collect();
    roots.sort_unstable();
    roots.dedup();
    let names: Vec<String> = roots.iter().map(|&r| model.root_names[r].clone()).collect();
    join_and(&names)
}

/// The nerve by the structure's own label unless that label is no single nerve.
pub(super) fn plain_nerve<'l>(label: &'l str, leaf: &'l str) -> &'l str {
    if leaf.is_empty() || (label.contains("nerve") && !label.contains('(') && !label.contains(','))
    {
        label
    } else {
        leaf
    }
}

/// "a", "a and b", "a, b and c".
pub fn join_and(names: &[String]) -> String {
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => names.concat(),
    }
}
