//! Turns a blueprint as written into a checked one, or into everything that is wrong with it, each with its place and a hint.

use super::checked::{Blueprint, Limits, MOST_POSITIONS, Pace, Position, Repeat, Shape, Starts};
use super::clock;
use super::problems::{Gather, Known, kind, level_of};
use super::{content, people, written};
use crate::anatomy::Model;
use crate::case::Level;
use crate::diagnostic::{Failure, did_you_mean, short};
use crate::files::{Content, Source, Step};
use crate::station;

/// Checks a blueprint.
///
/// # Errors
/// Exit code 2 when the file is no blueprint; exit code 1 with every problem at once when what it says cannot be.
pub fn check(source: &Source, content: &Content, model: &Model) -> Result<Blueprint, Failure> {
    let written = written::read(source)?;
    let kinds = station::kinds(content)?;
    let mut domains: Vec<String> = station::families(content, &kinds)?
        .iter()
        .map(|f| f.domain.clone())
        .collect();
    domains.sort_unstable();
    domains.dedup();
    let known = Known {
        model,
        kinds,
        domains,
    };
    let mut say = Gather {
        source,
        problems: Vec::new(),
    };
    let level = match &written.level {
        Some(word) => level_of(&mut say, &["level".into()], word),
        None => Level::Clinical,
    };
    let pace = pace(&mut say, &written.time);
    let (positions, origins) = positions(&mut say, &known, &written, level);
    let stations = positions.iter().filter(|p| p.station.is_some()).count();
    if pace.starts == Starts::Together {
        same_length(&mut say, &positions, &origins, pace);
    }
    let groups = people::groups(&mut say, &written);
    let examiners = people::examiners(&mut say, &written, &groups);
    let wanted = content::wanted(&mut say, &known, &written, stations);
    let apart = content::apart(&mut say, &known, &written);
    let reuse = content::reuse(&mut say, &known, &written, level, &positions, &apart);
    content::avoid(&mut say, &known, &written);
    let limits = limits(&mut say, &written.limits);
    if written.title.trim().is_empty() {
        say.say(
            &["title".into()],
            "the circuit has no title",
            "write one line",
        );
    }
    if !say.problems.is_empty() {
        say.problems.sort_by(|a, b| a.place.cmp(&b.place));
        return Err(Failure::Content(say.problems));
    }
    Ok(Blueprint {
        id: stem(&source.name),
        title: written.title.trim().to_string(),
        date: written.date,
        place: written.place,
        region: model.region.clone(),
        seed: written.seed,
        pace,
        positions,
        wanted,
        apart,
        reuse,
        avoid: written.avoid,
        exposure: written.exposure,
        limits,
        groups,
        examiners,
    })
}

fn stem(name: &str) -> String {
    let file = name.rsplit(['/', '\\']).next().unwrap_or(name);
    let stem = file.strip_suffix(".yaml").unwrap_or(file);
    let safe: String = stem
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '_' })
        .take(40)
        .collect();
    if safe.is_empty() {
        "circuit".to_string()
    } else {
        safe
    }
}

fn pace(say: &mut Gather<'_>, time: &written::Time) -> Pace {
    let at = |key: &str| [Step::from("time"), Step::from(key)];
    // Read for their problems too: a position may rely on them.
    say.minutes(&at("station"), "a station", time.station, 4.0, 20.0);
    say.minutes(&at("reading"), "reading", time.reading, 0.0, 10.0);
    let starts = match time.starts.as_deref() {
        None | Some("together") => Starts::Together,
        Some("staggered") => Starts::Staggered,
        Some(word) => {
            say.say(
                &at("starts"),
                format!("nobody can start `{}`", short(word)),
                did_you_mean(
                    word,
                    ["together", "staggered"],
                    "write `together` or `staggered`",
                ),
            );
            Starts::Together
        }
    };
    let warning = say.minutes(&at("warning"), "warning", time.warning, 0.0, 10.0);
    if warning > 0 && time.warning >= time.station {
        say.say(
            &at("warning"),
            "the warning comes before the station begins",
            "write fewer minutes before the end",
        );
    }
    Pace {
        changeover: say.minutes(&at("changeover"), "changeover", time.changeover, 0.0, 10.0),
        warning,
        starts,
    }
}

