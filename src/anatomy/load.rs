//! Turns the files of one region into a model, or into the list of everything that is wrong with them.

use super::charts;
use super::check::{Checker, here};
use super::graph;
use super::model::Model;
use super::raw;
use super::resolve::resolve;
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, Listed, Origins, parse, parse_with_extra};
use std::panic::resume_unwind;

/// The regions that the content has a model of, in order of name.
pub fn regions(content: &Content) -> Vec<String> {
    let mut all: Vec<String> = content
        .under("anatomy/")
        .filter_map(|s| {
            s.name
                .strip_prefix("anatomy/")?
                .strip_suffix("/region.yaml")
                .map(str::to_string)
        })
        .collect();
    all.dedup();
    all
}

/// Loads and checks one region, with the charts that its skin is drawn on.
///
/// # Errors
/// Exit code 2 when the region is unknown or a file is no YAML of the right shape; exit code 1 with every problem at
/// once when what the files say does not hold together.
pub fn load(content: &Content, region: &str) -> Result<Model, Failure> {
    whole(content, region, true)
}

/// [`load`] without looking at the charts, for whoever draws no skin: `charts` is empty and mistakes in it are passed over.
///
/// # Errors
/// As [`load`].
pub fn load_undrawn(content: &Content, region: &str) -> Result<Model, Failure> {
    whole(content, region, false)
}

fn whole(content: &Content, region: &str, drawn: bool) -> Result<Model, Failure> {
    if content
        .get(&format!("anatomy/{region}/region.yaml"))
        .is_none()
    {
        let known = regions(content);
        return Err(Failure::usage(
            Problem::new(format!(
                "there is no model of the region `{}`",
                short(region)
            ))
            .hint(did_you_mean(
                region,
                known.iter().map(String::as_str),
                &format!("choose one of: {}", known.join(", ")),
            )),
        ));
    }
    let mut check = Checker::new(content, region);
    let mut unread = Vec::new();
    // Reading the YAML is most of the work: half of it is done on a second core.
    let (first, second) = std::thread::scope(|scope| {
        let second = scope.spawn(|| {
            (
                read::<raw::Signs>(content, region, "signs.yaml"),
                read::<raw::Variants>(content, region, "variants.yaml"),
                read::<raw::Sites>(content, region, "sites.yaml"),
                read::<raw::Sources>(content, region, "sources.yaml"),
                // A region may do without charts; everything else works, only skin cannot be drawn.
                content
                    .get(&format!("anatomy/{region}/{}", charts::FILE))
                    .filter(|_| drawn)
                    .map(|_| read::<charts::Raw>(content, region, charts::FILE)),
            )
        });
        let first = (
            head(content, region),
            read::<raw::Plexus>(content, region, "plexus.yaml"),
            read::<raw::Nerves>(content, region, "nerves.yaml"),
            read::<raw::Muscles>(content, region, "muscles.yaml"),
            read::<raw::Movements>(content, region, "movements.yaml"),
            read::<raw::Skin>(content, region, "skin.yaml"),
            read::<raw::Reflexes>(content, region, "reflexes.yaml"),
        );
        let second = second.join();
        (first, second.unwrap_or_else(|broken| resume_unwind(broken)))
    });
    let head = first.0.map_err(|e| unread.push(e)).ok();
    let plexus = keep(&mut unread, &mut check, "plexus.yaml", first.1);
    let nerves = keep(&mut unread, &mut check, "nerves.yaml", first.2);
    let muscles = keep(&mut unread, &mut check, "muscles.yaml", first.3);
    let movements = keep(&mut unread, &mut check, "movements.yaml", first.4);
    let skin = keep(&mut unread, &mut check, "skin.yaml", first.5);
    let reflexes = keep(&mut unread, &mut check, "reflexes.yaml", first.6);
    let signs = keep(&mut unread, &mut check, "signs.yaml", second.0);
    let variants = keep(&mut unread, &mut check, "variants.yaml", second.1);
    let sites = keep(&mut unread, &mut check, "sites.yaml", second.2);
    let sources = keep(&mut unread, &mut check, "sources.yaml", second.3);
    let charts = second
        .4
        .and_then(|read| keep(&mut unread, &mut check, charts::FILE, read));
    if let Some(failure) = Failure::of_all(unread) {
        return Err(failure);
    }
    let (
        Some(head),
        Some(plexus),
        Some(nerves),
        Some(muscles),
        Some(movements),
        Some(skin),
        Some(reflexes),
        Some(signs),
        Some(variants),
        Some(sites),
        Some(sources),
    ) = (
        head, plexus, nerves, muscles, movements, skin, reflexes, signs, variants, sites, sources,
    )
    else {
        return Err(missing(&format!("anatomy/{region}")));
    };
    check.ids(
        "plexus.yaml",
        "segments",
        plexus.segments.iter().map(|x| x.id.as_str()),
    );
    check.ids(
        "nerves.yaml",
        "nerves",
        nerves.nerves.iter().map(|x| x.id.as_str()),
    );
    check.ids(
        "muscles.yaml",
        "muscles",
        muscles.muscles.iter().map(|x| x.id.as_str()),
    );
    check.ids(
        "movements.yaml",
        "movements",
        movements.movements.iter().map(|x| x.id.as_str()),
    );
    check.ids("skin.yaml", "skin", skin.skin.iter().map(|x| x.id.as_str()));
    check.ids(
        "reflexes.yaml",
        "reflexes",
        reflexes.reflexes.iter().map(|x| x.id.as_str()),
    );
    check.ids(
        "signs.yaml",
        "signs",
        signs.signs.iter().map(|x| x.id.as_str()),
    );
    check.ids(
        "variants.yaml",
        "variants",
        variants.variants.iter().map(|x| x.id.as_str()),
    );
    check.ids(
        "sites.yaml",
        "sites",
        sites.sites.iter().map(|x| x.id.as_str()),
    );
    segment_ids(&mut check, &plexus, &nerves);

    let graph = graph::build(&mut check, head.roots, &plexus, &nerves);
    // Without a sound graph every route would be reported as missing: stop at the cause.
    check.finish()?;
    strays(content, &mut check, region);
    source_codes(
        &mut check, &sources, &plexus, &nerves, &muscles, &movements, &skin, &reflexes, &signs,
        &variants, &sites,
    );
    let mut model = resolve(
        &mut check,
        graph,
        (head.region, head.label),
        muscles,
        movements,
        skin,
        reflexes,
        signs,
        &variants,
        sites,
        sources,
    );
    if drawn {
        model.charts = charts::resolve(&mut check, charts, &model.skin);
    }
    check.finish()?;
    Ok(model)
}

