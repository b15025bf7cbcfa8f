//! Where does a smooth line run, which part of it is seen, and which hatch lines fill an area?

use super::shape::{P, line, p};
use kurbo::{Affine, BezPath, Line, ParamCurve, PathSeg, Rect, Shape, Vec2};
use std::f64::consts::FRAC_1_SQRT_2;

/// A smooth line through the points; a point written twice in a row is a corner.
pub fn smooth(through: &[P], closed: bool) -> BezPath {
    let mut kept: Vec<(P, bool)> = Vec::new();
    for &point in through {
        match kept.last_mut() {
            Some((last, corner)) if *last == point => *corner = true,
            _ => kept.push((point, false)),
        }
    }
    let n = kept.len();
    let mut path = BezPath::new();
    let Some(&(first, _)) = kept.first() else {
        return path;
    };
    path.move_to(first);
    let at = |i: isize| -> Option<(P, bool)> {
        if closed {
            kept.get(i.rem_euclid(n as isize) as usize).copied()
        } else {
            usize::try_from(i).ok().and_then(|i| kept.get(i)).copied()
        }
    };
    let steps = if closed { n } else { n.saturating_sub(1) };
    for i in 0..steps as isize {
        let (Some((a, a_corner)), Some((b, b_corner))) = (at(i), at(i + 1)) else {
            continue;
        };
        let third = a.distance(b) / 3.0;
        let before = at(i - 1).filter(|_| !a_corner);
        let after = at(i + 2).filter(|_| !b_corner);
        let out = before.map_or(direction(b - a), |(z, _)| tangent(z, a, b));
        let arrive = after.map_or(direction(b - a), |(c, _)| tangent(a, b, c));
        path.curve_to(a + out * third, b - arrive * third, b);
    }
    if closed {
        path.close_path();
    }
    path
}

fn direction(way: Vec2) -> Vec2 {
    if way == Vec2::ZERO {
        way
    } else {
        way.normalize()
    }
}

/// Direction of the line in `b` on its way from `a` to `c`: the nearer neighbour counts more, so that a short side next
/// to a long one does not swing out.
fn tangent(a: P, b: P, c: P) -> Vec2 {
    direction(direction(b - a) * b.distance(c) + direction(c - b) * a.distance(b))
}

/// Pieces each curve is cut into: fine enough that no eye sees a corner at the sizes printed.
const PIECES: usize = 8;

/// The line as straight ones; a closed one ends where it began.
pub fn flatten(path: &BezPath) -> BezPath {
    let mut flat = BezPath::new();
    let mut end = None;
    for part in path.segments() {
        if end != Some(part.start()) {
            flat.move_to(part.start());
        }
        let pieces = match part {
            PathSeg::Line(_) => 1,
            _ => PIECES,
        };
        for k in 1..=pieces {
            flat.line_to(part.eval(k as f64 / pieces as f64));
        }
        end = Some(part.end());
    }
    flat
}

/// The straight lines of a flat path.
pub fn sides(flat: &BezPath) -> impl Iterator<Item = Line> {
    flat.segments()
        .map(|side| Line::new(side.start(), side.end()))
}

/// How far a hatch leans.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lean {
    /// Rising to the right.
    Up,
    /// Falling to the right.
    Down,
    Level,
}

/// A hatch line shorter than this is a speck.
const SPECK: f64 = 0.15;

/// Hatch lines through an area: inside every ring of `within` and outside every ring of `without`.
pub fn hatch(within: &[&BezPath], without: &[&BezPath], lean: Lean, apart: f64) -> BezPath {
    // Turned so that the hatch lies level. The factors are those of 45 degrees.
    let h = FRAC_1_SQRT_2;
    let rotation = |cos: f64, sin: f64| Affine::new([cos, sin, -sin, cos, 0.0, 0.0]);
    let (turn, back) = match lean {
        Lean::Level => (Affine::IDENTITY, Affine::IDENTITY),
        Lean::Up => (rotation(h, h), rotation(h, -h)),
        Lean::Down => (rotation(h, -h), rotation(h, h)),
    };
    let turned = |rings: &[&BezPath]| -> Vec<Ring> {
        let all = rings.iter().map(|&ring| turn * ring.clone());
        all.map(Ring::of).collect()
    };
    let (within, without) = (turned(within), turned(without));
    let boxes = within.iter().map(|ring| ring.area);
    // The smallest of the rings bounds the area.
    let Some(area) = boxes.reduce(|a, b| a.intersect(b)) else {
        return BezPath::new();
    };
    let (within, without) = (within.iter().collect(), without.iter());
    let clipper = Clipper::new(area.inflate(1.0, apart), within, without);
    let mut lines = BezPath::new();
    // Lines sit on one grid for the whole picture, so that neighbouring areas of one state run on.
    let mut k = (area.y0 / apart).ceil();
    while k * apart <= area.y1 {
        let v = k * apart;
        let level = line(&[p(area.x0 - 1.0, v), p(area.x1 + 1.0, v)]);
        for part in clipper.seen(&level) {
            if let (Some(a), Some(b)) = (part.first(), part.last())
                && b.x - a.x > SPECK
            {
                lines.extend(line(&[back * *a, back * *b]));
            }
        }
        k += 1.0;
    }
    lines
}

