//! Turns a station into three Markdown sheets by templates; every fixed phrase comes from `templates/phrases.yaml`.

use super::engine::engine;
use super::guard::render;
use super::house::{eponyms, house};
use super::pictures::{Picture, PictureLine};
use crate::diagnostic::Failure;
use crate::files::Content;
use crate::station::{Station, check_candidate_picture, check_candidate_text};
use std::collections::BTreeMap;
use std::sync::Arc;
use tera::Context;

/// One sheet of a station, as CommonMark with tables.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    /// "candidate", "examiner", "answer".
    pub id: &'static str,
    /// Title of the document.
    pub title: String,
    /// One line for the document's properties; of a candidate sheet it says nothing that the sheet does not.
    pub subject: String,
    /// What the sheet is called, for the head of each page: "Candidate sheet".
    pub name: String,
    /// For the foot of each page.
    pub caution: String,
    /// BCP 47 tag of the phrases, `en-GB`.
    pub language: String,
    pub markdown: String,
}

const SHEETS: [&str; 3] = ["candidate", "examiner", "answer"];
/// Whether phrases, house style and templates can be used at all.
///
/// # Errors
/// As [`sheets`].
pub fn ready(content: &Content) -> Result<(), Failure> {
    engine(content, &house(content)?).map(drop)
}

/// The candidate sheet, the examiner sheet and the model answer.
///
/// # Errors
/// Exit code 2 when the phrases are no YAML of their shape; 1 when a template or a phrase is wrong, or when the printed candidate
/// sheet gives the answer away or takes too long to read.
pub fn sheets(content: &Content, station: &Station) -> Result<Vec<Sheet>, Failure> {
    sheets_with(content, station, &[])
}

/// [`sheets`] with the pictures that stand beside them.
///
/// # Errors
/// As [`sheets`].
pub fn sheets_with(
    content: &Content,
    station: &Station,
    pictures: &[Picture],
) -> Result<Vec<Sheet>, Failure> {
    let house = house(content)?;
    let engine = Arc::new(engine(content, &house)?);
    let mut context = Context::new();
    context.insert("station", station);
    context.insert("rating", &house.rating);
    let of_sheet = |id: &str| -> Vec<PictureLine> {
        let shown = pictures.iter().filter(|p| p.sheets.contains(&id));
        shown.map(Picture::line).collect()
    };
    let by_sheet: BTreeMap<&str, Vec<PictureLine>> =
        SHEETS.iter().map(|id| (*id, of_sheet(id))).collect();
    context.insert("pictures", &by_sheet);
    context.insert("institution", &house.settings.institution);
    let context = Arc::new(context);
    let sources = format!("\n## {}\n", house.phrase("sources"));
    let mut all = Vec::new();
    for id in SHEETS {
        let text = render(content, &engine, &format!("{id}.md.tera"), &context)?;
        let text = eponyms(&text, &house.settings, &sources);
        let phrase = |key: &str| house.phrase(key);
        let title = format!(
            "{} \u{2013} {}",
            phrase(&format!("title_{id}")),
            station.code
        );
        all.push(Sheet {
            id,
            title,
            subject: format!("{} \u{2013} {}", station.kind.label, station.region),
            name: phrase(&format!("title_{id}")).to_string(),
            caution: phrase("caution").to_string(),
            language: phrase("language").to_string(),
            markdown: tidy(&text),
        });
    }
    if let Some(candidate) = all.first() {
        let mut problems = check_candidate_text(station, &candidate.markdown);
        for picture in pictures.iter().filter(|p| p.sheets.contains(&candidate.id)) {
            let text = picture.text();
            problems.extend(check_candidate_picture(station, &picture.file, &text));
        }
        if !problems.is_empty() {
            return Err(Failure::Content(problems));
        }
    }
    Ok(all)
}

/// No blank at the end of a line, never two empty lines, one line break at the end.
pub(super) fn tidy(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut empty = true;
    for line in text.lines().map(str::trim_end) {
        if line.is_empty() && empty {
            continue;
        }
        empty = line.is_empty();
        out.push_str(line);
        out.push('\n');
    }
    while out.ends_with("\n\n") {
        out.pop();
    }
    out
}
