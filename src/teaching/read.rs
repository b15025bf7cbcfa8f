//! Where do the notes of a site stand, and what do they say?

use super::block::Block;
use super::names::LookUp;
use super::notes::Notes;
use crate::anatomy::Model;
use crate::diagnostic::Failure;
use crate::files::{Content, Source, Step, parse};

/// `teaching/REGION/SITE.yaml`.
pub const FOLDER: &str = "teaching/";

/// The notes of a site with the file they stand in; `None`: nobody has written any.
///
/// # Errors
/// As [`read`].
pub fn notes_of<'c>(
    content: &'c Content,
    model: &Model,
    site: &str,
) -> Result<Option<(Notes, &'c Source)>, Failure> {
    let name = format!("{FOLDER}{}/{site}.yaml", model.region);
    let Some(source) = content.get(&name) else {
        return Ok(None);
    };
    Ok(Some((read(model, source)?, source)))
}

/// One file of notes.
///
/// # Errors
/// Exit code 2 when it is no YAML of this shape; 1 with every name that the model does not know.
pub fn read(model: &Model, source: &Source) -> Result<Notes, Failure> {
    let raw: Notes<String, String> = parse(source)?;
    resolve(model, source, raw, &[])
}

/// Notes with their names looked up; `source` is where they were written, under `path`.
///
/// # Errors
/// Exit code 1 with every name that the model does not know.
pub fn resolve(
    model: &Model,
    source: &Source,
    raw: Notes<String, String>,
    path: &[Step],
) -> Result<Notes, Failure> {
    let mut names = LookUp {
        model,
        source,
        path,
        problems: Vec::new(),
    };
    let notes = raw.map(&mut names);
    names.done(notes)
}

/// [`resolve`] for one question.
///
/// # Errors
/// As [`resolve`].
pub fn resolve_block(
    model: &Model,
    source: &Source,
    raw: Block<String, String>,
    path: &[Step],
) -> Result<Block, Failure> {
    let mut names = LookUp {
        model,
        source,
        path,
        problems: Vec::new(),
    };
    let block = raw.map(&mut names, &[]);
    names.done(block)
}
