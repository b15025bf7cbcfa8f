//! What does the blueprint want of its stations? Cells that count them, sites kept apart, stations to use again or to avoid, checked.

use super::checked::{Filter, Position, Reuse, Want};
use super::checker::{Checker, at};
use super::written;
use crate::case::Level;
use std::collections::VecDeque;

pub(super) fn wanted(
    check: &mut Checker<'_>,
    written: &written::Blueprint,
    stations: usize,
) -> Vec<Want> {
    let mut all = Vec::new();
    for (i, want) in written.wanted.iter().enumerate() {
        let here = at!["wanted", i];
        let told = check.problems.len();
        let (filter, label) = filter(check, i, want);
        if label.is_empty() {
            check.say(
                &here,
                "this cell does not say what it counts",
                "add region, site, nerve, part, lesion, kind, level or domain",
            );
        }
        let (least, most) = bounds(check, i, want, stations);
        let have = filter.sites.as_ref().map_or(usize::MAX, Vec::len);
        if least > have && check.problems.len() == told {
            check.say(
                &here,
                format!("{least} stations are wanted of {label}, but the model has {have} sites there and a form uses a site once"),
                format!("ask for {have} or fewer"),
            );
        }
        all.push(Want {
            label,
            line: check.line(&here),
            filter,
            least,
            most,
        });
    }
    // Cells that count the same thing must leave room for each other.
    for (what, sum) in disjoint_sums(&all) {
        if sum > stations && stations > 0 {
            check.say(
                &at!["wanted"],
                format!(
                    "the cells ask for {sum} stations by {what}, but the circuit has {stations}"
                ),
                "lower some of them, or add positions",
            );
        }
    }
    all
}

