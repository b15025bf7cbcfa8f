//! How does a drawn station become a file of the user's own? With every key explained in a line above it; nothing is ever overwritten.

use super::args::Shared;
use super::new::plain;
use crate::anatomy::Model;
use crate::diagnostic::{Failure, Problem};
use crate::files::{Content, write_new};
use crate::station::{Draft, Station, authored};
use std::path::PathBuf;

/// What stands above the keys of the file.
const COMMENTS: [(&str, &str); 27] = [
    (
        "id",
        "A station of your own, word for word. Change what you like, then proofread it with `vivasmith check`. The id is the name of the file.",
    ),
    (
        "title",
        "What the station is called among colleagues, and who answers for it.",
    ),
    (
        "lesion",
        "What is injured: a site of `vivasmith list sites`, with @partial, @40% and the like when it is not complete.",
    ),
    (
        "variants",
        "Arrangements that this limb has, as in `vivasmith list variants`.",
    ),
    (
        "kind",
        "As in `vivasmith list kinds`. It decides what the candidate is told and which questions fit.",
    ),
    ("level", "early, clinical or trainee"),
    (
        "minutes",
        "Half a minute for the greeting and half a minute for the end are part of them.",
    ),
    ("marks", "What the lines of all questions make together."),
    (
        "seed",
        "Draws what is left open below, such as the order of two places. Leave it as it is.",
    ),
    (
        "patient",
        "An invented person. A newborn has age_days instead of age.",
    ),
    (
        "setting",
        "Completes \u{201c}You meet the patient in ...\u{201d}.",
    ),
    (
        "stem",
        "What happened, as the candidate reads it. It may not name the answer.",
    ),
    ("stem_note", "One more sentence for the candidate."),
    ("since_days", "Days between injury and today."),
    ("onset", "sudden or gradual"),
    ("nerve_injury", "neurapraxia, axonotmesis or neurotmesis"),
    (
        "mechanism",
        "A way of injury in the scenario file of the site; it may have first steps of its own.",
    ),
    (
        "also_damaged",
        "What was injured with it, and what brought it about; for the examiner.",
    ),
    ("examiner_note", "Never shown to the candidate."),
    (
        "findings",
        "What the candidate is told, ID: STATE, as in `vivasmith list movements`, skin, reflexes, signs and muscles. Each is held against the model.\nStates: lost, weak, spared (or a power from 0 to 5); for skin lost, reduced, spared; for reflexes absent, reduced, present; for signs present, absent.",
    ),
    (
        "keep_back",
        "Findings from above that the candidate is not told.",
    ),
    ("task", "The candidate's task, one line each."),
    ("not_required", "What the candidate need not do."),
    (
        "pictures",
        "Blanks for the candidate, as in {candidate: [skin_blank]}.",
    ),
    (
        "questions",
        "Each question: `ask` names the question of the bank that it is a form of, `say` opens it, c, p and l are the prompts, `caps` the marks\nstill in reach after each. Every line under `points:` earns its marks; of those under `any:` `choose` are enough, at `each` marks. `about` names the\nfinding that a line is about. Minutes are counted in quarters.",
    ),
    (
        "teaching",
        "What you say of the place: it wins over the notes in teaching/. A key that you remove is taken from there, or derived.",
    ),
    ("reading_minutes", "Minutes of reading before the station."),
];

/// Nothing of that name is there yet.
///
/// # Errors
/// Exit code 2 when the id cannot be one, or is taken.
pub fn free(content: &Content, id: &str) -> Result<(), Failure> {
    plain(id)?;
    match authored::find(content, id) {
        Ok(source) => Err(Failure::usage(
            Problem::new(format!("{}: is there already", source.shown))
                .hint("choose another id: nothing is overwritten"),
        )),
        Err(_) => Ok(()),
    }
}

/// Writes the station into the content folder; gives what to tell on the terminal.
///
/// # Errors
/// As [`write_new`].
pub fn write(
    model: &Model,
    draft: &Draft,
    station: &Station,
    id: &str,
    shared: &Shared,
) -> Result<String, Failure> {
    let root = shared
        .content
        .clone()
        .unwrap_or_else(|| PathBuf::from(super::FOLDER));
    let text = authored::yaml(model, draft, station, id, &COMMENTS)?;
    let path = write_new(
        &root,
        &format!("{}{id}.yaml", authored::FOLDER),
        text.as_bytes(),
    )?;
    Ok(format!(
        "own station {}\nChange it, proofread it with `vivasmith check {}`, print it with `vivasmith station own:{id} --content {}`.\n",
        path.display(),
        root.display(),
        root.display()
    ))
}
