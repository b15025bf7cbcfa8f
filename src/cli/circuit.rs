//! What does `vivasmith circuit` do? From the options to a planned circuit and its folder.

use super::args::{CircuitArgs, Shared, formats};
use super::content;
use super::drawn_from;
use super::page_style::page_style;
use super::progress::Progress;
use super::station::fresh_seed;
use crate::anatomy::{self, Model};
use crate::case::Case;
use crate::circuit::blueprint::Kept;
use crate::circuit::{
    self, Banked, Blueprint, Breadth, Circuit, EFFORT, Effort, Experience, Exposure, Limbs, Lists,
    Maker, report,
};
use crate::diagnostic::{Failure, Place, Problem, did_you_mean, short};
use crate::files::{Content, Source, Table, read_table, read_text, ready_folder, write_folder};
use crate::sheets::circuit::Folder;
use crate::sheets::publish::StationSheets;
use crate::sheets::rows::CANDIDATE;
use crate::sheets::words::{Printer, Seat};
use crate::station::Station;
use crate::typeset::PageStyle;
use crate::typeset::fonts::Fonts;
use std::collections::BTreeSet;
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::Duration;

pub fn run(args: &CircuitArgs) -> Result<String, Failure> {
    let content = content(&args.shared)?;
    let (source, beside) = blueprint(&content, &args.blueprint)?;
    let models = models(&content, &args.shared, &source)?;
    let limbs = Limbs::of(&models);
    let lists = lists(&source, &beside)?;
    let mut blueprint = circuit::check(&source, &lists, &content, &limbs)?;
    printable(&source)?;
    names(&mut blueprint, args.names)?;
    let before = before(&blueprint, &beside, &args.exposure, &args.learned)?;
    let kept = match &args.keep {
        Some(folder) => Some(super::marks::key(folder)?.kept()),
        None => None,
    };
    ready_folder(&args.out, args.replace)?;
    let printer = Printer::new(&content)?;
    let page = page_style(&content, &args.page)?;
    let planned = match &kept {
        Some(kept) => kept_again(&printer, &limbs, &blueprint, &before, kept)?,
        None => {
            let nodes = args.nodes;
            let effort = Effort {
                nodes: nodes.unwrap_or_else(|| circuit::usual_nodes(&blueprint)),
                time: match args.seconds {
                    Some(seconds) => Duration::from_secs(seconds.clamp(1, 24 * 60 * 60)),
                    None => EFFORT.time,
                },
            };
            let seed = args.seed.or(blueprint.seed).unwrap_or_else(fresh_seed);
            planned(&printer, &limbs, &blueprint, &before, (seed, effort), page)?
        }
    };
    let folder = Folder {
        printer: &printer,
        limbs: &limbs,
        circuit: &planned,
        before: &before.exposure,
        page,
        formats: formats(&args.formats),
        threads: threads(),
    };
    let files = {
        let bar = Progress::new("Sheets");
        folder.files(&|done, all| bar.tell(done, all))?
    };
    write_folder(&args.out, &files, args.replace)?;
    Ok(told(&limbs, &planned, files.len(), &args.out))
}

fn threads() -> usize {
    std::thread::available_parallelism().map_or(2, usize::from)
}

/// The limbs that a blueprint draws on.
pub(super) fn models(
    content: &Content,
    shared: &Shared,
    source: &Source,
) -> Result<Vec<Model>, Failure> {
    let regions = match circuit::regions_of(source)? {
        own if own.is_empty() => drawn_from(content, shared)?,
        own => own,
    };
    regions.iter().map(|r| anatomy::load(content, r)).collect()
}

/// What earlier circuits left.
pub(super) struct Before {
    exposure: Exposure,
    known: Experience,
}

