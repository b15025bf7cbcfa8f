//! Turns written routes and the variants that change them into tables of fibres, one row for each arrangement of a limb.

use super::check::{At, Checker, Names};
use super::graph::Graph;
use super::model::{Choice, Fibres, SegmentSet, Supply};
use super::raw;
use std::collections::HashMap;

/// Shares may miss 1 by this much, for figures rounded to two places.
const TOLERANCE: f64 = 0.011;
/// More arrangements than this of one structure would slow every finding down.
const MAX_ROWS: usize = 1024;

/// What each variant alternative does, resolved once.
pub struct Changes {
    /// For each variant, for each alternative (0 is the usual one): new routes by structure id.
    routes: Vec<Vec<HashMap<String, Vec<Fibres>>>>,
    /// For each variant, for each alternative: by how many roots the plexus is moved.
    shifts: Vec<Vec<i32>>,
}

/// The written routes as fibres; complains of unknown segments and roots and of shares that do not add up.
pub fn fibres(check: &mut Checker, graph: &Graph, at: &At, routes: &[raw::Route]) -> Vec<Fibres> {
    let mut all = Vec::new();
    let mut total = 0.0;
    for (k, route) in routes.iter().enumerate() {
        let at = at.key(k);
        let through = passed(check, graph, &at, route);
        let Some(via) = graph.names.find(check, &at.key("via"), &route.via) else {
            continue;
        };
        if route.roots.0.is_empty() {
            check.complain(
                &at.key("roots"),
                "this route names no root",
                "write for instance `roots: {C7: 1}`",
            );
        }
        for (name, weight) in &route.roots.0 {
            let at = at.key("roots").key(name.as_str());
            check.part(&at, &format!("the share of {name}"), *weight);
            total += weight;
            let Some(root) = graph.roots.find(check, &at, name) else {
                continue;
            };
            match graph.path(via, root, &through) {
                Ok(set) => all.push(Fibres {
                    root,
                    weight: *weight,
                    path: set,
                    leaves: via,
                }),
                Err(0) => check.complain(
                    &at,
                    format!("no route leads from {name} to `{}`", route.via),
                    "choose a segment that this root reaches, or take the root out",
                ),
                Err(_) => check.complain(
                    &at,
                    format!("more than one route leads from {name} to `{}`", route.via),
                    "name a segment of the one that is meant, `through: [SEGMENT]`, or mark the rarer bridge `only_in_variant: true`",
                ),
            }
        }
    }
    if (total - 1.0).abs() > TOLERANCE {
        check.complain(
            at,
            format!("the shares of the roots add up to {total:.2}, not 1"),
            "change the shares so that they add up to 1 over all routes",
        );
    }
    // Rounding may not make a healthy muscle weak.
    if total > 0.0 {
        for f in &mut all {
            f.weight /= total;
        }
    }
    all
}

/// What a route says its fibres pass: variant bridges, and segments that tell two ways of one root apart.
fn passed(check: &mut Checker, graph: &Graph, at: &At, route: &raw::Route) -> SegmentSet {
    let mut through = SegmentSet::default();
    for (j, t) in route.through.iter().enumerate() {
        if let Some(ix) = graph.names.find(check, &at.key("through").key(j), t) {
            through.insert(ix);
        }
    }
    through
}

impl Changes {
    /// Resolves what every alternative does; `known` are the ids of all muscles, skin areas and reflexes.
    pub fn resolve(
        check: &mut Checker,
        graph: &Graph,
        variants: &[raw::Variant],
        known: &Names,
    ) -> Self {
        let mut changes = Changes {
            routes: Vec::new(),
            shifts: Vec::new(),
        };
        for (v, variant) in variants.iter().enumerate() {
            let mut routes = vec![HashMap::new()];
            let mut shifts = vec![0];
            for (a, alternative) in variant.alternatives.iter().enumerate() {
                let at = At::entry::<raw::Variant>(v).key("alternatives").key(a);
                let mut map = HashMap::new();
                for (id, written) in &alternative.supply.0 {
                    let at = at.key("supply").key(id.as_str());
                    if known.find(check, &at, id).is_none() {
                        continue;
                    }
                    // An empty list says that the structure is missing in such a limb.
                    let resolved = match written.as_slice() {
                        [] => Vec::new(),
                        some => fibres(check, graph, &at, some),
                    };
                    map.insert(id.clone(), resolved);
                }
                routes.push(map);
                shifts.push(alternative.root_shift);
            }
            changes.routes.push(routes);
            changes.shifts.push(shifts);
        }
        changes
    }

