//! How does somebody begin to write their own? With a commented starter in the content folder; nothing is ever overwritten.

use super::args::{NewArg, NewArgs};
use crate::anatomy::{self, Model};
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, OutFile, write_all, write_new};
use std::path::{Path, PathBuf};

/// Ids that the program keeps for itself.
const TAKEN: [&str; 4] = ["kinds", "people", "general", "general_avulsion"];

pub fn run(args: &NewArgs) -> Result<String, Failure> {
    let id = plain(&args.id)?;
    let root = args
        .shared
        .content
        .clone()
        .unwrap_or_else(|| PathBuf::from(super::FOLDER));
    let content = if root.is_dir() {
        Content::overlaid(&root)?
    } else {
        Content::embedded()
    };
    let model = limb(&content, args, id)?;
    if args.what == NewArg::Teaching {
        let (name, text) = super::new_teaching::starter(&content, &model, id)?;
        let path = write_new(&root, &name, text.as_bytes())?;
        return Ok(told(&path, args));
    }
    let (name, starter) = place(args, &content, &model, id)?;
    let text = filled(&starter, &model, id)?;
    let path = match content
        .get(&name)
        .filter(|s| s.overlaid && args.what == NewArg::Site)
    {
        Some(old) => add_entry(&content, &root, &name, &old.text, &text, id, &model.region)?,
        None => write_new(&root, &name, text.as_bytes())?,
    };
    Ok(told(&path, args))
}

/// The limb that the site of the new file lies in, or that is meant.
fn limb(content: &Content, args: &NewArgs, id: &str) -> Result<Model, Failure> {
    if !matches!(args.what, NewArg::Teaching | NewArg::Scenario) {
        return anatomy::load(content, &super::region(content, &args.shared)?);
    }
    let look = |model: &Model| known_site(model, id);
    super::found_in(content, &args.shared, (id, true), look).map(|(model, ())| model)
}

fn told(path: &Path, args: &NewArgs) -> String {
    let folder = match &args.shared.content {
        Some(folder) => format!(" {}", folder.display()),
        None => String::new(),
    };
    format!(
        "{}\nChange it, then proofread it with: vivasmith check{folder}\n",
        path.display()
    )
}

/// An id is part of a file's name: nothing in it may lead anywhere else.
pub(super) fn plain(id: &str) -> Result<&str, Failure> {
    let fits = id.starts_with(|c: char| c.is_ascii_lowercase())
        && id.len() <= 60
        && id
            .bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_');
    if !fits || TAKEN.contains(&id) {
        return Err(Failure::usage(
            Problem::new(format!("`{}` cannot be an id", short(id))).hint(
                "start with a letter and use small letters, digits and _ only, as in dropped_wrist",
            ),
        ));
    }
    Ok(id)
}

/// The file to write within the content folder, and the starter for it.
fn place(
    args: &NewArgs,
    content: &Content,
    model: &Model,
    id: &str,
) -> Result<(String, String), Failure> {
    let starter = |what: &str| format!("templates/new/{what}.yaml");
    match args.what {
        NewArg::Teaching | NewArg::Scenario => {
            known_site(model, id)?;
            let name = format!("scenarios/{id}.yaml");
            // Where there are mechanisms already, a new one is added to them.
            Ok(match content.get(&name) {
                Some(source) if !source.overlaid => {
                    (format!("scenarios/{id}.extra.yaml"), starter("mechanism"))
                }
                _ => (name, starter("scenario")),
            })
        }
        NewArg::Question => {
            let name = format!("questions/{id}.yaml");
            refuse_taken(content, &name, id)?;
            Ok((name, starter("question")))
        }
        NewArg::Blueprint => {
            let name = format!("circuits/{id}.yaml");
            refuse_taken(content, &name, id)?;
            Ok((name, starter("blueprint")))
        }
        NewArg::Site => {
            if model
                .lookup(id)
                .iter()
                .any(|e| matches!(e, anatomy::Entry::Site(_) | anatomy::Entry::Segment(_)))
            {
                return Err(Failure::usage(
                    Problem::new(format!("the {} has a site or segment `{id}` already", model.label))
                        .hint("choose another id; to correct a site, copy its entry into sites.extra.yaml"),
                ));
            }
            Ok((
                format!("anatomy/{}/sites.extra.yaml", model.region),
                starter("site"),
            ))
        }
        NewArg::Station => Ok((format!("own/{id}.yaml"), starter("station"))),
    }
}

/// # Errors
/// Exit code 2 when the region has no such site.
pub(super) fn known_site(model: &Model, id: &str) -> Result<(), Failure> {
    if model.site(id).is_some_and(|s| s.id == id) {
        return Ok(());
    }
    let known = model.sites.iter().map(|s| s.id.as_str());
    let hint = did_you_mean(
        id,
        known,
        "it is about a site: `vivasmith list sites` shows them, `vivasmith new site` adds one",
    );
    Err(Failure::usage(
        Problem::new(format!("no site of the {} has the id `{id}`", model.label)).hint(hint),
    ))
}

/// A file of that name would put a shipped one out of use.
fn refuse_taken(content: &Content, name: &str, id: &str) -> Result<(), Failure> {
    match content.get(name) {
        Some(source) if !source.overlaid => Err(Failure::usage(
            Problem::new(format!("the program has a file {name} already"))
                .hint(format!("choose another id than `{id}`; to change the shipped one, copy it from the source and edit the copy")),
        )),
        _ => Ok(()),
    }
}

/// The starter with the id in its place, and a segment that this region has.
fn filled(name: &str, model: &Model, id: &str) -> Result<String, Failure> {
    let source = Content::shipped(name).ok_or_else(|| {
        Failure::disk(
            Problem::new(format!("{name} is missing from the program")).hint("install it again"),
        )
    })?;
    // The origin of the longest nerve: it has findings of its own.
    let longest = model.nerves.iter().max_by_key(|n| n.segments.len());
    let segment = longest
        .and_then(|n| model.segments.get(*n.segments.first()?))
        .map_or("", |s| s.id.as_str());
    Ok(source
        .text
        .replace("NEW_ID", id)
        .replace("NEW_SEGMENT", segment))
}

/// One more entry at the end of an extra file, when the file is read well with it.
fn add_entry(
    content: &Content,
    root: &Path,
    name: &str,
    old: &str,
    starter: &str,
    id: &str,
    region: &str,
) -> Result<PathBuf, Failure> {
    let entry = starter
        .split_once("sites:\n")
        .map_or("", |(_, entry)| entry);
    let text = format!("{}\n{entry}", old.trim_end());
    let path = root.join(name);
    let mut trial = content.clone();
    trial.insert(name, &path.display().to_string(), text.clone());
    let known = anatomy::load(&trial, region).is_ok_and(|m| m.site(id).is_some());
    let (folder, file) = name.rsplit_once('/').unwrap_or(("", name));
    if !known {
        return Err(Failure::usage(
            Problem::new(format!(
                "{}: no entry can be added at its end",
                path.display()
            ))
            .hint(format!("add it by hand, under `sites:`\n{entry}")),
        ));
    }
    let out = OutFile {
        name: file.to_string(),
        bytes: text.into_bytes(),
    };
    write_all(&root.join(folder), &[out]).map(|_| path)
}
