//! How does a proofread own file become the draft that every station is built from?

use super::Report;
use super::raw::{LevelWord, OwnFile, OwnQuestion};
use super::stated::{Stated, named};
use crate::anatomy::Structure;
use crate::case::{Case, Level};
use crate::diagnostic::{Failure, short};
use crate::files::{Step, fnv1a};
use crate::findings::{Fixed, State};
use crate::station::build_cache::BuildCache;
use crate::station::draft::{Asked, Draft, Origin, Told};
use crate::station::kind::{Slot, StationKind};
use crate::station::{Authored, Station, StationRequest, Tells, build, drawn};
use crate::teaching::{self, Block, Choice, Line, NameOf, Notes};

/// What the stages share.
pub struct Parts<'a> {
    pub cache: &'a BuildCache<'a>,
    pub file: &'a OwnFile,
    pub kind: &'a StationKind,
    pub fixed: &'a [Fixed],
    pub stated: &'a [Stated],
    /// What the author says of the place.
    pub own: &'a Notes,
}

/// Builds the station; what is wrong goes into the report, and then nobody may print it.
///
/// # Errors
/// As [`drawn::furnished`].
pub fn station(
    parts: &Parts<'_>,
    case: Case,
    report: &mut Report<'_>,
) -> Result<Option<(Station, Case)>, Failure> {
    let Parts {
        cache,
        file,
        kind,
        fixed,
        ..
    } = *parts;
    author(file, report);
    let request = StationRequest {
        kind: Some(kind.clone()),
        level: level_of(file.level),
        minutes: Some(file.minutes),
        seed: file
            .seed
            .unwrap_or_else(|| fnv1a(report.source.text.as_bytes())),
        place: Some(file.lesion.clone()),
        variants: file.variants.clone(),
        fixed: fixed.to_vec(),
    };
    let mut own_kind = kind.clone();
    if let Some(pictures) = &file.pictures {
        own_kind.pictures.clone_from(pictures);
    }
    let case = as_stated(case, parts.stated);
    let mut draft = drawn::furnished(cache, case, &own_kind, parts.own.clone(), &request)?;
    if !build::situation(cache.model, &draft).holds(&kind.when) {
        return Err(drawn::unfit(&draft.case, kind));
    }
    draft.minutes = file.minutes;
    draft.reading_minutes = file.reading_minutes;
    draft.total_marks = file.marks;
    draft.content_version = Some(cache.content.version_with(report.source));
    draft.origin = Origin::Own(Authored {
        id: file.id.clone(),
        title: file.title.trim().to_string(),
        author: file.author.trim().to_string(),
    });
    if !file.task.is_empty() {
        draft.task.clone_from(&file.task);
    }
    if !file.not_required.trim().is_empty() {
        draft.not_required.clone_from(&file.not_required);
    }
    if kind.tells == Tells::Findings && !file.findings.is_empty() {
        draft.told = Told::Findings(told(parts, &draft, report));
    }
    stem(parts, &draft, report);
    if file.questions.is_empty() {
        drawn::ask(&mut draft, cache.families()?);
    } else {
        draft.asked = asked(parts, report);
    }
    if !report.problems.is_empty() {
        return Ok(None);
    }
    let case = draft.case.clone();
    match build::station(cache, draft) {
        Ok(station) => Ok(Some((station, case))),
        Err(failure @ Failure::Content(_)) => {
            report.failed(&["questions".into()], &failure);
            Ok(None)
        }
        Err(failure) => Err(failure),
    }
}

fn level_of(word: LevelWord) -> Level {
    match word {
        LevelWord::Early => Level::Early,
        LevelWord::Clinical => Level::Clinical,
        LevelWord::Trainee => Level::Trainee,
    }
}

/// The patient is one limb: what limbs differ on is as the author states it.
fn as_stated(mut case: Case, stated: &[Stated]) -> Case {
    for s in stated {
        let open = s.derived.state == State::Variable;
        if let (true, Some(f)) = (open, case.findings.get_mut(s.seen.structure)) {
            crate::station::patient::settle(f, s.seen.seen);
        }
    }
    case
}

