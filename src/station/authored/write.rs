//! How is a drawn station written out as one of a teacher's own, to be changed by hand?

use super::assemble::named_notes;
use super::raw::*;
use crate::anatomy::{Model, Structure};
use crate::case::mechanism::Onset;
use crate::case::{Age, Level, Side};
use crate::diagnostic::{Failure, Problem};
use crate::files::{UniqueMap, to_yaml};
use crate::station::draft::{Draft, Origin, Told};
use crate::station::{Question, Rung, Station};
use crate::teaching::{Equal, Line, Notes, name_of};

/// Stands where the author's name belongs.
const AUTHOR: &str = "drawn by vivasmith; your name and role";

/// The file of a drawn station: unchanged it prints the same sheets, but for the code. `comments` are written in front of their keys.
///
/// # Errors
/// Exit code 3 when the text cannot be made, which no station causes.
pub fn yaml(
    model: &Model,
    draft: &Draft,
    station: &Station,
    id: &str,
    comments: &[(&str, &str)],
) -> Result<String, Failure> {
    let file = own_file(model, draft, station, id);
    let text = to_yaml(&file).map_err(|e| unwritten(&format!("own/{id}.yaml"), &e))?;
    Ok(commented(&text, comments))
}

fn unwritten(file: &str, why: &str) -> Failure {
    Failure::disk(Problem::new(format!("{file}: cannot be written ({why})")))
}

/// Notes as a file.
///
/// # Errors
/// As [`yaml`].
pub fn notes_text(model: &Model, notes: Notes) -> Result<String, Failure> {
    let name = notes.site.clone();
    to_yaml(&named_notes(model, notes)).map_err(|e| unwritten(&name, &e))
}

/// A YAML text with comments in front of its top keys.
pub fn commented(text: &str, comments: &[(&str, &str)]) -> String {
    let mut out = String::new();
    for line in text.lines() {
        let of = |(key, _): &&(&str, &str)| line.starts_with(&format!("{key}:"));
        if let Some((_, comment)) = comments.iter().find(of) {
            if !out.is_empty() {
                out.push('\n');
            }
            for row in comment.lines() {
                out.push_str("# ");
                out.push_str(row);
                out.push('\n');
            }
        }
        out.push_str(line);
        out.push('\n');
    }
    out
}

fn own_file(model: &Model, draft: &Draft, station: &Station, id: &str) -> OwnFile {
    let case = &draft.case;
    let side = |s: Side| match s {
        Side::Left => SideWord::Left,
        Side::Right => SideWord::Right,
    };
    let (age, age_days) = match case.patient.age {
        Age::Years(y) => (Some(y), None),
        Age::Days(d) => (None, Some(d)),
    };
    OwnFile {
        id: id.to_string(),
        title: station.kind.label.clone(),
        author: AUTHOR.to_string(),
        lesion: case.lesion.text(),
        variants: match &draft.origin {
            Origin::Drawn { variants, .. } => variants.clone(),
            Origin::Own(_) => Vec::new(),
        },
        kind: draft.kind.id.clone(),
        level: match draft.level {
            Level::Early => LevelWord::Early,
            Level::Clinical => LevelWord::Clinical,
            Level::Trainee => LevelWord::Trainee,
        },
        minutes: draft.minutes,
        reading_minutes: draft.reading_minutes,
        marks: draft.total_marks,
        seed: Some(draft.seed),
        patient: OwnPatient {
            name: case.patient.name.clone(),
            age,
            age_days,
            side: side(case.patient.side),
            dominant: case.patient.dominant.map(side),
            occupation: case.patient.occupation.clone(),
        },
        setting: case.setting.clone(),
        stem: case.story.clone(),
        stem_note: case.stem_note.clone(),
        since_days: case.timeline.since_days,
        onset: if case.timeline.gradual {
            Onset::Gradual
        } else {
            Onset::Sudden
        },
        nerve_injury: case.timeline.injury,
        mechanism: case.mechanism.clone(),
        also_damaged: case.also_damaged.clone(),
        causes: case.causes.clone(),
        examiner_note: case.examiner_note.clone(),
        findings: findings(model, draft, station),
        keep_back: Vec::new(),
        task: station.candidate.task.clone(),
        not_required: station.candidate.not_required.clone(),
        pictures: None,
        questions: station
            .questions
            .iter()
            .map(|q| question(model, q))
            .collect(),
        teaching: teaching(model, draft, station),
    }
}

