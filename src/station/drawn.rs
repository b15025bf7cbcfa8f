//! How does a case become a draft: its notes, its kind, what is told and what is asked?

use super::build_cache::BuildCache;
use super::context::Context;
use super::draft::{Asked, Draft, Origin, Told};
use super::giveaway::forbidden;
use super::kind::{Slot, StationKind, TOTAL};
use super::levels::level_id;
use super::told;
use super::{StationRequest, default_minutes, patient};
use crate::anatomy::{Model, Nerve};
use crate::case::mechanism::Onset;
use crate::case::{Case, Stream, is_avulsion, timeline};
use crate::diagnostic::{Failure, Problem};
use crate::findings::{Finding, Fixed, derive};
use crate::lesion::{Lesion, Severity, at};
use crate::reasoning::{self, Rival};
use crate::teaching::{self, Approach, Block, Choice, Families, Ground, Line, Notes};

/// Reading time before every station, in minutes (common practice, no source: one to two minutes).
pub const READING_MINUTES: u32 = 2;
pub const SHORTEST: u32 = 4;
pub const LONGEST: u32 = 20;

/// A draft of the kind asked for, or of the first kind in the seed's order that suits the case.
///
/// # Errors
/// Exit code 2 when the minutes are out of range or a content file cannot be read; 1 when no kind suits.
pub fn drawn(
    cache: &BuildCache<'_>,
    case: &Case,
    request: &StationRequest,
) -> Result<Draft, Failure> {
    let minutes = request
        .minutes
        .unwrap_or_else(|| default_minutes(request.level));
    if !(SHORTEST..=LONGEST).contains(&minutes) {
        let problem = Problem::new(format!("{minutes} minutes are no length for a station"));
        return Err(Failure::usage(
            problem.hint(format!("ask for {SHORTEST} to {LONGEST} minutes")),
        ));
    }
    let mut wanted: Vec<&StationKind> = match &request.kind {
        Some(kind) => vec![kind],
        None => cache.kinds()?.iter().collect(),
    };
    Stream::new(request.seed, "station/kind").shuffle(&mut wanted);
    for kind in &wanted {
        if let Some(mut draft) = suits(cache, case, kind, request)? {
            draft.minutes = minutes;
            return Ok(draft);
        }
    }
    Err(match wanted.first() {
        Some(kind) => unfit(case, kind),
        None => super::levels::missing_file(teaching::KINDS_FILE),
    })
}

/// The case as the kind needs it: complete where the kind says so and nothing else was asked for, without the patient whom nobody meets.
pub fn case_for(
    model: &Model,
    case: &Case,
    kind: &StationKind,
    fixed: &[Fixed],
    asked: Option<&str>,
) -> Case {
    let mut own = case.clone();
    let chosen = asked.is_some_and(|a| a.contains(['@', '+']));
    if let (Some(_), false, [part]) = (kind.severity, chosen, case.lesion.parts.as_slice())
        && let Ok(whole) = at(model, &part.place, Severity::Complete)
    {
        own.findings = derive(model, &whole, fixed);
        // What is complete may take another course than what was drawn.
        own.timeline = timeline::of(timeline::Course {
            since_days: case.timeline.since_days,
            onset: match case.timeline.gradual {
                true => Onset::Gradual,
                false => Onset::Sudden,
            },
            injury: case.timeline.injury,
            complete: true,
            avulsion: is_avulsion(model, &whole),
            motor: own.findings.muscles.iter().any(Finding::affected),
        });
        own.lesion = whole;
    }
    if kind.tells == super::Tells::Lesion {
        own.story.clone_from(&own.bare_story);
    }
    if !kind.patient {
        own.suppose();
    }
    own
}

fn suits(
    cache: &BuildCache<'_>,
    case: &Case,
    kind: &StationKind,
    request: &StationRequest,
) -> Result<Option<Draft>, Failure> {
    let model = cache.model;
    let case = case_for(model, case, kind, &request.fixed, request.place.as_deref());
    let mut draft = furnished(cache, case, kind, Notes::default(), request)?;
    let situation = super::build::situation(model, &draft);
    if !situation.holds(&kind.when) {
        return Ok(None);
    }
    ask(&mut draft, cache.families()?);
    Ok(Some(draft))
}

