//! Is a content folder sound? Everything that is wrong with it, with advice and a count of what was read.

use super::{notes_check, plexus_check};
use crate::anatomy::{self, Model};
use crate::case::{self, Case, Level, Request};
use crate::circuit::{self, Limbs};
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, SETTINGS, Source, Step, locate, settings};
use crate::lesion;
use crate::sheets::pictures::blanks;
use crate::sheets::words::Printer;
use crate::station::authored::{self as own, Checked};
use crate::station::{self, BuildCache, LEVELS, Station, StationKind, StationRequest, level_id};
use crate::teaching;
use crate::typeset::PageStyle;
use std::path::Path;

/// What the proofreading comes to.
#[derive(Default)]
pub struct Proof {
    pub failures: Vec<Failure>,
    pub advice: Vec<Problem>,
    /// One line each: "1 region: 64 muscles, ...".
    pub counts: Vec<String>,
    /// The name of the file, the region it is about, what it comes to.
    pub own: Vec<(String, String, Checked)>,
}

impl Proof {
    fn add(&mut self, problem: Problem) {
        self.failures.push(Failure::content(problem));
    }

    fn keep<T>(&mut self, outcome: Result<T, Failure>) -> Option<T> {
        outcome.map_err(|e| self.failures.push(e)).ok()
    }
}

/// Reads everything. Own stations are checked against the first of `regions` that has their lesion, and stations are built on trial of each.
pub fn of(content: &Content, regions: &[String]) -> Proof {
    let mut proof = Proof::default();
    strays(content, &mut proof);
    let models: Vec<(String, Option<Model>)> = anatomy::regions(content)
        .into_iter()
        .map(|r| {
            let model = proof.keep(anatomy::load(content, &r));
            (r, model)
        })
        .collect();
    for (name, model) in &models {
        if let Some(m) = model {
            proof.counts.push(format!(
                "{name}: {} muscles, {} skin areas, {} reflexes, {} signs, {} variants, {} sites",
                m.muscles.len(),
                m.skin.len(),
                m.reflexes.len(),
                m.signs.len(),
                m.variants.len(),
                m.sites.len()
            ));
        }
    }
    let sites: Vec<&str> = models
        .iter()
        .filter_map(|(_, m)| m.as_ref())
        .flat_map(|m| m.sites.iter().map(|s| s.id.as_str()))
        .collect();
    for model in models.iter().filter_map(|(_, m)| m.as_ref()) {
        proof.keep(teaching::approaches(content, model));
    }
    let whole = models.iter().all(|(_, m)| m.is_some());
    // With a region missing, its scenarios would all be about unknown sites.
    if whole {
        proof.failures.extend(case::failures(content, &sites));
    }
    let families = proof.keep(teaching::families(content));
    let kinds = families
        .as_ref()
        .and_then(|f| proof.keep(station::kinds(content, f)))
        .unwrap_or_default();
    for model in models.iter().filter_map(|(_, m)| m.as_ref()) {
        if let Some(families) = families.as_ref().filter(|_| !kinds.is_empty()) {
            let found = notes_check::of(content, model, families, &kinds);
            proof.failures.extend(found.failures);
            proof.advice.extend(found.advice);
            if found.files > 0 {
                let line = format!("{}: {} files of notes", model.region, found.files);
                proof.counts.push(line);
            }
        }
    }
    if let Some(families) = &families {
        unasked(content, families, &kinds, &mut proof);
    }
    let families = families.is_some();
    proof.counts.push(format!(
        "{} scenario files, {} question families, {} kinds of station",
        content
            .under("scenarios/")
            .filter(|s| !s.is_extra())
            .count(),
        content
            .under("questions/")
            .filter(|s| !s.is_extra())
            .count()
            .saturating_sub(1),
        kinds.len()
    ));
    if families {
        blueprints(content, &models, &mut proof);
    }
    let house = proof.keep(settings(content)).is_some();
    let printer = house.then(|| proof.keep(Printer::new(content))).flatten();
    proof
        .advice
        .extend(plexus_check::of(content, &models, printer.as_ref()));
    let model = |r: &String| models.iter().find(|(name, _)| name == r)?.1.as_ref();
    let meant = regions.iter().filter_map(model);
    let stocks: Vec<_> = meant.map(|m| BuildCache::new(m, content, &[])).collect();
    if let Some(printer) = printer
        .as_ref()
        .filter(|_| families && proof.failures.is_empty())
    {
        trial(&stocks, printer, &kinds, &mut proof);
    }
    stations(&stocks, printer.as_ref(), &mut proof);
    proof
}

