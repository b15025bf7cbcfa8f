//! Turns a request and a seed into a case: site, mechanism, severity, findings and a patient who could have them.

use super::mechanism::{self, GENERAL, GENERAL_AVULSION, Mechanism, Scenarios};
use super::timeline::{self, Course};
use super::{Age, Case, Level, NerveInjury, Patient, Stream, Timeline, area, patient, story};
use crate::anatomy::{Model, Site};
use crate::diagnostic::Failure;
use crate::files::Content;
use crate::findings::{self, Findings, Fixed};
use crate::lesion::{self, HALF, Lesion, Severity};

/// What is asked for; whatever is left open is drawn.
#[derive(Debug, Clone)]
pub struct Request {
    /// A site (id or synonym) or a segment.
    pub site: Option<String>,
    /// Wins over `site` and `area`: nothing about the lesion is drawn.
    pub lesion: Option<Lesion>,
    /// A part of the limb or a nerve, from whose sites one is drawn.
    pub area: Option<String>,
    pub level: Level,
    pub seed: u64,
    /// Variants held at one alternative.
    pub fixed: Vec<Fixed>,
}

/// Draws a case. Same model, content and request: same case.
///
/// # Errors
/// Exit code 2 when the site or area is unknown or a scenario file is no YAML of its shape; 1 when such a file says
/// something wrong or is missing.
pub fn draw(model: &Model, content: &Content, request: &Request) -> Result<Case, Failure> {
    let seed = request.seed;
    let asked = match (&request.lesion, &request.site) {
        (Some(lesion), _) => Some(lesion.clone()),
        (None, Some(place)) => Some(lesion::at(model, place, Severity::Complete)?),
        (None, None) => None,
    };
    let whole = match asked {
        Some(lesion) => lesion,
        None => {
            let site = draw_site(model, request)?;
            lesion::at(model, &site.id, Severity::Complete)?
        }
    };
    let scenarios = scenarios(model, content, &whole)?;
    let wanted = match &request.lesion {
        Some(lesion) => Some(is_complete(lesion)),
        // At the early level one clear-cut picture: complete wherever the mechanism allows it.
        None => (request.level == Level::Early).then_some(true),
    };
    let mechanism = draw_mechanism(&scenarios, wanted, seed)?;
    let lesion = match &request.lesion {
        Some(lesion) => lesion.clone(),
        None => {
            let severity = draw_severity(model, &whole, mechanism, wanted, seed);
            let place = whole.parts.first().map_or("", |p| p.place.as_str());
            lesion::at(model, place, severity)?
        }
    };
    let people = mechanism::people(content)?;
    let mut lesion = lesion;
    let mut findings = findings::derive(model, &lesion, &request.fixed);
    if request.lesion.is_none() && !examinable(&findings) {
        // Half of one root's fibres can be lost without anything to find: nobody could be examined on that.
        lesion = whole;
        findings = findings::derive(model, &lesion, &request.fixed);
    }
    let patient =
        patient::draw(mechanism, &people, seed).ok_or_else(|| mechanism::missing("people"))?;
    let timeline = draw_timeline(model, mechanism, &lesion, &findings, &patient, seed);
    Ok(told(mechanism, lesion, findings, patient, timeline, seed))
}

/// Something that is certain can be found at the bedside.
fn examinable(findings: &Findings) -> bool {
    let mut bedside = findings
        .movements
        .iter()
        .chain(&findings.skin)
        .chain(&findings.reflexes);
    bedside.any(findings::Finding::affected)
}

fn draw_site<'m>(model: &'m Model, request: &Request) -> Result<&'m Site, Failure> {
    let among: Vec<usize> = match &request.area {
        Some(word) => area::sites(model, word)?,
        None => (0..model.sites.len()).collect(),
    };
    let sites: Vec<&Site> = among.iter().filter_map(|&i| model.sites.get(i)).collect();
    // The root of the frequency: common sites come oftener, yet a practice session is not half carpal tunnels.
    let weights: Vec<f64> = sites.iter().map(|s| s.weight.sqrt()).collect();
    Stream::new(request.seed, "case/site")
        .weighted(&weights)
        .and_then(|i| sites.get(i).copied())
        .ok_or_else(|| {
            Failure::content(
                crate::diagnostic::Problem::new(format!("the {} has no site to draw", model.label))
                    .hint("give at least one site in sites.yaml a weight above 0"),
            )
        })
}

/// The mechanisms of the site that this lesion is, or the general ones.
fn scenarios(model: &Model, content: &Content, lesion: &Lesion) -> Result<Scenarios, Failure> {
    let ids: Vec<&str> = model.sites.iter().map(|s| s.id.as_str()).collect();
    if let Some(site) = site_of(model, lesion)
        && let Some(found) = mechanism::of_site(content, &site.id, &ids)?
    {
        return Ok(found);
    }
    let stem = if is_avulsion(model, lesion) {
        GENERAL_AVULSION
    } else {
        GENERAL
    };
    mechanism::of_site(content, stem, &ids)?.ok_or_else(|| mechanism::missing(stem))
}

