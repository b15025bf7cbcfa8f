//! Stations that a teacher wrote by hand: read, held against the model, made into a draft like any drawn one, and written out again.

mod assemble;
mod marks;
mod patient;
mod raw;
mod said;
mod stated;
mod way_back;
mod wording;
mod write;

use super::build_cache::BuildCache;
use super::kind::kind_named;
use super::station::Station;
use crate::anatomy::Model;
use crate::case::Case;
use crate::diagnostic::{Failure, Problem, did_you_mean, short};
use crate::files::{Content, Source, Step, locate, parse};
use crate::findings;
use crate::lesion;
use crate::localise::Observation;
use crate::teaching::{self, Notes};
use raw::OwnFile;
use std::path::Path;
pub use way_back::WayBack;
pub use write::{commented, notes_text, yaml};

/// Where stations of a teacher's own stand in the content.
pub const FOLDER: &str = "own/";

/// What the proofreading of one file comes to.
#[derive(Debug, Clone)]
pub struct Checked {
    /// The station, when nothing is wrong with it.
    pub station: Option<Station>,
    pub problems: Vec<Problem>,
    /// Wording that published review rules advise against; it stops nothing.
    pub advice: Vec<Problem>,
    pub way_back: Option<WayBack>,
    /// The patient that the file describes, for the pictures; there whenever `station` is.
    pub case: Option<Case>,
}

/// Gathers problems and advice with their places.
pub struct Report<'s> {
    source: &'s Source,
    problems: Vec<Problem>,
    advice: Vec<Problem>,
}

/// More than this many are not gathered: each costs a look into the file.
const MOST: usize = 100;

impl Report<'_> {
    fn problem(&self, path: &[Step], message: String, hint: String) -> Problem {
        Problem::new(message)
            .hint(hint)
            .at(locate(self.source, path))
    }

    pub fn add(&mut self, path: &[Step], message: impl Into<String>, hint: impl Into<String>) {
        if self.problems.len() < MOST {
            let problem = self.problem(path, message.into(), hint.into());
            self.problems.push(problem);
        }
    }

    pub fn advise(&mut self, path: &[Step], message: impl Into<String>, hint: impl Into<String>) {
        if self.advice.len() < MOST {
            let problem = self.problem(path, message.into(), hint.into());
            self.advice.push(problem);
        }
    }

    /// A failure of an argument inside the file: its problems, placed.
    fn failed(&mut self, path: &[Step], failure: &Failure) {
        for problem in failure.problems() {
            self.add(path, problem.message.clone(), problem.hint.clone());
        }
    }
}

/// A station file by its id.
///
/// # Errors
/// Exit code 2 when there is none of that name.
pub fn find<'c>(content: &'c Content, id: &str) -> Result<&'c Source, Failure> {
    content.get(&format!("{FOLDER}{id}.yaml")).ok_or_else(|| {
        let names = content.under(FOLDER).filter_map(|s| stem_of(&s.name));
        let known: Vec<&str> = names.collect();
        let hint = did_you_mean(
            id,
            known,
            "`vivasmith new station ID` writes one to start from",
        );
        Failure::usage(
            Problem::new(format!("you have no station called `{}`", short(id))).hint(hint),
        )
    })
}

/// The lesion that a station file is about, as it is written there; none where the file is no station.
pub fn lesion_of(source: &Source) -> Option<String> {
    parse::<OwnFile>(source).ok().map(|file| file.lesion)
}

/// Takes a file from anywhere on the disk into the content; gives its name there.
///
/// # Errors
/// Exit code 2 when its name is no plain `ID.yaml`.
pub fn insert(content: &mut Content, path: &Path, text: String) -> Result<String, Failure> {
    let file = path
        .file_name()
        .and_then(|n| n.to_str())
        .unwrap_or_default();
    let stem = file.strip_suffix(".yaml").unwrap_or_default();
    let plain = |b: u8| b.is_ascii_alphanumeric() || b == b'_' || b == b'-';
    if stem.is_empty() || stem.len() > 60 || !stem.bytes().all(plain) {
        let problem = Problem::new(format!("{}: is no name for a station file", path.display()));
        return Err(Failure::usage(
            problem.hint("call it ID.yaml, with letters, digits and _"),
        ));
    }
    let name = format!("{FOLDER}{file}");
    content.insert(&name, &path.display().to_string(), text);
    Ok(name)
}

fn stem_of(name: &str) -> Option<&str> {
    name.rsplit('/').next()?.strip_suffix(".yaml")
}

/// Proofreads one file of a teacher's own; [`read_from`] reads many.
///
/// # Errors
/// As [`read_from`].
pub fn read(model: &Model, content: &Content, source: &Source) -> Result<Checked, Failure> {
    read_from(&BuildCache::new(model, content, &[]), source)
}