/// The files of a region that are one list each.
const LISTS: [&str; 11] = [
    "plexus.yaml",
    "nerves.yaml",
    "muscles.yaml",
    "movements.yaml",
    "skin.yaml",
    "reflexes.yaml",
    "signs.yaml",
    "variants.yaml",
    "sites.yaml",
    "sources.yaml",
    "charts.yaml",
];

/// What the region is called, and its roots.
const HEAD: &str = "region.yaml";

fn head(content: &Content, region: &str) -> Result<raw::Region, Failure> {
    let name = format!("anatomy/{region}/region.yaml");
    parse(content.get(&name).ok_or_else(|| missing(&name))?)
}

fn read<'c, T: Listed>(
    content: &'c Content,
    region: &str,
    file: &str,
) -> Result<(T, Origins<'c>), Failure> {
    let name = format!("anatomy/{region}/{file}");
    let source = content.get(&name).ok_or_else(|| missing(&name))?;
    parse_with_extra(content, source)
}

fn missing(name: &str) -> Failure {
    Failure::usage(
        Problem::new(format!("{name} is missing"))
            .hint("a region needs this file; copy the shipped one and change it"),
    )
}

/// Notes a failure and goes on, so that all unreadable files are named at once; else where the entries were written.
fn keep<'c, T>(
    failures: &mut Vec<Failure>,
    check: &mut Checker<'c>,
    file: &str,
    outcome: Result<(T, Origins<'c>), Failure>,
) -> Option<T> {
    match outcome {
        Ok((all, origins)) => {
            check.written(file, origins);
            Some(all)
        }
        Err(failure) => {
            failures.push(failure);
            None
        }
    }
}

