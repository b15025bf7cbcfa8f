//! A site, a kind, a level and a seed, made into a station for the tests of stations.

use vivasmith::anatomy::{Model, load};
use vivasmith::case::{Case, Level, Request, draw};
use vivasmith::diagnostic::Failure;
use vivasmith::files::Content;
use vivasmith::sheets::words::{Sheet, sheets};
use vivasmith::station::{
    BuildCache, Draft, Station, StationRequest, build_draft, drawn, kind_named,
};

pub struct World {
    pub content: Content,
    pub model: Model,
}

pub fn world() -> World {
    world_of("upper_limb")
}

pub fn world_of(region: &str) -> World {
    let content = Content::embedded();
    let model = load(&content, region).expect("the shipped model loads");
    World { content, model }
}

impl World {
    pub fn cache(&self) -> BuildCache<'_> {
        BuildCache::new(&self.model, &self.content, &[])
    }
}

pub fn case(w: &World, site: &str, level: Level, seed: u64) -> Case {
    let request = Request {
        site: Some(site.to_string()),
        lesion: None,
        area: None,
        level,
        seed,
        fixed: Vec::new(),
    };
    draw(&w.model, &w.content, &request).unwrap_or_else(|e| panic!("{site} {seed}: {e}"))
}

pub fn request(cache: &BuildCache<'_>, kind: &str, level: Level, seed: u64) -> StationRequest {
    let kinds = cache.kinds().expect("shipped kinds");
    StationRequest {
        kind: Some(kind_named(kinds, kind).expect("a shipped kind").clone()),
        level,
        minutes: None,
        seed,
        place: None,
        variants: Vec::new(),
        fixed: Vec::new(),
    }
}

pub fn draft(
    w: &World,
    cache: &BuildCache<'_>,
    (site, kind): (&str, &str),
    level: Level,
    seed: u64,
) -> Result<Draft, Failure> {
    let case = case(w, site, level, seed);
    drawn(cache, &case, &request(cache, kind, level, seed))
}

pub fn station(
    w: &World,
    cache: &BuildCache<'_>,
    place: (&str, &str),
    level: Level,
    seed: u64,
) -> Result<Station, Failure> {
    build_draft(cache, draft(w, cache, place, level, seed)?)
}

pub fn printed(w: &World, station: &Station) -> Vec<Sheet> {
    sheets(&w.content, station).unwrap_or_else(|e| panic!("{}: {e}", station.command))
}