/// What the blueprint names beside itself, and what the options name.
pub(super) fn before(
    blueprint: &Blueprint,
    beside: &Path,
    exposure: &[PathBuf],
    learned: &[PathBuf],
) -> Result<Before, Failure> {
    let mut all = Before {
        exposure: Exposure::default(),
        known: Experience::default(),
    };
    let named = blueprint.exposure.iter().map(|p| beside.join(p));
    for path in named.chain(exposure.iter().cloned()) {
        all.exposure.add(&file(&path)?)?;
    }
    let named = blueprint.learned.iter().map(|p| beside.join(p));
    for path in named.chain(learned.iter().cloned()) {
        all.known.add(&file(&path)?)?;
    }
    Ok(all)
}

/// Plans the circuit of a blueprint from stations that can be printed on these pages.
pub(super) fn planned(
    printer: &Printer<'_>,
    limbs: &Limbs<'_>,
    blueprint: &Blueprint,
    before: &Before,
    (seed, effort): (u64, Effort),
    page: PageStyle,
) -> Result<Circuit, Failure> {
    if !blueprint.replaced.is_empty() {
        return Err(Failure::usage(
            Problem::new("a spare station stands in only in a circuit that was planned before")
                .hint("name the folder of that circuit with --keep, or take `spare:` out of `changes:`"),
        ));
    }
    // Who comes is quickly checked, and long before the stations are built.
    circuit::seat(blueprint, None, seed)?;
    let from_bank = |sheet: &SheetOf<'_>, breadth: Breadth| -> Result<Circuit, Failure> {
        let mut bank = {
            let bar = Progress::new("Stations");
            let maker = Maker {
                limbs,
                content: printer.content,
                sheet,
                progress: &|done, all| bar.tell(done, all),
                threads: threads(),
            };
            circuit::bank(&maker, blueprint, &before.exposure, seed, breadth)?
        };
        circuit::learn(limbs, &mut bank, &before.known);
        circuit::plan(limbs, blueprint, &bank, &before.exposure, seed, effort)
    };
    let from = |sheet: &SheetOf<'_>| match from_bank(sheet, Breadth::Usual) {
        // Before a rule is blamed, every kind of station is there to choose from.
        Err(Failure::Content(_)) => from_bank(sheet, Breadth::All),
        other => other,
    };
    // Laying out costs more than building, and hardly a station is ever too long: first the chosen ones are tried, and only where
    // one of them fails the whole bank.
    let whole = |model: &Model, case: &Case, station: &Station| -> Result<String, Failure> {
        let sheets =
            StationSheets::new(printer, model, (case, station), &printer.figure_style(page))?;
        sheets.check(printer, station, page, &widest(blueprint))?;
        let first = sheets.sheets.into_iter().next();
        Ok(first.map_or_else(String::new, |s| s.markdown))
    };
    let circuit = from(&door_sheet(printer))?;
    let forms = circuit.forms.iter();
    let chosen = forms.flat_map(|f| f.stations.iter().flatten().chain(&f.spares));
    let chosen: Vec<&Banked> = chosen.chain(&circuit.calibration).collect();
    let tried = circuit::on_threads(threads(), &chosen, &|banked| {
        let model = limbs.model_of(banked.site)?;
        whole(model, &banked.case, &banked.station).err()
    });
    let mut wrong: Vec<Failure> = tried
        .into_iter()
        .filter_map(|(_, failure)| failure)
        .collect();
    match wrong.len() {
        0 => return Ok(circuit),
        // What is wrong with every station is no fault of a station.
        all if all == chosen.len() => return Err(wrong.swap_remove(0)),
        _ => {}
    }
    let left_out = Mutex::new(BTreeSet::new());
    let mut again = from(&|model, case, station| {
        let sheet = whole(model, case, station);
        if let (Err(failure), Ok(mut all)) = (&sheet, left_out.lock()) {
            all.extend(failure.problems().first().map(|p| p.message.clone()));
        }
        sheet
    })?;
    again.made.unprintable = left_out
        .into_inner()
        .map_or_else(|_| Vec::new(), Vec::from_iter);
    Ok(again)
}

