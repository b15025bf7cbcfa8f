//! The card of whoever plays the patient, beside side B of the room sheet: what the examiner reads as felt, the player has to know.

use crate::station_support::{station, world_of};
use std::collections::BTreeSet;
use vivasmith::anatomy::Kind;
use vivasmith::case::Level;

/// Of roots, trunks and cords there are two maps of skin, and questions touch both.
#[test]
fn the_card_knows_every_patch_that_side_b_speaks_of() {
    let places = [
        ("upper_limb", ["root_c6", "lower_trunk", "medial_cord"]),
        (
            "lower_limb",
            ["root_l2_l3", "lumbosacral_trunk", "cauda_equina"],
        ),
    ];
    let mut rows = 0;
    for (region, sites) in places {
        let w = world_of(region);
        let cache = w.cache();
        let skin = w.model.structures(Kind::Skin);
        let skin: BTreeSet<&str> = skin.map(|s| w.model.plain(s)).collect();
        for site in sites {
            for (kind, seed) in [
                ("examine", 1),
                ("examine", 2),
                ("compare", 1),
                ("compare", 2),
            ] {
                let s = station(&w, &cache, (site, kind), Level::Trainee, seed)
                    .unwrap_or_else(|e| panic!("{site} {kind} {seed}: {e}"));
                let card = s.card.as_ref().expect("somebody plays the patient");
                let two = card.numb.iter().find(|a| card.dull.contains(a));
                assert_eq!(two, None, "{}: in two states", s.command);
                let found = s.room.found.iter();
                let found = found.filter(|r| matches!(r.group, "numb" | "dull"));
                let found = found.flat_map(|r| &r.items).map(|i| i.text.as_str());
                let pair = s.room.pair.iter();
                let pair = pair.filter(|r| matches!(r.here.state, "lost" | "reduced"));
                let pair = pair.map(|r| r.finding.as_str());
                for patch in found.chain(pair).filter(|text| skin.contains(text)) {
                    rows += 1;
                    let known = card.numb.iter().chain(&card.dull).any(|a| a == patch);
                    assert!(known, "{}: {patch} is not on the card", s.command);
                }
            }
        }
    }
    assert!(rows > 40, "{rows}");
}
