//! What does `vivasmith station` do? From the options to a case, a station and its sheets in a folder.

use super::args::{Shared, SheetArgs, StationArgs, formats};
use super::page_style::page_style;
use super::{content, drawn_from, fixed, found_in};
use crate::anatomy::{self, Model};
use crate::case::{self, Case, Request, Stream};
use crate::diagnostic::{Failure, Problem};
use crate::files::{Content, Source, write_all};
use crate::lesion;
use crate::sheets::pictures::{self, Picture};
use crate::sheets::publish::{StationSheets, publish};
use crate::sheets::words::Printer;
use crate::station::{self, BuildCache, Station, StationRequest, authored};
use crate::teaching;
use crate::typeset::PageStyle;
use crate::typeset::fonts::Fonts;
use std::fmt::Write;
use std::panic::resume_unwind;
use std::thread::ScopedJoinHandle;
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
        return own(&content, id, args);
    }
    let seed = args.seed.unwrap_or_else(fresh_seed);
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

/// What is asked for of a limb's sites: one of them, or a whole lesion; neither where it is drawn.
pub(super) type Place = (Option<String>, Option<lesion::Lesion>);

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
            place(model, asked)
        });
    }
    let regions = drawn_from(content, shared)?;
    let at = Stream::new(seed, "station/region").below(regions.len() as u32);
    let region = regions.get(at as usize).map_or("", String::as_str);
    Ok((anatomy::load(content, region)?, (None, None)))
}

/// A station of a case that is drawn.
fn drawn(
    content: &Content,
    model: &Model,
    (site, whole): Place,
    printer: Result<Printer<'_>, Failure>,
    seed: u64,
    args: &StationArgs,
) -> Result<String, Failure> {
    let fixed = fixed(model, &args.variants)?;
    let level = args.level;
    let kind = args
        .kind
        .as_deref()
        .map(|word| {
            let all = station::kinds(content, &teaching::families(content)?)?;
            station::kind_named(&all, word).cloned()
        })
        .transpose()?;
    let request = Request {
        site,
        lesion: whole,
        area: args.area.clone(),
        level,
        seed,
        fixed: fixed.clone(),
    };
    let wanted = StationRequest {
        kind,
        level,
        minutes: args.minutes,
        seed,
        place: args.place.clone(),
        variants: args.variants.clone(),
        fixed,
    };
    let cache = BuildCache::new(model, content, &wanted.fixed);
    let case = case::draw(model, content, &request)?;
    let page = page_style(content, &args.sheets.page)?;
    let printer = printer?;
    let style = printer.figure_style(page);
    let draft = station::drawn(&cache, &case, &wanted)?;
    let written = args.write_own.as_deref().map(|id| (id, draft.clone()));
    if let Some((id, _)) = &written {
        super::write_own::free(content, id)?;
    }
    let (built, pictures) = std::thread::scope(|scope| {
        scope.spawn(|| cache.belief());
        let (case, patient, played, blanks) = (
            draft.case.clone(),
            draft.kind.patient,
            draft.kind.tells.played(),
            station::blanks(model, &draft),
        );
        let style = &style;
        let pictures = scope.spawn(move || {
            let mut all = pictures::drawn_blanks(model, &case, &blanks, patient, style)?;
            all.extend(pictures::drawn(model, &case, (patient, played), style)?);
            Ok(all)
        });
        let built = station::build_draft(&cache, draft)?;
        Ok::<_, Failure>((built, joined(pictures).map_err(Failure::content)?))
    })?;
    let all = pictures::named(pictures, &built.code);
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

/// What a thread came to; a thread that broke down breaks this one down too.
fn joined<T>(thread: ScopedJoinHandle<'_, T>) -> T {
    thread.join().unwrap_or_else(|broken| resume_unwind(broken))
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
    let station = StationSheets {
        code: built.code.clone(),
        sheets: printer.sheets(built, &pictures)?,
        pictures,
    };
    let named = station.figures().into_iter();
    let files = publish(
        &station.documents(&format!("{}-", station.code), page),
        &named
            .map(|(file, f)| (file.to_string(), f))
            .collect::<Vec<_>>(),
        formats(&args.formats),
        std::thread::available_parallelism().map_or(2, usize::from),
        &|_, _| (),
    )?;
    let mut text = format!("station {}\n", built.code);
    for path in write_all(&args.out, &files)? {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "  {}", path.display());
    }
    text.push_str("A named person must review the sheets before use.\n");
    Ok(text)
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
