//! Which stations can the forms be chosen from? They are built, counted, and kept with the words they say.

use super::jobs::{Breadth, Job, jobs};
use super::similar::words;
use super::threads::on_threads;
use crate::anatomy::Model;
use crate::case::{self, Case, Level, Request};
use crate::circuit::blueprint::{Blueprint, Experience, Exposure, KeptStation, Limbs};
use crate::diagnostic::{Failure, Problem};
use crate::files::Content;
use crate::station::{self, BuildCache, LEVELS, Station, StationKind, StationRequest, level_id};
use crate::wording::count_words;
use std::collections::BTreeSet;
use std::sync::atomic::{AtomicUsize, Ordering};

/// A station of the bank, with what the assembly counts.
#[derive(Debug, Clone)]
pub struct Banked {
    pub case: Case,
    pub station: Station,
    /// The candidate sheet as printed.
    pub sheet: String,
    /// Position among the sites of all limbs.
    pub site: usize,
    /// Id of the nerve that the injured one comes from.
    pub nerve: String,
    /// Where the lesion lies, as blueprints call it: "root", "trunk" ...
    pub place: String,
    pub level: Level,
    pub minutes: u32,
    pub reading: u32,
    pub seed: u64,
    /// Words of the candidate sheet.
    pub words: usize,
    /// Words the examiner reads aloud when every prompt is needed.
    pub spoken: usize,
    pub domains: Vec<String>,
    /// What the station is about, for comparing it with others.
    pub telling: BTreeSet<String>,
    /// Position in `Blueprint::reuse`, if it is one of those.
    pub reused: Option<usize>,
}

/// What the bank needs from outside.
pub struct Maker<'a> {
    pub limbs: &'a Limbs<'a>,
    pub content: &'a Content,
    /// The candidate sheet of a station as it would be printed, checked, and with it what else has to be.
    pub sheet: &'a (dyn Fn(&Model, &Case, &Station) -> Result<String, Failure> + Sync),
    /// Told how many of how many are done.
    pub progress: &'a (dyn Fn(usize, usize) + Sync),
    pub threads: usize,
}

/// Builds the bank. Same blueprint, content, exposure and seed: same bank, on any number of threads.
///
/// # Errors
/// Exit code 2 when a content file is no YAML of its shape; 1 when no station can be built at all, or one to be used again cannot.
pub fn bank(
    maker: &Maker<'_>,
    blueprint: &Blueprint,
    exposure: &Exposure,
    seed: u64,
    breadth: Breadth,
) -> Result<Vec<Banked>, Failure> {
    let stocks = stocks(maker);
    let jobs = match stocks.first() {
        Some(stock) => jobs(maker.limbs, stock.kinds()?, blueprint, seed, breadth),
        None => Vec::new(),
    };
    let done = AtomicUsize::new(0);
    let made = on_threads(maker.threads, &jobs, &|job| {
        let station = make(maker, &stocks, blueprint, exposure, job);
        (maker.progress)(done.fetch_add(1, Ordering::Relaxed) + 1, jobs.len());
        station
    });
    let mut all = Vec::new();
    let mut first_problem = None;
    for (at, outcome) in made {
        match outcome {
            Ok(Some(banked)) => all.push(banked),
            Ok(None) => {}
            Err(Failure::Content(problems)) => {
                if let Some(r) = jobs.get(at).and_then(|j| j.reused) {
                    let line = blueprint.reuse.get(r).map_or(0, |x| x.line);
                    let said = problems
                        .first()
                        .map_or(String::new(), |p| p.message.clone());
                    return Err(Failure::content(
                        Problem::new(format!(
                            "the station to be used again (line {line}) cannot be built: {said}"
                        ))
                        .hint("choose another seed for it, or take it out of `reuse:`"),
                    ));
                }
                first_problem = first_problem.or(problems.into_iter().next());
            }
            Err(other) => return Err(other),
        }
    }
    match (all.is_empty(), first_problem) {
        (true, Some(problem)) => Err(Failure::content(problem)),
        (true, None) => Err(Failure::content(
            Problem::new("no station is left that nobody has met")
                .hint("take something out of `avoid:` or `exposure:`"),
        )),
        (false, _) => Ok(all),
    }
}

/// What is read once, for each limb.
fn stocks<'a>(maker: &Maker<'a>) -> Vec<BuildCache<'a>> {
    let models = maker.limbs.models().iter();
    models
        .map(|model| BuildCache::new(model, maker.content, &[]))
        .collect()
}

/// Makes these stations as they were made before, each with its minutes of reading.
///
/// # Errors
/// Exit code 1 when one comes out with another code: content or program are not those of then.
pub fn again(maker: &Maker<'_>, wanted: &[(KeptStation, u32)]) -> Result<Vec<Banked>, Failure> {
    let stocks = stocks(maker);
    let done = AtomicUsize::new(0);
    let made = on_threads(maker.threads, wanted, &|(kept, reading)| {
        let station = as_before(maker, &stocks, kept, *reading);
        (maker.progress)(done.fetch_add(1, Ordering::Relaxed) + 1, wanted.len());
        station
    });
    made.into_iter().map(|(_, banked)| banked).collect()
}

