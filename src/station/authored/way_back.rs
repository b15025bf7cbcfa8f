//! Does another lesion explain the stated findings as well, or better?

use super::Report;
use super::stated::Stated;
use crate::findings::{Findings, Fixed};
use crate::lesion::Lesion;
use crate::localise::{self, Known, MARGIN_BITS, Observation, Outcomes, name};
use crate::station::BuildCache;
use crate::station::proof::times;
use crate::wording::article;

/// A margin is told up to this many times.
const TOLD: f64 = 100.0;
/// Most findings named as missing.
const MOST_NAMED: usize = 4;

/// What the findings say of the author's lesion and its nearest rival.
#[derive(Debug, Clone)]
pub struct WayBack {
    /// By how much the stated lesion leads, in bits; negative: another one fits better.
    pub margin_bits: f64,
    pub rival: Option<String>,
}

/// The injured limb.
pub struct Limb<'a> {
    pub lesion: &'a Lesion,
    pub fixed: &'a [Fixed],
    pub found: &'a Findings,
}

/// Looks for another lesion that the stated findings lead to. `equals`: the sites that the author accepts as the answer too.
pub fn look(
    cache: &BuildCache<'_>,
    limb: &Limb<'_>,
    stated: &[Stated],
    equals: &[usize],
    report: &mut Report<'_>,
) -> WayBack {
    let Limb {
        lesion,
        fixed,
        found,
    } = *limb;
    let seen: Vec<Observation> = stated.iter().map(|s| s.seen).collect();
    // The proof starts from these findings; what it has to add is what the author left out.
    let model = cache.model;
    let belief = cache.belief_with(fixed);
    let known = Known {
        model,
        belief: &belief,
        lesion,
        findings: found,
        fixed,
    };
    let proof = localise::prove(&known, &seen, MOST_NAMED, &|_| true);
    let outcomes = Outcomes::of(model, lesion, fixed);
    let own = outcomes.log_chance(&seen);
    let mut nearest: Option<(f64, &Lesion)> = None;
    for (h, hypothesis) in belief.hypotheses.iter().enumerate() {
        let same = hypothesis.sites.iter().all(|s| {
            proof.equals.contains(s)
                || equals.contains(s)
                || model
                    .sites
                    .get(*s)
                    .is_some_and(|site| is_own(lesion, &site.id, &site.segments))
        });
        if same {
            continue;
        }
        let lead = (own - belief.outcomes(h).log_chance(&seen)) / std::f64::consts::LN_2;
        if nearest.is_none_or(|(best, _)| lead < best) {
            nearest = Some((lead, &hypothesis.lesion));
        }
    }
    let Some((margin, rival)) = nearest else {
        return WayBack {
            margin_bits: f64::INFINITY,
            rival: None,
        };
    };
    let missing: Vec<String> = proof.added.iter().map(|o| o.text(model)).collect();
    let hint = if missing.is_empty() {
        "no finding that can be tested at the bedside parts the two: take another lesion, or a more complete one".to_string()
    } else {
        format!("add what tells them apart, such as {}", missing.join(", "))
    };
    let path = ["findings".into()];
    if margin < 0.0 {
        let against: Vec<String> = stated
            .iter()
            .filter(|s| outcomes.chance(&s.seen) < 0.15)
            .map(|s| name(model, s.seen.structure))
            .collect();
        let because = if against.is_empty() {
            String::new()
        } else {
            format!("; against the stated lesion speak: {}", against.join(", "))
        };
        report.add(
            &path,
            format!(
                "the stated findings lead to another lesion better: {} fits {} times as well as {}{because}",
                article(&rival.sentence()),
                times(-margin, TOLD),
                article(&lesion.sentence())
            ),
            if against.is_empty() { hint } else { "correct the findings named, or the lesion".to_string() },
        );
    } else if margin < MARGIN_BITS {
        report.add(
            &path,
            format!(
                "the stated findings do not lead to one lesion: {} fits only {} times as well as {}, {:.0} times are asked for",
                article(&lesion.sentence()),
                times(margin, TOLD),
                article(&rival.sentence()),
                MARGIN_BITS.exp2()
            ),
            hint,
        );
    }
    WayBack {
        margin_bits: margin,
        rival: Some(rival.sentence()),
    }
}

/// A site that the lesion names, or that cuts the very same segments.
fn is_own(lesion: &Lesion, id: &str, segments: &[usize]) -> bool {
    lesion.parts.iter().any(|p| p.place == id)
        || (segments.len() == lesion.cuts.len() && segments.iter().all(|s| lesion.set.contains(*s)))
}
