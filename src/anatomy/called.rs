//! Which structures do the names that reports use stand for?

use super::check::{At, Checker};
use super::model::{Called, Entry, Model};
use super::raw;
use super::structure::{Kind, Structure};

/// The names of a region whose structures stand.
pub fn resolve(check: &mut Checker, model: &Model, written: Vec<raw::Called>) -> Vec<Called> {
    let mut all = Vec::new();
    for (i, called) in written.into_iter().enumerate() {
        let at = At::entry::<raw::Called>(i).key("means");
        let mut structures = Vec::new();
        for (k, id) in called.means.iter().enumerate() {
            match structure(model, id) {
                Some(s) => structures.push(s),
                None => {
                    let ids = Kind::ALL
                        .into_iter()
                        .flat_map(|kind| model.structures(kind));
                    let what = "muscle, movement, skin area, reflex or sign";
                    check.unknown(&at.key(k), what, id, ids.map(|s| model.id(s)));
                }
            }
        }
        let mut words = called.words;
        words.push(called.id.replace('_', " "));
        all.push(Called { words, structures });
    }
    all
}

fn structure(model: &Model, id: &str) -> Option<Structure> {
    let (kind, bare) = match id.split_once(':') {
        Some((kind, bare)) => (Some(kind), bare),
        None => (None, id),
    };
    model.lookup(bare).iter().find_map(|e| match e {
        Entry::Structure(s) if kind.is_none_or(|k| k == s.kind.word()) => Some(*s),
        _ => None,
    })
}
