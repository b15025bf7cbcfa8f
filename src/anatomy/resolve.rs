//! Turns the written entries of a region into the model's own, once the graph stands.

use super::check::{Checker, here};
use super::graph::Graph;
use super::index;
use super::model::{
    Alternative, Charts, Model, Movement, Muscle, Reflex, Site, SkinArea, SkinKind, Variant,
};
use super::raw;
use super::routes::{self, Changes};
use super::signs;
use crate::diagnostic::short;

#[allow(
    clippy::too_many_arguments,
    reason = "one argument a file of the region"
)]
pub fn resolve(
    check: &mut Checker,
    graph: Graph,
    head: (String, String),
    muscles: raw::Muscles,
    movements: raw::Movements,
    skin: raw::Skin,
    reflexes: raw::Reflexes,
    signs: raw::Signs,
    variants: &raw::Variants,
    sites: raw::Sites,
    sources: raw::Sources,
) -> Model {
    let muscle_ids: Vec<String> = muscles.muscles.iter().map(|m| m.id.clone()).collect();
    let skin_ids: Vec<String> = skin.skin.iter().map(|m| m.id.clone()).collect();
    let movement_ids: Vec<String> = movements.movements.iter().map(|m| m.id.clone()).collect();
    let known: Vec<&str> = muscle_ids
        .iter()
        .chain(&skin_ids)
        .map(String::as_str)
        .chain(
            reflexes
                .reflexes
                .iter()
                .map(|r| r.id.as_str())
                .filter(|id| !muscle_ids.iter().any(|m| m == id)),
        )
        .collect();
    let changes = Changes::resolve(check, &graph, variants, &known);
    let supply =
        |check: &mut Checker, file: &str, list: &str, i: usize, id: &str, routes: &[raw::Route]| {
            let path = here![list, i, "supply"];
            if routes.is_empty() {
                check.complain(
                    file,
                    &path,
                    format!("no route reaches `{id}`"),
                    "add `supply: [{via: SEGMENT, roots: {C7: 1}}]`",
                );
            }
            let usual = routes::fibres(check, &graph, file, &path, routes);
            changes.table(check, &graph, file, &path, id, usual)
        };

    let muscles: Vec<Muscle> = muscles
        .muscles
        .into_iter()
        .enumerate()
        .map(|(i, m)| Muscle {
            supply: supply(check, "muscles.yaml", "muscles", i, &m.id, &m.supply),
            testable: bedside(check, i, &m),
            spoken: m.spoken.unwrap_or_else(|| index::small(&m.label)),
            movement: m.movement.and_then(|name| {
                let known = movement_ids.iter().position(|id| *id == name);
                if known.is_none() {
                    let path = here!["muscles", i, "movement"];
                    let ids = movement_ids.iter().map(String::as_str);
                    check.unknown("muscles.yaml", &path, "movement", &name, ids);
                }
                known
            }),
            id: m.id,
            label: m.label,
            synonyms: m.synonyms,
            part: m.part,
            nerve_label: m.nerve_label,
            action: m.action,
            test: m.test,
            isolation: if m.testable { m.isolation } else { 0.0 },
            source: m.source,
        })
        .collect();
    let skin: Vec<SkinArea> = skin
        .skin
        .into_iter()
        .enumerate()
        .map(|(i, s)| {
            check.within(
                "skin.yaml",
                &here!["skin", i, "reliability"],
                "the reliability",
                s.reliability,
                0.0,
                1.0,
            );
            SkinArea {
                supply: supply(check, "skin.yaml", "skin", i, &s.id, &s.supply),
                id: s.id,
                kind: match s.kind {
                    raw::SkinKind::Peripheral => SkinKind::Peripheral,
                    raw::SkinKind::Dermatome => SkinKind::Dermatome,
                },
                label: s.label,
                region: s.region,
                autonomous: s.autonomous,
                nerve_label: s.nerve_label,
                reliability: s.reliability,
                source: s.source,
            }
        })
        .collect();
    let reflexes: Vec<Reflex> = reflexes
        .reflexes
        .into_iter()
        .enumerate()
        .map(|(i, r)| {
            check.within(
                "reflexes.yaml",
                &here!["reflexes", i, "reliability"],
                "the reliability",
                r.reliability,
                0.0,
                1.0,
            );
            let path = here!["reflexes", i, "supply"];
            let usual = routes::fibres(check, &graph, "reflexes.yaml", &path, &r.supply);
            let mut answering = Vec::new();
            for (k, name) in r.muscles.iter().enumerate() {
                match muscle_ids.iter().position(|m| m == name) {
                    Some(m) => answering.push(m),
                    None => check.unknown(
                        "reflexes.yaml",
                        &here!["reflexes", i, "muscles", k],
                        "muscle",
                        name,
                        muscle_ids.iter().map(String::as_str),
                    ),
                }
            }
            Reflex {
                // A reflex shares ids with muscles; variants speak of the muscle, so the arc takes only the shift of the plexus.
                supply: changes.table(
                    check,
                    &graph,
                    "reflexes.yaml",
                    &path,
                    &format!("reflex:{}", r.id),
                    usual,
                ),
                id: r.id,
                label: r.label,
                synonyms: r.synonyms,
                muscles: answering,
                reliability: r.reliability,
                source: r.source,
            }
        })
        .collect();
    let movements: Vec<Movement> = movements
        .movements
        .into_iter()
        .enumerate()
        .map(|(i, m)| Movement {
            helpers: helpers(check, i, &m, &muscle_ids),
            unaided: m.unaided,
            shares: shares(check, i, &m.shares.0, &muscle_ids),
            plain: m.plain.unwrap_or_else(|| m.label.clone()),
            id: m.id,
            label: m.label,
            command: m.command,
            source: m.source,
        })
        .collect();
    let names = signs::Names {
        muscles: muscle_ids.iter().map(String::as_str).collect(),
        movements: movement_ids.iter().map(String::as_str).collect(),
        skin: skin_ids.iter().map(String::as_str).collect(),
    };
    let signs = signs::resolve(check, &graph, &names, signs.signs);
    let variants = variants_of(check, variants);
    let sites = sites_of(check, &graph, sites);
    let mut model = Model {
        region: head.0,
        label: head.1,
        roots: graph.roots,
        segments: graph.segments,
        nerves: graph.nerves,
        muscles,
        movements,
        skin,
        reflexes,
        signs,
        variants,
        sites,
        charts: Charts::default(),
        sources: sources
            .sources
            .into_iter()
            .map(|s| (s.code, format!("{} ({})", s.citation, s.status)))
            .collect(),
        index: Default::default(),
    };
    model.index = index::of(&model);
    model
}

