//! Checks what a blueprint wants of its stations: cells, exclusions, stations to use again or to avoid.

use super::checked::{Filter, Position, Reuse, Want};
use super::place::{on_nerve, place_of};
use super::problems::{Gather, Known, kind, level_of, site};
use super::written;
use crate::case::{Level, sites_of};
use crate::diagnostic::{did_you_mean, short};
use crate::files::{Step, locate};

/// Where a lesion may lie, as a blueprint says it.
const PLACES: [&str; 4] = ["root", "trunk", "cord", "nerve"];

pub(super) fn wanted(
    say: &mut Gather<'_>,
    known: &Known<'_>,
    written: &written::Blueprint,
    stations: usize,
) -> Vec<Want> {
    let mut all = Vec::new();
    for (i, want) in written.wanted.iter().enumerate() {
        let at = |key: &str| vec![Step::from("wanted"), Step::from(i), Step::from(key)];
        let here = [Step::from("wanted"), Step::from(i)];
        let (filter, label) = filter(say, known, want, &at);
        if label.is_empty() {
            say.say(
                &here,
                "this cell does not say what it counts",
                "add site, nerve, part, lesion, kind, level or domain",
            );
        }
        let (least, most) = bounds(say, want, &at, &here, stations);
        if least > 0 && filter.sites.as_ref().is_some_and(|s| s.len() < least) {
            let have = filter.sites.as_ref().map_or(0, Vec::len);
            say.say(
                &here,
                format!("{least} stations are wanted of {label}, but the model has {have} sites there and a form uses a site once"),
                format!("ask for {have} or fewer"),
            );
        }
        all.push(Want {
            label,
            line: locate(say.source, &here).line,
            filter,
            least,
            most,
        });
    }
    // Cells that count the same thing must leave room for each other.
    for (what, sum) in disjoint_sums(&all) {
        if sum > stations && stations > 0 {
            say.say(
                &["wanted".into()],
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

fn bounds(
    say: &mut Gather<'_>,
    want: &written::Want,
    at: &dyn Fn(&str) -> Vec<Step>,
    here: &[Step],
    stations: usize,
) -> (usize, usize) {
    let top = stations.max(1);
    let number = |say: &mut Gather<'_>, key: &str, value: Option<f64>| {
        value.map(|v| {
            say.whole(&at(key), &format!("stations out of {stations}"), v, 0, top)
                .unwrap_or(0)
        })
    };
    let exactly = number(say, "exactly", want.exactly);
    let least = number(say, "least", want.least);
    let most = number(say, "most", want.most);
    match (exactly, want.share, least.or(most)) {
        (Some(n), None, None) => (n, n),
        (None, Some(share), None) => {
            if !(0.0..=1.0).contains(&share) {
                say.say(
                    &at("share"),
                    format!("{share} is no share"),
                    "write a number from 0 to 1, such as 0.25",
                );
                return (0, stations);
            }
            let exact = share * stations as f64;
            (
                (exact - 1e-9).floor().max(0.0) as usize,
                ((exact + 1e-9).ceil() as usize).min(stations),
            )
        }
        (None, None, Some(_)) => {
            let (low, high) = (least.unwrap_or(0), most.unwrap_or(stations));
            if low > high {
                say.say(
                    here,
                    format!("at least {low} and at most {high} cannot both be"),
                    "exchange the two, or write `exactly:`",
                );
            }
            (low, high)
        }
        _ => {
            say.say(
                here,
                "this cell needs one way to count",
                "write `exactly:`, `share:`, or `least:` and `most:`, and only one of the three",
            );
            (0, stations)
        }
    }
}

fn filter(
    say: &mut Gather<'_>,
    known: &Known<'_>,
    want: &written::Want,
    at: &dyn Fn(&str) -> Vec<Step>,
) -> (Filter, String) {
    let mut filter = Filter::default();
    let mut label: Vec<String> = Vec::new();
    let mut narrow = |these: Vec<usize>| match &mut filter.sites {
        Some(sites) => sites.retain(|s| these.contains(s)),
        None => filter.sites = Some(these),
    };
    if let Some(word) = &want.site {
        narrow(site(say, known, &at("site"), word).into_iter().collect());
        label.push(format!("site {word}"));
    }
    for (key, word) in [("nerve", &want.nerve), ("part", &want.part)] {
        let Some(word) = word else { continue };
        let branches = match key {
            "nerve" => on_nerve(known.model, word),
            _ => Vec::new(),
        };
        match sites_of(known.model, word) {
            Ok(mut sites) => {
                sites.extend(branches);
                sites.sort_unstable();
                sites.dedup();
                narrow(sites);
            }
            Err(_) if !branches.is_empty() => narrow(branches),
            Err(failure) => {
                for p in failure.problems() {
                    say.say(&at(key), p.message.clone(), p.hint.clone());
                }
            }
        }
        label.push(format!("{key} {word}"));
    }
    if let Some(word) = &want.lesion {
        if PLACES.contains(&word.as_str()) {
            let all = 0..known.model.sites.len();
            narrow(all.filter(|&s| place_of(known.model, s) == word).collect());
        } else {
            say.say(
                &at("lesion"),
                format!("a lesion cannot lie in a `{}`", short(word)),
                did_you_mean(
                    word,
                    PLACES,
                    &format!("write one of: {}", PLACES.join(", ")),
                ),
            );
        }
        label.push(format!("lesion of a {word}"));
    }
    if let Some(word) = &want.kind {
        filter.kind = kind(say, known, &at("kind"), word).map(|k| k.id.clone());
        label.push(format!("kind {word}"));
    }
    if let Some(word) = &want.level {
        filter.level = Some(level_of(say, &at("level"), word));
        label.push(format!("level {word}"));
    }
    if let Some(word) = &want.domain {
        if !known.domains.contains(word) {
            let words = known.domains.iter().map(String::as_str);
            say.say(
                &at("domain"),
                format!("no question has the domain `{}`", short(word)),
                did_you_mean(
                    word,
                    words,
                    &format!("write one of: {}", known.domains.join(", ")),
                ),
            );
        }
        filter.domain = Some(word.clone());
        label.push(format!("domain {word}"));
    }
    (filter, label.join(", "))
}

/// The pairs that must not meet. An exclusion holds both ways, so those that run in a ring say something twice: an error.
pub(super) fn apart(
    say: &mut Gather<'_>,
    known: &Known<'_>,
    written: &written::Blueprint,
) -> Vec<(String, String)> {
    let sites = &known.model.sites;
    let mut arrows: Vec<(usize, usize)> = Vec::new();
    for (i, entry) in written.apart.iter().enumerate() {
        let at = |key: &str| vec![Step::from("apart"), Step::from(i), Step::from(key)];
        let Some(one) = site(say, known, &at("site"), &entry.site) else {
            continue;
        };
        for (k, word) in entry.from.iter().enumerate() {
            let path = [at("from"), vec![Step::from(k)]].concat();
            let Some(other) = site(say, known, &path, word) else {
                continue;
            };
            if one == other {
                say.say(
                    &path,
                    format!("`{word}` cannot be kept apart from itself"),
                    "name another site",
                );
                continue;
            }
            arrows.push((one, other));
            if let Some(ring) = ring(&arrows, sites.len()) {
                let names: Vec<&str> = ring
                    .iter()
                    .filter_map(|&s| sites.get(s))
                    .map(|s| s.id.as_str())
                    .collect();
                say.say(
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
        .filter_map(|&(a, b)| Some((sites.get(a)?.id.clone(), sites.get(b)?.id.clone())))
        .collect()
}

/// A way round that ends where it starts, through the last arrow.
fn ring(arrows: &[(usize, usize)], sites: usize) -> Option<Vec<usize>> {
    let &(from, to) = arrows.last()?;
    let mut before: Vec<Option<usize>> = vec![None; sites];
    let mut queue = std::collections::VecDeque::from([to]);
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
    say: &mut Gather<'_>,
    known: &Known<'_>,
    written: &written::Blueprint,
    level: Level,
    positions: &[Position],
    apart: &[(String, String)],
) -> Vec<Reuse> {
    let mut all: Vec<Reuse> = Vec::new();
    for (i, entry) in written.reuse.iter().enumerate() {
        let at = |key: &str| vec![Step::from("reuse"), Step::from(i), Step::from(key)];
        let here = [Step::from("reuse"), Step::from(i)];
        let found = site(say, known, &at("site"), &entry.site);
        let Some(site) = found.and_then(|s| known.model.sites.get(s)) else {
            continue;
        };
        let kind = kind(say, known, &at("kind"), &entry.kind).map(|k| k.id.clone());
        let one = Reuse {
            site: site.id.clone(),
            kind: kind.unwrap_or_default(),
            level: match &entry.level {
                Some(word) => level_of(say, &at("level"), word),
                None => level,
            },
            minutes: entry
                .minutes
                .unwrap_or(written.time.station)
                .clamp(0.0, 60.0) as u32,
            seed: entry.seed,
            line: locate(say.source, &here).line,
        };
        let fits = positions
            .iter()
            .filter_map(|p| p.station.as_ref())
            .any(|s| {
                s.level == one.level
                    && s.minutes == one.minutes
                    && s.kind.as_ref().is_none_or(|k| *k == one.kind)
            });
        if !fits {
            say.say(
                &here,
                "no position of this circuit can hold this station",
                "give it the minutes, level and kind of one of the positions, or add a position",
            );
        }
        for other in &all {
            let pair = |a: &str, b: &str| a == other.site && b == one.site;
            if other.site == one.site {
                say.say(
                    &at("site"),
                    format!("`{}` is to be used twice in each form", one.site),
                    "keep one of the two",
                );
            } else if apart.iter().any(|(a, b)| pair(a, b) || pair(b, a)) {
                say.say(
                    &at("site"),
                    format!(
                        "`{}` and `{}` are to be used, and to be kept apart",
                        other.site, one.site
                    ),
                    "take one out of `reuse:`, or the pair out of `apart:`",
                );
            }
        }
        if written.avoid.contains(&one.site) {
            say.say(
                &at("site"),
                format!("`{}` is to be used, and to be avoided", one.site),
                "take it out of `reuse:` or of `avoid:`",
            );
        }
        all.push(one);
    }
    all
}

/// Sites by id, stations by code.
pub(super) fn avoid(say: &mut Gather<'_>, known: &Known<'_>, written: &written::Blueprint) {
    for (i, word) in written.avoid.iter().enumerate() {
        if !word.starts_with("VS-") {
            site(say, known, &["avoid".into(), Step::from(i)], word);
        }
    }
}
