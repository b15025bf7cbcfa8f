//! Turns published electromyographic and surgical series of single-root lesions into claims about root lesions.
//! Sources: the studies named in the fixture's head; where two disagree the row says so and asks for less.

use crate::outside_common::{all_kept, breach, derive, keeps, named, rows};

const TABLE: &str = include_str!("../fixtures/outside_myotomes.csv");

#[test]
fn root_lesions_look_as_the_published_series_found_them() {
    let (mut breaches, mut claims) = (Vec::new(), 0);
    for row in rows(TABLE) {
        let found = derive(row.get("root"));
        for finding in named(&found, row.get("structure")) {
            claims += 1;
            if !keeps(finding, row.get("expectation")) {
                let why = format!("{}: {}", row.get("study"), row.get("note"));
                breaches.push(breach(
                    row.get("root"),
                    finding,
                    row.get("expectation"),
                    &why,
                ));
            }
        }
    }
    all_kept(&breaches, claims, 70);
}

/// Furukawa 2021: deltoid and biceps are C5 before C6, wrist extensors and pronator teres C6 before C5, triceps and flexor carpi
/// radialis C7 before C6 and C8; Levin 1996: extensor indicis, flexor pollicis longus and first dorsal interosseous C8 before C7.
#[test]
fn the_dominant_root_takes_more_than_its_neighbour() {
    let pairs = [
        ("deltoid", "C5", "C6"),
        ("infraspinatus", "C5", "C6"),
        ("biceps_brachii", "C5", "C6"),
        ("ecrl", "C6", "C5"),
        ("pronator_teres", "C6", "C5"),
        ("ecrb", "C6", "C8"),
        ("triceps_long", "C7", "C6"),
        ("triceps_long", "C7", "C8"),
        ("fcr", "C7", "C6"),
        ("fcr", "C7", "C8"),
        ("eip", "C8", "C7"),
        ("fpl", "C8", "C7"),
        ("dorsal_interosseous_1", "C8", "C7"),
    ];
    let mut breaches = Vec::new();
    for (muscle, more, less) in pairs {
        let share = |root: &str| {
            let found = derive(&format!("root_{}", root.to_lowercase()));
            named(&found, &format!("muscle:{muscle}"))[0].share
        };
        let (more_left, less_left) = (share(more), share(less));
        if more_left >= less_left {
            breaches.push(format!(
                "{muscle}: {more} leaves {more_left:.3}, {less} leaves {less_left:.3}"
            ));
        }
    }
    all_kept(&breaches, pairs.len(), 13);
}
