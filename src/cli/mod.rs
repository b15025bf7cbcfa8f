//! Which command was asked for, and how does it end? The only place that prints, colours or reads the clock.

mod args;
mod check;
mod draw;
mod circuit;
mod findings;
mod list;
mod localise;
mod marks;
mod mock;
mod mock_args;
mod mock_circuit;
mod new;
mod new_teaching;
mod page_style;
mod practice;
mod practice_args;
mod print;
mod content_check;
mod notes_check;
mod plexus_check;
mod progress;
mod region_of;
mod station;
mod wanted;
mod write_own;

use crate::anatomy::{self, Model};
use crate::diagnostic::{Failure, NEAR, nearest};
use crate::files::{Content, interrupted, settings};
use args::{Command, Shared};
use clap::Parser;
use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

/// Runs one command. Exit codes: 0 done, 1 content is wrong, 2 usage or bad input, 3 could not read or write.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    // An interrupt leaves nothing half-written; where no handler can be set, it ends the run as it always did.
    let _ = ctrlc::set_handler(|| {
        interrupted();
        std::process::exit(130);
    });
    let args = match args::Args::try_parse_from(args::joined_formats(arguments)) {
        Ok(args) => args,
        Err(e) => {
            // clap knows which of the two streams it belongs to; a closed pipe is no news.
            let _ = e.print();
            return ExitCode::from(if e.use_stderr() { 2 } else { 0 });
        }
    };
    match command(&args.command) {
        Ok(text) => print::out(&text),
        Err(failure) => {
            print::failure(&failure);
            ExitCode::from(failure.exit_code())
        }
    }
}

fn command(command: &Command) -> Result<String, Failure> {
    match command {
        Command::Station(args) => station::run(args),
        Command::Practice(args) => practice::run(args),
        Command::Circuit(args) => circuit::run(args),
        Command::Marks(args) => marks::run(args),
        Command::Mock(args) => mock::run(args),
        Command::Findings(args) => findings::run(args),
        Command::Localise(args) => localise::run(args),
        Command::Check(args) => check::run(args),
        Command::New(args) => new::run(args),
        Command::Draw(args) => draw::run(args),
        Command::List(args) => list::run(args),
        Command::Completions { shell } => Ok(args::completions(*shell)),
        Command::Licenses => Ok(print::licences()),
    }
}

/// The content folder of the current folder: used when none is named.
const FOLDER: &str = "content";

/// The user's content folder: the one that is named, else the folder `content`, when there is one; then the tool says so.
fn folder(shared: &Shared) -> Option<PathBuf> {
    let usual = || {
        let found = PathBuf::from(FOLDER);
        found.is_dir().then(|| {
            print::note(
                "your own files in the folder `content` are used (--content names another)",
            );
            found
        })
    };
    shared.content.clone().or_else(usual)
}

/// The content that the shared options name.
fn content(shared: &Shared) -> Result<Content, Failure> {
    match folder(shared) {
        Some(folder) => Content::overlaid(&folder),
        None => Ok(Content::embedded()),
    }
}

/// The region that the shared options name, or that the content means.
fn region(content: &Content, shared: &Shared) -> Result<String, Failure> {
    match &shared.region {
        Some(region) => Ok(region.clone()),
        None => anatomy::default_region(content),
    }
}

/// The regions to draw from or to look a word up in, the usual one first: just the one that the shared options or the user's
/// settings keep to.
fn drawn_from(content: &Content, shared: &Shared) -> Result<Vec<String>, Failure> {
    let meant = region(content, shared)?;
    let kept = shared.region.is_some() || settings(content)?.region.is_some();
    let others = anatomy::regions(content).into_iter();
    let others = others.filter(|r| *r != meant && !kept);
    Ok(std::iter::once(meant.clone()).chain(others).collect())
}

/// The first region whose model has what is looked for, with what was found there; those whose files hold the `word` are tried
/// first, so that only the one that is needed is read. Charts are read where skin may be `drawn`.
///
/// # Errors
/// When no region has it: what the usual one says, or the region that knows a word near the one that was written.
fn found_in<T>(
    content: &Content,
    shared: &Shared,
    (word, drawn): (&str, bool),
    look: impl Fn(&Model) -> Result<T, Failure>,
) -> Result<(Model, T), Failure> {
    let load = match drawn {
        true => anatomy::load,
        false => anatomy::load_undrawn,
    };
    let mut failures = Vec::new();
    let mut regions = drawn_from(content, shared)?;
    let word = anatomy::fold(word.split(['@', '+']).next().unwrap_or_default());
    let named = |r: &String| {
        let folder = format!("anatomy/{r}/");
        let mut files = content.under(&folder);
        files.any(|s| s.text.contains(&word))
    };
    regions.sort_by_cached_key(|r| !named(r));
    let known = regions.first().is_some_and(named);
    for region in regions {
        let model = load(content, &region)?;
        match look(&model) {
            Ok(found) => return Ok((model, found)),
            Err(failure) => failures.push(failure),
        }
    }
    // What the region says that has the word; else the one that knows the nearest; else the usual one.
    let near = |f: &Failure| {
        let hint = f.problems().first()?.hint.strip_prefix(NEAR)?;
        Some(hint.split('`').nth(1)?.to_string())
    };
    let meant: Vec<Option<String>> = failures.iter().map(near).collect();
    let nearest = nearest(&word, meant.iter().flatten().map(String::as_str));
    let is = |m: &Option<String>| !known && nearest.is_some() && m.as_deref() == nearest;
    let best = meant.iter().position(is);
    Err(failures.swap_remove(best.unwrap_or(0)))
}

/// The variants that `--variant` names, held at one alternative each.
fn fixed(model: &Model, names: &[String]) -> Result<Vec<crate::findings::Fixed>, Failure> {
    crate::findings::fixed(model, names)
}