/// The stated findings that the candidate reads.
fn told(parts: &Parts<'_>, draft: &Draft, report: &mut Report<'_>) -> Vec<Structure> {
    let model = parts.cache.model;
    let words = build::forbidden_words(model, draft);
    let mut kept = Vec::new();
    for (i, key) in parts.file.keep_back.iter().enumerate() {
        let names = named(model, key);
        if !parts
            .stated
            .iter()
            .any(|s| names.contains(&s.seen.structure))
        {
            let message = format!("`{}` is none of the findings", short(key));
            report.add(
                &["keep_back".into(), i.into()],
                message,
                "write a key of `findings:`",
            );
        }
        kept.extend(names);
    }
    let mut told = Vec::new();
    for s in parts
        .stated
        .iter()
        .filter(|s| !kept.contains(&s.seen.structure))
    {
        let path = [Step::from("findings"), Step::from(s.key.as_str())];
        if !model.testable(s.seen.structure) {
            report.add(
                &path,
                "no candidate finds this at the bedside",
                "list it under `keep_back:`, so that only the examiner has it",
            );
        }
        if let Some((word, why)) = words.found_in(model.plain(s.seen.structure)).first() {
            let message = format!("the candidate would read \u{201c}{word}\u{201d}, which {why}");
            report.add(
                &path,
                message,
                "list it under `keep_back:`, or state what is lost in its place",
            );
        }
        told.push(s.seen.structure);
    }
    if told.is_empty() {
        report.add(
            &["findings".into()],
            "the candidate is told no finding",
            "state at least one, and do not keep them all back",
        );
    }
    told
}

/// The story may not name the answer.
fn stem(parts: &Parts<'_>, draft: &Draft, report: &mut Report<'_>) {
    let words = build::forbidden_words(parts.cache.model, draft);
    let file = parts.file;
    for (key, text) in [
        ("setting", &file.setting),
        ("stem", &file.stem),
        ("stem_note", &file.stem_note),
    ] {
        for (word, why) in words.found_in(text) {
            let message = format!("the candidate would read \u{201c}{word}\u{201d}, which {why}");
            report.add(&[key.into()], message, "say it in other words");
        }
    }
}

fn asked(parts: &Parts<'_>, report: &mut Report<'_>) -> Vec<Asked> {
    let file = parts.file;
    let one = |(i, q): (usize, &OwnQuestion)| {
        let path = ["questions".into(), Step::Item(i)];
        let mut lines = |raw: &[Line<String, String>], key: &[Step]| -> Vec<Line> {
            let block = Block {
                points: raw.to_vec(),
                ..Block::default()
            };
            let at = [&path[..], key].concat();
            match teaching::resolve_block(parts.cache.model, report.source, block, &at) {
                Ok(block) => block.points,
                Err(failure) => {
                    report.problems.extend(failure.problems().iter().cloned());
                    Vec::new()
                }
            }
        };
        let points = lines(&q.points, &[]);
        let any = q.any.as_ref().map(|c| Choice {
            each: c.each,
            note: c.note.clone(),
            of: lines(&c.of, &["any".into(), "of".into()]),
        });
        // Without a first prompt the figures begin with the second.
        let missing = usize::from(q.says_again());
        let cap = |i: usize| q.caps.get(i.checked_sub(missing)?).copied();
        Asked {
            slot: Slot {
                ask: q.ask.clone(),
                marks: q.marks(),
                time: 1,
            },
            block: Block {
                say: vec![q.say.trim().to_string()],
                clarify: Some(q.c.trim().to_string()),
                probe: Some(q.p.trim().to_string()),
                lead: q
                    .l
                    .as_deref()
                    .map(str::trim)
                    .filter(|l| !l.is_empty())
                    .map(String::from),
                points,
                any,
            },
            choose: Some(q.any.as_ref().map_or(0, |c| c.choose)),
            caps: (!q.caps.is_empty()).then(|| [cap(0), cap(1), cap(2)]),
            domain: q.domain.clone(),
            seconds: Some(q.seconds()),
        }
    };
    file.questions.iter().enumerate().map(one).collect()
}

/// The author's own words must be there.
fn author(file: &OwnFile, report: &mut Report<'_>) {
    for (key, text) in [("title", &file.title), ("author", &file.author)] {
        if text.trim().is_empty() || text.contains('\n') {
            report.add(
                &[key.into()],
                format!("the {key} is not one line"),
                "write one line",
            );
        }
    }
}

/// Notes with names again, for writing them out.
pub fn named_notes(model: &crate::anatomy::Model, notes: Notes) -> Notes<String, String> {
    notes.map(&mut NameOf(model))
}
