//! Turns roots, trunks, cords and nerve courses into one directed graph, and the graph into the paths fibres take.

use super::check::{Checker, here};
use super::model::{Nerve, Segment, SegmentIx, SegmentKind, SegmentSet};
use super::raw;
use std::collections::HashMap;

/// The graph of a region while it is being built.
pub struct Graph {
    pub roots: Vec<String>,
    pub segments: Vec<Segment>,
    pub nerves: Vec<Nerve>,
    pub by_id: HashMap<String, SegmentIx>,
    /// For each segment, every way fibres come down to it: the root and the segments passed.
    paths: Vec<Vec<(usize, SegmentSet)>>,
    variant_only: SegmentSet,
}

/// More ways than this into one segment means a tangle nobody drew on purpose.
const MAX_PATHS: usize = 200;

/// Builds the graph; complains of unknown segments, cycles and branches out of order.
pub fn build(
    check: &mut Checker,
    roots: Vec<String>,
    plexus: &raw::Plexus,
    nerves: &raw::Nerves,
) -> Graph {
    let mut graph = Graph {
        roots,
        segments: Vec::new(),
        nerves: Vec::new(),
        by_id: HashMap::new(),
        paths: Vec::new(),
        variant_only: SegmentSet::default(),
    };
    let mut parents: Vec<Parents> = Vec::new();
    for (i, s) in plexus.segments.iter().enumerate() {
        add_plexus_segment(check, &mut graph, &mut parents, i, s);
    }
    for (n, nerve) in nerves.nerves.iter().enumerate() {
        add_nerve(check, &mut graph, &mut parents, n, nerve);
    }
    if graph.segments.len() > SegmentSet::CAPACITY {
        check.complain(
            "nerves.yaml",
            &here!["nerves"],
            format!(
                "{} segments are more than the {} a region can hold",
                graph.segments.len(),
                SegmentSet::CAPACITY
            ),
            "join stretches of nerve between which nothing branches",
        );
        return graph;
    }
    let ids: Vec<String> = graph.segments.iter().map(|s| s.id.clone()).collect();
    let mut begins: Vec<Option<usize>> = Vec::new();
    for (ix, p) in parents.iter().enumerate() {
        for (name, path) in &p.from {
            match graph.by_id.get(name) {
                Some(&from) => graph.segments[ix].from.push(from),
                None => check.unknown(
                    p.file,
                    path,
                    "segment",
                    name,
                    ids.iter().map(String::as_str),
                ),
            }
        }
        begins.push(p.root);
    }
    trace(check, &mut graph, &begins, &parents);
    graph
}

/// What a segment says of its parents, kept until all segments are known.
struct Parents {
    file: &'static str,
    at: Vec<crate::files::Step>,
    from: Vec<(String, Vec<crate::files::Step>)>,
    root: Option<usize>,
}

fn add_plexus_segment(
    check: &mut Checker,
    graph: &mut Graph,
    parents: &mut Vec<Parents>,
    i: usize,
    s: &raw::Segment,
) {
    let root = s.root.as_ref().and_then(|r| {
        let found = graph.roots.iter().position(|x| x == r);
        if found.is_none() {
            let known: Vec<String> = graph.roots.clone();
            check.unknown(
                "plexus.yaml",
                &here!["segments", i, "root"],
                "root",
                r,
                known.iter().map(String::as_str),
            );
        }
        found
    });
    if s.root.is_none() && s.from.is_empty() {
        check.complain(
            "plexus.yaml",
            &here!["segments", i],
            format!(
                "the segment `{}` has neither `root` nor `from`, so no fibre can reach it",
                s.id
            ),
            "add `from: [...]` with the segments it continues",
        );
    }
    insert(
        graph,
        Segment {
            id: s.id.clone(),
            label: s.label.clone(),
            kind: s.kind,
            nerve: s.id.clone(),
            nerve_label: s.label.clone(),
            level: s.level.clone().unwrap_or_default(),
            order: 0,
            from: Vec::new(),
            only_in_variant: s.only_in_variant,
            source: s.source.clone(),
        },
    );
    parents.push(Parents {
        file: "plexus.yaml",
        at: here!["segments", i].to_vec(),
        from: s
            .from
            .iter()
            .enumerate()
            .map(|(k, f)| (f.clone(), here!["segments", i, "from", k].to_vec()))
            .collect(),
        root,
    });
}