/// Questions of the user's that no kind of station asks.
fn unasked(
    content: &Content,
    families: &teaching::Families,
    kinds: &[StationKind],
    proof: &mut Proof,
) {
    for asking in families.all() {
        let source = content.get(&format!("{}{}.yaml", teaching::QUESTIONS, asking.id));
        let Some(source) = source.filter(|s| s.overlaid) else {
            continue;
        };
        if kinds.iter().all(|k| !k.asks(&asking.id)) {
            let problem = Problem::new(format!("no kind of station asks `{}`", short(&asking.id)));
            let hint = format!(
                "put {{ask: {}, marks: 2, time: 2}} into the plan of a kind, in a copy of that kind in questions/kinds.extra.yaml",
                asking.id
            );
            proof
                .advice
                .push(problem.at(locate(source, &["id".into()])).hint(hint));
        }
    }
}

/// Every blueprint against the model of its region.
fn blueprints(content: &Content, models: &[(String, Option<Model>)], proof: &mut Proof) {
    let mut count = 0;
    for source in content.under("circuits/") {
        count += 1;
        let Some(own) = proof.keep(circuit::regions_of(source)) else {
            continue;
        };
        let known = || models.iter().map(|(name, _)| name.as_str());
        let unknown: Vec<&String> = own.iter().filter(|r| known().all(|k| k != **r)).collect();
        for region in &unknown {
            let hint = did_you_mean(region, known(), "name a region of anatomy/");
            let place = locate(source, &["region".into()]);
            proof.add(
                Problem::new(format!(
                    "there is no model of the region `{}`",
                    short(region)
                ))
                .at(place)
                .hint(hint),
            );
        }
        let meant = models
            .iter()
            .filter(|(name, _)| own.is_empty() || own.contains(name));
        let meant: Option<Vec<&Model>> = meant.map(|(_, model)| model.as_ref()).collect();
        // A model's own problems are told already.
        if let Some(meant) = meant.filter(|_| unknown.is_empty()) {
            let lists = proof.keep(super::circuit::lists(source, Path::new("")));
            let lists = lists.unwrap_or_default();
            proof.keep(circuit::check(source, &lists, content, &Limbs::of(meant)));
        }
    }
    proof.counts.push(format!("{count} blueprints of circuits"));
}

/// Files that nothing reads, extra files that add to nothing, templates that no sheet uses.
fn strays(content: &Content, proof: &mut Proof) {
    for problem in content.unread() {
        proof.add(problem.clone());
    }
    for source in content.all().filter(|s| s.overlaid) {
        // A region says itself which of its files it does not know.
        if let Some(base) = source.extends().filter(|b| !b.starts_with("anatomy/"))
            && (content.get(&base).is_none() || !extendable(&base))
        {
            let known = content
                .all()
                .filter(|s| extendable(&s.name))
                .map(|s| s.name.as_str());
            proof.add(
                Problem::new(format!("there is no file {base} to add to"))
                    .at(locate(source, &[]))
                    .hint(did_you_mean(&base, known, "an extra file has the name of a list of the content, with .extra.yaml at the end")),
            );
        }
        let is_template = source.name.ends_with(".tera");
        if is_template && !used(content, source) {
            let shipped = Content::embedded();
            let known: Vec<&str> = shipped
                .under("templates/")
                .filter(|s| s.name.ends_with(".tera"))
                .map(|s| s.name.as_str())
                .collect();
            let hint = did_you_mean(
                &source.name,
                known.iter().copied(),
                &format!("the sheets are printed by {}", known.join(", ")),
            );
            proof.add(
                Problem::new("no sheet uses this template")
                    .at(locate(source, &[]))
                    .hint(hint),
            );
        }
    }
}

