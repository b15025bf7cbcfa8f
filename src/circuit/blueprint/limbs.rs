//! Which sites can a circuit ask for, in whichever limb, and on which nerve, or nerve's branch, does each lie?

use crate::anatomy::{Model, Site, fold};
use crate::case::sites_of;
use crate::diagnostic::Failure;

/// The limbs that a circuit draws on. Their sites are counted through, in the order of the models.
#[derive(Debug, Clone)]
pub struct Limbs<'m> {
    models: Vec<&'m Model>,
}

impl<'m> Limbs<'m> {
    pub fn of(models: impl IntoIterator<Item = &'m Model>) -> Self {
        Limbs {
            models: models.into_iter().collect(),
        }
    }

    pub fn models(&self) -> &[&'m Model] {
        &self.models
    }

    /// All sites, in the order that they are counted in.
    pub fn sites(&self) -> impl Iterator<Item = &'m Site> {
        self.models.iter().flat_map(|m| &m.sites)
    }

    pub fn len(&self) -> usize {
        self.models.iter().map(|m| m.sites.len()).sum()
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The place of a site's model in [`Limbs::models`], and the site's place there.
    pub fn find(&self, site: usize) -> Option<(usize, usize)> {
        let mut own = site;
        for (m, model) in self.models.iter().enumerate() {
            if own < model.sites.len() {
                return Some((m, own));
            }
            own -= model.sites.len();
        }
        None
    }

    fn at(&self, site: usize) -> Option<(&'m Model, usize)> {
        let (model, own) = self.find(site)?;
        Some((self.models.get(model).copied()?, own))
    }

    pub fn model_of(&self, site: usize) -> Option<&'m Model> {
        self.at(site).map(|(model, _)| model)
    }

    pub fn site(&self, site: usize) -> Option<&'m Site> {
        let (model, own) = self.at(site)?;
        model.sites.get(own)
    }

    /// The id of a site; empty for none.
    pub fn id(&self, site: usize) -> &'m str {
        self.site(site).map_or("", |s| s.id.as_str())
    }

    /// The site of this id or synonym.
    pub fn named(&self, word: &str) -> Option<usize> {
        let wanted = fold(word);
        self.sites()
            .position(|s| s.id == wanted || s.synonyms.iter().any(|x| fold(x) == wanted))
    }

    /// Where a lesion of the site lies, as blueprints call it.
    pub fn place_of(&self, site: usize) -> &'m str {
        self.at(site).map_or("", |(model, own)| model.place_of(own))
    }

    /// The places that sites lie in, from the spinal cord outwards.
    pub fn places(&self) -> Vec<&'m str> {
        let mut all: Vec<&str> = Vec::new();
        for model in &self.models {
            // A place that only this limb has stands before the one that follows it here.
            let mut before = all.len();
            for place in model.places().into_iter().rev() {
                match all.iter().position(|p| *p == place) {
                    Some(at) => before = at,
                    None => all.insert(before, place),
                }
            }
        }
        all
    }

    /// Id and label of the nerve that the injured one comes from: the radial nerve for its deep branch. For a root, trunk or cord its own.
    pub fn main_nerve(&self, site: usize) -> (&'m str, &'m str) {
        let top = self
            .at(site)
            .and_then(|(m, own)| m.above_site(own).last().copied());
        top.map_or(("", ""), |s| (s.nerve.as_str(), s.nerve_label.as_str()))
    }

    /// The sites of the limb of this id or label.
    pub fn in_region(&self, word: &str) -> Option<Vec<usize>> {
        let wanted = fold(word);
        let is = |m: &Model| m.region == wanted || fold(&m.label) == wanted;
        let known = self.models.iter().any(|m| is(m));
        known.then(|| self.all(|m, _| is(m)))
    }

    /// Sites on a nerve or on any branch of it; none when there is no nerve of that name.
    pub fn on_nerve(&self, word: &str) -> Vec<usize> {
        let (mut all, mut first) = (Vec::new(), 0);
        for model in &self.models {
            if let Some(nerve) = model.nerve_called(word) {
                let id = &model.nerves[nerve].id;
                let on = |s: &usize| model.above_site(*s).iter().any(|s| s.nerve == *id);
                all.extend((0..model.sites.len()).filter(on).map(|s| s + first));
            }
            first += model.sites.len();
        }
        all
    }

    /// The sites of a nerve or a part of either limb.
    ///
    /// # Errors
    /// Exit code 2 when no limb has either of that name.
    pub fn in_area(&self, word: &str) -> Result<Vec<usize>, Failure> {
        let mut all = Vec::new();
        let mut failures = Vec::new();
        let mut first = 0;
        for model in &self.models {
            match sites_of(model, word) {
                Ok(sites) => all.extend(sites.into_iter().map(|s| s + first)),
                Err(failure) => failures.push(failure),
            }
            first += model.sites.len();
        }
        match failures.into_iter().next() {
            Some(failure) if all.is_empty() => Err(failure),
            _ => Ok(all),
        }
    }

    fn all(&self, keep: impl Fn(&'m Model, usize) -> bool) -> Vec<usize> {
        let own = |site: &usize| self.at(*site).is_some_and(|(m, s)| keep(m, s));
        (0..self.len()).filter(own).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::Content;

    #[test]
    fn a_branch_belongs_to_its_nerve() {
        // Facts of the trade (common practice, no source): the posterior interosseous nerve is a branch of the radial, the
        // anterior interosseous of the median, the lateral cutaneous nerve of the forearm of the musculocutaneous; the deep
        // fibular nerve of the common fibular, and that of the fibular half of the sciatic.
        let load = |region| crate::anatomy::load(&Content::embedded(), region).unwrap();
        let (upper, lower) = (load("upper_limb"), load("lower_limb"));
        let arm = Limbs::of([&upper]);
        let site = |id: &str| arm.named(id).unwrap();
        for (id, nerve) in [
            ("pin_supinator", "radial"),
            ("superficial_radial_wrist", "radial"),
            ("ain", "median"),
            ("carpal_tunnel", "median"),
            ("lacn", "musculocutaneous"),
            ("ulnar_guyon_2a", "ulnar"),
            ("upper_trunk", "upper_trunk"),
        ] {
            assert_eq!(arm.main_nerve(site(id)).0, nerve, "{id}");
        }
        assert!(arm.on_nerve("radial").contains(&site("pin_supinator")));
        assert!(!arm.on_nerve("radial").contains(&site("posterior_cord")));
        assert!(arm.on_nerve("no such nerve").is_empty());
        assert_eq!(arm.place_of(site("root_c5")), "root");
        assert_eq!(arm.place_of(site("lateral_cord")), "cord");
        assert_eq!(arm.places(), ["root", "trunk", "cord", "nerve"]);

        let both = Limbs::of([&lower, &upper]);
        assert_eq!(both.len(), lower.sites.len() + upper.sites.len());
        let ulnar = both.named("ulnar_elbow").unwrap();
        assert_eq!(both.id(ulnar), "ulnar_elbow");
        assert_eq!(both.main_nerve(ulnar).0, "ulnar");
        assert_eq!(
            both.main_nerve(both.named("deep_fibular").unwrap()).0,
            "sciatic_fibular"
        );
        assert_eq!(both.places(), ["root", "trunk", "cord", "nerve"]);
        assert!(both.in_region("upper limb").unwrap().contains(&ulnar));
        assert!(!both.in_region("lower_limb").unwrap().contains(&ulnar));
        assert!(both.in_region("tail").is_none());
    }
}
