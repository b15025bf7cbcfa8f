//! Turns laws that any correct model must keep into checks over every site, segment and severity.
//! Common practice, no source: each is a matter of logic (more injury never spares more), not of a book.

use crate::outside_common::{all_kept, breach, derive, knows, model, rows};
use std::collections::BTreeSet;
use vivasmith::findings::{Finding, Findings, Kind, State};

const IDS: &str = include_str!("../fixtures/outside_ids.csv");

/// Ids that users and other programs rely on.
#[test]
fn every_agreed_id_is_in_the_model() {
    let table = rows(IDS);
    assert!(table.len() >= 165, "{} ids", table.len());
    let missing: Vec<String> = table
        .iter()
        .filter(|row| !knows(row.get("kind"), row.get("id")))
        .map(|row| format!("{} {}", row.get("kind"), row.get("id")))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn findings_of_every_site_list_every_structure_once_in_range_and_in_keeping() {
    let m = model();
    for site in &m.sites {
        let found = derive(&site.id);
        for kind in Kind::ALL {
            let count = m.structures(kind).count();
            let list = found.of(kind);
            let ids: BTreeSet<&str> = list.iter().map(|f| f.id(m)).collect();
            assert_eq!(
                (ids.len(), list.len()),
                (count, count),
                "{} {kind:?}",
                site.id
            );
        }
        for f in found.all() {
            let at = breach(&site.id, f, "in keeping", "");
            assert!((0.0..=1.0).contains(&f.probability), "{at}");
            assert!(
                f.lost >= 0.0 && f.lost <= f.probability + 1e-3,
                "{at} lost {}",
                f.lost
            );
            assert!((-1e-9..=1.0 + 1e-9).contains(&f.share), "{at}");
            match f.probability {
                p if p >= 0.85 => assert!(f.affected(), "{at}"),
                p if p <= 0.15 => assert!(f.spared(), "{at}"),
                _ => assert_eq!(f.state, State::Variable, "{at}"),
            }
            assert!(f.power <= 5, "{at}");
            if f.kind().motor() {
                match f.state {
                    State::Lost => assert!(f.power <= 1, "{at}"),
                    State::Weak => assert!((2..=4).contains(&f.power), "{at}"),
                    State::Spared => assert_eq!(f.power, 5, "{at}"),
                    _ => {}
                }
            }
            let of_sign = matches!(f.state, State::Present | State::Absent);
            assert!(
                f.state == State::Variable || of_sign == (f.kind() == Kind::Sign),
                "{at}"
            );
        }
    }
}

fn rank(state: State) -> u8 {
    match state {
        State::Spared | State::Absent => 0,
        State::Variable => 1,
        State::Weak | State::Present => 2,
        State::Lost => 3,
    }
}

/// Every way in which `more` is kinder to a structure than `less`. Signs are left out: a further injury can abolish one, as the loss of
/// flexor pollicis longus abolishes Froment sign (Brazis, from memory).
pub fn kinder(more: &Findings, less: &Findings) -> Vec<(Finding, Finding)> {
    let pairs = more.all().zip(less.all());
    pairs
        .filter(|(a, b)| {
            a.kind() != Kind::Sign
                && (rank(a.state) < rank(b.state)
                    || a.power > b.power
                    || a.probability < b.probability - 1.5e-4)
        })
        .map(|(a, b)| (*a, *b))
        .collect()
}

fn report(breaches: &mut Vec<String>, more: &str, less: &str, kinds: Vec<(Finding, Finding)>) {
    for (a, b) in kinds {
        breaches.push(format!(
            "{} [but {less} alone: {} p {} power {}]",
            breach(more, &a, "no kinder", "logic"),
            b.word(),
            b.probability,
            b.power
        ));
    }
}

#[test]
fn two_lesions_never_spare_what_one_of_them_takes() {
    let sites: Vec<(&str, Findings)> = model()
        .sites
        .iter()
        .map(|s| (s.id.as_str(), derive(&s.id)))
        .collect();
    let (mut breaches, mut claims) = (Vec::new(), 0);
    for (i, (a, found_a)) in sites.iter().enumerate() {
        for (b, found_b) in &sites[i + 1..] {
            let text = format!("{a}+{b}");
            let both = derive(&text);
            claims += 2;
            report(&mut breaches, &text, a, kinder(&both, found_a));
            report(&mut breaches, &text, b, kinder(&both, found_b));
        }
    }
    all_kept(&breaches, claims, 1200);
}

#[test]
fn a_partial_lesion_is_never_worse_than_a_fuller_one() {
    let (mut breaches, mut claims) = (Vec::new(), 0);
    let places = model()
        .sites
        .iter()
        .map(|s| s.id.as_str())
        .chain(model().segments.iter().map(|s| s.id.as_str()));
    for place in places {
        let steps = ["@10%", "@partial", "@90%", "@complete"].map(|s| format!("{place}{s}"));
        let found: Vec<Findings> = steps.iter().map(|s| derive(s)).collect();
        for i in 1..steps.len() {
            claims += 1;
            report(
                &mut breaches,
                &steps[i],
                &steps[i - 1],
                kinder(&found[i], &found[i - 1]),
            );
        }
    }
    all_kept(&breaches, claims, 300);
}

/// An avulsion tears what a foraminal lesion cuts, and more. Preston and Shapiro (from memory): only the avulsion keeps sensory
/// conduction and is sure to denervate the muscles beside the spine.
#[test]
fn an_avulsion_takes_all_that_a_lesion_beyond_the_ganglion_takes() {
    let mut breaches = Vec::new();
    for root in ["root_c5", "root_c6", "root_c7", "root_c8", "root_t1"] {
        let (torn, cut) = (
            derive(&format!("{root}@avulsion")),
            derive(&format!("{root}@foraminal")),
        );
        report(
            &mut breaches,
            &format!("{root}@avulsion"),
            root,
            kinder(&torn, &cut),
        );
        let sign = |found: &Findings, id: &str| {
            found
                .signs
                .iter()
                .find(|f| f.id(model()) == id)
                .map(|f| f.state)
        };
        for id in ["sensory_conduction_preserved", "paraspinal_denervation"] {
            assert_eq!(sign(&torn, id), Some(State::Present), "{root} {id}");
        }
        assert_eq!(
            sign(&cut, "sensory_conduction_preserved"),
            Some(State::Absent),
            "{root}"
        );
    }
    all_kept(&breaches, 5, 5);
}

/// Common practice, no source: without the abductors of the shoulder the rotators of the scapula do not raise the arm, and without the
/// flexors of the elbow those of the wrist and fingers give a flicker there, or a movement with gravity taken away.
#[test]
fn helpers_do_not_make_a_movement_alone() {
    use vivasmith::findings::derive;
    use vivasmith::lesion::{Severity, at};
    let found = |site: &str, movement: &str| {
        let lesion = at(model(), site, Severity::Complete).expect("a site");
        let all = derive(model(), &lesion, &[]);
        let f = all.movements.iter().find(|f| f.id(model()) == movement);
        f.expect("a movement").power
    };
    assert_eq!(found("avulsion_c5c6", "arm_elevation"), 0);
    assert!(found("avulsion_c5c6", "elbow_flexion") <= 2);
    assert!(found("musculocutaneous_coraco", "elbow_flexion") >= 3);
}
