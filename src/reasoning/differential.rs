//! Which other places come near to a lesion, and which one finding parts each from it?

use crate::anatomy::{Kind, Model, Site, Structure};
use crate::diagnostic::Failure;
use crate::findings::{self, Finding, Findings, Fixed};
use crate::lesion::{self, HALF, Lesion, Severity};

/// One finding that differs between two lesions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decider {
    pub here: Finding,
    pub there: Finding,
    /// How many times likelier the finding, as it is here, is here than there.
    pub ratio: f64,
}

impl Decider {
    pub fn structure(&self) -> Structure {
        self.here.structure
    }
}

/// Another place whose lesion, equally severe, might be taken for this one.
#[derive(Debug, Clone)]
pub struct Rival {
    /// Position in `Model::sites`.
    pub site: usize,
    /// "lesion of the radial nerve in the axilla", "avulsion of the C8 and T1 roots".
    pub label: String,
    pub lesion: Lesion,
    pub findings: Findings,
    /// Best first; see [`decides`].
    pub deciders: Vec<Decider>,
    /// 0: the same picture; 1: nothing in common.
    pub distance: f64,
}

/// A finding decides from this likelihood ratio on: one that the other lesion gives one time in four at most (our judgement).
const DECIDES_FROM: f64 = 4.0;
/// An examiner errs about one plain finding in fifty, so no ratio counts for more (see `localise::examiner`).
const SLIP: f64 = 0.02;

/// All other sites at the severity of `own`, nearest first. A site with the same segments is no rival.
///
/// # Errors
/// Exit code 2 when a site of the model cannot be injured; a checked model has none.
pub fn differential(
    model: &Model,
    own: &Lesion,
    found: &Findings,
    fixed: &[Fixed],
) -> Result<Vec<Rival>, Failure> {
    let partial = own
        .parts
        .iter()
        .any(|p| matches!(p.severity, Severity::Partial(_)));
    let mut all = Vec::new();
    for (i, site) in model.sites.iter().enumerate() {
        let severity = if partial && !site.avulsion {
            Severity::Partial(HALF)
        } else {
            Severity::Complete
        };
        let other = lesion::at(model, &site.id, severity)?;
        if other.set == own.set {
            continue;
        }
        let theirs = findings::derive(model, &other, fixed);
        all.push(Rival {
            site: i,
            label: phrase(&other),
            distance: distance(model, found, &theirs, site),
            deciders: deciders(model, found, &theirs),
            lesion: other,
            findings: theirs,
        });
    }
    all.sort_by(|a, b| a.distance.total_cmp(&b.distance).then(a.site.cmp(&b.site)));
    Ok(all)
}

/// The lesion without the word that says how severe it is.
pub fn phrase(lesion: &Lesion) -> String {
    let sentence = lesion.sentence();
    let bare = sentence
        .strip_prefix("complete ")
        .or_else(|| sentence.strip_prefix("partial "));
    bare.unwrap_or(&sentence).to_string()
}

/// Whether and how well one finding, certain enough here, parts two lesions. `None`: it does not.
pub fn decides(here: &Finding, there: &Finding) -> Option<Decider> {
    let noted = |f: &Finding| f.probability.clamp(SLIP, 1.0 - SLIP);
    let (p, q) = (noted(here), noted(there));
    let ratio = if here.affected() {
        p / q
    } else if here.spared() {
        (1.0 - p) / (1.0 - q)
    } else {
        return None;
    };
    (ratio >= DECIDES_FROM).then_some(Decider {
        here: *here,
        there: *there,
        ratio,
    })
}

/// [`decides`] for a structure of two sets of findings.
pub fn decider(here: &Findings, there: &Findings, s: Structure) -> Option<Decider> {
    decides(here.get(s)?, there.get(s)?)
}

fn deciders(model: &Model, here: &Findings, there: &Findings) -> Vec<Decider> {
    let mut all: Vec<(f64, Decider)> = here
        .all()
        .zip(there.all())
        .filter_map(|(h, t)| decides(h, t))
        .map(|d| (worth(model, &d), d))
        .collect();
    // A stable sort keeps the model's order among equals.
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.into_iter().map(|(_, d)| d).collect()
}

/// How good a test is: a large ratio, a large contrast, easy at the bedside. In bits, a little more or less for ease.
fn worth(model: &Model, d: &Decider) -> f64 {
    let steps = f64::from(d.here.power.abs_diff(d.there.power));
    let ease = match d.here.structure.kind {
        Kind::Movement => 1.0 + 0.3 * steps,
        Kind::Reflex => 1.0,
        Kind::Skin => 0.5,
        // The candidate should reason from movements to muscles.
        Kind::Muscle if carries(model, d.here.structure.position) => 0.3 + 0.3 * steps,
        Kind::Muscle => -1.0,
        Kind::Sign => 0.0,
    };
    let hidden = if model.testable(d.here.structure) {
        0.0
    } else {
        -8.0
    };
    d.ratio.log2() + ease + hidden
}

/// The muscle makes a quarter or more of some movement, so testing it means something.
fn carries(model: &Model, muscle: usize) -> bool {
    let mut shares = model.movements.iter().flat_map(|v| &v.shares);
    shares.any(|(ix, share)| *ix == muscle && *share >= 0.25)
}

/// Share of what either lesion affects that the two do not have in common, a little less for a common site.
fn distance(model: &Model, here: &Findings, there: &Findings, site: &Site) -> f64 {
    let weight = |f: &Finding| match f.structure.kind {
        Kind::Muscle => 1.0,
        // Skin and reflexes are few and weigh as much as a group of muscles.
        Kind::Skin | Kind::Reflex => 2.0,
        Kind::Sign if model.testable(f.structure) => 1.0,
        // Movements follow from the muscles; nerve studies are not seen at the bedside.
        Kind::Movement | Kind::Sign => 0.0,
    };
    let (mut apart, mut common) = (0.0, 0.0);
    for (h, t) in here.all().zip(there.all()) {
        if (h.affected() && t.spared()) || (h.spared() && t.affected()) {
            apart += weight(h);
        } else if h.affected() && t.affected() {
            common += weight(h);
        }
    }
    if apart + common <= 0.0 {
        return 1.0;
    }
    // Rare or common by a factor of ten: four hundredths.
    let often = 0.04 * site.weight.max(0.01).log10() * f64::from(u8::from(common > 0.0));
    apart / (apart + common) - often
}