fn add_nerve(
    check: &mut Checker,
    graph: &mut Graph,
    parents: &mut Vec<Parents>,
    n: usize,
    nerve: &raw::Nerve,
) {
    if nerve.course.is_empty() {
        check.complain(
            "nerves.yaml",
            &here!["nerves", n, "course"],
            format!("the nerve `{}` has no course", nerve.id),
            "add at least one stretch: {order: 1, id: ..., level: ...}",
        );
    }
    let mut previous: Option<&raw::Stretch> = None;
    let mut segments = Vec::new();
    for (k, stretch) in nerve.course.iter().enumerate() {
        if previous.is_some_and(|p| p.order >= stretch.order) {
            check.complain(
                "nerves.yaml",
                &here!["nerves", n, "course", k, "order"],
                format!(
                    "`{}` is out of level order: {} does not come after the stretch before it",
                    stretch.id, stretch.order
                ),
                "list the stretches from proximal to distal with rising `order`",
            );
        }
        let mut from: Vec<(String, Vec<crate::files::Step>)> = Vec::new();
        match previous {
            Some(p) => from.push((p.id.clone(), here!["nerves", n, "course", k].to_vec())),
            None => from.extend(
                nerve
                    .from
                    .iter()
                    .enumerate()
                    .map(|(j, f)| (f.clone(), here!["nerves", n, "from", j].to_vec())),
            ),
        }
        from.extend(stretch.from.iter().enumerate().map(|(j, f)| {
            (
                f.clone(),
                here!["nerves", n, "course", k, "from", j].to_vec(),
            )
        }));
        segments.push(insert(
            graph,
            Segment {
                id: stretch.id.clone(),
                label: stretch
                    .label
                    .clone()
                    .unwrap_or_else(|| format!("{} {}", nerve.label, stretch.level)),
                kind: SegmentKind::Nerve,
                nerve: nerve.id.clone(),
                nerve_label: nerve.label.clone(),
                level: stretch.level.clone(),
                order: stretch.order,
                from: Vec::new(),
                only_in_variant: false,
                source: nerve.source.clone(),
            },
        ));
        parents.push(Parents {
            file: "nerves.yaml",
            at: here!["nerves", n, "course", k].to_vec(),
            from,
            root: None,
        });
        previous = Some(stretch);
    }
    graph.nerves.push(Nerve {
        id: nerve.id.clone(),
        label: nerve.label.clone(),
        synonyms: nerve.synonyms.clone(),
        course: nerve.relations.clone(),
        segments,
        source: nerve.source.clone(),
    });
}

fn insert(graph: &mut Graph, segment: Segment) -> SegmentIx {
    let ix = graph.segments.len();
    graph.by_id.entry(segment.id.clone()).or_insert(ix);
    graph.segments.push(segment);
    ix
}

/// Follows the fibres down: segments whose parents are all done come next; what is left over is a cycle.
fn trace(check: &mut Checker, graph: &mut Graph, begins: &[Option<usize>], parents: &[Parents]) {
    let n = graph.segments.len();
    graph.paths = vec![Vec::new(); n];
    for (i, s) in graph.segments.iter().enumerate() {
        if s.only_in_variant {
            graph.variant_only.insert(i);
        }
    }
    let mut done = vec![false; n];
    loop {
        let mut moved = false;
        for ix in 0..n {
            if done[ix] || graph.segments[ix].from.iter().any(|&p| !done[p]) {
                continue;
            }
            let mut found: Vec<(usize, SegmentSet)> = Vec::new();
            if let Some(root) = begins[ix] {
                found.push((root, SegmentSet::default()));
            }
            for &p in &graph.segments[ix].from {
                found.extend(graph.paths[p].iter().copied());
            }
            for (_, set) in &mut found {
                set.insert(ix);
            }
            if found.len() > MAX_PATHS {
                check.complain(
                    parents[ix].file,
                    &parents[ix].at,
                    format!(
                        "more than {MAX_PATHS} ways lead to `{}`",
                        graph.segments[ix].id
                    ),
                    "remove bridges between the segments above it",
                );
                found.truncate(MAX_PATHS);
            }
            graph.paths[ix] = found;
            done[ix] = true;
            moved = true;
        }
        if !moved {
            break;
        }
    }
    for ix in (0..n).filter(|&ix| !done[ix]) {
        check.complain(
            parents[ix].file,
            &parents[ix].at,
            format!(
                "the segment `{}` stands in or below a circle: following `from` leads back to it",
                graph.segments[ix].id
            ),
            "fibres run from the root outwards: remove the `from` that points back",
        );
    }
}

impl Graph {
    /// The one path from `root` down to `via` that crosses exactly the variant bridges of `through`.
    ///
    /// # Errors
    /// How many such paths there are, when it is not one.
    pub fn path(
        &self,
        via: SegmentIx,
        root: usize,
        through: &SegmentSet,
    ) -> Result<SegmentSet, usize> {
        let fits = |set: &SegmentSet| {
            (0..self.segments.len())
                .all(|i| !self.variant_only.contains(i) || set.contains(i) == through.contains(i))
        };
        let mut hits = self
            .paths
            .get(via)
            .into_iter()
            .flatten()
            .filter(|(r, set)| *r == root && fits(set));
        match (hits.next(), hits.next()) {
            (Some((_, set)), None) => Ok(*set),
            (None, _) => Err(0),
            _ => Err(2),
        }
    }

    /// The segments of kind rootlets or root in which the fibres of `root` start.
    pub fn root_segments(&self, root: usize) -> SegmentSet {
        let mut set = SegmentSet::default();
        for (ix, s) in self.segments.iter().enumerate() {
            let starts = matches!(s.kind, SegmentKind::Rootlets | SegmentKind::Root);
            if starts
                && self
                    .paths
                    .get(ix)
                    .is_some_and(|p| p.iter().any(|(r, _)| *r == root))
            {
                set.insert(ix);
            }
        }
        set
    }
}
