//! Turns roots, trunks, cords and nerve courses into one directed graph, and the graph into the paths fibres take.

use super::check::{At, Checker, Names};
use super::model::{KindOfSegment, Nerve, Segment, SegmentIx, SegmentKind, SegmentSet};
use super::raw;
use crate::diagnostic::short;

/// The graph of a region while it is being built.
pub struct Graph {
    pub roots: Names,
    pub segments: Vec<Segment>,
    /// Ids of the segments.
    pub names: Names,
    pub nerves: Vec<Nerve>,
    /// For each segment, every way fibres come down to it: the root and the segments passed.
    paths: Vec<Vec<(usize, SegmentSet)>>,
    variant_only: SegmentSet,
}

/// More ways than this into one segment means a tangle nobody drew on purpose.
const MAX_PATHS: usize = 200;

/// Where a segment says that its fibres come from, kept until all segments are known.
struct Parents {
    at: At,
    from: Vec<(String, At)>,
}

/// Builds the graph; complains of unknown segments, cycles and branches out of order.
pub fn build(
    check: &mut Checker,
    roots: &[String],
    kinds: &[KindOfSegment],
    plexus: &[raw::Segment],
    nerves: &[raw::Nerve],
) -> Graph {
    let mut graph = Graph {
        roots: Names::new("root", roots.iter().map(String::as_str)),
        segments: Vec::new(),
        names: Names::new("segment", []),
        nerves: Vec::new(),
        paths: Vec::new(),
        variant_only: SegmentSet::default(),
    };
    let known = Names::new("kind of segment", kinds.iter().map(|k| k.id.as_str()));
    // Without kinds nothing hangs together, and that has been complained of.
    let Some(named) = kinds.iter().find(|k| k.kind.named).map(|k| k.kind) else {
        return graph;
    };
    let mut parents: Vec<Parents> = Vec::new();
    for (i, s) in plexus.iter().enumerate() {
        let at = At::entry::<raw::Segment>(i);
        let kind = known.find(check, &at.key("kind"), &s.kind);
        let kind = kind.map_or(named, |k| kinds[k].kind);
        parents.push(add_plexus_segment(check, &mut graph, at, s, kind));
    }
    for (n, nerve) in nerves.iter().enumerate() {
        let at = At::entry::<raw::Nerve>(n);
        add_nerve(check, &mut graph, &mut parents, &at, nerve, named);
    }
    if graph.segments.len() > SegmentSet::CAPACITY {
        check.complain(
            &At::list::<raw::Nerve>(),
            format!(
                "{} segments are more than the {} a region can hold",
                graph.segments.len(),
                SegmentSet::CAPACITY
            ),
            "join stretches of nerve between which nothing branches",
        );
        return graph;
    }
    for (ix, p) in parents.iter().enumerate() {
        for (name, at) in &p.from {
            let from = graph.names.find(check, at, name);
            graph.segments[ix].from.extend(from);
        }
    }
    trace(check, &mut graph, &parents);
    graph
}

fn add_plexus_segment(
    check: &mut Checker,
    graph: &mut Graph,
    at: At,
    s: &raw::Segment,
    kind: SegmentKind,
) -> Parents {
    let root = s
        .root
        .as_ref()
        .and_then(|r| graph.roots.find(check, &at.key("root"), r));
    if s.root.is_none() && s.from.is_empty() {
        check.complain(
            &at,
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
            kind,
            nerve: s.id.clone(),
            nerve_label: s.label.clone(),
            level: s.level.clone().unwrap_or_default(),
            order: 0,
            from: Vec::new(),
            root,
            posterior: s.posterior,
            only_in_variant: s.only_in_variant,
            source: s.source.clone(),
        },
    );
    Parents {
        from: listed(&s.from, &at).collect(),
        at,
    }
}

/// The segments of a key `from`, each with its place.
fn listed<'f>(from: &'f [String], at: &At) -> impl Iterator<Item = (String, At)> + use<'f> {
    let at = at.key("from");
    from.iter()
        .enumerate()
        .map(move |(k, f)| (f.clone(), at.key(k)))
}

fn add_nerve(
    check: &mut Checker,
    graph: &mut Graph,
    parents: &mut Vec<Parents>,
    at: &At,
    nerve: &raw::Nerve,
    kind: SegmentKind,
) {
    if nerve.course.is_empty() {
        check.complain(
            &at.key("course"),
            format!("the nerve `{}` has no course", nerve.id),
            "add at least one stretch: {order: 1, id: ..., level: ...}",
        );
    }
    let mut previous: Option<&raw::Stretch> = None;
    let mut segments = Vec::new();
    for (k, stretch) in nerve.course.iter().enumerate() {
        let here = at.key("course").key(k);
        if graph.names.get(&stretch.id).is_some() {
            check.complain(
                &here.key("id"),
                format!("the segment id `{}` is used twice", short(&stretch.id)),
                "give one of the two another id",
            );
        }
        if previous.is_some_and(|p| p.order >= stretch.order) {
            check.complain(
                &here.key("order"),
                format!(
                    "`{}` is out of level order: {} does not come after the stretch before it",
                    stretch.id, stretch.order
                ),
                "list the stretches from proximal to distal with rising `order`",
            );
        }
        let mut from: Vec<(String, At)> = match previous {
            Some(p) => vec![(p.id.clone(), here.clone())],
            None => listed(&nerve.from, at).collect(),
        };
        from.extend(listed(&stretch.from, &here));
        segments.push(insert(graph, stretch_of(nerve, stretch, kind)));
        parents.push(Parents { at: here, from });
        previous = Some(stretch);
    }
    graph.nerves.push(Nerve {
        id: nerve.id.clone(),
        label: nerve.label.clone(),
        synonyms: nerve.synonyms.clone(),
        bound_in: nerve.bound_in.clone(),
        course: nerve.relations.clone(),
        segments,
        source: nerve.source.clone(),
    });
}

fn stretch_of(nerve: &raw::Nerve, stretch: &raw::Stretch, kind: SegmentKind) -> Segment {
    let label = stretch.label.clone();
    Segment {
        id: stretch.id.clone(),
        label: label.unwrap_or_else(|| format!("{} {}", nerve.label, stretch.level)),
        kind,
        nerve: nerve.id.clone(),
        nerve_label: nerve.label.clone(),
        level: stretch.level.clone(),
        order: stretch.order,
        from: Vec::new(),
        root: None,
        posterior: false,
        only_in_variant: false,
        source: nerve.source.clone(),
    }
}

fn insert(graph: &mut Graph, segment: Segment) -> SegmentIx {
    let ix = graph.segments.len();
    graph.names.add(&segment.id);
    graph.segments.push(segment);
    ix
}

/// Follows the fibres down: segments whose parents are all done come next; what is left over is a cycle.
fn trace(check: &mut Checker, graph: &mut Graph, parents: &[Parents]) {
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
            if let Some(root) = graph.segments[ix].root {
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
    /// The one path from `root` down to `via` that passes all of `through` and crosses no other variant bridge.
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
            (0..self.segments.len()).all(|i| match through.contains(i) {
                true => set.contains(i),
                false => !(set.contains(i) && self.variant_only.contains(i)),
            })
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

    /// The root and its rootlets, in which the fibres of `root` start.
    pub fn root_segments(&self, root: usize) -> SegmentSet {
        let mut set = SegmentSet::default();
        for (ix, s) in self.segments.iter().enumerate() {
            if s.kind.root
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