/// What the candidate reads, in the order of their sheet: with what was added to prove the lesion.
fn findings(model: &Model, draft: &Draft, station: &Station) -> UniqueMap<String> {
    let rows = station.candidate.rows.iter().flat_map(|r| &r.items);
    let found = rows.filter_map(|i| draft.case.findings.get(i.about));
    UniqueMap(
        found
            .map(|f| {
                (
                    crate::localise::name(model, f.structure),
                    f.word().to_string(),
                )
            })
            .collect(),
    )
}

fn question(model: &Model, q: &Question) -> OwnQuestion {
    let line = |p: &crate::station::Point| Line {
        marks: p.marks,
        about: p.about.map(|s| name_of(model, s)),
        ..Line::of(&p.say)
    };
    let prompt = |rung: Rung| {
        let said = q.prompts.iter().find(|p| p.rung == rung);
        said.map(|p| p.say.clone())
    };
    let fixed = q
        .groups
        .iter()
        .filter(|g| g.each == 0)
        .flat_map(|g| &g.points);
    let choice = q.groups.iter().find(|g| g.each > 0);
    OwnQuestion {
        ask: q.id.clone(),
        domain: Some(q.domain.clone()),
        minutes: f64::from(q.seconds) / 60.0,
        say: q.opening.clone(),
        c: prompt(Rung::Clarify).unwrap_or_default(),
        p: prompt(Rung::Probe).unwrap_or_default(),
        l: prompt(Rung::Lead),
        caps: q.prompts.iter().map(|p| p.cap).collect(),
        points: fixed.map(line).collect(),
        any: choice.map(|g| OwnChoice {
            choose: g
                .choose
                .unwrap_or(u32::try_from(g.points.len()).unwrap_or(0)),
            each: g.each,
            note: g.note.clone(),
            of: g
                .points
                .iter()
                .map(|p| Line {
                    marks: 1,
                    ..line(p)
                })
                .collect(),
        }),
    }
}

/// The notes as they stand, with what the seed drew from them.
fn teaching(model: &Model, draft: &Draft, station: &Station) -> Notes<String, String> {
    let mut notes = draft.notes.clone();
    // The questions stand in the file themselves.
    notes
        .ask
        .0
        .retain(|(id, _)| id == "deciders" || id == "shared");
    if let Told::Complaint(says) = &draft.told {
        notes.says = vec![says.clone()];
    }
    // The room sheet as it was made to fit.
    let room = &station.room;
    notes.anchors.clone_from(&room.anchors);
    notes.danger.clone_from(&room.dangers);
    notes
        .replies
        .retain(|r| room.replies.iter().any(|k| k.to == r.to && k.ask == r.ask));
    let open = notes.open.iter().flat_map(|o| o.findings.iter().copied());
    let named: Vec<Structure> = notes.neither.iter().copied().chain(open).collect();
    let is = |text: &String| {
        named
            .iter()
            .find(|s| model.named(**s) == text.as_str())
            .copied()
    };
    notes.neither = room.neither.iter().filter_map(is).collect();
    for &site in &station.proof.equal_sites {
        if notes.equals.iter().all(|e| e.site != Some(site)) {
            notes.equals.push(Equal {
                site: Some(site),
                say: String::new(),
                parted_by: String::new(),
            });
        }
    }
    named_notes(model, notes)
}
