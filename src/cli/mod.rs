//! Which command was asked for, and how does it end? The only place that prints, colours or reads the clock.

mod args;
mod check;
mod draw;
mod circuit;
mod findings;
mod list;
mod localise;
mod marks;
mod new;
mod new_teaching;
mod page_style;
mod print;
mod content_check;
mod notes_check;
mod progress;
mod region_of;
mod station;
mod write_own;

use crate::anatomy::{self, Model};
use crate::diagnostic::Failure;
use crate::files::{Content, interrupted};
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
        Command::Circuit(args) => circuit::run(args),
        Command::Marks(args) => marks::run(args),
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

/// The content and the region's model that the shared options name, for a command that draws no skin.
fn load(shared: &Shared) -> Result<(Content, Model), Failure> {
    let content = content(shared)?;
    let model = anatomy::load_undrawn(&content, &region(&content, shared)?)?;
    Ok((content, model))
}

/// The variants that `--variant` names, held at one alternative each.
fn fixed(model: &Model, names: &[String]) -> Result<Vec<crate::findings::Fixed>, Failure> {
    crate::findings::fixed(model, names)
}
