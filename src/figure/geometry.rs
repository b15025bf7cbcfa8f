//! Turns points into smooth lines, smooth lines into short straight ones, and areas into the hatch lines that fill them.

use super::shape::{Node, P, Sub, p};

/// A smooth line through the points; a point written twice in a row is a corner.
pub fn smooth(points: &[P], closed: bool) -> Sub {
    let mut kept: Vec<(P, bool)> = Vec::new();
    for &point in points {
        match kept.last_mut() {
            Some((last, corner)) if *last == point => *corner = true,
            _ => kept.push((point, false)),
        }
    }
    let n = kept.len();
    let mut sub = Sub {
        nodes: Vec::new(),
        closed,
    };
    let Some(&(first, _)) = kept.first() else {
        return sub;
    };
    sub.nodes.push(Node {
        at: first,
        control: false,
    });
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
        let third = distance(a, b) / 3.0;
        let before = at(i - 1).filter(|_| !a_corner);
        let after = at(i + 2).filter(|_| !b_corner);
        let out = before.map_or(direction(a, b), |(z, _)| tangent(z, a, b));
        let arrive = after.map_or(direction(a, b), |(c, _)| tangent(a, b, c));
        sub.bend(
            p(a.x + out.x * third, a.y + out.y * third),
            p(b.x - arrive.x * third, b.y - arrive.y * third),
            b,
        );
    }
    sub
}

fn distance(a: P, b: P) -> f64 {
    ((b.x - a.x).powi(2) + (b.y - a.y).powi(2)).sqrt()
}

fn direction(a: P, b: P) -> P {
    let d = distance(a, b);
    if d == 0.0 {
        p(0.0, 0.0)
    } else {
        p((b.x - a.x) / d, (b.y - a.y) / d)
    }
}

/// Direction of the line in `b` on its way from `a` to `c`: the nearer neighbour counts more, so that a short side next
/// to a long one does not swing out.
fn tangent(a: P, b: P, c: P) -> P {
    let (u, v) = (direction(a, b), direction(b, c));
    let (near, far) = (distance(b, c), distance(a, b));
    direction(
        p(0.0, 0.0),
        p(u.x * near + v.x * far, u.y * near + v.y * far),
    )
}

/// Pieces each curve is cut into: fine enough that no eye sees a corner at the sizes printed.
const PIECES: usize = 8;

/// The line as points between which it is straight; a closed one ends where it began.
pub fn flatten(sub: &Sub) -> Vec<P> {
    let mut points: Vec<P> = Vec::with_capacity(sub.nodes.len() * 3);
    let mut nodes = sub.nodes.iter().peekable();
    while let Some(node) = nodes.next() {
        if !node.control {
            points.push(node.at);
            continue;
        }
        let (Some(&from), Some(second), Some(end)) = (points.last(), nodes.next(), nodes.next())
        else {
            break;
        };
        for k in 1..=PIECES {
            let t = k as f64 / PIECES as f64;
            let s = 1.0 - t;
            let mix = |a: f64, b: f64, c: f64, d: f64| {
                s * s * s * a + 3.0 * s * s * t * b + 3.0 * s * t * t * c + t * t * t * d
            };
            points.push(p(
                mix(from.x, node.at.x, second.at.x, end.at.x),
                mix(from.y, node.at.y, second.at.y, end.at.y),
            ));
        }
    }
    if let (true, Some(&first), Some(&last)) = (sub.closed, points.first(), points.last())
        && first != last
    {
        points.push(first);
    }
    points
}

