//! What does `vivasmith station` do? From the options to a case, a station and its sheets in a folder.

use super::args::{Shared, SheetArgs, StationArgs, formats};
use super::page_style::page_style;
use super::wanted::{Asked, Place, Wanted, built, joined, operation};
use super::{content, drawn_from, found_in};
use crate::anatomy::{self, Model};
use crate::case::{self, Case, Stream};
use crate::circuit::on_threads;
use crate::diagnostic::{Failure, Problem, short};
use crate::files::{Content, OutFile, Source, write_all, write_sets};
use crate::lesion;
use crate::sheets::pictures::{self, Picture};
use crate::sheets::publish::{StationSheets, publish};
use crate::sheets::words::Printer;
use crate::station::{BuildCache, Station, authored};
use crate::typeset::PageStyle;
use crate::typeset::fonts::Fonts;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::time::{SystemTime, UNIX_EPOCH};

pub fn run(args: &StationArgs) -> Result<String, Failure> {
    let content = content(&args.shared)?;
    if let (Some(own), Some(_)) = (&args.place, &args.write_own)
        && own.starts_with("own:")
    {
        return Err(Failure::usage(
            Problem::new(format!("{own} is a file of yours already"))
                .hint("copy the file and change its `id:`, or leave --write-own out"),
        ));
    }
    if let Some(id) = args.place.as_deref().and_then(|p| p.strip_prefix("own:")) {
        if args.count.is_some() {
            return Err(Failure::usage(
                Problem::new(format!("own:{} is the same whatever the seed", short(id)))
                    .hint("leave --count out, or name a site"),
            ));
        }
        return own(&content, id, args);
    }
    let seed = args.seed.unwrap_or_else(fresh_seed);
    if let Some(count) = args.count {
        return several(&content, seed, count, args);
    }
    // What does not wait for the model is done on the second core.
    let (found, printer) = std::thread::scope(|scope| {
        let printer = scope.spawn(|| {
            let printer = Printer::new(&content);
            // Kept for the process; whoever needs the fonts hears what is wrong with them.
            let _ = Fonts::load();
            printer
        });
        let asked = (args.place.as_deref(), args.area.as_deref());
        (limb(&content, &args.shared, seed, asked), joined(printer))
    });
    let (model, place) = found?;
    drawn(&content, &model, place, printer, seed, args)
}

/// The limb that the station is about, and the place asked for there; drawn by the seed where nothing tells.
pub(super) fn limb(
    content: &Content,
    shared: &Shared,
    seed: u64,
    (asked, area): (Option<&str>, Option<&str>),
) -> Result<(Model, Place), Failure> {
    if let Some(word) = asked.or(area) {
        return found_in(content, shared, (word, true), |model| {
            if let Some(area) = area {
                case::sites_of(model, area)?;
            }
            match operation(content, model, asked)? {
                Some(of) => Ok((Some(of.site), None)),
                None => place(model, asked),
            }
        });
    }
    let regions = drawn_from(content, shared)?;
    let model = anatomy::load(content, drawn_region(&regions, seed))?;
    Ok((model, (None, None)))
}

fn asked(args: &StationArgs) -> Asked<'_> {
    Asked {
        place: args.place.as_deref(),
        area: args.area.as_deref(),
        level: args.level,
        kind: args.kind.as_deref(),
        minutes: args.minutes,
        variants: &args.variants,
    }
}

fn drawn_region(regions: &[String], seed: u64) -> &str {
    let at = Stream::new(seed, "station/region").below(regions.len() as u32);
    regions.get(at as usize).map_or("", String::as_str)
}

