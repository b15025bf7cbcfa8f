//! What does `vivasmith check` do? A folder or file of the user's, and every problem at once, or the short word that all is well.

use super::args::CheckArgs;
use super::{content_check, drawn_from, print, station};
use crate::anatomy;
use crate::diagnostic::{Failure, Problem};
use crate::files::{Content, FOLDERS, read_text};
use crate::sheets::words::Printer;
use crate::station::authored as own;
use std::fmt::Write;
use std::path::{Path, PathBuf};

pub fn run(args: &CheckArgs) -> Result<String, Failure> {
    let (content, only) = target(args)?;
    // Settings that cannot be read are among what is told.
    let regions = drawn_from(&content, &args.shared).unwrap_or_default();
    let mut found = content_check::of(&content, &regions);
    let name = only.as_ref().map(|o| o.shown.as_str());
    if let Some(name) = name {
        narrow(&mut found, name);
    }
    for problem in &found.advice {
        print::advice(problem);
    }
    if let Some(failure) = Failure::of_all(std::mem::take(&mut found.failures)) {
        return Err(failure);
    }
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = match name {
        Some(name) => writeln!(text, "{name}: all is well"),
        None => writeln!(text, "all is well"),
    };
    if name.is_none() {
        for line in &found.counts {
            let _ = writeln!(text, "  {line}");
        }
    }
    let mine = content.all().filter(|s| s.overlaid).count();
    let _ = writeln!(
        text,
        "  content version {} ({mine} files of your own)",
        content.version()
    );
    let press = args.print.then(|| Printer::new(&content)).transpose()?;
    for (file, region, checked) in &found.own {
        if only.as_ref().is_some_and(|o| o.name != *file) {
            continue;
        }
        if let Some(back) = &checked.way_back
            && let Some(rival) = &back.rival
        {
            let _ = writeln!(
                text,
                "  {file}: the findings lead back to the lesion, {:.1} bits ahead of the {rival}",
                back.margin_bits
            );
        }
        if let (Some(printer), Some(built)) = (&press, &checked.station) {
            text.push_str(&station::write_own(
                printer,
                &anatomy::load(&content, region)?,
                built,
                checked.case.as_ref(),
                &args.sheets,
            )?);
        }
    }
    Ok(text)
}

/// The one file asked for.
struct Only {
    /// Within the content.
    name: String,
    /// As messages call it.
    shown: String,
}

fn target(args: &CheckArgs) -> Result<(Content, Option<Only>), Failure> {
    let Some(folder) = args.path.clone().or_else(|| super::folder(&args.shared)) else {
        return Ok((Content::embedded(), None));
    };
    if folder.is_dir() {
        return Ok((Content::overlaid(&folder)?, None));
    }
    if folder.symlink_metadata().is_err() {
        return Err(Failure::disk(
            Problem::new(format!("{}: is not there", folder.display()))
                .hint("name your content folder or one file in it"),
        ));
    }
    match root_of(&folder) {
        Some((root, name)) => {
            let root = match &args.shared.content {
                Some(content) => content.clone(),
                None => root,
            };
            let content = Content::overlaid(&root)?;
            match content.get(&name).filter(|s| s.overlaid) {
                Some(source) => {
                    let shown = source.shown.clone();
                    Ok((content, Some(Only { name, shown })))
                }
                None => {
                    let shown = folder.display().to_string();
                    let unread = content
                        .unread()
                        .iter()
                        .find(|p| p.message.starts_with(&shown));
                    Err(Failure::usage(unread.cloned().unwrap_or_else(|| {
                        Problem::new(format!("{shown}: is no file that is read as content"))
                            .hint("content files end in .yaml, templates in .md.tera")
                    })))
                }
            }
        }
        None => alone(args, &folder),
    }
}

/// A file outside any content folder is a blueprint when it has a route, else a station of the teacher's own.
fn alone(args: &CheckArgs, path: &Path) -> Result<(Content, Option<Only>), Failure> {
    let mut content = super::content(&args.shared)?;
    let (text, shown) = (read_text(path)?, path.display().to_string());
    let key = |l: &str| l.starts_with("positions:") || l.starts_with("groups:");
    let name = if text.lines().any(key) {
        let file = path.file_name().unwrap_or_default().to_string_lossy();
        let name = format!("circuits/{file}");
        content.insert(&name, &shown, text);
        name
    } else {
        own::insert(&mut content, path, text)?
    };
    Ok((content, Some(Only { name, shown })))
}

/// The content folder that a file stands in, and the file's name within it.
fn root_of(path: &Path) -> Option<(PathBuf, String)> {
    let mut below: Vec<String> = Vec::new();
    let mut here = path;
    loop {
        below.insert(0, here.file_name()?.to_str()?.to_string());
        let folder = here.parent()?;
        let is_content = folder.file_name().and_then(|n| n.to_str());
        if is_content.is_some_and(|n| FOLDERS.contains(&format!("{n}/").as_str())) {
            below.insert(0, is_content?.to_string());
            let root = folder.parent().filter(|p| !p.as_os_str().is_empty());
            return Some((
                root.unwrap_or(Path::new(".")).to_path_buf(),
                below.join("/"),
            ));
        }
        if below.len() == 1 && below.first().is_some_and(|n| n == crate::files::SETTINGS) {
            let root = if folder.as_os_str().is_empty() {
                Path::new(".")
            } else {
                folder
            };
            return Some((root.to_path_buf(), below.join("/")));
        }
        here = folder;
    }
}

/// Keeps what is said of one file, unless the content around it cannot even be read.
fn narrow(found: &mut content_check::Proof, shown: &str) {
    let here = |p: &Problem| p.place.as_ref().is_some_and(|place| place.file == shown);
    found.advice.retain(here);
    let mine: Vec<Failure> = found
        .failures
        .iter()
        .filter_map(|f| {
            let problems: Vec<Problem> = f.problems().iter().filter(|p| here(p)).cloned().collect();
            match (problems.is_empty(), f.exit_code()) {
                (true, _) => None,
                (false, 1) => Some(Failure::Content(problems)),
                (false, _) => Some(Failure::Unreadable(problems)),
            }
        })
        .collect();
    // Nothing is wrong here, but something elsewhere kept this file from being looked at whole.
    if !mine.is_empty()
        || found.failures.iter().all(|f| f.exit_code() == 1) && !found.own.is_empty()
    {
        found.failures = mine;
    }
}