/// A file of the user's that no file of a region is called like would be passed over in silence.
fn strays(content: &Content, check: &mut Checker<'_>, region: &str) {
    let folder = format!("anatomy/{region}/");
    for source in content.under(&folder).filter(|s| s.overlaid) {
        let file = source.name.strip_prefix(&folder).unwrap_or_default();
        let whole = file.replace(".extra.yaml", ".yaml");
        let known = LISTS.contains(&whole.as_str()) || file == HEAD;
        if !known {
            let names = LISTS.iter().chain(&[HEAD]).copied();
            check.complain_at(
                source,
                format!("no file of a region is called `{}`", short(&whole)),
                did_you_mean(&whole, names, &format!("use one of: {}", LISTS.join(", "))),
            );
        }
    }
}

fn segment_ids(check: &mut Checker, plexus: &raw::Plexus, nerves: &raw::Nerves) {
    let mut seen: Vec<&str> = plexus.segments.iter().map(|s| s.id.as_str()).collect();
    for (n, nerve) in nerves.nerves.iter().enumerate() {
        for (k, stretch) in nerve.course.iter().enumerate() {
            if seen.contains(&stretch.id.as_str()) {
                check.complain(
                    "nerves.yaml",
                    &here!["nerves", n, "course", k, "id"],
                    format!("the segment id `{}` is used twice", short(&stretch.id)),
                    "give one of the two another id",
                );
            }
            seen.push(&stretch.id);
        }
    }
}

#[allow(
    clippy::too_many_arguments,
    reason = "one argument a file of the region"
)]
fn source_codes(
    check: &mut Checker,
    sources: &raw::Sources,
    plexus: &raw::Plexus,
    nerves: &raw::Nerves,
    muscles: &raw::Muscles,
    movements: &raw::Movements,
    skin: &raw::Skin,
    reflexes: &raw::Reflexes,
    signs: &raw::Signs,
    variants: &raw::Variants,
    sites: &raw::Sites,
) {
    let codes: Vec<&str> = sources.sources.iter().map(|s| s.code.as_str()).collect();
    let mut look = |file: &str, list: &str, i: usize, written: &str| {
        if written == "common practice, no source" {
            return;
        }
        if written.trim().is_empty() {
            check.complain(
                file,
                &here![list, i, "source"],
                "this entry names no source",
                "write a code of sources.yaml, or `common practice, no source`",
            );
        }
        for code in written.split_whitespace() {
            if !codes.contains(&code) {
                check.unknown(
                    file,
                    &here![list, i, "source"],
                    "source",
                    code,
                    codes.iter().copied(),
                );
            }
        }
    };
    plexus
        .segments
        .iter()
        .enumerate()
        .for_each(|(i, x)| look("plexus.yaml", "segments", i, &x.source));
    nerves
        .nerves
        .iter()
        .enumerate()
        .for_each(|(i, x)| look("nerves.yaml", "nerves", i, &x.source));
    muscles
        .muscles
        .iter()
        .enumerate()
        .for_each(|(i, x)| look("muscles.yaml", "muscles", i, &x.source));
    movements
        .movements
        .iter()
        .enumerate()
        .for_each(|(i, x)| look("movements.yaml", "movements", i, &x.source));
    skin.skin
        .iter()
        .enumerate()
        .for_each(|(i, x)| look("skin.yaml", "skin", i, &x.source));
    reflexes
        .reflexes
        .iter()
        .enumerate()
        .for_each(|(i, x)| look("reflexes.yaml", "reflexes", i, &x.source));
    signs
        .signs
        .iter()
        .enumerate()
        .for_each(|(i, x)| look("signs.yaml", "signs", i, &x.source));
    variants
        .variants
        .iter()
        .enumerate()
        .for_each(|(i, x)| look("variants.yaml", "variants", i, &x.source));
    sites
        .sites
        .iter()
        .enumerate()
        .for_each(|(i, x)| look("sites.yaml", "sites", i, &x.source));
}
