//! How written entries become the model's own, once the graph stands: what all of them share.

use super::check::{At, Checker, Names};
use super::graph::Graph;
use super::list::Entry;
use super::model::{SegmentIx, Supply};
use super::raw;
use super::routes::{self, Changes};

/// What entries may name, and where complaints go.
pub struct Resolver<'r, 'c> {
    pub check: &'r mut Checker<'c>,
    pub graph: &'r Graph,
    pub codes: &'r Names,
    pub muscles: Names,
    pub movements: Names,
    pub skin: Names,
    pub changes: Changes,
}

/// A written entry that the model has in a form of its own.
pub trait Resolve: Entry {
    type Out;
    fn resolve(self, at: &At, to: &mut Resolver) -> Self::Out;
}

impl Resolver<'_, '_> {
    pub fn all<E: Resolve>(&mut self, list: Vec<E>) -> Vec<E::Out> {
        self.check.heads(&list, self.codes);
        list.into_iter()
            .enumerate()
            .map(|(i, entry)| entry.resolve(&At::entry::<E>(i), self))
            .collect()
    }

    /// The routes of one structure in every arrangement; `key` is what variants call it.
    pub fn supply(&mut self, at: &At, key: &str, routes: &[raw::Route]) -> Supply {
        let at = at.key("supply");
        if routes.is_empty() {
            self.check.complain(
                &at,
                format!("no route reaches `{key}`"),
                "add `supply: [{via: SEGMENT, roots: {C7: 1}}]`",
            );
        }
        let usual = routes::fibres(self.check, self.graph, &at, routes);
        self.changes.table(self.check, self.graph, &at, key, &usual)
    }

    pub fn muscle(&mut self, at: &At, id: &str) -> Option<usize> {
        self.muscles.find(self.check, at, id)
    }

    pub fn segments(&mut self, at: &At, ids: &[String]) -> Vec<SegmentIx> {
        ids.iter()
            .enumerate()
            .filter_map(|(k, id)| self.graph.names.find(self.check, &at.key(k), id))
            .collect()
    }
}
