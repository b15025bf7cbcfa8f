//! Published patients lead back to the place that their reports gave. Sources: named beside each patient, all from memory.

use crate::localise::{model_of, understood};
use crate::outside_common::{Row, rows};
use vivasmith::localise::{Names, Places, Setting};

/// How many of the patients of a set have an accepted place in the first row, and which have not.
fn right(
    table: &'static str,
    set: &str,
    region_of: impl Fn(&Row) -> String,
) -> (usize, Vec<String>) {
    let (mut right, mut wrong) = (0, Vec::new());
    for region in ["upper_limb", "lower_limb"] {
        let model = model_of(region);
        let names = Names::of(&model);
        let places = Places::new(&model, Setting::Exam, &[]);
        for row in rows(table) {
            if row.get("set") != set || region_of(&row) != region {
                continue;
            }
            let told = understood(&model, &names, &row.get("findings").replace(';', ","));
            let first = &places.rank(&told).rows[0].lesion;
            if first.parts.len() == 1 && row.list("accept").contains(&first.parts[0].place.as_str())
            {
                right += 1;
            } else {
                wrong.push(format!("{}: {}", row.get("accept"), first.text()));
            }
        }
    }
    (right, wrong)
}

#[test]
fn published_patients_are_localised() {
    let table = include_str!("../fixtures/localise_cases.csv");
    for (set, least) in [("a", 18), ("b", 18)] {
        let (right, wrong) = right(table, set, |row| row.get("region").to_string());
        assert!(right >= least, "set {set}: {right}, not {wrong:?}");
        assert!(right + wrong.len() >= 20);
    }
}

#[test]
fn published_patients_of_the_lower_limb_are_localised() {
    let table = include_str!("../fixtures/outside_leg_cases.csv");
    for (set, least) in [("a", 10), ("b", 9)] {
        let (right, wrong) = right(table, set, |_| "lower_limb".to_string());
        assert!(right >= least, "set {set}: {right}, not {wrong:?}");
    }
}