    /// The table of one structure. Where two variants change the same structure at once, the one listed first decides.
    pub fn table(
        &self,
        check: &mut Checker,
        graph: &Graph,
        at: &At,
        id: &str,
        usual: &[Fibres],
    ) -> Supply {
        let in_plexus = |f: &Fibres| f.path.iter().any(|s| graph.segments[s].kind.preganglionic);
        let mut choices = self.choices(id, usual.iter().any(in_plexus));
        let mut rows = 1;
        for choice in choices.iter_mut().rev() {
            choice.stride = rows;
            rows *= choice.ways;
            if rows > MAX_ROWS {
                check.complain(
                    at,
                    format!("the variants that change `{id}` combine to more than {MAX_ROWS} arrangements"),
                    "join variants that always come together into one",
                );
                (choices, rows) = (Vec::new(), 1);
                break;
            }
        }
        let table: Vec<Vec<Fibres>> = (0..rows)
            .map(|row| self.arrangement(graph, id, usual, &choices, row))
            .collect();
        let reach = table
            .iter()
            .flatten()
            .fold(SegmentSet::default(), |all, f| all.union(&f.path));
        Supply {
            variants: choices,
            table,
            reach,
        }
    }

    /// The variants that matter to a structure. `shiftable`: it has fibres that move with the plexus.
    fn choices(&self, id: &str, shiftable: bool) -> Vec<Choice> {
        let mut choices = Vec::new();
        for (variant, (routes, shifts)) in self.routes.iter().zip(&self.shifts).enumerate() {
            let mut way = Vec::new();
            let mut ways = 1;
            for (map, shift) in routes.iter().zip(shifts) {
                let moves = map.contains_key(id) || (shiftable && *shift != 0);
                way.push(if moves { ways } else { 0 });
                ways += usize::from(moves);
            }
            if ways > 1 {
                choices.push(Choice {
                    variant,
                    way,
                    ways,
                    stride: 1,
                });
            }
        }
        choices
    }

    /// The fibres in one row of the table.
    fn arrangement(
        &self,
        graph: &Graph,
        id: &str,
        usual: &[Fibres],
        choices: &[Choice],
        row: usize,
    ) -> Vec<Fibres> {
        let mut routes = None;
        let mut shift = 0;
        for choice in choices {
            let way = row / choice.stride % choice.ways;
            let found = choice.way.iter().position(|&w| w == way);
            if let (Some(a), true) = (found, way > 0) {
                shift += self.shifts[choice.variant][a];
                routes = routes.or(self.routes[choice.variant][a].get(id));
            }
        }
        let mut fibres = routes.map_or(usual, Vec::as_slice).to_vec();
        if shift != 0 {
            fibres.iter_mut().for_each(|f| shift_root(graph, f, shift));
        }
        fibres
    }
}

/// Lets fibres of the plexus start in a neighbouring root and run on as before.
fn shift_root(graph: &Graph, f: &mut Fibres, by: i32) {
    let here = graph.root_segments(f.root);
    let through_plexus = here.iter().any(|s| graph.segments[s].kind.preganglionic);
    let there = f.root as i64 + i64::from(by);
    let (true, Ok(there)) = (through_plexus, usize::try_from(there)) else {
        return;
    };
    if there >= graph.roots.count() {
        return;
    }
    let mut moved = SegmentSet::default();
    for s in f.path.iter().filter(|&s| !here.contains(s)) {
        moved.insert(s);
    }
    f.path = moved.union(&graph.root_segments(there));
    f.root = there;
}
