//! What should a teacher look at before using a circuit? Overlaps, gaps, times, what can be told on, whose marks rest on one opinion.

use crate::circuit::blueprint::{Blueprint, Limbs};
use crate::circuit::choose::{Banked, counts_for, leaks, similarity, spoken_leak};
use crate::circuit::plan::Circuit;
use crate::circuit::timetable::Track;
use crate::station::{READING_WPM, SPEAKING_WPM};
use std::collections::BTreeMap;

/// What a check found: nothing to do, or something to look at.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Note {
    pub warning: bool,
    /// Id of the group whose form it is about; empty: the whole circuit.
    pub group: String,
    pub text: String,
}

/// Every note on the circuit, in a fixed order.
pub fn review(limbs: &Limbs<'_>, circuit: &Circuit) -> Vec<Note> {
    let blueprint = &circuit.blueprint;
    let mut notes = Vec::new();
    for (form, group) in circuit.forms.iter().zip(&blueprint.groups) {
        let used: Vec<(usize, &Banked)> = form.used().collect();
        let mut say = |warning: bool, text: String| {
            notes.push(Note {
                warning,
                group: group.id.clone(),
                text,
            });
        };
        overlaps(limbs, blueprint, &used, &mut say);
        for want in &circuit.made.wanted {
            let have = used.iter().filter(|(_, b)| counts_for(want, b)).count();
            if !(want.least..=want.most).contains(&have) {
                say(
                    true,
                    format!(
                        "{}: {have} stations, wanted {} to {}",
                        want.label, want.least, want.most
                    ),
                );
            }
        }
        uncovered(&used, limbs, &mut say);
        times(&used, &mut say);
    }
    notes.extend(met_again(limbs, circuit));
    notes.extend(told_on(circuit));
    notes.extend(independence(circuit));
    notes.extend(reserve(circuit));
    notes
}

/// Stations named in a note; a mistake of one phrase may make all of them too long.
const NAMED: usize = 3;

/// Spare stations that could not be found, stations that cannot be printed, columns of lists that nothing is read from.
fn reserve(circuit: &Circuit) -> Vec<Note> {
    let blueprint = &circuit.blueprint;
    let mut notes = Vec::new();
    let unprintable = &circuit.made.unprintable;
    if !unprintable.is_empty() {
        let named = unprintable.iter().take(NAMED).map(String::as_str);
        notes.push(Note {
            warning: true,
            group: String::new(),
            text: format!(
                "left out, because a sheet cannot be printed: {} stations, such as {}",
                unprintable.len(),
                named.collect::<Vec<_>>().join("; ")
            ),
        });
    }
    for (form, group) in circuit.forms.iter().zip(&blueprint.groups) {
        let have = form.spares.len() + form.replaced.len();
        if have < blueprint.spares {
            notes.push(Note {
                warning: true,
                group: group.id.clone(),
                text: format!(
                    "{have} spare stations, wanted {}: no other fits beside the form's own",
                    blueprint.spares
                ),
            });
        }
    }
    for &(group, position) in &blueprint.replaced {
        notes.push(Note {
            warning: true,
            group: blueprint.groups.get(group).map_or("", |g| g.id.as_str()).to_string(),
            text: format!(
                "a spare stands at station {} for the whole group: whoever met the station before it goes to the spare too, or is marked `void` there",
                blueprint.name(position)
            ),
        });
    }
    if blueprint.calibration && circuit.calibration.is_none() {
        notes.push(Note {
            warning: true,
            group: String::new(),
            text: "no station is left for the calibration of examiners".to_string(),
        });
    }
    if !blueprint.unread.is_empty() {
        notes.push(Note {
            warning: true,
            group: String::new(),
            text: format!(
                "nothing is read from these columns: {}",
                blueprint.unread.join(", ")
            ),
        });
    }
    notes
}