/// The draft without its questions: notes, rivals, the patient's one limb, what is told. `own` wins over the notes of the place.
pub fn furnished(
    cache: &BuildCache<'_>,
    case: Case,
    kind: &StationKind,
    own: Notes,
    request: &StationRequest,
) -> Result<Draft, Failure> {
    let model = cache.model;
    let fixed = request.fixed.as_slice();
    let (rivals, alike) = parted(
        model,
        reasoning::differential(model, &case.lesion, &case.findings, fixed)?,
    );
    let nerve = reasoning::one_nerve(model, &case.lesion);
    let approach = match kind.tells {
        super::Tells::Approach => approach(cache, &case, request)?,
        _ => None,
    };
    let (written, derived) = written(cache, kind, nerve, approach.as_ref(), &case)?;
    let notes = {
        let ctx = Context::new(model, &case, request.level);
        own.over(written).over(teaching::derived(&Ground {
            model,
            lesion: &case.lesion,
            found: ctx.found,
            families: cache.families()?,
            rivals: &rivals,
            usable: &|f: &Finding| told::observable(&ctx, f) && ctx.shown(f),
            nerve,
            approach: approach.as_ref(),
        }))
    };
    let case = if kind.tells.forwards() {
        case
    } else {
        patient::classic(case, &notes)
    };
    let ctx = Context::new(model, &case, request.level);
    let words = forbidden(&ctx, kind.tells, None);
    let told = match kind.tells {
        super::Tells::Findings => Told::Findings(told::choose(&ctx, &notes, &words)),
        super::Tells::Complaint => {
            Told::Complaint(super::card::complaint(&ctx, &notes, &words, request.seed))
        }
        super::Tells::Lesion => Told::Lesion,
        super::Tells::Pair => pair(model, &case, &notes, &rivals, request.seed),
        super::Tells::Nerve => Told::Nerve(nerve.map(|n| n.label.clone()).unwrap_or_default()),
        super::Tells::Approach => match approach {
            Some(approach) => Told::Approach(Box::new(approach)),
            None => Told::Lesion,
        },
    };
    let case = match &told {
        Told::Pair { rival, .. } => blaming(model, case, &rival.lesion),
        _ => case,
    };
    let task = kind.task.clone();
    Ok(Draft {
        kind: kind.clone(),
        level: request.level,
        minutes: 0,
        reading_minutes: READING_MINUTES,
        total_marks: TOTAL,
        fixed: fixed.to_vec(),
        notes,
        derived,
        told,
        asked: Vec::new(),
        rivals,
        alike,
        origin: Origin::Drawn {
            place: request.place.clone().unwrap_or_else(|| case.site.clone()),
            variants: request.variants.clone(),
        },
        content_version: None,
        seed: request.seed,
        task,
        not_required: kind.not_required.clone(),
        case,
    })
}

/// What is written for such a station, and whether there is nothing.
fn written(
    cache: &BuildCache<'_>,
    kind: &StationKind,
    nerve: Option<&Nerve>,
    approach: Option<&Approach>,
    case: &Case,
) -> Result<(Notes, bool), Failure> {
    let place = of_case(cache, case)?;
    match (kind.tells, nerve, approach) {
        (super::Tells::Nerve, Some(nerve), _) => {
            let (mut own, derived) = of_file(cache, &format!("nerves/{}", nerve.id))?;
            // One place stands for its cuts.
            own.cardinal = place.0.cardinal;
            own.negatives = place.0.negatives;
            own.rivals = place.0.rivals;
            Ok((own, derived))
        }
        (super::Tells::Approach, _, Some(approach)) => {
            let (own, derived) = of_file(cache, &format!("approaches/{}", approach.id))?;
            Ok((own.over(place.0), derived))
        }
        _ => Ok(place),
    }
}

/// The notes of the injured site, and whether there are none.
fn of_case(cache: &BuildCache<'_>, case: &Case) -> Result<(Notes, bool), Failure> {
    match case.lesion.parts.as_slice() {
        [part] => of_file(cache, &part.place),
        _ => Ok((Notes::default(), true)),
    }
}

fn of_file(cache: &BuildCache<'_>, name: &str) -> Result<(Notes, bool), Failure> {
    let found = cache.notes(name)?;
    // Notes without a question leave all of them to be derived.
    let derived = found.as_ref().is_none_or(|notes| notes.ask.is_empty());
    Ok((found.map(|n| (*n).clone()).unwrap_or_default(), derived))
}

/// Those that a bedside finding parts from the lesion, and the others.
fn parted(model: &Model, all: Vec<Rival>) -> (Vec<Rival>, Vec<Rival>) {
    all.into_iter()
        .partition(|r| r.deciders.iter().any(|d| model.testable(d.structure())))
}

fn pair(model: &Model, case: &Case, notes: &Notes, rivals: &[Rival], seed: u64) -> Told {
    let rival = notes
        .compare_with
        .and_then(|site| rivals.iter().find(|r| r.site == site));
    let Some(rival) = rival else {
        return Told::Lesion;
    };
    let own = case
        .lesion
        .parts
        .iter()
        .map(|p| p.label.clone())
        .collect::<Vec<_>>();
    let own = crate::wording::list(&own);
    let other = model
        .sites
        .get(rival.site)
        .map(|s| s.label.clone())
        .unwrap_or_default();
    let places = match Stream::new(seed, "station/pair").below(2) {
        0 => [own, other],
        _ => [other, own],
    };
    Told::Pair {
        places,
        rival: Box::new(rival.clone()),
    }
}

