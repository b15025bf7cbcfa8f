//! What does `vivasmith mock` do? From a station or a circuit to one HTML page to hold it with.

use super::mock_args::MockArgs;
use super::mock_circuit;
use super::station::{fresh_seed, limb, own_region};
use super::{content, fixed};
use crate::anatomy::{self, Model};
use crate::case::{self, Case, Level, Request};
use crate::diagnostic::{Failure, Problem};
use crate::files::{Content, OutFile, write_all};
use crate::sheets::mock::{Mock, Shown, alone_bells, page};
use crate::sheets::pictures::pictures;
use crate::sheets::words::Printer;
use crate::station::{self, BuildCache, Station, StationRequest, authored};
use crate::teaching;
use crate::typeset::PageStyle;
use std::path::{Path, PathBuf};

pub fn run(args: &MockArgs) -> Result<String, Failure> {
    let (folder, name) = file(&args.out)?;
    let content = content(&args.shared)?;
    let printer = Printer::new(&content)?;
    let place = args.place.as_deref().unwrap_or_default();
    let (mock, mut text) = if mock_circuit::named(&content, place) {
        let mock = mock_circuit::mock(&printer, args, place)?;
        (mock, String::new())
    } else {
        if args.group.is_some() {
            return Err(Failure::usage(
                Problem::new("only a circuit has groups")
                    .hint("leave --group out, or name a circuit"),
            ));
        }
        match place.strip_prefix("own:") {
            Some(id) => (alone(written(&content, &printer, args, id)?), String::new()),
            None => {
                let seed = args.seed.unwrap_or_else(fresh_seed);
                let mock = alone(drawn(&content, &printer, args, seed)?);
                (mock, format!("seed {seed}\n"))
            }
        }
    };
    let bytes = page(&printer, &mock)?.into_bytes();
    text.push_str(&format!("mock {}\n", mock.code));
    for path in write_all(&folder, &[OutFile { name, bytes }])? {
        text.push_str(&format!("  {}\n", path.display()));
    }
    text.push_str("A named person must review it before use.\n");
    Ok(text)
}

/// The mock of one station.
fn alone(shown: Shown) -> Mock {
    Mock {
        code: shown.station.code.clone(),
        title: String::new(),
        alone: Some(alone_bells(&shown.station)),
        stations: vec![shown],
        round: None,
    }
}

/// The folder and the name of the file to write.
fn file(out: &Path) -> Result<(PathBuf, String), Failure> {
    let name = out.file_name().map(|n| n.to_string_lossy().into_owned());
    match name {
        Some(name) if name.to_lowercase().ends_with(".html") && !out.is_dir() => {
            let folder = out.parent().filter(|f| !f.as_os_str().is_empty());
            Ok((folder.unwrap_or(Path::new(".")).to_path_buf(), name))
        }
        _ => Err(Failure::usage(
            Problem::new(format!("--out {}: is no name of a page", out.display()))
                .hint("name one file that ends in .html, as in --out mock.html"),
        )),
    }
}

/// A station of a case that is drawn.
fn drawn(
    content: &Content,
    printer: &Printer<'_>,
    args: &MockArgs,
    seed: u64,
) -> Result<Shown, Failure> {
    let asked = (args.place.as_deref(), args.area.as_deref());
    let (model, (site, lesion)) = limb(content, &args.shared, seed, asked)?;
    let fixed = fixed(&model, &args.variants)?;
    let level = args.level.unwrap_or(Level::Clinical);
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
        lesion,
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
    let cache = BuildCache::new(&model, content, &wanted.fixed);
    let case = case::draw(&model, content, &request)?;
    let draft = station::drawn(&cache, &case, &wanted)?;
    let case = draft.case.clone();
    shown(
        &model,
        printer,
        Some(&case),
        station::build_draft(&cache, draft)?,
    )
}

/// The station with the pictures of its case.
fn shown(
    model: &Model,
    printer: &Printer<'_>,
    case: Option<&Case>,
    station: Station,
) -> Result<Shown, Failure> {
    let style = printer.figure_style(PageStyle::default());
    let pictures = match case {
        Some(case) => pictures(model, case, &station, &style).map_err(Failure::content)?,
        None => Vec::new(),
    };
    Ok(Shown { station, pictures })
}

/// A station of the teacher's own, when nothing is wrong with it.
fn written(
    content: &Content,
    printer: &Printer<'_>,
    args: &MockArgs,
    id: &str,
) -> Result<Shown, Failure> {
    let source = authored::find(content, id)?;
    let model = anatomy::load(content, &own_region(content, &args.shared, source)?)?;
    let checked = authored::read(&model, content, source)?;
    match checked.station {
        Some(station) => shown(&model, printer, checked.case.as_ref(), station),
        None => Err(Failure::Content(checked.problems)),
    }
}
