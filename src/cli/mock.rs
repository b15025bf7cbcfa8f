//! What does `vivasmith mock` do? From a station or a circuit to one HTML page to hold it with.

use super::mock_args::MockArgs;
use super::station::{fresh_seed, place};
use super::{content, fixed, region};
use crate::anatomy::{self, Model};
use crate::case::{self, Request};
use crate::diagnostic::{Failure, Problem};
use crate::files::{Content, OutFile, write_all};
use crate::sheets::mock::{Bells, Mock, Shown, page};
use crate::sheets::pictures;
use crate::sheets::words::Printer;
use crate::station::{self, BuildCache, StationRequest, authored};
use crate::teaching;
use crate::typeset::PageStyle;
use std::path::{Path, PathBuf};

pub fn run(args: &MockArgs) -> Result<String, Failure> {
    let (folder, name) = file(&args.out)?;
    let content = content(&args.shared)?;
    let printer = Printer::new(&content)?;
    let model = anatomy::load(&content, &region(&content, &args.shared)?)?;
    let own = args.place.as_deref().and_then(|p| p.strip_prefix("own:"));
    let (shown, mut text) = match own {
        Some(id) => (written(&content, &model, &printer, id)?, String::new()),
        None => {
            let seed = args.seed.unwrap_or_else(fresh_seed);
            let shown = drawn(&content, &model, &printer, args, seed)?;
            (shown, format!("seed {seed}\n"))
        }
    };
    let mock = Mock {
        code: shown.station.code.clone(),
        title: String::new(),
        alone: Some(Bells::of(&shown.station)),
        stations: vec![shown],
        ways: Vec::new(),
    };
    let bytes = page(&printer, &mock)?.into_bytes();
    text.push_str(&format!("mock {}\n", mock.code));
    for path in write_all(&folder, &[OutFile { name, bytes }])? {
        text.push_str(&format!("  {}\n", path.display()));
    }
    text.push_str("A named person must review it before use.\n");
    Ok(text)
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
    model: &Model,
    printer: &Printer<'_>,
    args: &MockArgs,
    seed: u64,
) -> Result<Shown, Failure> {
    let fixed = fixed(model, &args.variants)?;
    let kind = args
        .kind
        .as_deref()
        .map(|word| {
            let all = station::kinds(content, &teaching::families(content)?)?;
            station::kind_named(&all, word).cloned()
        })
        .transpose()?;
    let (site, lesion) = place(model, args.place.as_deref())?;
    let request = Request {
        site,
        lesion,
        area: args.area.clone(),
        level: args.level,
        seed,
        fixed: fixed.clone(),
    };
    let wanted = StationRequest {
        kind,
        level: args.level,
        minutes: args.minutes,
        seed,
        place: args.place.clone(),
        variants: args.variants.clone(),
        fixed,
    };
    let cache = BuildCache::new(model, content, &wanted.fixed);
    let case = case::draw(model, content, &request)?;
    let station = station::build(&cache, &case, &wanted)?;
    let style = printer.figure_style(PageStyle::default());
    let pictures = pictures::pictures(model, &case, &station, &style).map_err(Failure::content)?;
    Ok(Shown { station, pictures })
}

/// A station of the teacher's own, when nothing is wrong with it.
fn written(
    content: &Content,
    model: &Model,
    printer: &Printer<'_>,
    id: &str,
) -> Result<Shown, Failure> {
    let checked = authored::read(model, content, authored::find(content, id)?)?;
    let Some(station) = checked.station else {
        return Err(Failure::Content(checked.problems));
    };
    let style = printer.figure_style(PageStyle::default());
    let pictures = match &checked.case {
        Some(case) => {
            pictures::pictures(model, case, &station, &style).map_err(Failure::content)?
        }
        None => Vec::new(),
    };
    Ok(Shown { station, pictures })
}