/// The stretches of a closed line inside the ring `within` and outside every ring of `without`.
pub fn clip<'r>(
    around: &Ring,
    within: &'r Ring,
    without: impl Iterator<Item = &'r Ring>,
) -> BezPath {
    let clipper = Clipper::new(around.area, vec![within], without);
    let mut all = BezPath::new();
    for part in clipper.seen(&around.flat) {
        all.extend(line(&part));
    }
    all
}

/// A closed flat line with the box around it, and its sides by handfuls: neighbours lie together, and most are passed over at once.
pub struct Ring {
    pub flat: BezPath,
    area: Rect,
    sides: Vec<Line>,
    handfuls: Vec<Rect>,
}

impl Ring {
    const HANDFUL: usize = 8;

    /// Of a closed flat line.
    pub fn of(flat: BezPath) -> Ring {
        let sides: Vec<Line> = sides(&flat).collect();
        Ring {
            area: flat.control_box(),
            flat,
            handfuls: sides.chunks(Ring::HANDFUL).filter_map(around).collect(),
            sides,
        }
    }

    /// The sides of the handfuls that pass the test by their boxes.
    fn sides(&self, near: impl Fn(&Rect) -> bool) -> impl Iterator<Item = &Line> {
        let all = self.handfuls.iter().zip(self.sides.chunks(Ring::HANDFUL));
        all.filter(move |(area, _)| near(area))
            .flat_map(|(_, some)| some)
    }

    /// True when the point lies in the line (even-odd).
    fn holds(&self, point: P) -> bool {
        let crossed = |side: &&Line| {
            let (a, b) = (side.p0, side.p1);
            (a.y > point.y) != (b.y > point.y)
                && point.x < (b.x - a.x) * (point.y - a.y) / (b.y - a.y) + a.x
        };
        let level = |area: &Rect| area.y0 <= point.y && point.y <= area.y1;
        // What lies far outside the box of a closed line cannot be inside the line.
        widened(self.area).contains(point) && self.sides(level).filter(crossed).count() % 2 == 1
    }
}

/// A box with room for what rounding does.
fn widened(area: Rect) -> Rect {
    area.inflate(1e-6, 1e-6)
}

struct Clipper<'r> {
    within: Vec<&'r Ring>,
    without: Vec<&'r Ring>,
}

impl<'r> Clipper<'r> {
    /// For lines in the box `reach`: what lies apart from it hides none of them.
    fn new(
        reach: Rect,
        within: Vec<&'r Ring>,
        without: impl Iterator<Item = &'r Ring>,
    ) -> Clipper<'r> {
        Clipper {
            within,
            without: without
                .filter(|ring| widened(ring.area).overlaps(reach))
                .collect(),
        }
    }

    fn visible(&self, point: P) -> bool {
        let inside = |ring: &&Ring| ring.holds(point);
        self.within.iter().all(inside) && !self.without.iter().any(inside)
    }

    /// The stretches of a flat line that can be seen, each by its points.
    fn seen(&self, flat: &BezPath) -> Vec<Vec<P>> {
        let mut parts: Vec<Vec<P>> = Vec::new();
        let mut running = None;
        for side in sides(flat) {
            let here = side.bounding_box();
            let near = |area: &Rect| area.overlaps(here);
            let rings = self.within.iter().chain(&self.without);
            let mut cuts: Vec<f64> = rings
                .filter(|ring| near(&ring.area))
                .flat_map(|ring| ring.sides(near))
                .filter(|other| other.bounding_box().overlaps(here))
                .flat_map(|other| PathSeg::Line(*other).intersect_line(side))
                .map(|crossing| crossing.line_t)
                .collect();
            let crossed = !cuts.is_empty();
            cuts.extend([0.0, 1.0]);
            cuts.sort_by(f64::total_cmp);
            for pair in cuts.windows(2).filter(|pair| pair[1] > pair[0]) {
                // Between two crossings a line is wholly seen or wholly hidden.
                let seen = match running {
                    Some(seen) if !crossed => seen,
                    _ => self.visible(side.eval((pair[0] + pair[1]) / 2.0)),
                };
                if seen {
                    match parts.last_mut().filter(|_| running == Some(true)) {
                        Some(part) => part.push(side.eval(pair[1])),
                        None => parts.push(vec![side.eval(pair[0]), side.eval(pair[1])]),
                    }
                }
                running = Some(seen);
            }
        }
        parts
    }
}

fn around(lines: &[Line]) -> Option<Rect> {
    let boxes = lines.iter().map(Shape::bounding_box);
    boxes.reduce(|a, b| a.union(b))
}