/// Proofreads one file of a teacher's own with what stations share.
///
/// # Errors
/// Exit code 2 when the file is no YAML of this shape; 1 when the shipped content that it needs is wrong.
pub fn read_from(cache: &BuildCache<'_>, source: &Source) -> Result<Checked, Failure> {
    let model = cache.model;
    let file: OwnFile = parse(source)?;
    let mut report = Report {
        source,
        problems: Vec::new(),
        advice: Vec::new(),
    };
    if stem_of(&source.name) != Some(file.id.as_str()) {
        let message = format!("the id `{}` is not the file's name", short(&file.id));
        report.add(
            &["id".into()],
            message,
            "give the file and the id the same name",
        );
    }
    let kinds = cache.kinds()?;
    let kind = kind_named(kinds, &file.kind)
        .map_err(|e| report.failed(&["kind".into()], &e))
        .ok();
    if let Some(wanted) = &file.pictures {
        for (i, p) in super::blank::problems(wanted, kind.map(|k| k.tells)) {
            let path: Vec<Step> = vec!["pictures".into(), "candidate".into(), i.into()];
            report.add(&path, p.message, p.hint);
        }
    }
    marks::check(&file, kind, cache.families()?, &mut report);
    wording::check(&file, &mut report);
    let fixed = findings::fixed(model, &file.variants)
        .map_err(|e| report.failed(&["variants".into()], &e))
        .ok();
    let lesion = lesion::parse(model, &file.lesion)
        .map_err(|e| report.failed(&["lesion".into()], &e))
        .ok();
    let (Some(lesion), Some(fixed), Some(kind)) = (lesion, fixed, kind) else {
        return Ok(done(report, None, None, None));
    };
    let Some(own) = own_notes(model, &file, &mut report) else {
        return Ok(done(report, None, None, None));
    };
    let of_place = match lesion.parts.as_slice() {
        [part] => cache.notes(&part.place)?,
        _ => None,
    };
    // What the author says of the place, completed by its notes.
    let notes = own
        .clone()
        .over(of_place.map_or_else(Notes::default, |n| (*n).clone()));
    let derived = findings::derive(model, &lesion, &fixed);
    // This patient has all that is cardinal, even where limbs differ.
    let mut found = derived.clone();
    if !kind.tells.forwards() {
        super::patient::classic_picture(&mut found, &notes);
    }
    said::check(model, &file, &own, &found, &mut report);
    let stated = stated::compare(model, &lesion, &fixed, &found, &file, &mut report);
    let told = kind.tells == super::Tells::Findings;
    let back = (told && !stated.is_empty()).then(|| {
        let seen: Vec<Observation> = stated.iter().map(|s| s.seen).collect();
        let mut equals: Vec<usize> = notes.equals.iter().filter_map(|e| e.site).collect();
        equals.extend(super::proof::cleared(&notes, &found, &seen));
        let limb = way_back::Limb {
            lesion: &lesion,
            fixed: &fixed,
            found: &found,
        };
        way_back::look(cache, &limb, &stated, &equals, &mut report)
    });
    let case = patient::case(model, &file, lesion, derived, &mut report);
    let parts = assemble::Parts {
        cache,
        file: &file,
        kind,
        fixed: &fixed,
        stated: &stated,
        own: &own,
    };
    let built = match assemble::station(&parts, case, &mut report) {
        Ok(built) => built,
        Err(failure @ Failure::Content(_)) => {
            report.failed(&["kind".into()], &failure);
            None
        }
        Err(failure) => return Err(failure),
    };
    let (station, case) = built.unzip();
    Ok(done(report, station, back, case))
}

/// What the author says of the place, with its names looked up.
fn own_notes(model: &Model, file: &OwnFile, report: &mut Report<'_>) -> Option<Notes> {
    let path = ["teaching".into()];
    match teaching::resolve(model, report.source, file.teaching.clone(), &path) {
        Ok(notes) => Some(notes),
        Err(failure) => {
            report.problems.extend(failure.problems().iter().cloned());
            None
        }
    }
}

fn done(
    mut report: Report<'_>,
    station: Option<Station>,
    way_back: Option<WayBack>,
    case: Option<Case>,
) -> Checked {
    report.problems.sort_by(|a, b| a.place.cmp(&b.place));
    report.problems.dedup();
    report.advice.sort_by(|a, b| a.place.cmp(&b.place));
    Checked {
        station: station.filter(|_| report.problems.is_empty()),
        problems: report.problems,
        advice: report.advice,
        way_back,
        case,
    }
}
