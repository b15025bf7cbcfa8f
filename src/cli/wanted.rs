//! What is asked of a station that is drawn, whatever is then made of it: sheets, many of them, a mock on a screen?

use super::fixed;
use crate::anatomy::{self, Model};
use crate::case::{self, Case, Level, Request};
use crate::diagnostic::{Failure, Problem};
use crate::figure::FigureStyle;
use crate::files::Content;
use crate::findings::Fixed;
use crate::lesion;
use crate::sheets::pictures::{self, Picture};
use crate::station::{self, BuildCache, Draft, Station, StationKind, StationRequest, Tells};
use crate::teaching::{self, Approach};
use std::panic::resume_unwind;
use std::thread::ScopedJoinHandle;

/// The words of a command.
pub struct Asked<'a> {
    pub place: Option<&'a str>,
    pub area: Option<&'a str>,
    pub level: Level,
    pub kind: Option<&'a str>,
    pub minutes: Option<u32>,
    pub variants: &'a [String],
}

/// What is asked for of a limb's sites: one of them, or a whole lesion; neither where it is drawn.
pub type Place = (Option<String>, Option<lesion::Lesion>);

/// What is asked of every station of a run in one limb.
pub struct Wanted<'a> {
    place: Place,
    kind: Option<StationKind>,
    pub fixed: Vec<Fixed>,
    asked: Asked<'a>,
}

impl<'a> Wanted<'a> {
    /// # Errors
    /// When a variant or the kind is unknown, or the kind is none about what is named.
    pub fn of(
        content: &Content,
        model: &Model,
        place: Place,
        asked: Asked<'a>,
    ) -> Result<Self, Failure> {
        let fixed = fixed(model, asked.variants)?;
        let kind = kind(content, model, &asked)?;
        Ok(Wanted {
            place,
            kind,
            fixed,
            asked,
        })
    }

    pub fn case(&self, cache: &BuildCache<'_>, seed: u64) -> Result<Case, Failure> {
        let (site, lesion) = self.place.clone();
        let request = Request {
            site,
            lesion,
            area: self.asked.area.map(String::from),
            level: self.asked.level,
            seed,
            fixed: self.fixed.clone(),
        };
        case::draw(cache.model, cache.content, &request)
    }

    pub fn draft(&self, cache: &BuildCache<'_>, case: &Case, seed: u64) -> Result<Draft, Failure> {
        let asked = &self.asked;
        let wanted = StationRequest {
            kind: self.kind.clone(),
            level: asked.level,
            minutes: asked.minutes,
            seed,
            place: asked.place.map(String::from),
            variants: asked.variants.to_vec(),
            fixed: self.fixed.clone(),
        };
        station::drawn(cache, case, &wanted)
    }
}

/// The station and its pictures, which are drawn on the second core.
pub fn built(
    cache: &BuildCache<'_>,
    draft: Draft,
    style: &FigureStyle,
) -> Result<(Station, Vec<Picture>), Failure> {
    let model = cache.model;
    let (built, pictures) = std::thread::scope(|scope| {
        scope.spawn(|| cache.belief());
        let (case, patient, played, blanks) = (
            draft.case.clone(),
            draft.kind.patient,
            draft.kind.tells.played(),
            station::blanks(model, &draft),
        );
        let pictures = scope.spawn(move || {
            let mut all = pictures::drawn_blanks(model, &case, &blanks, patient, style)?;
            all.extend(pictures::drawn(model, &case, (patient, played), style)?);
            Ok(all)
        });
        let built = station::build_draft(cache, draft)?;
        Ok::<_, Failure>((built, joined(pictures).map_err(Failure::content)?))
    })?;
    let all = pictures::named(pictures, &built.code);
    Ok((built, all))
}

/// The operation or fracture that a word names.
pub fn operation(
    content: &Content,
    model: &Model,
    word: Option<&str>,
) -> Result<Option<Approach>, Failure> {
    let Some(wanted) = word.map(anatomy::fold) else {
        return Ok(None);
    };
    // A word that is no site either is not worth the file.
    if model.site(&wanted).is_some() {
        return Ok(None);
    }
    let all = teaching::approaches(content, model)?;
    Ok(all.into_iter().find(|a| a.id == wanted))
}

/// The kind asked for; for an operation or fracture, which only one kind is about, that one.
fn kind(
    content: &Content,
    model: &Model,
    asked: &Asked<'_>,
) -> Result<Option<StationKind>, Failure> {
    let operation = operation(content, model, asked.place)?;
    if asked.kind.is_none() && operation.is_none() {
        return Ok(None);
    }
    let all = station::kinds(content, &teaching::families(content)?)?;
    let named = match asked.kind {
        Some(word) => Some(station::kind_named(&all, word)?.clone()),
        None => all.iter().find(|k| k.tells == Tells::Approach).cloned(),
    };
    match (&operation, &named) {
        (Some(of), Some(kind)) if kind.tells != Tells::Approach => Err(Failure::usage(
            Problem::new(format!(
                "`{}` is an operation or fracture, and no station of the kind `{}` is about one",
                of.id, kind.id
            ))
            .hint("leave --kind out, or name the site"),
        )),
        _ => Ok(named),
    }
}

/// What a thread came to; a thread that broke down breaks this one down too.
pub fn joined<T>(thread: ScopedJoinHandle<'_, T>) -> T {
    thread.join().unwrap_or_else(|broken| resume_unwind(broken))
}
