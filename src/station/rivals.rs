//! Turns a lesion into the other places that come nearest to it, each with the findings that tell the two apart.

use crate::anatomy::{Model, Site};
use crate::diagnostic::Failure;
use crate::findings::{self, Finding, Findings, Fixed, Kind, State, Structure};
use crate::lesion::{self, Lesion, Severity};

/// One finding that is certain in both lesions and not the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    pub here: Finding,
    pub there: Finding,
}

/// Another place whose lesion might be taken for this one.
#[derive(Debug, Clone)]
pub struct Rival {
    /// Position in `Model::sites`.
    pub site: usize,
    /// "lesion of the radial nerve in the axilla", "avulsion of the C8 and T1 roots".
    pub label: String,
    pub lesion: Lesion,
    pub findings: Findings,
    /// Best first: the most certain and the easiest to test. Bedside findings come before nerve studies.
    pub differs: Vec<Difference>,
    /// 0: the same picture; 1: nothing in common.
    pub distance: f64,
}

/// The other places, nearest first.
#[derive(Debug, Clone, Default)]
pub struct Rivals {
    pub apart: Vec<Rival>,
    /// No bedside finding that is certain in both tells these from the lesion.
    pub alike: Vec<Rival>,
}

impl Rivals {
    /// Puts the rivals in the order of their distance in bits (site, bits); the nearest is the likeliest mistake.
    pub fn reorder(&mut self, bits: &[(usize, f64)]) {
        let of = |r: &Rival| {
            bits.iter()
                .find(|(s, _)| *s == r.site)
                .map_or(f64::INFINITY, |(_, b)| *b)
        };
        self.apart
            .sort_by(|a, b| of(a).total_cmp(&of(b)).then(a.site.cmp(&b.site)));
        self.alike
            .sort_by(|a, b| of(a).total_cmp(&of(b)).then(a.site.cmp(&b.site)));
    }
}

/// Compares a lesion with the complete lesion of every other site.
///
/// # Errors
/// Exit code 2 when a site of the model cannot be injured; a checked model has none.
pub fn rank(
    model: &Model,
    own: &Lesion,
    found: &Findings,
    fixed: &[Fixed],
) -> Result<Rivals, Failure> {
    let mut all = Vec::new();
    for (i, site) in model.sites.iter().enumerate() {
        let other = lesion::at(model, &site.id, Severity::Complete)?;
        if other.set == own.set {
            continue;
        }
        let theirs = findings::derive(model, &other, fixed);
        all.push(Rival {
            site: i,
            label: phrase(&other),
            distance: distance(model, found, &theirs, site),
            differs: differences(model, found, &theirs),
            lesion: other,
            findings: theirs,
        });
    }
    all.sort_by(|a, b| a.distance.total_cmp(&b.distance).then(a.site.cmp(&b.site)));
    let (apart, alike) = all
        .into_iter()
        .partition(|r| r.differs.iter().any(|d| bedside(model, &d.here)));
    Ok(Rivals { apart, alike })
}

/// The lesion without the word that says it is complete.
pub fn phrase(lesion: &Lesion) -> String {
    let sentence = lesion.sentence();
    sentence
        .strip_prefix("complete ")
        .unwrap_or(&sentence)
        .to_string()
}

/// Can be found without apparatus.
pub fn bedside(model: &Model, finding: &Finding) -> bool {
    finding.kind() != Kind::Sign || model.testable(finding.structure)
}

/// Certain in both and opposite: affected in one, untouched in the other.
pub fn decisive(here: &Finding, there: &Finding) -> bool {
    (here.affected() && there.spared()) || (here.spared() && there.affected())
}

/// What tells two lesions apart, best first.
pub fn differences(model: &Model, here: &Findings, there: &Findings) -> Vec<Difference> {
    let mut all: Vec<(f64, Difference)> = here
        .all()
        .zip(there.all())
        .filter(|(h, t)| decisive(h, t))
        .map(|(h, t)| {
            let difference = Difference {
                here: *h,
                there: *t,
            };
            (worth(model, &difference), difference)
        })
        .collect();
    // A stable sort keeps the model's order among equals.
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.into_iter().map(|(_, d)| d).collect()
}

/// How good a finding is at telling two lesions apart: certain in both, a large contrast, easy to test.
fn worth(model: &Model, d: &Difference) -> f64 {
    let sure = |f: &Finding| f.probability.max(1.0 - f.probability);
    let strong = |state: State, full: f64, part: f64| match state {
        State::Lost | State::Present => full,
        _ => part,
    };
    let affected = if d.here.affected() { &d.here } else { &d.there };
    let (contrast, ease) = match d.here.kind() {
        Kind::Muscle => {
            let steps = f64::from(d.here.power.abs_diff(d.there.power)) / 5.0;
            (steps, muscle_ease(model, d.here.structure))
        }
        Kind::Movement => (f64::from(d.here.power.abs_diff(d.there.power)) / 5.0, 0.08),
        Kind::Skin => (strong(affected.state, 0.9, 0.5), 0.04),
        Kind::Reflex => (strong(affected.state, 0.9, 0.6), 0.06),
        Kind::Sign if bedside(model, &d.here) => (0.6, 0.0),
        Kind::Sign => (0.3, -0.9),
    };
    sure(&d.here).min(sure(&d.there)) + 0.4 * contrast + ease
}

/// A muscle that carries a movement is easier to test than a helper; one that cannot be tested alone is no test at all.
fn muscle_ease(model: &Model, muscle: Structure) -> f64 {
    if !model.testable(muscle) {
        return -0.6;
    }
    let main = model
        .movements
        .iter()
        .flat_map(|v| &v.shares)
        .any(|(ix, share)| *ix == muscle.position && *share >= 0.25);
    if main { 0.07 } else { -0.1 }
}

/// Share of what either lesion affects that the two do not have in common, a little less for a common site.
fn distance(model: &Model, here: &Findings, there: &Findings, site: &Site) -> f64 {
    let weight = |f: &Finding| match f.kind() {
        Kind::Muscle => 1.0,
        // Skin and reflexes are few and weigh as much as a group of muscles.
        Kind::Skin | Kind::Reflex => 2.0,
        Kind::Sign if bedside(model, f) => 1.0,
        // Movements follow from the muscles; nerve studies are not seen at the bedside.
        Kind::Movement | Kind::Sign => 0.0,
    };
    let (mut apart, mut common) = (0.0, 0.0);
    for (h, t) in here.all().zip(there.all()) {
        if decisive(h, t) {
            apart += weight(h);
        } else if h.affected() && t.affected() {
            common += weight(h);
        }
    }
    if apart + common <= 0.0 {
        return 1.0;
    }
    let far = apart / (apart + common);
    // Rare or common by a factor of ten: four hundredths.
    far - 0.04 * site.weight.max(0.01).log10() * f64::from(u8::from(common > 0.0))
}