/// The case with a story that blames the roots too, where one of two places lies at them.
fn blaming(model: &Model, mut case: Case, rival: &Lesion) -> Case {
    let cuts = case.lesion.cuts.iter().chain(&rival.cuts);
    let mut segments = cuts.filter_map(|c| model.segments.get(c.segment));
    let said = format!("{} {}", case.story, case.stem_note).to_lowercase();
    let blamed = model.spine.words.iter().any(|w| said.contains(w));
    if segments.any(|s| s.kind.radicular) && !blamed {
        let also = format!("{} {}", model.spine.also, case.stem_note);
        case.stem_note = also.trim().to_string();
    }
    case
}

/// The operation or fracture that is asked for, else one of the site's, drawn.
fn approach(
    cache: &BuildCache<'_>,
    case: &Case,
    request: &StationRequest,
) -> Result<Option<Approach>, Failure> {
    let here: Vec<&Approach> = match case.lesion.parts.as_slice() {
        [part] => cache
            .approaches()?
            .iter()
            .filter(|a| a.site == part.place)
            .collect(),
        _ => Vec::new(),
    };
    let asked = here.iter().find(|a| request.place.as_ref() == Some(&a.id));
    let chosen = asked.or_else(|| Stream::new(request.seed, "station/approach").pick(&here));
    Ok(chosen.map(|a| (*a).clone()))
}

/// Gives the draft its questions: those of the kind's plan, each with what the place brings to it.
pub fn ask(draft: &mut Draft, families: &Families) {
    let plan = draft.kind.plan.of(draft.level);
    let pays = |slot: &Slot| {
        families
            .get(&slot.ask)
            .map_or(&[][..], |asking| &asking.pays)
    };
    let paid: Vec<&str> = plan.iter().flat_map(pays).map(String::as_str).collect();
    let slots = plan.iter().cloned();
    let asked = slots.map(|slot| Asked {
        block: block(draft, &slot, &paid),
        slot,
        caps: None,
        domain: None,
        choose: None,
        seconds: None,
    });
    draft.asked = asked.collect();
}

/// Lines among which the first steps are chosen, at the least.
const STEPS: usize = 3;

/// What the notes bring to a question; the lines of the last one are the first steps of the day, without those with a word that another
/// question has `paid`, as far as enough are left.
fn block(draft: &Draft, slot: &Slot, paid: &[&str]) -> Block {
    let mut block = draft.notes.block(&slot.ask).cloned().unwrap_or_default();
    if slot.ask == "act"
        && let Some(row) = today(draft)
    {
        let mut of: Vec<Line> = row.pay.iter().map(|say| Line::of(say)).collect();
        let again = |line: &Line| paid.iter().any(|word| line.say.contains(word));
        // The last go first: they are the least urgent.
        while of.len() > STEPS
            && let Some(last) = of.iter().rposition(again)
        {
            of.remove(last);
        }
        block.points.clear();
        block.any = Some(Choice {
            each: 1,
            note: String::new(),
            of,
        });
    }
    block
}

/// The first steps of this patient's day: the row of their mechanism, else the general one.
pub fn today(draft: &Draft) -> Option<&teaching::FirstStep> {
    let day = draft.case.timeline.since_days.min(teaching::LATER);
    let rows = draft
        .notes
        .first_steps
        .iter()
        .filter(|r| (r.from..=r.to).contains(&day));
    let own = rows
        .clone()
        .find(|r| r.only.contains(&draft.case.mechanism));
    own.or_else(|| rows.clone().find(|r| r.only.is_empty()))
}

/// Ends the message of [`unfit`].
const UNFIT: &str = "can be made of it";

/// A station failed only because its kind does not suit its place, which is no mistake of anybody's.
pub fn is_unfit(failure: &Failure) -> bool {
    failure
        .problems()
        .iter()
        .all(|p| p.message.ends_with(UNFIT))
}

/// Why a kind that was asked for by name cannot be had for this case.
pub fn unfit(case: &Case, kind: &StationKind) -> Failure {
    let problem = Problem::new(format!(
        "{}: no station of the kind \u{201c}{}\u{201d} {UNFIT}",
        case.lesion.sentence(),
        kind.label
    ));
    Failure::content(problem.hint(match kind.unfit.as_str() {
        "" => "choose another kind, site or seed, or leave --kind out",
        why => why,
    }))
}

/// Why a question cannot be made of what the place brings.
pub fn lacking(draft: &Draft, slot: &Slot, lack: &super::questions::Lack) -> Problem {
    let site = &draft.case.site;
    let level = level_id(draft.level);
    let what = match lack {
        super::questions::Lack::Marks { wanted } => {
            format!("its lines cannot make exactly {wanted} marks")
        }
        super::questions::Lack::Words => "none of its openings fits".to_string(),
    };
    Problem::new(format!("{site}, {} at level {level}: question `{}`: {what}", draft.kind.id, slot.ask)).hint(
        "add lines to it in the notes of the place (teaching/), or change the marks in questions/kinds.yaml",
    )
}
