//! Which cases does a booklet hold? As different in kind, nerve and place as the wish allows, none that gives another away, nobody met twice.

use super::leak::{Leaf, leak};
use super::like::Weak;
use super::order::{Rule, Standing, order};
use crate::anatomy::Model;
use crate::case::{self, Case, Level, Request, Stream};
use crate::circuit::Exposure;
use crate::diagnostic::{Failure, Problem};
use crate::station::{self, BuildCache, Station, StationKind, StationRequest, is_unfit};
use crate::wording::flat;
use std::collections::BTreeSet;

/// Fewest and most cases of a booklet; more are not finished.
pub const FEWEST: usize = 2;
pub const MOST: usize = 12;
/// Seeds tried at one place before it is given up.
const TRIES: u32 = 4;

/// What is asked for.
pub struct Wish<'a> {
    pub cases: usize,
    /// Positions in the model's sites to choose from.
    pub among: Vec<usize>,
    pub kinds: Vec<StationKind>,
    pub level: Level,
    pub seed: u64,
    /// Practised first, then what is mistaken for them.
    pub like: Vec<Weak>,
    pub met: &'a Exposure,
}

/// A case of a booklet.
#[derive(Debug, Clone)]
pub struct Chosen {
    pub case: Case,
    pub station: Station,
    pub seed: u64,
    /// Position in the model's sites.
    pub site: usize,
    /// The place of the same reasoning on another nerve.
    pub twin: Option<usize>,
    /// What it is mistaken for.
    rivals: Vec<usize>,
    /// Id of the nerve that the injured one comes from; of a root, trunk or cord its own.
    pub nerve: String,
    leaf: Leaf,
    /// What happened, whoever it happened to.
    story: String,
}

/// The cases in their order, and the rules of neighbours that this wish leaves no way to keep. Same wish, same cases.
///
/// # Errors
/// Exit code 1 when there are not so many cases that do not give each other away.
pub fn choose(
    cache: &BuildCache<'_>,
    wish: &Wish<'_>,
) -> Result<(Vec<Chosen>, Vec<Rule>), Failure> {
    let mut kinds: Vec<&StationKind> = wish.kinds.iter().collect();
    Stream::new(wish.seed, "practice/kinds").shuffle(&mut kinds);
    let mut search = Search {
        cache,
        model: cache.model,
        wish,
        kinds,
        chosen: Vec::new(),
        hopeless: BTreeSet::new(),
        refused: None,
    };
    for weak in wish.like.iter().take(wish.cases) {
        search.weak(weak)?;
    }
    while search.chosen.len() < wish.cases {
        if !search.another()? {
            return Err(search.too_few());
        }
    }
    search.pair_up();
    let standing: Vec<Standing> = search.chosen.iter().map(Chosen::standing).collect();
    let (order, given_up) = order(&standing);
    let mut chosen: Vec<Option<Chosen>> = search.chosen.into_iter().map(Some).collect();
    let taken = order.iter().filter_map(|&i| chosen.get_mut(i)?.take());
    Ok((taken.collect(), given_up))
}

impl Chosen {
    fn standing(&self) -> Standing {
        Standing {
            kind: self.station.kind.id.clone(),
            nerve: self.nerve.clone(),
            site: self.site,
            twin: self.twin,
            difficulty: self.station.difficulty.figure,
        }
    }
}

struct Search<'a> {
    cache: &'a BuildCache<'a>,
    model: &'a Model,
    wish: &'a Wish<'a>,
    kinds: Vec<&'a StationKind>,
    chosen: Vec<Chosen>,
    /// Kinds and places of which nothing comes: what does not go with the cases chosen never will.
    hopeless: BTreeSet<(String, usize)>,
    /// What stood in the way of the first case that could not be built.
    refused: Option<Failure>,
}