type SheetOf<'a> = dyn Fn(&Model, &Case, &Station) -> Result<String, Failure> + Sync + 'a;

/// What the bank needs to see of every station.
fn door_sheet(
    printer: &Printer<'_>,
) -> impl Fn(&Model, &Case, &Station) -> Result<String, Failure> {
    |_, _, station| printer.sheet(&CANDIDATE, station, &[]).map(|s| s.markdown)
}

/// The seat that takes most room on a sheet.
fn widest(blueprint: &Blueprint) -> Seat {
    let longest = |all: &mut dyn Iterator<Item = &String>| -> String {
        all.max_by_key(|t| t.len()).cloned().unwrap_or_default()
    };
    let candidates = blueprint.groups.iter().flat_map(|g| &g.candidates);
    let sittings = blueprint.groups.iter().flat_map(|g| &g.sittings);
    Seat {
        candidate: longest(&mut candidates.map(|c| &c.id)),
        examiner: longest(&mut blueprint.examiners.iter().map(|e| &e.id)),
        start: "00:00:00".to_string(),
        position: longest(&mut blueprint.positions.iter().map(|p| &p.name)),
        longer: match sittings.into_iter().any(|s| s.extra > 0) {
            true => "00.5".to_string(),
            false => String::new(),
        },
    }
}

/// The circuit of an earlier plan, with what the blueprint changes.
fn kept_again(
    printer: &Printer<'_>,
    limbs: &Limbs<'_>,
    blueprint: &Blueprint,
    before: &Before,
    kept: &Kept,
) -> Result<Circuit, Failure> {
    let bar = Progress::new("Stations");
    let maker = Maker {
        limbs,
        content: printer.content,
        sheet: &door_sheet(printer),
        progress: &|done, all| bar.tell(done, all),
        threads: threads(),
    };
    circuit::keep(&maker, blueprint, kept, &before.exposure)
}

/// Everything goes by number; names are printed only where they are asked for, and then must be in letters that the face has.
fn names(blueprint: &mut Blueprint, wanted: bool) -> Result<(), Failure> {
    let fonts = Fonts::load().map_err(Failure::content)?;
    let candidates = blueprint.groups.iter_mut().flat_map(|g| &mut g.candidates);
    let candidates = candidates.map(|c| (&c.id, &mut c.name));
    let examiners = blueprint.examiners.iter_mut();
    let examiners = examiners.map(|e| (&e.id, &mut e.name));
    let mut problems = Vec::new();
    for (id, name) in candidates.chain(examiners) {
        let missing = |c: &char| !c.is_whitespace() && fonts.draw(*c, 0).is_none();
        if !wanted {
            name.clear();
        } else if let Some(c) = name.chars().find(missing) {
            problems.push(
                Problem::new(format!("the name of {id}: {}", no_such_letter(c))).hint(LETTERS),
            );
        }
    }
    match problems.is_empty() {
        true => Ok(()),
        false => Err(Failure::Content(problems)),
    }
}

fn no_such_letter(c: char) -> String {
    format!("the letter `{c}` cannot be printed: the face of the sheets has no such letter")
}

const LETTERS: &str = "write the name in Latin, Greek, Cyrillic, Arabic, Hebrew, Armenian or Georgian letters, or leave names out and use numbers";

/// The blueprint, and the folder that its own paths start from.
pub(super) fn blueprint(content: &Content, word: &str) -> Result<(Source, PathBuf), Failure> {
    if let Some(source) = content.get(&format!("circuits/{word}.yaml")) {
        return Ok((source.clone(), PathBuf::new()));
    }
    let path = Path::new(word);
    let looks_like_a_file =
        word.ends_with(".yaml") || word.ends_with(".yml") || word.contains(['/', '\\']);
    if looks_like_a_file || path.exists() {
        let beside = path.parent().map(Path::to_path_buf).unwrap_or_default();
        return Ok((file(path)?, beside));
    }
    let known: Vec<&str> = content
        .under("circuits/")
        .filter_map(|s| s.name.strip_prefix("circuits/")?.strip_suffix(".yaml"))
        .collect();
    let otherwise = format!("name a .yaml file, or one of: {}", known.join(", "));
    Err(Failure::usage(
        Problem::new(format!("there is no blueprint `{}`", short(word))).hint(did_you_mean(
            word,
            known.iter().copied(),
            &otherwise,
        )),
    ))
}

