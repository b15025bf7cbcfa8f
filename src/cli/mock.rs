//! What does `vivasmith mock` do? From a station or a circuit to one HTML page to hold it with.

use super::content;
use super::mock_args::MockArgs;
use super::mock_circuit;
use super::station::{fresh_seed, limb, own_region};
use super::wanted::{Asked, Wanted, built, joined};
use crate::anatomy;
use crate::case::Level;
use crate::diagnostic::{Failure, Problem};
use crate::files::{Content, OutFile, write_all};
use crate::sheets::mock::{Mock, Shown, alone_bells, page};
use crate::sheets::pictures::pictures;
use crate::sheets::words::Printer;
use crate::station::{BuildCache, authored};
use crate::typeset::PageStyle;
use std::path::{Path, PathBuf};

pub fn run(args: &MockArgs) -> Result<String, Failure> {
    let (folder, name) = file(&args.out)?;
    let content = content(&args.shared)?;
    let place = args.place.as_deref().unwrap_or_default();
    let mut text = String::new();
    let (printer, mock) = if mock_circuit::named(&content, place) {
        let printer = Printer::on_screen(&content)?;
        let mock = mock_circuit::mock(&printer, args, place)?;
        (printer, mock)
    } else if args.group.is_some() {
        return Err(Failure::usage(
            Problem::new("only a circuit has groups").hint("leave --group out, or name a circuit"),
        ));
    } else if let Some(id) = place.strip_prefix("own:") {
        let printer = Printer::on_screen(&content)?;
        let shown = written(&content, &printer, args, id)?;
        (printer, alone(shown))
    } else {
        let seed = args.seed.unwrap_or_else(fresh_seed);
        text = format!("seed {seed}\n");
        drawn(&content, args, seed)?
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

/// A station of a case that is drawn. What does not wait for the model is done on the second core.
fn drawn<'c>(
    content: &'c Content,
    args: &MockArgs,
    seed: u64,
) -> Result<(Printer<'c>, Mock), Failure> {
    let named = (args.place.as_deref(), args.area.as_deref());
    let (found, printer) = std::thread::scope(|scope| {
        let printer = scope.spawn(|| Printer::on_screen(content));
        (limb(content, &args.shared, seed, named), joined(printer))
    });
    let (model, place) = found?;
    let wanted = Wanted::of(
        content,
        &model,
        place,
        Asked {
            place: args.place.as_deref(),
            area: args.area.as_deref(),
            level: args.level.unwrap_or(Level::Clinical),
            kind: args.kind.as_deref(),
            minutes: args.minutes,
            variants: &args.variants,
        },
    )?;
    let cache = BuildCache::new(&model, content, &wanted.fixed);
    let draft = wanted.draft(&cache, &wanted.case(&cache, seed)?, seed)?;
    let printer = printer?;
    let style = printer.figure_style(PageStyle::default());
    let (station, pictures) = built(&cache, draft, &style)?;
    Ok((printer, alone(Shown { station, pictures })))
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
    let Some(station) = checked.station else {
        return Err(Failure::Content(checked.problems));
    };
    let style = printer.figure_style(PageStyle::default());
    let pictures = match &checked.case {
        Some(case) => pictures(&model, case, &station, &style).map_err(Failure::content)?,
        None => Vec::new(),
    };
    Ok(Shown { station, pictures })
}