fn as_before(
    maker: &Maker<'_>,
    stocks: &[BuildCache<'_>],
    kept: &KeptStation,
    reading: u32,
) -> Result<Banked, Failure> {
    let changed = || {
        Failure::content(
            Problem::new(format!(
                "station {} cannot be made as it was",
                kept.code
            ))
            .hint("content or program have changed since: use those of then, or plan the day anew without --keep"),
        )
    };
    let site = maker.limbs.sites().position(|s| s.id == kept.site);
    let level = LEVELS.into_iter().find(|l| level_id(*l) == kept.level);
    let own = site.and_then(|s| maker.limbs.find(s));
    let stock = own.and_then(|(model, _)| stocks.get(model));
    let (Some(site), Some(level), Some(stock)) = (site, level, stock) else {
        return Err(changed());
    };
    let Some(kind) = stock.kinds()?.iter().find(|k| k.id == kept.kind) else {
        return Err(changed());
    };
    let job = Job {
        site,
        kind: kept.kind.clone(),
        level,
        minutes: kept.minutes,
        reading,
        seeds: vec![kept.seed],
        reused: None,
    };
    let banked = one(maker, stock, kind, &job, kept.seed)?;
    match banked.station.code == kept.code {
        true => Ok(banked),
        false => Err(changed()),
    }
}

fn make(
    maker: &Maker<'_>,
    stocks: &[BuildCache<'_>],
    blueprint: &Blueprint,
    exposure: &Exposure,
    job: &Job,
) -> Result<Option<Banked>, Failure> {
    let own = maker.limbs.find(job.site);
    let Some(stock) = own.and_then(|(model, _)| stocks.get(model)) else {
        return Ok(None);
    };
    let Some(kind) = stock.kinds()?.iter().find(|k| k.id == job.kind) else {
        return Ok(None);
    };
    let mut last = Ok(None);
    for &seed in &job.seeds {
        match one(maker, stock, kind, job, seed) {
            Ok(banked) => {
                let code = &banked.station.code;
                let met = exposure.has_code(code) || blueprint.avoid.contains(code);
                if !met || job.reused.is_some() {
                    return Ok(Some(banked));
                }
            }
            Err(failure @ Failure::Content(_)) => last = Err(failure),
            Err(other) => return Err(other),
        }
    }
    last
}

fn one(
    maker: &Maker<'_>,
    stock: &BuildCache<'_>,
    kind: &StationKind,
    job: &Job,
    seed: u64,
) -> Result<Banked, Failure> {
    let site = maker.limbs.id(job.site);
    let case = case::draw(
        stock.model,
        maker.content,
        &Request {
            site: Some(site.to_string()),
            lesion: None,
            area: None,
            level: job.level,
            seed,
            fixed: Vec::new(),
        },
    )?;
    let draft = station::drawn(
        stock,
        &case,
        &StationRequest {
            kind: Some(kind.clone()),
            level: job.level,
            minutes: Some(job.minutes),
            seed,
            place: Some(site.to_string()),
            variants: Vec::new(),
            fixed: Vec::new(),
        },
    )?;
    let case = draft.case.clone();
    let mut built = station::build_draft(stock, draft)?;
    built.reading_minutes = job.reading;
    let sheet = (maker.sheet)(stock.model, &case, &built)?;
    let nerve = maker.limbs.main_nerve(job.site).0.to_string();
    let mut domains: Vec<String> = built.domains().into_iter().map(|(name, _)| name).collect();
    domains.sort_unstable();
    Ok(Banked {
        words: count_words(&sheet),
        spoken: spoken(&built),
        domains,
        telling: telling(&built),
        site: job.site,
        nerve,
        place: maker.limbs.place_of(job.site).to_string(),
        level: job.level,
        minutes: job.minutes,
        reading: job.reading,
        seed,
        reused: job.reused,
        sheet,
        case,
        station: built,
    })
}

/// Puts what earlier days taught into the difficulty of every station: forms are then made alike in it.
pub fn learn(limbs: &Limbs<'_>, bank: &mut [Banked], known: &Experience) {
    for banked in bank {
        let site = limbs.id(banked.site);
        let difficulty = &mut banked.station.difficulty;
        difficulty.figure = known.difficulty(difficulty.figure, &banked.station.kind.id, site);
    }
}

/// Words of all openings and prompts.
fn spoken(station: &Station) -> usize {
    station
        .questions
        .iter()
        .flat_map(|q| q.spoken())
        .map(count_words)
        .sum()
}

/// The words of what was found and of what is expected, without the frame that all stations of a kind share.
fn telling(station: &Station) -> BTreeSet<String> {
    let mut text = station.candidate.told_lesion.clone();
    for item in station.candidate.rows.iter().flat_map(|r| &r.items) {
        text.push(' ');
        text.push_str(&item.text);
    }
    for point in station
        .questions
        .iter()
        .flat_map(|q| &q.groups)
        .flat_map(|g| &g.points)
    {
        text.push(' ');
        text.push_str(&point.say);
    }
    words(&text)
}