/// Groups of which a later sitting sits the form that an earlier one has come out with.
fn told_on(circuit: &Circuit) -> Vec<Note> {
    let blueprint = &circuit.blueprint;
    let mut notes: Vec<Note> = Vec::new();
    for (g, group) in blueprint.groups.iter().enumerate() {
        let own = || circuit.tracks.iter().filter(move |t| t.group == g);
        let mut pairs = own().flat_map(|a| own().map(move |b| (a, b)));
        let extra = |t: &Track| t.sitting(blueprint).map_or(0, |s| s.extra);
        // Whoever has more time has the form of their group: see the quarantine plan.
        let after =
            pairs.find(|(a, b)| a.end(blueprint) <= b.start(blueprint) && extra(a) == extra(b));
        let Some((Some(first), Some(later))) =
            after.map(|(a, b)| (a.sitting(blueprint), b.sitting(blueprint)))
        else {
            continue;
        };
        notes.push(Note {
            warning: true,
            group: group.id.clone(),
            text: format!(
                "sitting {} begins after sitting {} has come out, and sits the same {} stations; write `form_per_sitting: true` at the group, or keep the two apart",
                later.id,
                first.id,
                blueprint.stations()
            ),
        });
    }
    notes
}

/// An examiner may mark a candidate so often before the marks count as one opinion.
const MOST_MARKS: usize = 2;

/// Whose marks rest on one examiner, and who marks nobody.
fn independence(circuit: &Circuit) -> Vec<Note> {
    let blueprint = &circuit.blueprint;
    let mut pairs: BTreeMap<(usize, &str), usize> = BTreeMap::new();
    for track in &circuit.tracks {
        for (visit, marks) in track.table.visits.iter().zip(&track.marks) {
            if let (Some(e), Some(c)) = (marks, track.candidate(blueprint, visit.candidate)) {
                *pairs.entry((*e, c.id.as_str())).or_default() += 1;
            }
        }
    }
    let name = |e: usize| blueprint.examiners.get(e).map_or("", |x| x.id.as_str());
    let whole = |warning: bool, text: String| Note {
        warning,
        group: String::new(),
        text,
    };
    let most = blueprint.limits.same_examiner.unwrap_or(MOST_MARKS);
    let often = pairs.iter().filter(|(_, n)| **n > most);
    let mut notes: Vec<Note> = often
        .map(|((e, candidate), n)| {
            whole(
                true,
                format!(
                    "examiner {} marks candidate {candidate} at {n} of {} stations: name another who may, so that the marks do not rest on one opinion",
                    name(*e),
                    blueprint.stations()
                ),
            )
        })
        .collect();
    let idle: Vec<&str> = blueprint
        .examiners
        .iter()
        .enumerate()
        .filter(|(e, x)| !x.absent && !pairs.keys().any(|(used, _)| used == e))
        .map(|(_, x)| x.id.as_str())
        .collect();
    if !idle.is_empty() {
        let text = format!(
            "these examiners mark nobody and are the reserve: {}",
            idle.join(", ")
        );
        notes.push(whole(false, text));
    }
    notes
}

/// One note for each pair of groups of which the later could be told about sites of the earlier.
fn met_again(limbs: &Limbs<'_>, circuit: &Circuit) -> Vec<Note> {
    let name = |g: usize| {
        circuit
            .blueprint
            .groups
            .get(g)
            .map_or("", |x| x.id.as_str())
    };
    let pairs = circuit.made.helps.iter().map(|&(a, b)| {
        let repeats = circuit.made.repeats.iter();
        let own = repeats.filter(move |r| (r.0, r.1) == (a, b));
        let sites = own.filter_map(|r| limbs.site(r.2)).map(|s| s.id.as_str());
        (a, b, sites.collect::<Vec<_>>())
    });
    pairs
        .filter(|(_, _, sites)| !sites.is_empty())
        .map(|(a, b, sites)| Note {
            warning: true,
            group: String::new(),
            text: format!(
                "group {} meets before group {} does: {}; keep them apart, or ask for fewer stations",
                name(a),
                name(b),
                sites.join(", ")
            ),
        })
        .collect()
}

