//! Turns "which nerve moves which muscle" into claims about a complete lesion of each nerve at its first stretch.
//! Common practice, no source: what every anatomy course teaches; departures carry their reason and source in the fixture.

use crate::outside_common::{all_kept, breach, derive, keeps, model, named, rows};
use vivasmith::anatomy::Kind;

const TABLE: &str = include_str!("../fixtures/outside_nerves.csv");

#[test]
fn a_nerve_takes_its_own_muscles_and_no_other() {
    let (mut breaches, mut claims) = (Vec::new(), 0);
    for row in rows(TABLE) {
        let lesion = row.get("lesion");
        let found = derive(lesion);
        let (affected, soft, open) = (
            row.list("affected"),
            row.list("not_spared"),
            row.list("open"),
        );
        for id in affected.iter().chain(&soft).chain(&open) {
            assert!(
                model().structure(Kind::Muscle, id).is_some(),
                "no muscle {id} in row {lesion}"
            );
        }
        for finding in &found.muscles {
            let id = finding.id(model());
            let expectation = if affected.contains(&id) {
                "affected"
            } else if soft.contains(&id) {
                "not_spared"
            } else if open.contains(&id) {
                continue;
            } else {
                "spared"
            };
            claims += 1;
            if !keeps(finding, expectation) {
                breaches.push(breach(lesion, finding, expectation, row.get("because")));
            }
        }
        for area in row.list("skin") {
            for finding in named(&found, &format!("skin:{area}")) {
                claims += 1;
                if !keeps(finding, "affected") {
                    breaches.push(breach(lesion, finding, "affected", "course of the nerve"));
                }
            }
        }
    }
    all_kept(&breaches, claims, 1000);
}

/// Common practice, no source: no muscle without a nerve; each is taken by at least one row or by the branches of the cervical plexus.
#[test]
fn every_muscle_belongs_to_a_nerve_of_the_table() {
    let table = rows(TABLE);
    let stray: Vec<&str> = model()
        .muscles
        .iter()
        .map(|m| m.id.as_str())
        .filter(|id| {
            !table.iter().any(|row| {
                ["affected", "not_spared", "open"]
                    .iter()
                    .any(|c| row.list(c).contains(id))
            })
        })
        .collect();
    assert!(stray.is_empty(), "{stray:?}");
}