/// Lists whose entries an extra file can add to.
fn extendable(name: &str) -> bool {
    let listed = ["anatomy/", "scenarios/", "approaches/"]
        .iter()
        .any(|f| name.starts_with(f));
    (listed && !name.ends_with("/region.yaml") && !name.ends_with(".extra.yaml"))
        || name == "questions/kinds.yaml"
}

/// Overrides a shipped template, or is named by another one.
fn used(content: &Content, source: &Source) -> bool {
    let bare = source.name.trim_start_matches("templates/");
    Content::shipped(&source.name).is_some()
        || content
            .under("templates/")
            .any(|s| s.overlaid && s.name != source.name && s.text.contains(bare))
}

/// Sites that stand for the others on trial.
const SAMPLE: usize = 5;
/// Seeds tried for a site whose scenarios are the user's own.
const SEEDS: u64 = 2;

/// One station built on trial.
struct Trial<'a> {
    site: &'a str,
    kind: &'a StationKind,
    level: Level,
    seed: u64,
}

/// Builds stations with the user's files, so that what only shows on a sheet is found too: every kind and level at every site whose
/// scenarios are the user's, and every kind at a few others. What the shipped content does wrong by itself is not the user's.
fn trial(
    stocks: &[BuildCache<'_>],
    printer: &Printer<'_>,
    kinds: &[StationKind],
    proof: &mut Proof,
) {
    let content = printer.content;
    let shipped = Content::embedded();
    // A copy of a shipped file changes nothing.
    let mine = |s: &Source| {
        let same = |o: &Source| o.text == s.text;
        s.overlaid && !s.name.starts_with(own::FOLDER) && !shipped.get(&s.name).is_some_and(same)
    };
    if !content.all().any(mine) {
        return;
    }
    let on_sheets =
        |s: &Source| mine(s) && (s.name.starts_with("templates/") || s.name == SETTINGS);
    let sheets = content.all().any(on_sheets);
    let mut built = 0;
    for stock in stocks {
        built += of_limb(stock, (printer, sheets), kinds, &mine, proof);
    }
    proof
        .counts
        .push(format!("{built} stations built on trial"));
}

/// The stations of one limb; gives how many were built.
fn of_limb(
    stock: &BuildCache<'_>,
    (printer, sheets): (&Printer<'_>, bool),
    kinds: &[StationKind],
    mine: &dyn Fn(&Source) -> bool,
    proof: &mut Proof,
) -> usize {
    let (content, model) = (stock.content, stock.model);
    let mut built = 0;
    let step = model.sites.len().div_ceil(SAMPLE).max(1);
    for (i, site) in model.sites.iter().enumerate() {
        let file = format!("scenarios/{}.yaml", site.id);
        let notes = format!("{}{}/{}.yaml", teaching::FOLDER, model.region, site.id);
        let own = [
            content.get(&file),
            content.extra_of(&file),
            content.get(&notes),
        ]
        .into_iter()
        .flatten()
        .find(|s| mine(s));
        if own.is_none() && i % step != 0 {
            continue;
        }
        for (k, kind) in kinds.iter().enumerate() {
            for (l, level) in LEVELS.into_iter().enumerate() {
                // A site that stands for others shows each kind at one level.
                if own.is_none() && l != (i / step + k) % LEVELS.len() {
                    continue;
                }
                for seed in 1..=own.map_or(1, |_| SEEDS) {
                    let trial = Trial {
                        site: &site.id,
                        kind,
                        level,
                        seed,
                    };
                    let printer = Some(printer).filter(|_| sheets || own.is_some());
                    match one(stock, printer, &trial) {
                        Err(failure) if station::is_unfit(&failure) => {}
                        Err(failure) if own.is_some() || !fails_shipped(model, &trial) => {
                            built += 1;
                            tell(&failure, &trial, own, proof);
                        }
                        _ => built += 1,
                    }
                }
            }
        }
    }
    built
}

/// The same station fails without any file of the user's.
fn fails_shipped(model: &Model, trial: &Trial<'_>) -> bool {
    let shipped = Content::embedded();
    let (Ok(model), Ok(printer)) = (
        anatomy::load_undrawn(&shipped, &model.region),
        Printer::new(&shipped),
    ) else {
        return false;
    };
    one(
        &BuildCache::new(&model, &shipped, &[]),
        Some(&printer),
        trial,
    )
    .is_err()
}

/// Each fault once, with the command that shows it.
fn tell(failure: &Failure, trial: &Trial<'_>, own: Option<&Source>, proof: &mut Proof) {
    for problem in failure.problems() {
        // The code of a station differs from trial to trial, its fault does not.
        let fault = problem
            .message
            .split_once(": ")
            .map_or(problem.message.as_str(), |(_, rest)| rest);
        let told_already = proof
            .failures
            .iter()
            .flat_map(|f| f.problems())
            .any(|p| p.message.contains(fault));
        if told_already {
            continue;
        }
        let mut told = problem.clone();
        if told.place.is_none() {
            let key = |s: &Source| match s.name.starts_with(teaching::FOLDER) {
                true => "ask",
                false => "mechanisms",
            };
            told.place = own.map(|s| locate(s, &[Step::from(key(s))]));
        }
        told.message = format!(
            "{} (on trial: vivasmith station {} --kind {} --level {} --seed {})",
            told.message,
            trial.site,
            trial.kind.id,
            level_id(trial.level),
            trial.seed
        );
        proof.add(told);
    }
}

/// Builds one, and prints it when there is a printer.
fn one(
    stock: &BuildCache<'_>,
    printer: Option<&Printer<'_>>,
    trial: &Trial<'_>,
) -> Result<(), Failure> {
    let request = Request {
        site: Some(trial.site.to_string()),
        lesion: None,
        area: None,
        level: trial.level,
        seed: trial.seed,
        fixed: Vec::new(),
    };
    let case = case::draw(stock.model, stock.content, &request)?;
    let wanted = StationRequest {
        kind: Some(trial.kind.clone()),
        level: trial.level,
        minutes: None,
        seed: trial.seed,
        place: None,
        variants: Vec::new(),
        fixed: Vec::new(),
    };
    let built = station::build(stock, &case, &wanted)?;
    if let Some(printer) = printer {
        print(printer, stock.model, &built, Some(&case))?;
    }
    Ok(())
}

/// The sheets of a station, with the blanks of its candidate.
fn print(
    printer: &Printer<'_>,
    model: &Model,
    built: &Station,
    case: Option<&Case>,
) -> Result<(), Failure> {
    let blanks = match case {
        Some(case) => blanks(
            model,
            case,
            built,
            &printer.figure_style(PageStyle::default()),
        )
        .map_err(Failure::content)?,
        None => Vec::new(),
    };
    printer.sheets(built, &blanks).map(drop)
}

/// The stations of the teacher's own.
fn stations(stocks: &[BuildCache<'_>], printer: Option<&Printer<'_>>, proof: &mut Proof) {
    let Some(usual) = stocks.first() else {
        return;
    };
    let mut count = 0;
    for source in usual.content.under(own::FOLDER).filter(|s| !s.is_extra()) {
        count += 1;
        let lesion = own::lesion_of(source).unwrap_or_default();
        let about = |s: &&BuildCache<'_>| lesion::parse(s.model, &lesion).is_ok();
        let stock = stocks.iter().find(about).unwrap_or(usual);
        let Some(mut checked) = proof.keep(own::read_from(stock, source)) else {
            continue;
        };
        if let (Some(built), Some(printer)) = (&checked.station, printer)
            && let Err(failure) = print(printer, stock.model, built, checked.case.as_ref())
        {
            for problem in failure.problems() {
                let mut told = problem.clone();
                told.place = told
                    .place
                    .or_else(|| Some(locate(source, &["stem".into()])));
                checked.problems.push(told);
            }
        }
        if !checked.problems.is_empty() {
            checked.station = None;
            proof
                .failures
                .push(Failure::Content(checked.problems.clone()));
        }
        proof.advice.extend(checked.advice.iter().cloned());
        let region = stock.model.region.clone();
        proof.own.push((source.name.clone(), region, checked));
    }
    if count > 0 {
        let plural = if count == 1 { "" } else { "s" };
        proof
            .counts
            .push(format!("{count} station{plural} of your own"));
    }
}
