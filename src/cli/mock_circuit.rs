//! Which circuit does a mock walk through? The folder that `vivasmith circuit` wrote, or a blueprint, planned as that command plans it.

use super::circuit;
use super::mock_args::MockArgs;
use super::station::fresh_seed;
use crate::anatomy;
use crate::case::{self, Request};
use crate::circuit::report::round::{GroupRound, ROUND_FILE, Recipe, Round, round};
use crate::circuit::{EFFORT, Effort, Limbs, check, usual_nodes};
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, from_json};
use crate::sheets::mock::{Mock, Shown};
use crate::sheets::pictures::pictures;
use crate::sheets::words::Printer;
use crate::station::{self, BuildCache, LEVELS, StationRequest, kind_named, level_id};
use crate::typeset::PageStyle;
use std::path::Path;

/// Whether the word names a circuit.
pub fn named(content: &Content, word: &str) -> bool {
    let path = Path::new(word);
    content.get(&format!("circuits/{word}.yaml")).is_some()
        || [".yaml", ".yml"].iter().any(|end| word.ends_with(end))
        || path.is_dir()
}

/// The mock of one group of the circuit.
pub fn mock(printer: &Printer<'_>, args: &MockArgs, word: &str) -> Result<Mock, Failure> {
    if args.kind.is_some()
        || args.level.is_some()
        || args.minutes.is_some()
        || !args.variants.is_empty()
    {
        return Err(Failure::usage(
            Problem::new("a circuit has its stations already").hint(
                "leave out --kind, --level, --minutes and --variant: the blueprint says them",
            ),
        ));
    }
    match Path::new(word).is_dir() {
        true => written(printer, args, Path::new(word)),
        false => planned(printer, args, word),
    }
}

/// The circuit of a folder, its stations built again.
fn written(printer: &Printer<'_>, args: &MockArgs, folder: &Path) -> Result<Mock, Failure> {
    let path = folder.join(ROUND_FILE);
    if !path.is_file() {
        return Err(Failure::usage(
            Problem::new(format!("{}: no circuit lies here ({ROUND_FILE} is missing)", folder.display()))
                .hint("name the folder that `vivasmith circuit` wrote; a circuit of an older version is written again with its seed"),
        ));
    }
    if args.seed.is_some() {
        return Err(Failure::usage(
            Problem::new("the circuit in this folder has its seed already")
                .hint("leave --seed out, or name the blueprint in place of the folder"),
        ));
    }
    let round: Round = from_json(&circuit::file(&path)?)?;
    let group = group(&round, args)?;
    let stations = group.stations.iter().map(|r| again(printer, r));
    let stations = stations.collect::<Result<_, Failure>>()?;
    Ok(of(&round, group, stations))
}

/// The circuit of a blueprint.
fn planned(printer: &Printer<'_>, args: &MockArgs, word: &str) -> Result<Mock, Failure> {
    let content = printer.content;
    let (source, beside) = circuit::blueprint(content, word)?;
    let models = circuit::models(content, &args.shared, &source)?;
    let limbs = Limbs::of(&models);
    let lists = circuit::lists(&source, &beside)?;
    let blueprint = check(&source, &lists, content, &limbs)?;
    let seed = args.seed.or(blueprint.seed).unwrap_or_else(fresh_seed);
    let before = circuit::before(&blueprint, &beside, &[], &[])?;
    let effort = Effort {
        nodes: usual_nodes(&blueprint),
        ..EFFORT
    };
    // A plan counts the words on paper.
    let paper = Printer::new(content)?;
    let made = circuit::planned(
        &paper,
        &limbs,
        &blueprint,
        &before,
        (seed, effort),
        PageStyle::default(),
    )?;
    let round = round(&limbs, &made);
    let group = group(&round, args)?;
    let place = round.groups.iter().position(|g| g.id == group.id);
    let form = place.and_then(|g| made.forms.get(g));
    let style = printer.figure_style(PageStyle::default());
    let mut stations = Vec::new();
    for (_, banked) in form.into_iter().flat_map(|f| f.used()) {
        let station = banked.station.clone();
        let pictures = match limbs.model_of(banked.site) {
            Some(model) => {
                pictures(model, &banked.case, &station, &style).map_err(Failure::content)?
            }
            None => Vec::new(),
        };
        stations.push(Shown { station, pictures });
    }
    Ok(of(&round, group, stations))
}

fn of(round: &Round, group: &GroupRound, stations: Vec<Shown>) -> Mock {
    Mock {
        code: format!("{}-{}-{}", round.circuit, round.seed, group.id),
        title: round.title.clone(),
        stations,
        round: Some(group.clone()),
        alone: None,
    }
}

/// The group that is asked for, or the only one.
fn group<'r>(round: &'r Round, args: &MockArgs) -> Result<&'r GroupRound, Failure> {
    let ids: Vec<&str> = round.groups.iter().map(|g| g.id.as_str()).collect();
    let all = format!("write --group and one of: {}", ids.join(", "));
    match (&args.group, round.groups.as_slice()) {
        (None, [only]) => Ok(only),
        (None, _) => Err(Failure::usage(
            Problem::new(
                "the groups of this circuit meet different stations, and a mock holds one group",
            )
            .hint(all),
        )),
        (Some(id), groups) => groups.iter().find(|g| g.id == *id).ok_or_else(|| {
            Failure::usage(
                Problem::new(format!("the circuit has no group `{}`", short(id)))
                    .hint(did_you_mean(id, ids.iter().copied(), &all)),
            )
        }),
    }
}

/// A station as the circuit has it.
fn again(printer: &Printer<'_>, recipe: &Recipe) -> Result<Shown, Failure> {
    let content = printer.content;
    let other = || {
        Failure::content(
            Problem::new(format!("station {} is no longer what the circuit printed", recipe.code))
                .hint("the content has changed since: use that of the day (--content), or write the circuit again"),
        )
    };
    let model = anatomy::load(content, &recipe.region)?;
    let level = LEVELS.into_iter().find(|l| level_id(*l) == recipe.level);
    let level = level.ok_or_else(other)?;
    let cache = BuildCache::new(&model, content, &[]);
    let request = Request {
        site: Some(recipe.site.clone()),
        lesion: None,
        area: None,
        level,
        seed: recipe.seed,
        fixed: Vec::new(),
    };
    let wanted = StationRequest {
        kind: Some(kind_named(cache.kinds()?, &recipe.kind)?.clone()),
        level,
        minutes: Some(recipe.minutes),
        seed: recipe.seed,
        place: Some(recipe.site.clone()),
        variants: Vec::new(),
        fixed: Vec::new(),
    };
    let draft = station::drawn(&cache, &case::draw(&model, content, &request)?, &wanted)?;
    let case = draft.case.clone();
    let mut built = station::build_draft(&cache, draft)?;
    built.reading_minutes = recipe.reading;
    if built.code != recipe.code {
        return Err(other());
    }
    let style = printer.figure_style(PageStyle::default());
    let pictures = pictures(&model, &case, &built, &style).map_err(Failure::content)?;
    Ok(Shown {
        station: built,
        pictures,
    })
}
