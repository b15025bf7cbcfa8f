//! On which nerve, or nerve's branch, does a site lie?

use crate::anatomy::{Model, Segment, fold};

/// The segments of nerve from the site's up to where the nerve leaves the plexus; just the site's own for roots, trunks and cords.
fn chain(model: &Model, site: usize) -> Vec<&Segment> {
    let first = model.sites.get(site).and_then(|s| s.segments.first());
    first.map_or_else(Vec::new, |&s| model.up_the_nerve(s))
}

/// Id and label of the nerve that the injured one comes from: the radial nerve for its deep branch. For a root, trunk or cord its own.
pub fn main_nerve(model: &Model, site: usize) -> (&str, &str) {
    let all = chain(model, site);
    all.last()
        .map_or(("", ""), |s| (s.nerve.as_str(), s.nerve_label.as_str()))
}

/// Sites on a nerve or on any branch of it; none when there is no nerve of that name.
pub fn on_nerve(model: &Model, word: &str) -> Vec<usize> {
    let wanted = fold(word);
    let known = model.nerves.iter().find(|n| {
        n.id == wanted || fold(&n.label) == wanted || n.synonyms.iter().any(|s| fold(s) == wanted)
    });
    let Some(nerve) = known else {
        return Vec::new();
    };
    (0..model.sites.len())
        .filter(|&s| {
            chain(model, s)
                .iter()
                .any(|segment| segment.nerve == nerve.id)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::Content;

    #[test]
    fn a_branch_belongs_to_its_nerve() {
        // Facts of the trade (common practice, no source): the posterior interosseous nerve is a branch of the radial, the
        // anterior interosseous of the median, the lateral cutaneous nerve of the forearm of the musculocutaneous.
        let model = crate::anatomy::load(&Content::embedded(), "upper_limb").unwrap();
        let site = |id: &str| model.sites.iter().position(|s| s.id == id).unwrap();
        for (id, nerve) in [
            ("pin_supinator", "radial"),
            ("superficial_radial_wrist", "radial"),
            ("ain", "median"),
            ("carpal_tunnel", "median"),
            ("lacn", "musculocutaneous"),
            ("ulnar_guyon_2a", "ulnar"),
            ("upper_trunk", "upper_trunk"),
        ] {
            assert_eq!(main_nerve(&model, site(id)).0, nerve, "{id}");
        }
        assert!(on_nerve(&model, "radial").contains(&site("pin_supinator")));
        assert!(!on_nerve(&model, "radial").contains(&site("posterior_cord")));
        assert!(on_nerve(&model, "no such nerve").is_empty());
        assert_eq!(model.place_of(site("root_c5")), "root");
        assert_eq!(model.place_of(site("lateral_cord")), "cord");
        assert_eq!(model.places(), ["root", "trunk", "cord", "nerve"]);
    }
}
