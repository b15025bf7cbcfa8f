//! Turns every site, level and kind, with a seed of its own each, into stations: all of them must pass the checks and print, and a kind may
//! only decline a site for a reason that is in the model.

use super::station_support::{World, case, good, printed, station, world};
use std::collections::BTreeSet;
use vivasmith::anatomy::SegmentKind;
use vivasmith::case::{Age, Level};
use vivasmith::sheets::words::{Printer, sheets};
use vivasmith::station::{LEVELS, READING_WPM, Stock, TOTAL, build_from, count_words, kinds};

fn every_station_of(level: Level) {
    let w = world();
    let kinds = kinds(&w.content).expect("kinds");
    let mut failed = Vec::new();
    let mut codes = BTreeSet::new();
    let mut built = 0;
    for (s, site) in w.model.sites.iter().enumerate() {
        for (k, kind) in kinds.iter().enumerate() {
            // Neighbours have different seeds, so that patients, mechanisms and operations vary.
            for seed in [(7 * s + k) as u64 % 40 + 1] {
                match station(&w, &site.id, &kind.id, level, seed) {
                    Err(e) if may_decline(&w, &site.id, &kind.id, level, seed) => {
                        assert!(e.to_string().contains(&kind.label), "{e}");
                    }
                    Err(e) => failed.push(format!("{} {} {seed}: {e}", site.id, kind.id)),
                    Ok(station) => {
                        built += 1;
                        codes.insert(station.code.clone());
                        let marks: u32 = station
                            .questions
                            .iter()
                            .flat_map(|q| &q.points)
                            .map(|p| p.marks)
                            .sum();
                        assert_eq!(marks, TOTAL, "{}", station.command);
                        let planned: u32 = station.plan.iter().map(|s| s.half_minutes).sum();
                        assert_eq!(planned, 2 * station.minutes, "{}", station.command);
                        assert!(station.questions.len() >= 3, "{}", station.command);
                        match sheets(&w.content, &station) {
                            Err(e) => failed.push(format!("{}: {e}", station.command)),
                            Ok(sheets) => {
                                let words = count_words(&sheets[0].markdown);
                                let most = READING_WPM * station.reading_minutes as usize;
                                assert!(words <= most, "{}: {words}", station.command);
                            }
                        }
                    }
                }
            }
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
    assert_eq!(codes.len(), built, "two stations share a code");
}

/// The reasons, told from the model and the content without the code that decides: no one nerve to draw, no operation written, a patient
/// who follows no orders.
fn may_decline(w: &World, site: &str, kind: &str, level: Level, seed: u64) -> bool {
    let site = w.model.site(site).expect("a site");
    let first = &w.model.segments[site.segments[0]];
    match kind {
        // The Riche-Cannieu communication changes every branch of the recurrent one, so none can carry a mark.
        "nerve" => first.kind != SegmentKind::Nerve || site.id == "recurrent_motor",
        "risk" => {
            let bank = w.content.get("approaches/upper_limb.yaml").expect("bank");
            !bank.text.contains(&format!("site: {}\n", site.id))
        }
        "examine" => matches!(case(w, &site.id, level, seed).patient.age, Age::Days(_)),
        _ => false,
    }
}

#[test]
fn every_early_station_passes_and_prints() {
    every_station_of(LEVELS[0]);
}

#[test]
fn every_clinical_station_passes_and_prints() {
    every_station_of(LEVELS[1]);
}

#[test]
fn every_trainee_station_passes_and_prints() {
    every_station_of(LEVELS[2]);
}

#[test]
fn the_minutes_asked_for_are_the_minutes_planned() {
    let w = world();
    for minutes in 4..=20 {
        let case = super::station_support::case(&w, "ulnar_elbow", Level::Trainee, 9);
        let mut request = super::station_support::request(&w, "trace", Level::Trainee, 9);
        request.minutes = Some(minutes);
        let station = vivasmith::station::build(&w.model, &w.content, &case, &request)
            .unwrap_or_else(|e| panic!("{minutes}: {e}"));
        let planned: u32 = station.plan.iter().map(|s| s.half_minutes).sum();
        assert_eq!(planned, 2 * minutes);
    }
    for minutes in [0, 3, 21, 1000] {
        let case = super::station_support::case(&w, "ulnar_elbow", Level::Trainee, 9);
        let mut request = super::station_support::request(&w, "trace", Level::Trainee, 9);
        request.minutes = Some(minutes);
        let failure = vivasmith::station::build(&w.model, &w.content, &case, &request);
        assert_eq!(
            failure.map_err(|e| e.exit_code()).err(),
            Some(2),
            "{minutes}"
        );
    }
}

#[test]
fn the_same_seed_gives_the_same_words() {
    let w = world();
    let again = world();
    let one = printed(&w, &good(&w, "root_c7", "forecast", Level::Clinical, 77));
    let two = printed(
        &again,
        &good(&again, "root_c7", "forecast", Level::Clinical, 77),
    );
    assert_eq!(one, two);
    let other = printed(&w, &good(&w, "root_c7", "forecast", Level::Clinical, 78));
    assert_ne!(one[0].markdown, other[0].markdown);
}

/// What several stations share changes none of them, whatever was built before and whatever variants are held.
#[test]
fn a_station_from_a_shared_stock_is_the_one_built_alone() {
    let w = world();
    let fixed = [Vec::new(), vec![(0, 1)]];
    let stock = Stock::new(&w.model, &w.content, &[]);
    let printer = Printer::new(&w.content).expect("a printer");
    for (seed, site) in (1..).zip(["root_c7", "ulnar_elbow", "carpal_tunnel", "root_c7"]) {
        let case = super::station_support::case(&w, site, Level::Clinical, seed);
        for held in &fixed {
            let mut request = super::station_support::request(&w, "trace", Level::Clinical, seed);
            request.kind = None;
            request.fixed.clone_from(held);
            let mut told = Vec::new();
            let shared = build_from(&stock, &case, &request, &mut |k, _| told.push(k.id.clone()))
                .unwrap_or_else(|e| panic!("{site} {seed}: {e}"));
            let alone = vivasmith::station::build(&w.model, &w.content, &case, &request)
                .unwrap_or_else(|e| panic!("{site} {seed}: {e}"));
            assert_eq!(format!("{shared:?}"), format!("{alone:?}"));
            assert_eq!(told, std::slice::from_ref(&shared.kind.id));
            assert_eq!(
                printer.sheets(&shared, &[]).expect("sheets"),
                printed(&w, &alone)
            );
        }
    }
}
