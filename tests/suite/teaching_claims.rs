//! Sentences that say what is not so of a muscle, its nerve, its roots, its movement or its state are found, and no others.

use crate::station_support::world;
use vivasmith::findings::derive;
use vivasmith::lesion::parse;
use vivasmith::teaching::Claims;

#[test]
fn doctored_sentences_are_found_and_right_ones_pass() {
    let w = world();
    let claims = Claims::of(&w.model);
    let (mut right, mut wrong, mut amiss) = (0, 0, Vec::new());
    let rows = include_str!("../fixtures/claims.csv").lines();
    for row in rows.filter(|l| !l.starts_with('#')) {
        let mut cells = row.splitn(3, '|');
        let (site, verdict, text) = (cells.next(), cells.next(), cells.next());
        let (Some(site), Some(verdict), Some(text)) = (site, verdict, text) else {
            panic!("three cells: {row}");
        };
        let lesion = parse(&w.model, site).expect("a site");
        let found = claims.wrong_in(text, Some(&derive(&w.model, &lesion, &[])));
        *(if verdict == "wrong" {
            &mut wrong
        } else {
            &mut right
        }) += 1;
        if found.is_empty() == (verdict == "wrong") {
            amiss.push(format!("{row}: {found:?}"));
        }
    }
    assert!(amiss.is_empty(), "{}", amiss.join("\n"));
    assert_eq!((right, wrong), (33, 30));
}