/// A station of a case that is drawn.
fn drawn(
    content: &Content,
    model: &Model,
    place: Place,
    printer: Result<Printer<'_>, Failure>,
    seed: u64,
    args: &StationArgs,
) -> Result<String, Failure> {
    let wanted = Wanted::of(content, model, place, asked(args))?;
    let cache = BuildCache::new(model, content, &wanted.fixed);
    let case = wanted.case(&cache, seed)?;
    let page = page_style(content, &args.sheets.page)?;
    let printer = printer?;
    let style = printer.figure_style(page);
    let draft = wanted.draft(&cache, &case, seed)?;
    let written = args.write_own.as_deref().map(|id| (id, draft.clone()));
    if let Some((id, _)) = &written {
        super::write_own::free(content, id)?;
    }
    let (built, all) = built(&cache, draft, &style)?;
    let mut text = format!("seed {seed}\n") + &write(&printer, &built, all, page, &args.sheets)?;
    if let Some((id, draft)) = &written {
        text.push_str(&super::write_own::write(
            model,
            draft,
            &built,
            id,
            &args.shared,
        )?);
    }
    if args.explain {
        text.push_str(&explanation(&built));
    }
    Ok(text)
}

/// A folder for each seed, in it the same files as if that seed had been asked for alone; all of them or none.
fn several(
    content: &Content,
    first: u64,
    count: u64,
    args: &StationArgs,
) -> Result<String, Failure> {
    let seeds: Vec<u64> = (0..count).map(|n| first.wrapping_add(n)).collect();
    let printer = Printer::new(content)?;
    let page = page_style(content, &args.sheets.page)?;
    let style = printer.figure_style(page);
    // The limbs that the seeds need, and which of them each needs.
    let named = (args.place.as_deref(), args.area.as_deref());
    let regions = match named {
        (None, None) => drawn_from(content, &args.shared)?,
        _ => Vec::new(),
    };
    let region = |seed: &u64| drawn_region(&regions, *seed);
    let mut limbs: BTreeMap<&str, (Model, Place)> = BTreeMap::new();
    for seed in &seeds {
        if let Entry::Vacant(free) = limbs.entry(region(seed)) {
            free.insert(limb(content, &args.shared, *seed, named)?);
        }
    }
    let mut desks = BTreeMap::new();
    for (region, (model, place)) in &limbs {
        let wanted = Wanted::of(content, model, place.clone(), asked(args))?;
        let cache = BuildCache::new(model, content, &wanted.fixed);
        desks.insert(*region, (wanted, cache));
    }
    let made = on_threads(threads(), &seeds, &|seed| {
        let (wanted, cache) = desks.get(region(seed))?;
        let station = || {
            let case = wanted.case(cache, *seed)?;
            let (built, pictures) = built(cache, wanted.draft(cache, &case, *seed)?, &style)?;
            let files = files(&printer, &built, pictures, page, &args.sheets, 1)?;
            Ok::<_, Failure>((built, files))
        };
        Some(station().map_err(|failure| at_seed(failure, *seed)))
    });
    let mut stations: Vec<(u64, PathBuf, Station, Vec<OutFile>)> = Vec::new();
    for (&seed, (_, station)) in seeds.iter().zip(made) {
        if let Some((built, files)) = station.transpose()? {
            stations.push((seed, args.sheets.out.join(&built.code), built, files));
        }
    }
    let sets: Vec<(&Path, &[OutFile])> = stations
        .iter()
        .map(|(_, folder, _, files)| (folder.as_path(), files.as_slice()))
        .collect();
    write_sets(&sets)?;
    let mut text = String::new();
    for (seed, folder, built, files) in &stations {
        // Writing to a String cannot fail.
        let (n, folder) = (files.len(), folder.display());
        let _ = writeln!(text, "seed {seed}: {n} files in {folder}");
        if args.explain {
            text.push_str(&explanation(built));
        }
    }
    text.push_str("A named person must review the sheets before use.\n");
    Ok(text)
}

/// Says of which of several stations the problems are.
fn at_seed(failure: Failure, seed: u64) -> Failure {
    match failure {
        Failure::Content(problems) => {
            let named = problems.into_iter().map(|mut problem| {
                problem.message = format!("seed {seed}: {}", problem.message);
                problem
            });
            Failure::Content(named.collect())
        }
        other => other,
    }
}

fn threads() -> usize {
    std::thread::available_parallelism().map_or(2, usize::from)
}

