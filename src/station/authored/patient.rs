//! Which patient does an own station describe, and can what is said of them be?

use super::Report;
use super::raw::{OwnFile, SideWord};
use crate::anatomy::Model;
use crate::case::timeline::{self, Course};
use crate::case::{self, Age, Case, HANDED_FROM, NEWBORN_TO, OLDEST, Patient, Side, WORKS_FROM};
use crate::findings::Findings;
use crate::lesion::Lesion;

/// The case that the file describes.
pub fn case(
    model: &Model,
    file: &OwnFile,
    lesion: Lesion,
    findings: Findings,
    report: &mut Report<'_>,
) -> Case {
    let age = age(file, report);
    let p = &file.patient;
    let too_young = match age {
        Age::Days(_) => true,
        Age::Years(y) => y < HANDED_FROM,
    };
    if too_young && p.dominant.is_some() {
        report.add(
            &["patient".into(), "dominant".into()],
            "a child this young has no dominant hand yet",
            "leave `dominant` out",
        );
    }
    let works = matches!(age, Age::Years(y) if y >= WORKS_FROM);
    if !works && p.occupation.is_some() {
        report.add(
            &["patient".into(), "occupation".into()],
            "a child has no occupation",
            "leave `occupation` out",
        );
    }
    if p.name.trim().is_empty() || p.name.contains(['{', '}', '\n']) {
        report.add(
            &["patient".into(), "name".into()],
            "this is no name",
            "write a plainly invented name",
        );
    }
    if let Age::Days(days) = age
        && file.since_days > days
    {
        report.add(
            &["since_days".into()],
            "the injury would be older than the child",
            "write no more days than `age_days`",
        );
    }
    let avulsion = case::is_avulsion(model, &lesion);
    let timeline = timeline::of(Course {
        since_days: file.since_days,
        onset: file.onset,
        injury: file.nerve_injury,
        complete: case::is_complete(&lesion),
        avulsion,
        motor: findings.muscles.iter().any(|f| f.affected()),
    });
    if let Some(last) = timeline::latest(file.nerve_injury, file.onset)
        && file.since_days > last
        && !avulsion
    {
        report.add(
            &["since_days".into()],
            format!(
                "{} after the injury the picture would no longer be the one stated: it mends by itself from about day {last}",
                timeline.since
            ),
            "choose an earlier day, or another `nerve_injury`",
        );
    }
    if file.since_days == 0 || file.since_days > 36_500 {
        report.add(
            &["since_days".into()],
            format!("{} days cannot be", file.since_days),
            "write 1 or more",
        );
    }
    let side = |s: SideWord| match s {
        SideWord::Left => Side::Left,
        SideWord::Right => Side::Right,
    };
    let places: Vec<&str> = lesion
        .parts
        .iter()
        .map(|part| part.place.as_str())
        .collect();
    Case {
        site: places.join("+"),
        mechanism: file.mechanism.clone(),
        patient: Patient {
            name: p.name.trim().to_string(),
            age,
            side: side(p.side),
            dominant: p.dominant.map(side),
            occupation: p.occupation.clone(),
        },
        setting: file.setting.trim().to_string(),
        story: file.stem.trim().to_string(),
        bare_story: file.stem.trim().to_string(),
        stem_note: file.stem_note.trim().to_string(),
        also_damaged: file.also_damaged.clone(),
        causes: file.causes.clone(),
        care: Vec::new(),
        examiner_note: file.examiner_note.trim().to_string(),
        timeline,
        lesion,
        findings,
    }
}

fn age(file: &OwnFile, report: &mut Report<'_>) -> Age {
    let path = ["patient".into()];
    match (file.patient.age, file.patient.age_days) {
        (Some(years), None) if (1..=OLDEST).contains(&years) => Age::Years(years),
        (None, Some(days)) if (1..=NEWBORN_TO).contains(&days) => Age::Days(days),
        (Some(_), None) | (None, Some(_)) => {
            report.add(
                &path,
                "nobody is that old",
                format!(
                    "write `age` from 1 to {OLDEST} years, or `age_days` from 1 to {NEWBORN_TO}"
                ),
            );
            Age::Years(40)
        }
        _ => {
            report.add(
                &path,
                "the patient needs one age",
                "write `age` in years, or `age_days` for a newborn",
            );
            Age::Years(40)
        }
    }
}
