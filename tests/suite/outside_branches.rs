//! Turns the published order of branches along each nerve into claims about where the model's branches leave.
//! Sources: Gray 1918 and 42nd ed., Ellis, and the dissections named in the fixture's head.

use crate::outside_common::Row;
use crate::outside_common::{all_kept, model, rows};
use vivasmith::anatomy::{Model, SegmentIx, SegmentSet};

const TABLE: &str = include_str!("../fixtures/outside_branches.csv");

/// Where a branch leaves, and every segment its fibres have passed by then.
struct Leaving {
    name: String,
    at: Vec<SegmentIx>,
    passed: SegmentSet,
}

fn leaving(m: &Model, target: &str) -> Leaving {
    let (kind, id) = target.split_once(':').expect("kind:id");
    let fibres = match kind {
        "muscle" => m.muscles.iter().find(|x| x.id == id).map(|x| &x.supply),
        "skin" => m.skin.iter().find(|x| x.id == id).map(|x| &x.supply),
        "segment" => None,
        other => panic!("no kind `{other}`"),
    };
    if let Some(supply) = fibres {
        // Twigs of another origin (direct cervical branches, intercostobrachial nerve) are no branches of the nerve in hand.
        let most = supply
            .usual()
            .iter()
            .max_by(|a, b| a.weight.total_cmp(&b.weight))
            .expect("fibres");
        let same = |f: &&vivasmith::anatomy::Fibres| {
            m.segments[f.leaves].nerve == m.segments[most.leaves].nerve
        };
        let list: Vec<_> = supply.usual().iter().filter(same).collect();
        let mut at: Vec<SegmentIx> = list.iter().map(|f| f.leaves).collect();
        at.sort_unstable();
        at.dedup();
        let passed = list
            .iter()
            .fold(SegmentSet::default(), |set, f| set.union(&f.path));
        return Leaving {
            name: target.to_string(),
            at,
            passed,
        };
    }
    let ix = m
        .segment_ix(id)
        .unwrap_or_else(|| panic!("the model has no {target}"));
    let usual = |s: &SegmentIx| !m.segments[*s].only_in_variant;
    let at: Vec<SegmentIx> = m.segments[ix].from.iter().copied().filter(usual).collect();
    let mut passed = SegmentSet::default();
    let mut open = at.clone();
    while let Some(s) = open.pop() {
        if !passed.contains(s) {
            passed.insert(s);
            open.extend(m.segments[s].from.iter().copied().filter(usual));
        }
    }
    Leaving {
        name: target.to_string(),
        at,
        passed,
    }
}

/// For two branches of one nerve, the fibres of the lower have passed where the upper leaves, and not the other way round. Returns the broken claims
/// and how many there were.
pub fn out_of_order(m: &Model, table: &[Row]) -> (Vec<String>, usize) {
    let (mut breaches, mut claims) = (Vec::new(), 0);
    for (i, row) in table.iter().enumerate() {
        for later in table[i + 1..]
            .iter()
            .take_while(|l| l.get("nerve") == row.get("nerve"))
            .filter(|l| l.get("rank") != row.get("rank"))
        {
            for upper in row.list("targets").into_iter().map(|t| leaving(m, t)) {
                for lower in later.list("targets").into_iter().map(|t| leaving(m, t)) {
                    claims += 1;
                    let passes = upper.at.iter().all(|s| lower.passed.contains(*s));
                    let ties = upper.at == lower.at;
                    if !passes {
                        breaches.push(format!(
                            "{}: {} should leave above {} [{}]",
                            row.get("nerve"),
                            upper.name,
                            lower.name,
                            later.get("source")
                        ));
                    } else if ties && later.get("tie").is_empty() {
                        breaches.push(format!(
                            "{}: {} and {} leave at one place, the table has {} above [{}]",
                            row.get("nerve"),
                            upper.name,
                            lower.name,
                            upper.name,
                            later.get("source")
                        ));
                    }
                }
            }
        }
    }
    (breaches, claims)
}

#[test]
fn branches_leave_in_the_published_order() {
    let table = rows(TABLE);
    let skipped: Vec<&Row> = table
        .iter()
        .filter(|row| row.list("targets").is_empty())
        .collect();
    assert!(
        skipped
            .iter()
            .all(|row| row.get("skip").contains("VARIABLE")),
        "a row is skipped without its reason"
    );
    assert_eq!(skipped.len(), 4, "rows skipped as variable");
    let (breaches, claims) = out_of_order(model(), &table);
    all_kept(&breaches, claims, 250);
}

/// Gray, 42nd ed.; Moore (from memory): what leaves the roots, what the upper trunk, what comes only from the cords.
#[test]
fn branches_of_the_plexus_leave_from_root_trunk_and_cord_as_published() {
    let expected = [
        ("dorsal_scapular", "root"),
        ("long_thoracic", "root"),
        ("phrenic_nerve", "root"),
        ("suprascapular_notch", "trunk"),
        ("nerve_to_subclavius", "trunk"),
        ("lateral_pectoral", "cord"),
        ("medial_pectoral", "cord"),
        ("musculocutaneous_axilla", "cord"),
        ("medial_cutaneous_arm", "cord"),
        ("medial_cutaneous_forearm", "cord"),
        ("ulnar_arm", "cord"),
        ("upper_subscapular", "cord"),
        ("thoracodorsal", "cord"),
        ("lower_subscapular", "cord"),
        ("axillary_quadrangular", "cord"),
        ("radial_axilla", "cord"),
        ("median_arm", "cord"),
    ];
    let m = model();
    for (id, kind) in expected {
        let at = leaving(m, &format!("segment:{id}")).at;
        assert!(!at.is_empty(), "{id}");
        for s in at {
            let segment = &m.segments[s];
            let leaves = &m.kinds[segment.kind.order].id;
            assert_eq!(leaves, kind, "{id} from {}", segment.id);
        }
    }
    let from = |id: &str| -> Vec<&str> {
        let at = leaving(m, &format!("segment:{id}")).at;
        at.iter().map(|s| m.segments[*s].id.as_str()).collect()
    };
    assert_eq!(from("suprascapular_notch"), ["upper_trunk"]);
    assert_eq!(from("nerve_to_subclavius"), ["upper_trunk"]);
    assert_eq!(from("long_thoracic"), ["root_c5", "root_c6", "root_c7"]);
    assert_eq!(
        from("median_arm"),
        ["median_lateral_root", "median_medial_root"]
    );
    assert_eq!(from("median_lateral_root"), ["lateral_cord"]);
    assert_eq!(from("median_medial_root"), ["medial_cord"]);
}