/// The route, and for each position the entry of the file that it comes from.
fn positions(
    say: &mut Gather<'_>,
    known: &Known<'_>,
    written: &written::Blueprint,
    level: Level,
) -> (Vec<Position>, Vec<usize>) {
    let mut all = Vec::new();
    let mut origins = Vec::new();
    let (mut stations, mut rests) = (0, 0);
    for (i, p) in written.positions.iter().enumerate() {
        let at = |key: &str| [Step::from("positions"), Step::from(i), Step::from(key)];
        let times = match p.times {
            None => Some(1),
            Some(n) => say.whole(&at("times"), "positions in a circuit", n, 1, MOST_POSITIONS),
        };
        let minutes = p.minutes.unwrap_or(written.time.station);
        let reading = p.reading.unwrap_or(written.time.reading);
        let one = match &p.rest {
            Some(rest) => {
                if p.kind.is_some() || p.level.is_some() || p.minutes.is_some() {
                    say.say(
                        &at("rest"),
                        "a rest has no minutes of a station, no kind and no level",
                        "keep `rest:` or the other keys, not both",
                    );
                }
                let length = match rest {
                    written::Rest::Minutes(m) => say.minutes(&at("rest"), "a rest", *m, 1.0, 120.0),
                    written::Rest::Word(w) if w == "same" => {
                        clock::seconds(written.time.station + written.time.reading).unwrap_or(60)
                    }
                    written::Rest::Word(w) => {
                        say.say(
                            &at("rest"),
                            format!("a rest cannot last `{}`", short(w)),
                            "write minutes, or `same` for as long as a station with its reading",
                        );
                        60
                    }
                };
                (0, length, None)
            }
            None => {
                if p.minutes.is_some() {
                    say.minutes(&at("minutes"), "a station", minutes, 4.0, 20.0);
                }
                if p.reading.is_some() {
                    say.minutes(&at("reading"), "reading", reading, 0.0, 10.0);
                }
                for (key, value) in [("minutes", minutes), ("reading", reading)] {
                    if value.is_finite() && value >= 0.0 && value.fract() != 0.0 {
                        say.say(
                            &at(key),
                            format!("a station prints whole minutes only, not {value}"),
                            "write whole minutes, and put the half into `changeover`",
                        );
                    }
                }
                if (0.0..1.0).contains(&reading) {
                    say.say(
                        &at("reading"),
                        "a candidate needs a minute or more to read the sheet",
                        "write `reading: 1` or more",
                    );
                }
                let kind = p
                    .kind
                    .as_deref()
                    .and_then(|word| kind(say, known, &at("kind"), word).map(|k| k.id.clone()));
                let shape = Shape {
                    minutes: minutes.clamp(0.0, 60.0) as u32,
                    reading: reading.clamp(0.0, 60.0) as u32,
                    level: match &p.level {
                        Some(word) => level_of(say, &at("level"), word),
                        None => level,
                    },
                    kind,
                };
                (shape.reading * 60, shape.minutes * 60, Some(shape))
            }
        };
        for _ in 0..times.unwrap_or(1) {
            let name = if one.2.is_some() {
                stations += 1;
                format!("{stations}")
            } else {
                rests += 1;
                format!("R{rests}")
            };
            origins.push(i);
            all.push(Position {
                name,
                reading: one.0,
                length: one.1,
                station: one.2.clone(),
            });
        }
        if all.len() > MOST_POSITIONS {
            say.say(
                &["positions".into(), Step::from(i)],
                format!("the circuit has more than {MOST_POSITIONS} positions"),
                "split it into several circuits, each with its own blueprint",
            );
            break;
        }
    }
    if stations == 0 {
        say.say(
            &["positions".into()],
            "the circuit has no station",
            "add a line such as `- {times: 6}` under `positions:`",
        );
    }
    (all, origins)
}

/// Those who start together must move on together, or somebody waits outside a rest.
fn same_length(say: &mut Gather<'_>, positions: &[Position], origins: &[usize], pace: Pace) {
    let Some(first) = positions.first() else {
        return;
    };
    let odd = positions
        .iter()
        .zip(origins)
        .find(|(p, _)| p.slot(pace) != first.slot(pace));
    if let Some((other, &origin)) = odd {
        say.say(
            &["positions".into(), origin.into()],
            format!(
                "position {} takes {} minutes and position {} takes {}: whoever started together would have to wait",
                first.name,
                clock::minutes(first.slot(pace)),
                other.name,
                clock::minutes(other.slot(pace)),
            ),
            "write `starts: staggered` under `time:`, or give all positions (rests too: `rest: same`) one length",
        );
    }
}

fn limits(say: &mut Gather<'_>, limits: &written::Limits) -> Limits {
    let mut share = |key: &str, value: Option<f64>, usual: f64| {
        let value = value.unwrap_or(usual);
        if !(value > 0.0 && value <= 1.0) {
            say.say(
                &["limits".into(), Step::from(key)],
                format!("{value} is no limit"),
                "write a number above 0 and up to 1",
            );
        }
        value
    };
    let similarity = share(
        "similarity",
        limits.similarity,
        super::checked::USUAL_SIMILARITY,
    );
    let one_nerve = share("one_nerve", limits.one_nerve, 0.4);
    let repeat_sites = match limits.repeat_sites.as_deref() {
        None | Some("least") => Repeat::Least,
        Some("never") => Repeat::Never,
        Some(word) => {
            say.say(
                &["limits".into(), "repeat_sites".into()],
                format!("sites cannot be repeated `{}`", short(word)),
                did_you_mean(word, ["least", "never"], "write `least` or `never`"),
            );
            Repeat::Least
        }
    };
    Limits {
        similarity,
        one_nerve,
        repeat_sites,
    }
}