/// Whether a muscle can be tested at the bedside; complains where that and the test do not go together.
fn bedside(check: &mut Checker, i: usize, m: &raw::Muscle) -> bool {
    let words = m.test.trim().to_lowercase();
    if m.testable && (words.is_empty() || words.starts_with("cannot")) {
        check.complain(
            "muscles.yaml",
            &here!["muscles", i, "test"],
            format!("`{}` has no test that can be done", short(&m.id)),
            "say how it is tested, or write `testable: false` and leave `test` out",
        );
    }
    m.testable
}

/// Of the muscles with a share, those that cannot make the movement without the others.
fn helpers(check: &mut Checker, i: usize, m: &raw::Movement, muscles: &[String]) -> Vec<usize> {
    let file = "movements.yaml";
    let path = here!["movements", i, "unaided"];
    check.within(file, &path, "what helpers do alone", m.unaided, 0.0, 1.0);
    let with_share = |name: &&String| m.shares.0.iter().any(|(n, _)| n == *name);
    let mut all = Vec::new();
    for (k, name) in m.helpers.iter().enumerate() {
        match muscles
            .iter()
            .position(|id| id == name)
            .filter(|_| with_share(&name))
        {
            Some(ix) => all.push(ix),
            None => check.unknown(
                file,
                &here!["movements", i, "helpers", k],
                "muscle with a share",
                name,
                m.shares.0.iter().map(|(n, _)| n.as_str()),
            ),
        }
    }
    all
}

