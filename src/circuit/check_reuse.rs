//! Checks which stations a blueprint wants again and which it wants to avoid.

use super::blueprint::{Position, Reuse};
use super::check::{Gather, Known, level_of};
use super::check_content::*;
use super::raw;
use crate::case::Level;
use crate::files::{Step, locate};

pub(super) fn reuse(
    say: &mut Gather<'_>,
    known: &Known<'_>,
    written: &raw::Blueprint,
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
pub(super) fn avoid(say: &mut Gather<'_>, known: &Known<'_>, written: &raw::Blueprint) {
    for (i, word) in written.avoid.iter().enumerate() {
        if !word.starts_with("VS-") {
            site(say, known, &["avoid".into(), Step::from(i)], word);
        }
    }
}