impl<'a> Search<'a> {
    /// Kinds that are used least come first; what somebody is weak at comes twice before anything else comes once.
    fn kinds_by_use(&self) -> Vec<&'a StationKind> {
        let order = |kind: &StationKind| {
            let used = self.chosen.iter().filter(|c| c.station.kind.id == kind.id);
            let mut weak = self.wish.like.iter().filter_map(|w| w.kind.as_deref());
            match weak.any(|w| w == kind.id) {
                true => used.count(),
                false => 2 * (used.count() + 1),
            }
        };
        let mut all = self.kinds.clone();
        all.sort_by_key(|k| order(k));
        all
    }

    /// A new case at a place where marks were lost, of the same kind where that is known.
    fn weak(&mut self, weak: &Weak) -> Result<(), Failure> {
        let mut kinds = self.kinds_by_use();
        kinds.sort_by_key(|k| weak.kind.as_ref().is_some_and(|w| *w != k.id));
        for kind in kinds {
            if let Some(found) = self.at(kind, weak.site)? {
                self.chosen.push(found);
                break;
            }
        }
        Ok(())
    }

    /// One more case; false when there is none.
    fn another(&mut self) -> Result<bool, Failure> {
        for kind in self.kinds_by_use() {
            for site in self.ranked(kind) {
                let key = (kind.id.clone(), site);
                if self.hopeless.contains(&key) {
                    continue;
                }
                if let Some(found) = self.at(kind, site)? {
                    self.chosen.push(found);
                    return Ok(true);
                }
                self.hopeless.insert(key);
            }
        }
        Ok(false)
    }

    /// The places left, those first that add most to what is there; among equals the common ones come oftener.
    fn ranked(&self, kind: &StationKind) -> Vec<usize> {
        let used = |s: &usize| self.chosen.iter().any(|c| c.site == *s);
        let free = self.wish.among.iter().filter(|s| !used(s));
        let mut all: Vec<(i64, f64, usize)> = free
            .filter_map(|&s| {
                let site = self.model.sites.get(s)?;
                let label = format!("practice/site/{}/{}", site.id, kind.id);
                let drawn = f64::from(Stream::new(self.wish.seed, &label).below(1_000_000));
                Some((self.cost(kind, s), drawn / site.weight.sqrt().max(0.01), s))
            })
            .collect();
        all.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        all.into_iter().map(|(.., s)| s).collect()
    }

    /// What speaks against a place for the next case of this kind. The weights are ours.
    fn cost(&self, kind: &StationKind, site: usize) -> i64 {
        let model = self.model;
        let nerve = main_nerve(model, site);
        let place = model.place_of(site);
        let of_place = |s: usize| model.place_of(s) == place;
        let count = |n: usize| i64::try_from(n).unwrap_or(i64::MAX / 1_000);
        let id = model.sites.get(site).map_or("", |s| s.id.as_str());
        let met = count(self.wish.met.of_site(id).min(50));
        let same_nerve = count(self.chosen.iter().filter(|c| c.nerve == nerve).count());
        let same_place = count(self.chosen.iter().filter(|c| of_place(c.site)).count());
        let places = count((0..model.sites.len()).filter(|s| of_place(*s)).count()).max(1);
        let of_kind = || self.chosen.iter().filter(|c| c.station.kind.id == kind.id);
        let twin = of_kind().any(|c| c.twin == Some(site));
        let again = of_kind().any(|c| c.nerve == nerve);
        let weak = |c: &&Chosen| self.wish.like.iter().any(|w| w.site == c.site);
        let near = self.chosen.iter().filter(weak);
        let near = near
            .clone()
            .any(|c| c.rivals.contains(&site) || c.twin == Some(site));
        100 * met + 10 * same_nerve + 10 * same_place / places + 20 * i64::from(again)
            - 15 * i64::from(twin)
            - 40 * i64::from(near)
    }

    /// A case of the kind at the place; `None` when there is none that goes with the others.
    fn at(&mut self, kind: &StationKind, site: usize) -> Result<Option<Chosen>, Failure> {
        let Some(id) = self.model.sites.get(site).map(|s| s.id.clone()) else {
            return Ok(None);
        };
        if self.chosen.iter().any(|c| c.site == site) {
            return Ok(None);
        }
        let mut seeds = Stream::new(
            self.wish.seed,
            &format!("practice/station/{id}/{}", kind.id),
        );
        for _ in 0..TRIES {
            // Six figures: short enough to type again.
            let seed = u64::from(seeds.below(1_000_000));
            match self.built(kind, (site, &id), seed) {
                Ok(found) if !self.is_safe(&found) => return Ok(None),
                Ok(found) if self.is_new(&found) => return Ok(Some(found)),
                Ok(_) => {}
                Err(failure) if is_unfit(&failure) => return Ok(None),
                Err(failure @ Failure::Content(_)) => {
                    self.refused.get_or_insert(failure);
                }
                Err(other) => return Err(other),
            }
        }
        Ok(None)
    }

    fn built(
        &self,
        kind: &StationKind,
        (site, id): (usize, &str),
        seed: u64,
    ) -> Result<Chosen, Failure> {
        let (model, level) = (self.model, self.wish.level);
        let request = Request {
            site: Some(id.to_string()),
            lesion: None,
            area: None,
            level,
            seed,
            fixed: Vec::new(),
        };
        let wanted = StationRequest {
            kind: Some(kind.clone()),
            level,
            minutes: None,
            seed,
            place: Some(id.to_string()),
            variants: Vec::new(),
            fixed: Vec::new(),
        };
        let drawn = case::draw(model, self.cache.content, &request)?;
        let draft = station::drawn(self.cache, &drawn, &wanted)?;
        let (case, twin) = (draft.case.clone(), draft.notes.twin);
        let rivals = draft.rivals.iter().take(NEAREST).map(|r| r.site).collect();
        let station = station::build_draft(self.cache, draft)?;
        Ok(Chosen {
            leaf: Leaf::of(model, site, &station),
            story: story(&case),
            nerve: main_nerve(model, site).to_string(),
            case,
            station,
            seed,
            site,
            twin,
            rivals,
        })
    }

    /// Nobody has met its person or its story before, here or in an earlier booklet.
    fn is_new(&self, new: &Chosen) -> bool {
        let person = |c: &Chosen| c.station.kind.patient.then(|| c.case.patient.name.clone());
        let same = |c: &Chosen| {
            let told = !new.story.is_empty() && new.story == c.story;
            told || person(new).is_some_and(|p| person(c) == Some(p))
        };
        !self.wish.met.has_code(&new.station.code) && !self.chosen.iter().any(same)
    }

    /// It gives neither itself nor another away, nor is it given away, whatever the seed.
    fn is_safe(&self, new: &Chosen) -> bool {
        let safe =
            |c: &Chosen| leak(&new.leaf, &c.leaf).is_none() && leak(&c.leaf, &new.leaf).is_none();
        self.chosen.iter().chain([new]).all(safe)
    }

    /// Where nobody named a twin, it is another case of the kind on another nerve.
    fn pair_up(&mut self) {
        let all: Vec<(String, String, usize)> = self
            .chosen
            .iter()
            .map(|c| (c.station.kind.id.clone(), c.nerve.clone(), c.site))
            .collect();
        for case in self.chosen.iter_mut().filter(|c| c.twin.is_none()) {
            let alike = |(kind, nerve, _): &&(String, String, usize)| {
                *kind == case.station.kind.id && *nerve != case.nerve
            };
            case.twin = all.iter().find(alike).map(|(.., site)| *site);
        }
    }

    fn too_few(self) -> Failure {
        if let (true, Some(failure)) = (self.chosen.is_empty(), self.refused) {
            return failure;
        }
        let found = self.chosen.len();
        let problem = Problem::new(format!(
            "only {found} of {} cases can be made that do not give each other away",
            self.wish.cases
        ));
        Failure::content(problem.hint(match found {
            0 | 1 => "leave --area or --kind out".to_string(),
            n => format!("ask for {n} with --cases, or leave --area or --kind out"),
        }))
    }
}

/// So many of the nearest rivals are what a place is mistaken for.
const NEAREST: usize = 6;

/// The story without the person and the side: two patients may not have met with the same.
fn story(case: &Case) -> String {
    let mut text = case.story.replace(&case.patient.name, " ");
    for part in case.patient.name.split_whitespace() {
        text = text.replace(part, " ");
    }
    let text = flat(&text)
        .replace(" left ", " side ")
        .replace(" right ", " side ");
    text.trim().to_string()
}

fn main_nerve(model: &Model, site: usize) -> &str {
    let top = model.above_site(site).last().copied();
    top.map_or("", |s| s.nerve.as_str())
}
