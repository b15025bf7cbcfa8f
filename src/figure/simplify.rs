//! Which points of a line can be left out so that no eye tells the difference?

/// A point, and whether it is a control point of a curve.
pub type Node = (f32, f32, bool);

/// Leaves out the corners that stand on the straight between their neighbours (Ramer, Douglas, Peucker); curves stay as they
/// are, as do the first and the last point. `stray`: how far the new line may be from the old.
pub fn simplify(line: &[Node], stray: f32) -> Vec<Node> {
    let mut keep = vec![true; line.len()];
    let mut start = 0;
    for (i, (_, _, control)) in line.iter().enumerate() {
        // A curve begins at the point before its first control point and ends at the one after its last.
        if *control {
            thin(line, start, i.saturating_sub(1), stray, &mut keep);
            start = i + 1;
        }
    }
    thin(line, start, line.len().saturating_sub(1), stray, &mut keep);
    line.iter()
        .zip(keep)
        .filter(|(_, keep)| *keep)
        .map(|(node, _)| *node)
        .collect()
}

/// Marks the corners between two points that can go.
fn thin(line: &[Node], start: usize, end: usize, stray: f32, keep: &mut [bool]) {
    let mut open = vec![(start, end)];
    while let Some((start, end)) = open.pop() {
        let (Some(&a), Some(&b)) = (line.get(start), line.get(end)) else {
            continue;
        };
        if end < start + 2 {
            continue;
        }
        let between = line.get(start + 1..end).unwrap_or_default();
        let (far, most) = between.iter().map(|p| distance(*p, a, b)).enumerate().fold(
            (0, 0.0),
            |best, (i, d)| if d > best.1 { (i, d) } else { best },
        );
        if most > stray {
            let middle = start + 1 + far;
            open.push((start, middle));
            open.push((middle, end));
        } else {
            keep.get_mut(start + 1..end).unwrap_or_default().fill(false);
        }
    }
}

/// From a point to the stretch between two others.
fn distance(p: Node, a: Node, b: Node) -> f32 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = dx * dx + dy * dy;
    let t = if length > 0.0 {
        (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / length).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (p.0 - a.0 - t * dx).hypot(p.1 - a.1 - t * dy)
}

#[cfg(test)]
mod tests {
    use super::*;

    const STRAY: f32 = 0.03;

    fn line(points: &[(f32, f32)]) -> Vec<Node> {
        points.iter().map(|&(x, y)| (x, y, false)).collect()
    }

    #[test]
    fn a_straight_of_many_points_becomes_one_of_two() {
        let many: Vec<_> = (0..50).map(|n| (n as f32, 2.0 * n as f32)).collect();
        assert_eq!(
            simplify(&line(&many), STRAY),
            line(&[(0.0, 0.0), (49.0, 98.0)])
        );
    }

    #[test]
    fn corners_curves_and_closed_lines_keep_their_shape() {
        let corner = line(&[(0.0, 0.0), (5.0, 0.0), (5.0, 5.0), (0.0, 0.0)]);
        assert_eq!(simplify(&corner, STRAY), corner);
        let mut curve = line(&[
            (0.0, 0.0),
            (1.0, 0.0),
            (2.0, 0.0),
            (3.0, 1.0),
            (4.0, 0.0),
            (5.0, 0.0),
            (6.0, 0.0),
        ]);
        curve[2].2 = true;
        curve[3].2 = true;
        assert_eq!(simplify(&curve, STRAY), [&curve[..5], &curve[6..]].concat());
        assert!(simplify(&[], STRAY).is_empty());
    }

    #[test]
    fn a_circle_of_many_corners_strays_less_than_it_may() {
        let round: Vec<_> = (0..=720)
            .map(|n| (n as f32).to_radians() / 2.0)
            .map(|a| (30.0 * a.cos(), 30.0 * a.sin()))
            .collect();
        let fewer = simplify(&line(&round), STRAY);
        assert!(fewer.len() > 20 && fewer.len() < 200, "{}", fewer.len());
        for p in line(&round) {
            let nearest = fewer
                .windows(2)
                .map(|w| distance(p, w[0], w[1]))
                .fold(f32::MAX, f32::min);
            assert!(nearest <= STRAY + 1e-4);
        }
    }
}