/// The tables that a blueprint names, which lie beside it.
///
/// # Errors
/// Exit code 3 when one cannot be read; 2 when it is no table.
pub fn lists(source: &Source, beside: &Path) -> Result<Lists, Failure> {
    let named = circuit::lists_of(source)?;
    let read = |name: Option<String>| -> Result<Option<Table>, Failure> {
        name.map(|name| read_table(&file(&beside.join(name))?))
            .transpose()
    };
    Ok(Lists {
        candidates: read(named.candidates)?,
        examiners: read(named.examiners)?,
        declared: read(named.declared)?,
    })
}

pub(super) fn file(path: &Path) -> Result<Source, Failure> {
    let name = path
        .file_name()
        .map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    Ok(Source::new(
        name,
        path.display().to_string(),
        read_text(path)?,
    ))
}

/// Whether everything in the blueprint can be printed: a name in letters that the face has not would stop the work at its end.
fn printable(source: &Source) -> Result<(), Failure> {
    let fonts = Fonts::load().map_err(Failure::content)?;
    let mut problems = Vec::new();
    for (row, line) in source.text.lines().enumerate() {
        let said = line.split(" #").next().unwrap_or_default();
        let missing = |c: &char| !c.is_whitespace() && fonts.draw(*c, 0).is_none();
        if let Some((column, c)) = said.chars().enumerate().find(|(_, c)| missing(c))
            && !said.trim_start().starts_with('#')
        {
            let place = Place {
                file: source.shown.clone(),
                line: row + 1,
                column: column + 1,
            };
            problems.push(Problem::new(no_such_letter(c)).hint(LETTERS).at(place));
        }
    }
    match problems.is_empty() {
        true => Ok(()),
        false => Err(Failure::Content(problems)),
    }
}

/// What stands on the terminal afterwards.
fn told(limbs: &Limbs<'_>, planned: &Circuit, files: usize, out: &Path) -> String {
    let r = report::report(limbs, planned);
    let h = &r.head;
    // Writing to a String cannot fail.
    let mut text = String::new();
    let _ = writeln!(text, "circuit {} (seed {}): {}", h.id, h.seed, h.title);
    let _ = writeln!(
        text,
        "  stations: {}, rests: {}, candidates: {}, groups: {}, minutes once round: {}",
        h.stations,
        h.rests,
        h.candidates,
        h.groups.len(),
        h.round
    );
    if r.forms.len() > 1 {
        let _ = writeln!(
            text,
            "  between the forms: difficulty {} (mean {} a station), {} words, {} marks; sites met again: {}",
            r.spread.difficulty,
            r.spread.mean,
            r.spread.words,
            r.spread.marks,
            r.repeats.len()
        );
    }
    let end = match (r.search.proven, r.search.by_clock) {
        (true, _) => "proven",
        (false, true) => "stopped by the clock: another run may find other forms",
        (false, false) => "stopped at its limit of branches (--nodes)",
    };
    let _ = match r.search.kept {
        true => writeln!(text, "  stations and seats as they were planned before"),
        false => writeln!(
            text,
            "  search: cost {}, gap {} ({end})",
            r.search.cost, r.search.gap
        ),
    };
    for note in r.notes.iter().filter(|n| n.warning) {
        let group = if note.group.is_empty() {
            String::new()
        } else {
            format!("group {}: ", note.group)
        };
        let _ = writeln!(text, "  look at this: {group}{}", note.text);
    }
    let _ = writeln!(text, "  {files} files in {}", out.display());
    text.push_str("A named person must review the sheets before use.\n");
    text
}