/// For kinds and levels alone, which never overlap: how many stations their cells need together.
fn disjoint_sums(all: &[Want]) -> [(&'static str, usize); 2] {
    let only = |w: &&Want, kind: bool| {
        let f = &w.filter;
        f.sites.is_none()
            && f.domain.is_none()
            && f.kind.is_some() == kind
            && f.level.is_some() != kind
    };
    let sum = |kind: bool| all.iter().filter(|w| only(w, kind)).map(|w| w.least).sum();
    [("kind", sum(true)), ("level", sum(false))]
}

/// The least and the most stations of a cell.
fn bounds(
    check: &mut Checker<'_>,
    i: usize,
    want: &written::Want,
    stations: usize,
) -> (usize, usize) {
    let here = at!["wanted", i];
    let what = format!("stations out of {stations}");
    let mut number = |key: &str, value: Option<f64>| {
        let v = value?;
        let found = check.whole(&at!["wanted", i, key], &what, v, 0, stations.max(1));
        Some(found.unwrap_or(0))
    };
    let exactly = number("exactly", want.exactly);
    let least = number("least", want.least);
    let most = number("most", want.most);
    match (exactly, want.share, least.or(most)) {
        (Some(n), None, None) => (n, n),
        (None, Some(share), None) if (0.0..=1.0).contains(&share) => {
            let exact = share * stations as f64;
            let least = (exact - 1e-9).floor().max(0.0) as usize;
            (least, ((exact + 1e-9).ceil() as usize).min(stations))
        }
        (None, Some(share), None) => {
            check.say(
                &at!["wanted", i, "share"],
                format!("{share} is no share"),
                "write a number from 0 to 1, such as 0.25",
            );
            (0, stations)
        }
        (None, None, Some(_)) => {
            let (low, high) = (least.unwrap_or(0), most.unwrap_or(stations));
            if low > high {
                check.say(
                    &here,
                    format!("at least {low} and at most {high} cannot both be"),
                    "exchange the two, or write `exactly:`",
                );
            }
            (low, high)
        }
        _ => {
            check.say(
                &here,
                "this cell needs one way to count",
                "write `exactly:`, `share:`, or `least:` and `most:`, and only one of the three",
            );
            (0, stations)
        }
    }
}

/// What a cell counts, and how messages call it.
fn filter(check: &mut Checker<'_>, i: usize, want: &written::Want) -> (Filter, String) {
    let limbs = check.limbs;
    let mut filter = Filter::default();
    let mut label: Vec<String> = Vec::new();
    let mut narrow = |these: Vec<usize>| match &mut filter.sites {
        Some(sites) => sites.retain(|s| these.contains(s)),
        None => filter.sites = Some(these),
    };
    if let Some(word) = &want.region {
        let found = limbs.in_region(word);
        if found.is_none() {
            let known = limbs.models().iter().map(|m| m.region.as_str());
            let otherwise = "name a limb that the circuit draws on: see `region:` of the blueprint";
            let path = at!["wanted", i, "region"];
            check.unknown(&path, "the circuit has no limb", word, known, otherwise);
        }
        narrow(found.unwrap_or_default());
        label.push(format!("region {word}"));
    }
    if let Some(word) = &want.site {
        let path = at!["wanted", i, "site"];
        narrow(check.site(&path, word).into_iter().collect());
        label.push(format!("site {word}"));
    }
    if let Some(word) = &want.nerve {
        narrow(area(check, i, "nerve", word, limbs.on_nerve(word)));
        label.push(format!("nerve {word}"));
    }
    if let Some(word) = &want.part {
        narrow(area(check, i, "part", word, Vec::new()));
        label.push(format!("part {word}"));
    }
    if let Some(word) = &want.lesion {
        let places = limbs.places();
        let all: Vec<(&str, &str)> = places.iter().map(|p| (*p, *p)).collect();
        let path = at!["wanted", i, "lesion"];
        check.one_of(&path, "a lesion cannot lie in a", Some(word), &all);
        let sites = 0..limbs.len();
        narrow(sites.filter(|&s| limbs.place_of(s) == word).collect());
        label.push(format!("lesion of a {word}"));
    }
    if let Some(word) = &want.kind {
        filter.kind = check.kind(&at!["wanted", i, "kind"], word);
        label.push(format!("kind {word}"));
    }
    if let Some(word) = &want.level {
        let path = at!["wanted", i, "level"];
        filter.level = Some(check.level(&path, Some(word), Level::Clinical));
        label.push(format!("level {word}"));
    }
    if let Some(word) = &want.domain {
        let path = at!["wanted", i, "domain"];
        let domains = check.domains.clone();
        let all: Vec<(&str, ())> = domains.iter().map(|d| (d.as_str(), ())).collect();
        check.one_of(&path, "no question has the domain", Some(word), &all);
        filter.domain = Some(word.clone());
        label.push(format!("domain {word}"));
    }
    (filter, label.join(", "))
}

/// The sites of a nerve or part of the limb, with those known already.
fn area(
    check: &mut Checker<'_>,
    i: usize,
    key: &str,
    word: &str,
    mut known: Vec<usize>,
) -> Vec<usize> {
    match check.limbs.in_area(word) {
        Ok(sites) => known.extend(sites),
        Err(failure) if known.is_empty() => {
            for p in failure.problems() {
                check.say(&at!["wanted", i, key], &p.message, &p.hint);
            }
        }
        Err(_) => {}
    }
    known.sort_unstable();
    known.dedup();
    known
}

/// The pairs that must not meet. An exclusion holds both ways, so those that run in a ring say something twice: an error.
pub(super) fn apart(
    check: &mut Checker<'_>,
    written: &written::Blueprint,
) -> Vec<(String, String)> {
    let limbs = check.limbs;
    let mut arrows: Vec<(usize, usize)> = Vec::new();
    for (i, entry) in written.apart.iter().enumerate() {
        let Some(one) = check.site(&at!["apart", i, "site"], &entry.site) else {
            continue;
        };
        for (k, word) in entry.from.iter().enumerate() {
            let path = at!["apart", i, "from", k];
            let Some(other) = check.site(&path, word) else {
                continue;
            };
            if one == other {
                check.say(
                    &path,
                    format!("`{word}` cannot be kept apart from itself"),
                    "name another site",
                );
                continue;
            }
            arrows.push((one, other));
            if let Some(ring) = ring(&arrows, limbs.len()) {
                let names: Vec<&str> = ring.iter().map(|&s| limbs.id(s)).collect();
                check.say(
                    &path,
                    format!("the exclusions run in a ring: {}", names.join(" from ")),
                    "an exclusion holds both ways: write each pair once, and list all that one site must not meet in one `from:`",
                );
                arrows.pop();
            }
        }
    }
    arrows
        .iter()
        .map(|&(a, b)| (limbs.id(a).to_string(), limbs.id(b).to_string()))
        .collect()
}

/// A way round that ends where it starts, through the last arrow.
fn ring(arrows: &[(usize, usize)], sites: usize) -> Option<Vec<usize>> {
    let &(from, to) = arrows.last()?;
    let mut before: Vec<Option<usize>> = vec![None; sites];
    let mut queue = VecDeque::from([to]);
    let mut seen = vec![false; sites];
    *seen.get_mut(to)? = true;
    while let Some(at) = queue.pop_front() {
        if at == from {
            let mut way = vec![from];
            let mut step = from;
            while let Some(b) = before.get(step).copied().flatten() {
                way.push(b);
                step = b;
            }
            way.push(from);
            way.reverse();
            return Some(way);
        }
        for &(a, b) in arrows {
            if a == at && seen.get(b) == Some(&false) {
                seen[b] = true;
                before[b] = Some(at);
                queue.push_back(b);
            }
        }
    }
    None
}

pub(super) fn reuse(
    check: &mut Checker<'_>,
    written: &written::Blueprint,
    level: Level,
    positions: &[Position],
    apart: &[(String, String)],
) -> Vec<Reuse> {
    let mut all: Vec<Reuse> = Vec::new();
    for (i, entry) in written.reuse.iter().enumerate() {
        let (here, path) = (at!["reuse", i], at!["reuse", i, "site"]);
        let found = check.site(&path, &entry.site);
        let Some(site) = found.and_then(|s| check.limbs.site(s)) else {
            continue;
        };
        let minutes = entry.minutes.unwrap_or(written.time.station);
        let kind = check.kind(&at!["reuse", i, "kind"], &entry.kind);
        let one = Reuse {
            site: site.id.clone(),
            kind: kind.unwrap_or_default(),
            level: check.level(&at!["reuse", i, "level"], entry.level.as_deref(), level),
            minutes: minutes.clamp(0.0, 60.0) as u32,
            seed: entry.seed,
            line: check.line(&here),
        };
        let mut shapes = positions.iter().filter_map(|p| p.station.as_ref());
        if !shapes.any(|s| s.holds(one.level, one.minutes, &one.kind)) {
            check.say(
                &here,
                "no position of this circuit can hold this station",
                "give it the minutes, level and kind of one of the positions, or add a position",
            );
        }
        for other in &all {
            let pair = |a: &str, b: &str| a == other.site && b == one.site;
            if other.site == one.site {
                check.say(
                    &path,
                    format!("`{}` is to be used twice in each form", one.site),
                    "keep one of the two",
                );
            } else if apart.iter().any(|(a, b)| pair(a, b) || pair(b, a)) {
                check.say(
                    &path,
                    format!(
                        "`{}` and `{}` are to be used, and to be kept apart",
                        other.site, one.site
                    ),
                    "take one out of `reuse:`, or the pair out of `apart:`",
                );
            }
        }
        if written.avoid.contains(&one.site) {
            check.say(
                &path,
                format!("`{}` is to be used, and to be avoided", one.site),
                "take it out of `reuse:` or of `avoid:`",
            );
        }
        all.push(one);
    }
    all
}

/// Sites by id, stations by code.
pub(super) fn avoid(check: &mut Checker<'_>, written: &written::Blueprint) {
    for (i, word) in written.avoid.iter().enumerate() {
        if !word.starts_with("VS-") {
            check.site(&at!["avoid", i], word);
        }
    }
}
