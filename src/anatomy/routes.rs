//! Turns written routes and the variants that change them into tables of fibres, one row for each arrangement of a limb.

use super::check::{Checker, here};
use super::graph::Graph;
use super::model::{Choice, Fibres, SegmentSet, Supply};
use super::raw;
use crate::files::Step;
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
pub fn fibres(
    check: &mut Checker,
    graph: &Graph,
    file: &str,
    path: &[Step],
    routes: &[raw::Route],
) -> Vec<Fibres> {
    let mut all = Vec::new();
    let mut total = 0.0;
    let ids = || graph.segments.iter().map(|s| s.id.as_str());
    for (k, route) in routes.iter().enumerate() {
        let at = |rest: &[Step]| [path, &here![k], rest].concat();
        let mut through = SegmentSet::default();
        for (j, t) in route.through.iter().enumerate() {
            match graph.by_id.get(t) {
                Some(&ix) if graph.segments[ix].only_in_variant => through.insert(ix),
                Some(_) => check.complain(
                    file,
                    &at(&here!["through", j]),
                    format!("`{t}` is no variant bridge"),
                    "`through` names segments marked `only_in_variant: true`; leave the others out",
                ),
                None => check.unknown(file, &at(&here!["through", j]), "segment", t, ids()),
            }
        }
        let Some(&via) = graph.by_id.get(&route.via) else {
            check.unknown(file, &at(&here!["via"]), "segment", &route.via, ids());
            continue;
        };
        if route.roots.0.is_empty() {
            check.complain(
                file,
                &at(&here!["roots"]),
                "this route names no root",
                "write for instance `roots: {C7: 1}`",
            );
        }
        for (name, weight) in &route.roots.0 {
            let place = at(&here!["roots", name.as_str()]);
            check.within(
                file,
                &place,
                &format!("the share of {name}"),
                *weight,
                0.0,
                1.0,
            );
            total += weight;
            let Some(root) = graph.roots.iter().position(|r| r == name) else {
                check.unknown(
                    file,
                    &place,
                    "root",
                    name,
                    graph.roots.iter().map(String::as_str),
                );
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
                    file,
                    &place,
                    format!("no route leads from {name} to `{}`", route.via),
                    "choose a segment that this root reaches, or take the root out",
                ),
                Err(_) => check.complain(
                    file,
                    &place,
                    format!("more than one route leads from {name} to `{}`", route.via),
                    "mark the rarer bridge `only_in_variant: true`",
                ),
            }
        }
    }
    if (total - 1.0).abs() > TOLERANCE {
        check.complain(
            file,
            path,
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

impl Changes {
    /// Resolves what every alternative does; `known` are the ids of all muscles, skin areas and reflexes.
    pub fn resolve(
        check: &mut Checker,
        graph: &Graph,
        variants: &raw::Variants,
        known: &[&str],
    ) -> Self {
        let mut changes = Changes {
            routes: Vec::new(),
            shifts: Vec::new(),
        };
        for (v, variant) in variants.variants.iter().enumerate() {
            let mut routes = vec![HashMap::new()];
            let mut shifts = vec![0];
            for (a, alternative) in variant.alternatives.iter().enumerate() {
                let mut map = HashMap::new();
                for (id, written) in &alternative.supply.0 {
                    let path = here!["variants", v, "alternatives", a, "supply", id.as_str()];
                    if !known.contains(&id.as_str()) {
                        check.unknown(
                            "variants.yaml",
                            &path,
                            "muscle, skin area or reflex",
                            id,
                            known.iter().copied(),
                        );
                        continue;
                    }
                    // An empty list says that the structure is missing in such a limb.
                    let resolved = if written.is_empty() {
                        Vec::new()
                    } else {
                        fibres(check, graph, "variants.yaml", &path, written)
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
        file: &str,
        path: &[Step],
        id: &str,
        usual: Vec<Fibres>,
    ) -> Supply {
        let in_plexus = |f: &Fibres| {
            f.path
                .iter()
                .any(|s| matches!(graph.segments[s].kind, super::model::SegmentKind::Rootlets))
        };
        let shiftable = usual.iter().any(in_plexus);
        let mut choices: Vec<Choice> = Vec::new();
        for (v, routes) in self.routes.iter().enumerate() {
            let mut way = Vec::new();
            let mut ways = 1;
            for (a, map) in routes.iter().enumerate() {
                let moves = map.contains_key(id) || (shiftable && self.shifts[v][a] != 0);
                way.push(if moves { ways } else { 0 });
                ways += usize::from(moves);
            }
            if ways > 1 {
                choices.push(Choice {
                    variant: v,
                    way,
                    ways,
                    stride: 1,
                });
            }
        }
        let mut rows = 1;
        for choice in choices.iter_mut().rev() {
            choice.stride = rows;
            rows *= choice.ways;
            if rows > MAX_ROWS {
                check.complain(
                    file,
                    path,
                    format!("the variants that change `{id}` combine to more than {MAX_ROWS} arrangements"),
                    "join variants that always come together into one",
                );
                choices = Vec::new();
                rows = 1;
                break;
            }
        }
        let mut table = Vec::with_capacity(rows);
        for row in 0..rows {
            let mut fibres = usual.clone();
            let mut changed = false;
            let mut shift = 0;
            for choice in &choices {
                let way = row / choice.stride % choice.ways;
                let Some(a) = choice.way.iter().position(|&w| w == way) else {
                    continue;
                };
                if way == 0 {
                    continue;
                }
                shift += self.shifts[choice.variant][a];
                if let (Some(new), false) = (self.routes[choice.variant][a].get(id), changed) {
                    fibres = new.clone();
                    changed = true;
                }
            }
            if shift != 0 {
                for f in &mut fibres {
                    shift_root(graph, f, shift);
                }
            }
            table.push(fibres);
        }
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
}

/// Lets fibres of the plexus start in a neighbouring root and run on as before.
fn shift_root(graph: &Graph, f: &mut Fibres, by: i32) {
    let here = graph.root_segments(f.root);
    let through_plexus = here
        .iter()
        .any(|s| graph.segments[s].kind == super::model::SegmentKind::Rootlets);
    let there = f.root as i64 + i64::from(by);
    let (true, Ok(there)) = (through_plexus, usize::try_from(there)) else {
        return;
    };
    if there >= graph.roots.len() {
        return;
    }
    let mut moved = SegmentSet::default();
    for s in f.path.iter().filter(|&s| !here.contains(s)) {
        moved.insert(s);
    }
    f.path = moved.union(&graph.root_segments(there));
    f.root = there;
}