/// The site that a lesion is: named by its id, or cutting exactly the same segments under another name.
/// An avulsed root is not its site: what narrows a foramen tears no root.
fn site_of<'m>(model: &'m Model, lesion: &Lesion) -> Option<&'m Site> {
    let same = |site: &Site| {
        site.segments.iter().all(|&s| lesion.set.contains(s))
            && lesion.set.iter().all(|s| site.segments.contains(&s))
    };
    let named = match lesion.parts.as_slice() {
        [part] => model.site(&part.place).filter(|site| same(site)),
        _ => None,
    };
    named.or_else(|| model.sites.iter().find(|site| same(site)))
}

/// Nothing but rootlets is cut, and torn: what presses on them within the spine, as at the cauda equina, is a site that says so.
pub fn is_avulsion(model: &Model, lesion: &Lesion) -> bool {
    let torn = site_of(model, lesion).is_none_or(|site| site.avulsion);
    torn && !lesion.cuts.is_empty()
        && lesion.cuts.iter().all(|cut| {
            model
                .segments
                .get(cut.segment)
                .is_some_and(|s| s.kind.preganglionic)
        })
}

/// Every injured place is cut through.
pub fn is_complete(lesion: &Lesion) -> bool {
    lesion
        .parts
        .iter()
        .all(|p| matches!(p.severity, Severity::Complete | Severity::Avulsion))
}

/// One mechanism by weight, among those that can cause the severity wanted when any can.
fn draw_mechanism(
    scenarios: &Scenarios,
    complete: Option<bool>,
    seed: u64,
) -> Result<&Mechanism, Failure> {
    let fits = |m: &Mechanism| match complete {
        Some(true) => m.severity.complete > 0.0,
        Some(false) => m.severity.partial > 0.0,
        None => true,
    };
    let any = scenarios.mechanisms.iter().any(fits);
    let weights: Vec<f64> = scenarios
        .mechanisms
        .iter()
        .map(|m| if !any || fits(m) { m.weight } else { 0.0 })
        .collect();
    Stream::new(seed, "case/mechanism")
        .weighted(&weights)
        .and_then(|i| scenarios.mechanisms.get(i))
        .ok_or_else(|| mechanism::missing(&scenarios.site))
}

fn draw_severity(
    model: &Model,
    whole: &Lesion,
    mechanism: &Mechanism,
    wanted: Option<bool>,
    seed: u64,
) -> Severity {
    // Torn roots are torn through; the site itself already says that it is an avulsion.
    if is_avulsion(model, whole) {
        return Severity::Complete;
    }
    let chances = mechanism.severity;
    let complete = match wanted {
        Some(true) if chances.complete > 0.0 => true,
        _ => {
            Stream::new(seed, "case/severity").weighted(&[chances.complete, chances.partial])
                != Some(1)
        }
    };
    if complete {
        Severity::Complete
    } else {
        Severity::Partial(HALF)
    }
}

fn draw_timeline(
    model: &Model,
    mechanism: &Mechanism,
    lesion: &Lesion,
    findings: &Findings,
    patient: &Patient,
    seed: u64,
) -> Timeline {
    let avulsion = is_avulsion(model, lesion);
    let injury = if avulsion {
        NerveInjury::Neurotmesis
    } else {
        mechanism.nerve_injury
    };
    let since_days = match patient.age {
        // A birth injury is as old as the child.
        Age::Days(days) => days,
        Age::Years(_) => {
            let (low, high) = mechanism.since_days;
            let high =
                timeline::latest(injury, mechanism.onset).map_or(high, |last| high.min(last));
            Stream::new(seed, "case/since").between(low, high)
        }
    };
    timeline::of(Course {
        since_days,
        onset: mechanism.onset,
        injury,
        complete: is_complete(lesion),
        avulsion,
        motor: findings.muscles.iter().any(|f| f.affected()),
    })
}

/// The case in words: every text filled in for this patient.
fn told(
    mechanism: &Mechanism,
    lesion: Lesion,
    findings: Findings,
    patient: Patient,
    timeline: Timeline,
    seed: u64,
) -> Case {
    let fill = |text: &str| story::fill(text, &patient.name, patient.side);
    let all = |texts: &[String]| -> Vec<String> { texts.iter().map(|t| fill(t)).collect() };
    let setting = Stream::new(seed, "case/setting").pick(&mechanism.settings);
    let places: Vec<&str> = lesion.parts.iter().map(|p| p.place.as_str()).collect();
    Case {
        site: places.join("+"),
        mechanism: mechanism.id.clone(),
        setting: setting.map(|s| fill(s)).unwrap_or_default(),
        story: fill(&story::whole(&mechanism.story)),
        bare_story: fill(&story::bare(&mechanism.story)),
        stem_note: fill(&mechanism.stem_note),
        also_damaged: all(&mechanism.also_damaged),
        causes: all(&mechanism.causes),
        care: all(&mechanism.care),
        examiner_note: fill(&mechanism.examiner_note),
        lesion,
        findings,
        patient,
        timeline,
    }
}