/// True when the point lies in the closed line (even-odd).
pub fn inside(ring: &[P], point: P) -> bool {
    ring.windows(2)
        .filter(|side| {
            let (a, b) = (side[0], side[1]);
            (a.y > point.y) != (b.y > point.y)
                && point.x < (b.x - a.x) * (point.y - a.y) / (b.y - a.y) + a.x
        })
        .count()
        % 2
        == 1
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

/// Left, top, right and bottom of a box.
type Area = (f64, f64, f64, f64);

/// Hatch lines through an area: inside every ring of `within` and outside every ring of `without`.
pub fn hatch(within: &[&[P]], without: &[&[P]], lean: Lean, apart: f64) -> Vec<Sub> {
    // Turned so that the hatch lies level: `u` along it, `v` across. The factors are those of 45 degrees.
    let half = std::f64::consts::FRAC_1_SQRT_2;
    let turn = |q: P| match lean {
        Lean::Level => q,
        Lean::Up => p((q.x - q.y) * half, (q.x + q.y) * half),
        Lean::Down => p((q.x + q.y) * half, (q.y - q.x) * half),
    };
    let back = |q: P| match lean {
        Lean::Level => q,
        Lean::Up => p((q.x + q.y) * half, (q.y - q.x) * half),
        Lean::Down => p((q.x - q.y) * half, (q.x + q.y) * half),
    };
    let turned = |rings: &[&[P]]| -> Vec<Vec<P>> {
        rings
            .iter()
            .map(|ring| ring.iter().map(|&q| turn(q)).collect())
            .collect()
    };
    let (within, mut without) = (turned(within), turned(without));
    if within.is_empty() {
        return Vec::new();
    }
    // The smallest of the rings bounds the area.
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    for ring in &within {
        let (_, top, _, bottom) = bounds(ring);
        low = low.max(top);
        high = high.min(bottom);
    }
    without.retain(|ring| {
        let (_, top, _, bottom) = bounds(ring);
        top < high && bottom > low
    });
    let mut lines = Vec::new();
    // Lines sit on one grid for the whole picture, so that neighbouring areas of one state run on.
    let mut k = (low / apart).ceil();
    while k * apart <= high {
        let v = k * apart;
        let mut spans: Option<Vec<(f64, f64)>> = None;
        for ring in &within {
            let own = crossings(ring, v);
            spans = Some(match spans {
                None => own,
                Some(spans) => overlap(&spans, &own),
            });
        }
        let mut spans = spans.unwrap_or_default();
        for ring in &without {
            spans = minus(&spans, &crossings(ring, v));
        }
        for (a, b) in spans {
            if b - a > 0.15 {
                lines.push(Sub::line(&[back(p(a, v)), back(p(b, v))]));
            }
        }
        k += 1.0;
    }
    lines
}

/// Where a level line runs inside a ring, as spans from left to right.
fn crossings(ring: &[P], v: f64) -> Vec<(f64, f64)> {
    let mut hits: Vec<f64> = ring
        .windows(2)
        .filter(|s| (s[0].y > v) != (s[1].y > v))
        .map(|s| (s[1].x - s[0].x) * (v - s[0].y) / (s[1].y - s[0].y) + s[0].x)
        .collect();
    hits.sort_by(f64::total_cmp);
    hits.chunks_exact(2).map(|c| (c[0], c[1])).collect()
}

fn overlap(a: &[(f64, f64)], b: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut both = Vec::new();
    for x in a {
        for y in b {
            let (low, high) = (x.0.max(y.0), x.1.min(y.1));
            if low < high {
                both.push((low, high));
            }
        }
    }
    both
}

fn minus(a: &[(f64, f64)], b: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut left = a.to_vec();
    for cut in b {
        left = left
            .into_iter()
            .flat_map(|(low, high)| {
                [(low, high.min(cut.0)), (low.max(cut.1).min(high), high)]
                    .into_iter()
                    .filter(|(l, h)| l < h)
                    .collect::<Vec<_>>()
            })
            .collect();
    }
    left
}

/// The stretches of a line inside every ring of `within` and outside every ring of `without`; the rings are closed.
pub fn clip(line: &[P], within: &[&[P]], without: &[&[P]]) -> Vec<Sub> {
    let boxed = |rings: &[&[P]]| -> Vec<Area> { rings.iter().map(|ring| bounds(ring)).collect() };
    let (within_boxes, without_boxes) = (boxed(within), boxed(without));
    let visible = |q: P| {
        let in_all = within
            .iter()
            .zip(&within_boxes)
            .all(|(ring, area)| near_box(q, *area) && inside(ring, q));
        in_all
            && !without
                .iter()
                .zip(&without_boxes)
                .any(|(ring, area)| near_box(q, *area) && inside(ring, q))
    };
    // Only sides near the line can cross it.
    let around = bounds(line);
    let near: Vec<(P, P)> = within
        .iter()
        .chain(without)
        .filter(|ring| overlap_of(bounds(ring), around))
        .flat_map(|ring| ring.windows(2))
        .map(|side| (side[0], side[1]))
        .filter(|&(c, d)| meets_box(c, d, around))
        .collect();
    // Neighbours on a ring lie together: most are passed over a handful at a time.
    let handfuls: Vec<(Area, &[(P, P)])> = near
        .chunks(8)
        .map(|some| {
            let ends: Vec<P> = some.iter().flat_map(|&(c, d)| [c, d]).collect();
            (bounds(&ends), some)
        })
        .collect();
    let mut parts: Vec<Vec<P>> = Vec::new();
    let mut running = false;
    for (i, side) in line.windows(2).enumerate() {
        let (a, b) = (side[0], side[1]);
        let mix = |t: f64| p(a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t);
        let here = bounds(side);
        let mut cuts: Vec<f64> = handfuls
            .iter()
            .filter(|(area, _)| overlap_of(*area, here))
            .flat_map(|(_, some)| *some)
            .filter_map(|&(c, d)| crossing(a, b, c, d))
            .collect();
        let crossed = !cuts.is_empty();
        cuts.extend([0.0, 1.0]);
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.windows(2).filter(|pair| pair[1] > pair[0]) {
            // Between two crossings a line is wholly seen or wholly hidden.
            let seen = if crossed || i == 0 {
                visible(mix((pair[0] + pair[1]) / 2.0))
            } else {
                running
            };
            if seen {
                match parts.last_mut().filter(|_| running) {
                    Some(part) => part.push(mix(pair[1])),
                    None => parts.push(vec![mix(pair[0]), mix(pair[1])]),
                }
            }
            running = seen;
        }
    }
    parts.iter().map(|part| Sub::line(part)).collect()
}

/// False when the point lies so far outside the box of a closed line that it cannot be inside the line.
fn near_box(q: P, (left, top, right, bottom): Area) -> bool {
    const CLEAR: f64 = 1e-6;
    q.x > left - CLEAR && q.x < right + CLEAR && q.y > top - CLEAR && q.y < bottom + CLEAR
}

/// True when two boxes share a point.
fn overlap_of(a: Area, b: Area) -> bool {
    a.0 <= b.2 && b.0 <= a.2 && a.1 <= b.3 && b.1 <= a.3
}

/// Left, top, right and bottom of a line.
fn bounds(line: &[P]) -> Area {
    line.iter().fold(
        (
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        ),
        |(left, top, right, bottom), q| {
            (left.min(q.x), top.min(q.y), right.max(q.x), bottom.max(q.y))
        },
    )
}

/// Where on the side from `a` to `b`, 0 to 1, the side from `c` to `d` crosses it.
fn crossing(a: P, b: P, c: P, d: P) -> Option<f64> {
    if c.x.max(d.x) < a.x.min(b.x)
        || c.x.min(d.x) > a.x.max(b.x)
        || c.y.max(d.y) < a.y.min(b.y)
        || c.y.min(d.y) > a.y.max(b.y)
    {
        return None;
    }
    let (r, s) = (p(b.x - a.x, b.y - a.y), p(d.x - c.x, d.y - c.y));
    let turn = r.x * s.y - r.y * s.x;
    if turn == 0.0 {
        return None;
    }
    let (x, y) = (c.x - a.x, c.y - a.y);
    let (t, u) = ((x * s.y - y * s.x) / turn, (x * r.y - y * r.x) / turn);
    ((0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u)).then_some(t)
}

/// True when the straight line from `a` to `b` comes within the box.
pub fn meets_box(a: P, b: P, area: Area) -> bool {
    let (left, top, right, bottom) = area;
    // Liang and Barsky's clipping: the part of the line between the four edges.
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for (step, room) in [
        (-dx, a.x - left),
        (dx, right - a.x),
        (-dy, a.y - top),
        (dy, bottom - a.y),
    ] {
        if step == 0.0 {
            if room < 0.0 {
                return false;
            }
        } else if step < 0.0 {
            enter = enter.max(room / step);
        } else {
            leave = leave.min(room / step);
        }
    }
    enter <= leave
}