/// A station of the teacher's own, when nothing is wrong with it.
fn own(content: &Content, id: &str, args: &StationArgs) -> Result<String, Failure> {
    let source = authored::find(content, id)?;
    let region = own_region(content, &args.shared, source)?;
    let model = anatomy::load(content, &region)?;
    let checked = authored::read(&model, content, source)?;
    let Some(built) = &checked.station else {
        return Err(Failure::Content(checked.problems));
    };
    let printer = Printer::new(content)?;
    let case = checked.case.as_ref();
    let mut text = write_own(&printer, &model, built, case, &args.sheets)?;
    if args.explain {
        text.push_str(&explanation(built));
    }
    Ok(text)
}

/// The region of the lesion of a station of one's own; the usual one where the file does not tell, whose fault is said later.
pub(super) fn own_region(
    content: &Content,
    shared: &Shared,
    source: &Source,
) -> Result<String, Failure> {
    let lesion = authored::lesion_of(source).unwrap_or_default();
    let look = |model: &Model| lesion::parse(model, &lesion).map(|_| model.region.clone());
    match found_in(content, shared, (&lesion, false), look) {
        Ok((_, region)) => Ok(region),
        Err(_) => super::region(content, shared),
    }
}

/// Prints the sheets of a station of one's own, with the pictures of its case.
pub fn write_own(
    printer: &Printer<'_>,
    model: &Model,
    built: &Station,
    case: Option<&Case>,
    args: &SheetArgs,
) -> Result<String, Failure> {
    let page = page_style(printer.content, &args.page)?;
    let style = printer.figure_style(page);
    let pictures = match case {
        Some(case) => pictures::pictures(model, case, built, &style).map_err(Failure::content)?,
        None => Vec::new(),
    };
    write(printer, built, pictures, page, args)
}

/// Prints the sheets of a station into the out folder; gives what to tell on the terminal.
fn write(
    printer: &Printer<'_>,
    built: &Station,
    pictures: Vec<Picture>,
    page: PageStyle,
    args: &SheetArgs,
) -> Result<String, Failure> {
    let files = files(printer, built, pictures, page, args, threads())?;
    let mut text = format!("station {}\n", built.code);
    for path in write_all(&args.out, &files)? {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "  {}", path.display());
    }
    text.push_str("A named person must review the sheets before use.\n");
    Ok(text)
}

/// The files of a station.
fn files(
    printer: &Printer<'_>,
    built: &Station,
    pictures: Vec<Picture>,
    page: PageStyle,
    args: &SheetArgs,
    threads: usize,
) -> Result<Vec<OutFile>, Failure> {
    let station = StationSheets {
        code: built.code.clone(),
        sheets: printer.sheets(built, &pictures)?,
        pictures,
    };
    let named = station.figures().into_iter();
    publish(
        &station.documents(&format!("{}-", station.code), page),
        &named
            .map(|(file, f)| (file.to_string(), f))
            .collect::<Vec<_>>(),
        formats(&args.formats),
        threads,
        &|_, _| (),
    )
}

/// The nearest other lesions and how far the station's findings set them apart.
fn explanation(built: &Station) -> String {
    let mut rows = vec![vec![
        "  other lesion".to_string(),
        "bits".to_string(),
        "this lesion is likelier by".to_string(),
    ]];
    for row in &built.proof.table {
        rows.push(vec![
            format!("  {}", row.lesion),
            row.bits.clone(),
            row.times.clone(),
        ]);
    }
    format!(
        "{}; a margin of {} bits is needed, less means that both are accepted\n{}",
        crate::wording::capital(&built.lesion.sentence),
        crate::localise::MARGIN_BITS,
        super::print::columns(&rows)
    )
}

/// A bare site leaves the severity to the scenario; anything more is a lesion of its own.
fn place(model: &Model, word: Option<&str>) -> Result<Place, Failure> {
    match word {
        None => Ok((None, None)),
        Some(word) if word.contains(['@', '+']) => Ok((None, Some(lesion::parse(model, word)?))),
        Some(word) => {
            let found = lesion::parse(model, word)?;
            Ok((found.parts.first().map(|p| p.place.clone()), None))
        }
    }
}

/// Six figures that a person can read out and type again.
pub(super) fn fresh_seed() -> u64 {
    let now = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |d| d.as_nanos() as u64);
    let mixed = (now ^ u64::from(std::process::id()) << 32).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    mixed >> 40 & 0xf_ffff
}