fn overlaps(
    limbs: &Limbs<'_>,
    blueprint: &Blueprint,
    used: &[(usize, &Banked)],
    say: &mut dyn FnMut(bool, String),
) {
    let name = |p: usize| blueprint.name(p);
    let mut closest: Option<(f64, usize, usize)> = None;
    for (n, (p, a)) in used.iter().enumerate() {
        for (q, b) in used.iter().skip(n + 1) {
            let alike = similarity(a, b);
            if closest.is_none_or(|(most, _, _)| alike > most) {
                closest = Some((alike, *p, *q));
            }
            if alike > blueprint.limits.similarity {
                say(
                    true,
                    format!(
                        "stations {} and {} are much alike ({alike:.2}, limit {:.2})",
                        name(*p),
                        name(*q),
                        blueprint.limits.similarity
                    ),
                );
            }
            for (x, i, y, j) in [(a, p, b, q), (b, q, a, p)] {
                if let Some(words) = leaks(limbs, x, y) {
                    say(
                        true,
                        format!(
                            "the candidate sheet of station {} says \u{201c}{words}\u{201d}, the answer of station {}",
                            name(*j),
                            name(*i)
                        ),
                    );
                }
                if let Some(words) = spoken_leak(limbs, x, y) {
                    say(
                        false,
                        format!(
                            "a prompt of station {} may say \u{201c}{words}\u{201d}, the answer of station {}",
                            name(*j),
                            name(*i)
                        ),
                    );
                }
            }
        }
    }
    if let Some((alike, p, q)) = closest {
        say(
            false,
            format!(
                "the two most alike are stations {} and {} ({alike:.2}, limit {:.2})",
                name(p),
                name(q),
                blueprint.limits.similarity
            ),
        );
    }
}

/// Levels of lesion, and nerves with several sites, of which the form holds nothing.
fn uncovered(used: &[(usize, &Banked)], limbs: &Limbs<'_>, say: &mut dyn FnMut(bool, String)) {
    let missing: Vec<&str> = limbs
        .places()
        .into_iter()
        .filter(|p| used.iter().all(|(_, b)| b.place != *p))
        .collect();
    if !missing.is_empty() {
        say(false, format!("no lesion of a {}", missing.join(", of a ")));
    }
    let mut nerves: Vec<(&str, &str)> = (0..limbs.len()).map(|s| limbs.main_nerve(s)).collect();
    nerves.sort_unstable();
    let many: Vec<&str> = nerves
        .chunk_by(|a, b| a.0 == b.0)
        .filter(|c| c.len() >= 2)
        .filter_map(|c| c.first())
        .filter(|n| used.iter().all(|(_, b)| b.nerve != n.0))
        .map(|n| n.1)
        .collect();
    if !many.is_empty() {
        say(
            false,
            format!(
                "nothing on these nerves with several sites: {}",
                many.join(", ")
            ),
        );
    }
}

fn times(used: &[(usize, &Banked)], say: &mut dyn FnMut(bool, String)) {
    let words: usize = used.iter().map(|(_, b)| b.words).sum();
    let reading: u32 = used.iter().map(|(_, b)| b.reading).sum();
    let needs = words as f64 / READING_WPM as f64;
    say(
        needs > f64::from(reading),
        format!(
            "reading: {words} words take {needs:.1} of {reading} minutes at {READING_WPM} words a minute"
        ),
    );
    let spoken: usize = used.iter().map(|(_, b)| b.spoken).sum();
    let minutes: u32 = used.iter().map(|(_, b)| b.minutes).sum();
    let talks = spoken as f64 / SPEAKING_WPM as f64;
    say(
        talks > f64::from(minutes) / 2.0,
        format!(
            "talking: openings and all prompts take examiners {talks:.1} of {minutes} minutes at {SPEAKING_WPM} words a minute; the rest is the candidate's"
        ),
    );
}
