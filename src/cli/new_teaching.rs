//! From what does a teacher start who writes notes on a site? From the shipped notes, or from what the model derives.

use super::new::known_site;
use crate::anatomy::Model;
use crate::case::{self, Age, Case, Level, Request};
use crate::diagnostic::{Failure, Problem};
use crate::files::Content;
use crate::station::authored::{commented, notes_text};
use crate::station::{self, BuildCache, StationKind, StationRequest, Tells};
use crate::teaching::FOLDER;

/// What stands above the keys of the file.
const COMMENTS: [(&str, &str); 11] = [
    (
        "site",
        "What you ask, say and reward at this site, derived from the model as a start. Every `about`, `finding`, `decides` and `of` is an id of\n`vivasmith list movements`, muscles, skin, reflexes or signs, and `vivasmith check` holds each line against the model.",
    ),
    ("short", "The answer in a few words."),
    (
        "source",
        "Codes of sources.yaml, a semicolon and what has none.",
    ),
    (
        "cardinal",
        "What a teacher names first. The patient has it all; a trace candidate is told the first six.",
    ),
    (
        "negatives",
        "What is kept and decides, each with the sites in which it would be affected.",
    ),
    (
        "rivals",
        "The places that a good candidate weighs, each with one finding that decides; say under `tempts:` why one might think of it.",
    ),
    (
        "says",
        "Complaints in the patient's own voice; they name no nerve and no place.",
    ),
    (
        "ask",
        "What the place brings to each question of questions/: prompts `p` and `l` (left out: those of the bank; they may name nothing that is paid),\nand lines. Lines under `points:` earn `marks`; of those under `any: {each, of}` as many are enough as the marks of the question ask for.\nA line is spoken or ticked in a second: 13 words. No finding is paid twice within one kind of station.",
    ),
    ("compare_with", "The second place of a comparison."),
    (
        "first_steps",
        "What is done by days since it began, without a gap up to 9999; `only: [ID]` for ways of injury of the scenario.",
    ),
    (
        "card",
        "What whoever plays the patient does, in plain words under `say:`; eight lines at most.",
    ),
];

/// Keys that are still to be written, for whom the file is not long enough.
const MORE: &str = "\n# Still to be written, if you like: idea, why_one, classic, equals, open, mimic, daily, vulnerable, landmarks, replies, danger, second_chance,\n# candidates (three), anchors (five), steps, red_flags, strong, if_asked, stop, revise, rule, twin. A key that is missing is derived or left out.\n# replies:\n#   - {to: \"the wrong answer\", ask: \"the question back?\", at: place}\n# steps:\n#   - {say: \"what one says\", then: \"what follows from it\"}\n";

/// The name within the content folder, and the text.
///
/// # Errors
/// Exit code 2 when there is no such site; else as drawing a station.
pub fn starter(content: &Content, model: &Model, site: &str) -> Result<(String, String), Failure> {
    known_site(model, site)?;
    let name = format!("{FOLDER}{}/{site}.yaml", model.region);
    if let Some(shipped) = content.get(&name) {
        return Ok((name, shipped.text.to_string()));
    }
    let cache = BuildCache::new(model, content, &[]);
    let forwards = |k: &&StationKind| k.tells == Tells::Lesion;
    let kind = cache.kinds()?.iter().find(forwards).ok_or_else(|| {
        Failure::content(
            Problem::new("no kind of station tells the lesion")
                .hint("put the shipped questions/kinds.yaml back"),
        )
    })?;
    let (case, seed) = grown(model, content, site)?;
    let request = StationRequest {
        kind: Some(kind.clone()),
        level: Level::Trainee,
        minutes: None,
        seed,
        place: Some(site.to_string()),
        variants: Vec::new(),
        fixed: Vec::new(),
    };
    let mut notes = station::drawn(&cache, &case, &request)?.notes;
    notes.site = site.to_string();
    notes.source = "common practice, no source".to_string();
    // Whole nerves and operations have notes of their own.
    let here = |k: &&StationKind| !matches!(k.tells, Tells::Nerve | Tells::Approach);
    let asked: Vec<&str> = cache
        .kinds()?
        .iter()
        .filter(here)
        .flat_map(StationKind::questions)
        .collect();
    notes.ask.0.retain(|(id, _)| asked.contains(&id.as_str()));
    let text = notes_text(model, notes)?;
    Ok((name, commented(&text, &COMMENTS) + MORE))
}

/// A patient at this site who can be asked and can follow orders.
fn grown(model: &Model, content: &Content, site: &str) -> Result<(Case, u64), Failure> {
    let mut seed = 1;
    loop {
        let request = Request {
            site: Some(site.to_string()),
            lesion: None,
            area: None,
            level: Level::Trainee,
            seed,
            fixed: Vec::new(),
        };
        let case = case::draw(model, content, &request)?;
        // Where only newborns are hurt one of them has to do.
        if matches!(case.patient.age, Age::Years(_)) || seed == 30 {
            return Ok((case, seed));
        }
        seed += 1;
    }
}