fn shares(
    check: &mut Checker,
    i: usize,
    written: &[(String, f64)],
    muscles: &[String],
) -> Vec<(usize, f64)> {
    let mut all = Vec::new();
    let mut total = 0.0;
    for (name, share) in written {
        let path = here!["movements", i, "shares", name.as_str()];
        check.within(
            "movements.yaml",
            &path,
            &format!("the share of `{}`", short(name)),
            *share,
            0.0,
            1.0,
        );
        total += share;
        match muscles.iter().position(|m| m == name) {
            Some(m) => all.push((m, *share)),
            None => check.unknown(
                "movements.yaml",
                &path,
                "muscle",
                name,
                muscles.iter().map(String::as_str),
            ),
        }
    }
    if (total - 1.0).abs() > 0.011 {
        check.complain(
            "movements.yaml",
            &here!["movements", i, "shares"],
            format!("the shares of the muscles add up to {total:.2}, not 1"),
            "change the shares so that they add up to 1",
        );
    }
    if total > 0.0 {
        all.iter_mut().for_each(|(_, s)| *s /= total);
    }
    all
}

fn variants_of(check: &mut Checker, raw: &raw::Variants) -> Vec<Variant> {
    let mut all = Vec::new();
    for (v, variant) in raw.variants.iter().enumerate() {
        let mut rest = 1.0;
        let mut alternatives = Vec::new();
        for (a, alternative) in variant.alternatives.iter().enumerate() {
            check.within(
                "variants.yaml",
                &here!["variants", v, "alternatives", a, "prevalence"],
                "the prevalence",
                alternative.prevalence,
                0.0,
                1.0,
            );
            rest -= alternative.prevalence;
            alternatives.push(Alternative {
                id: alternative.id.clone(),
                label: alternative.label.clone(),
                prevalence: alternative.prevalence,
            });
        }
        if rest < -1e-9 {
            check.complain(
                "variants.yaml",
                &here!["variants", v, "alternatives"],
                "the prevalences of the alternatives add up to more than 1",
                "lower them: what is left to 1 is the usual arrangement",
            );
        }
        alternatives.insert(
            0,
            Alternative {
                id: "usual".to_string(),
                label: variant.usual.clone(),
                prevalence: rest.max(0.0),
            },
        );
        all.push(Variant {
            id: variant.id.clone(),
            label: variant.label.clone(),
            synonyms: variant.synonyms.clone(),
            anatomical: variant.kind == raw::VariantKind::Limbs,
            shifts_plexus: variant.alternatives.iter().any(|a| a.root_shift != 0),
            alternatives,
            note: variant.note.clone(),
            source: variant.source.clone(),
        });
    }
    all
}

fn sites_of(check: &mut Checker, graph: &Graph, raw: raw::Sites) -> Vec<Site> {
    let mut all = Vec::new();
    for (i, site) in raw.sites.into_iter().enumerate() {
        check.within(
            "sites.yaml",
            &here!["sites", i, "weight"],
            "the weight",
            site.weight,
            0.0,
            1e6,
        );
        if site.segments.is_empty() {
            check.complain(
                "sites.yaml",
                &here!["sites", i, "segments"],
                format!("the site `{}` cuts nothing", site.id),
                "name at least one segment",
            );
        }
        let mut segments = Vec::new();
        for (k, name) in site.segments.iter().enumerate() {
            match graph.by_id.get(name) {
                Some(&ix) => segments.push(ix),
                None => check.unknown(
                    "sites.yaml",
                    &here!["sites", i, "segments", k],
                    "segment",
                    name,
                    graph.segments.iter().map(|s| s.id.as_str()),
                ),
            }
        }
        all.push(Site {
            id: site.id,
            label: site.label,
            synonyms: site.synonyms,
            segments,
            weight: site.weight,
            avulsion: site.avulsion,
            giveaways: site.giveaways,
            care: site.care,
            source: site.source,
        });
    }
    all
}
