//! Turns a site, a kind, a level and a seed into a station, for the tests of stations.

use vivasmith::anatomy::{Model, load};
use vivasmith::case::{Case, Level, Request, draw};
use vivasmith::diagnostic::Failure;
use vivasmith::files::Content;
use vivasmith::sheets::words::{Sheet, sheets};
use vivasmith::station::{Station, StationRequest, build, kind};

pub struct World {
    pub content: Content,
    pub model: Model,
}

pub fn world() -> World {
    let content = Content::embedded();
    let model = load(&content, "upper_limb").expect("the shipped model loads");
    World { content, model }
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

pub fn request(w: &World, kind_id: &str, level: Level, seed: u64) -> StationRequest {
    StationRequest {
        kind: Some(kind(&w.content, kind_id).expect("a shipped kind")),
        level,
        minutes: None,
        seed,
        place: None,
        variants: Vec::new(),
        fixed: Vec::new(),
    }
}

pub fn station(
    w: &World,
    site: &str,
    kind_id: &str,
    level: Level,
    seed: u64,
) -> Result<Station, Failure> {
    let case = case(w, site, level, seed);
    build(
        &w.model,
        &w.content,
        &case,
        &request(w, kind_id, level, seed),
    )
}

pub fn good(w: &World, site: &str, kind_id: &str, level: Level, seed: u64) -> Station {
    station(w, site, kind_id, level, seed)
        .unwrap_or_else(|e| panic!("{site} {kind_id} {level:?} {seed}: {e}"))
}

pub fn printed(w: &World, station: &Station) -> Vec<Sheet> {
    sheets(&w.content, station).unwrap_or_else(|e| panic!("{}: {e}", station.command))
}
