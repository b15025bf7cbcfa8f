//! What does `vivasmith practice` do? From the options to cases, a booklet, and the record of what was met.

use super::args::formats;
use super::page_style::page_style;
use super::practice_args::PracticeArgs;
use super::station::{fresh_seed, limb};
use super::wanted::joined;
use super::{content, found_in};
use crate::anatomy::Model;
use crate::case::{Level, sites_of};
use crate::circuit::{Exposure, Met};
use crate::diagnostic::Failure;
use crate::files::{Content, OutFile, Source, read_text, write_sets};
use crate::practice::{Chosen, Like, Rule, Wish, choose, first_site, like};
use crate::sheets::practice::Booklet;
use crate::sheets::words::Printer;
use crate::station::{self, BuildCache, StationKind, kind_named, level_id};
use crate::teaching;
use std::fmt::Write;
use std::path::Path;

pub fn run(args: &PracticeArgs) -> Result<String, Failure> {
    let content = content(&args.shared)?;
    let kinds = station::kinds(&content, &teaching::families(&content)?)?;
    let mut met = Exposure::default();
    if let Some(path) = args.exposure.as_deref().filter(|p| p.exists()) {
        met.add(&file(path)?)?;
    }
    let seed = args.seed.unwrap_or_else(fresh_seed);
    let (model, like) = wanted(&content, &kinds, seed, args)?;
    let cache = BuildCache::new(&model, &content, &[]);
    let level = args
        .level
        .or_else(|| like.weak.iter().find_map(|w| w.level));
    let wish = Wish {
        cases: args.cases as usize,
        among: match &args.area {
            Some(area) => sites_of(&model, area)?,
            None => (0..model.sites.len()).collect(),
        },
        kinds: asked_for(&kinds, &args.kinds)?,
        level: level.unwrap_or(Level::Clinical),
        seed,
        like: like.weak,
        met: &met,
    };
    let page = page_style(&content, &args.page)?;
    let (printer, chosen) = std::thread::scope(|scope| {
        let printer = scope.spawn(|| Printer::new(&content));
        let chosen = choose(&cache, &wish);
        (joined(printer), chosen)
    });
    let (cases, given_up) = chosen?;
    let printer = printer?;
    let booklet = Booklet {
        printer: &printer,
        model: &model,
        cases: &cases,
        page,
        formats: formats(&args.formats),
        threads: std::thread::available_parallelism().map_or(2, usize::from),
    };
    let files = booklet.files()?;
    let record = args
        .exposure
        .as_deref()
        .map(|path| record(path, &met, &model, &cases));
    let mut sets: Vec<(&Path, &[OutFile])> = vec![(&args.out, &files)];
    sets.extend(
        record
            .iter()
            .map(|(folder, file)| (*folder, std::slice::from_ref(file))),
    );
    let written = write_sets(&sets)?;
    let mut text = format!(
        "seed {}\nbooklet {}: {} cases, {}, {}\n",
        wish.seed,
        booklet.code(),
        cases.len(),
        level_id(wish.level),
        model.label
    );
    for path in written {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "  {}", path.display());
    }
    for rule in given_up {
        let _ = writeln!(text, "  not everywhere, with these options: {}", said(rule));
    }
    if !like.elsewhere.is_empty() {
        let names = like.elsewhere.join(", ");
        let _ = writeln!(
            text,
            "  in the other limb, for a booklet of its own: --like {names}"
        );
    }
    text.push_str("A named person must review the booklet before use.\n");
    Ok(text)
}

fn said(rule: Rule) -> &'static str {
    match rule {
        Rule::Kinds => "neighbouring cases of different kinds",
        Rule::Nerves => "neighbouring cases on different nerves",
        Rule::Twins => "a case and its twin three apart",
    }
}

fn asked_for(all: &[StationKind], asked: &[String]) -> Result<Vec<StationKind>, Failure> {
    let mut own: Vec<StationKind> = Vec::new();
    for word in asked {
        let kind = kind_named(all, word)?;
        if !own.iter().any(|k| k.id == kind.id) {
            own.push(kind.clone());
        }
    }
    Ok(match own.is_empty() {
        true => all.to_vec(),
        false => own,
    })
}

/// The limb that the booklet is about, drawn by the seed where nothing tells, and what of it is to be practised.
fn wanted(
    content: &Content,
    kinds: &[StationKind],
    seed: u64,
    args: &PracticeArgs,
) -> Result<(Model, Like), Failure> {
    let mut entries: Vec<(&str, Option<Source>)> = Vec::new();
    for word in &args.like {
        // A file is named with its path or its ending; the name of a site has neither.
        let is_file = word.contains(['.', '/', '\\']) || Path::new(word).is_file();
        let sheet = is_file.then(|| file(Path::new(word))).transpose()?;
        entries.push((word, sheet));
    }
    let Some((word, sheet)) = entries.first() else {
        let asked = (None, args.area.as_deref());
        let (model, _) = limb(content, &args.shared, seed, asked)?;
        return Ok((model, Like::default()));
    };
    let first = sheet.as_ref().and_then(first_site).unwrap_or(word);
    found_in(content, &args.shared, (first, true), |model| {
        let mut all = Like::default();
        for (word, sheet) in &entries {
            like(model, kinds, (word, sheet.as_ref()), &mut all)?;
        }
        Ok(all)
    })
}

fn file(path: &Path) -> Result<Source, Failure> {
    let shown = path.display().to_string();
    Ok(Source::new(shown.clone(), shown, read_text(path)?))
}

/// The record with the new cases, to be put back where it came from.
fn record<'p>(
    path: &'p Path,
    before: &Exposure,
    model: &Model,
    cases: &[Chosen],
) -> (&'p Path, OutFile) {
    let mut all = before.clone();
    all.met.extend(cases.iter().map(|c| {
        Met {
            code: c.station.code.clone(),
            site: model
                .sites
                .get(c.site)
                .map_or(String::new(), |s| s.id.clone()),
            kind: c.station.kind.id.clone(),
            level: c.station.level.id.to_string(),
            minutes: c.station.minutes,
            seed: c.seed,
            circuit: "practice".to_string(),
            date: String::new(),
            group: String::new(),
            candidates: 1,
        }
    }));
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    let name = path
        .file_name()
        .map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let file = OutFile {
        name,
        bytes: all.text().into_bytes(),
    };
    (folder.unwrap_or(Path::new(".")), file)
}
