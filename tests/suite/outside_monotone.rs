//! Turns "a cut further up the same nerve never spares what a cut lower down takes" into a check over every nerve of the model.
//! Common practice, no source: a branch that leaves below has passed every point above. Held for complete lesions in the usual limb;
//! with a bridge (Martin-Gruber) fibres may join a nerve below the upper cut, and then the law need not hold.

use crate::outside_common::{all_kept, breach, derive_usual, model};
use crate::outside_laws::kinder;
use vivasmith::anatomy::SegmentIx;

#[test]
fn a_higher_lesion_of_a_nerve_never_spares_what_a_lower_one_takes() {
    let m = model();
    let (mut breaches, mut claims) = (Vec::new(), 0);
    for nerve in &m.nerves {
        for pair in nerve.segments.windows(2) {
            let (upper, lower) = (&m.segments[pair[0]], &m.segments[pair[1]]);
            assert!(upper.order < lower.order, "{} out of order", lower.id);
            claims += 1;
            for (a, b) in kinder(&derive_usual(&upper.id), &derive_usual(&lower.id)) {
                breaches.push(format!(
                    "{} [{} takes it: {} p {}]",
                    breach(&upper.id, &a, "no kinder", &nerve.id),
                    lower.id,
                    b.word(),
                    b.probability
                ));
            }
        }
    }
    all_kept(&breaches, claims, 40);
}

/// The same law up the whole plexus: cutting everything that a stretch comes from takes all that cutting the stretch takes.
#[test]
fn cutting_all_parents_of_a_stretch_takes_all_that_the_stretch_takes() {
    let m = model();
    let (mut breaches, mut claims) = (Vec::new(), 0);
    // A bridge of some limbs that fibres of the usual limb pass too: the C7 bundle to the ulnar nerve.
    let usual = |s: SegmentIx| {
        let mut fibres = m.muscles.iter().flat_map(|muscle| muscle.supply.usual());
        fibres.any(|f| f.path.contains(s))
    };
    for segment in m.segments.iter().filter(|s| !s.only_in_variant) {
        let parents: Vec<&str> = segment
            .from
            .iter()
            .filter(|p| !m.segments[**p].only_in_variant || usual(**p))
            .map(|p| m.segments[*p].id.as_str())
            .collect();
        if parents.is_empty() {
            continue;
        }
        claims += 1;
        let above = parents.join("+");
        for (a, b) in kinder(&derive_usual(&above), &derive_usual(&segment.id)) {
            breaches.push(format!(
                "{} [{} takes it: {} p {}]",
                breach(&above, &a, "no kinder", "logic"),
                segment.id,
                b.word(),
                b.probability
            ));
        }
    }
    all_kept(&breaches, claims, 80);
}
