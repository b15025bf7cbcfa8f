//! Can everything in a picture be read? Tells the labels that overlap, cross lines or leave the picture.

use super::geometry::{flatten, sides};
use super::shape::{Figure, Label};
use kurbo::{Line, PathSeg, Rect, Shape};

/// Everything that a label runs into, as sentences.
pub fn collisions(figure: &Figure) -> Vec<String> {
    let mut found = Vec::new();
    let labels: Vec<(&Label, Rect)> = figure.labels().map(|l| (l, l.area())).collect();
    let picture = Rect::new(0.0, 0.0, figure.width_mm, figure.height_mm);
    for (i, (label, area)) in labels.iter().enumerate() {
        if !picture.contains_rect(*area) {
            found.push(format!("\u{201c}{}\u{201d} leaves the picture", label.text));
        }
        for (other, its_area) in labels.iter().skip(i + 1) {
            if area.intersect(*its_area).area() > 0.0 {
                found.push(format!(
                    "\u{201c}{}\u{201d} overlaps \u{201c}{}\u{201d}",
                    label.text, other.text
                ));
            }
        }
    }
    let mut crossed = vec![false; labels.len()];
    for path in figure.paths() {
        let Some(stroke) = path.stroke else {
            continue;
        };
        let half = stroke.width / 2.0;
        // No line leaves the box of its points, but for what rounding does.
        let reach = path.line.control_box().inflate(1e-6, 1e-6);
        let mut near: Vec<(Rect, &mut bool)> = labels
            .iter()
            .zip(&mut crossed)
            .map(|((_, area), crossed)| (area.inflate(half, half), crossed))
            .filter(|(area, crossed)| !**crossed && area.overlaps(reach))
            .collect();
        if near.is_empty() {
            continue;
        }
        for side in sides(&flatten(&path.line)) {
            let around = side.bounding_box();
            for (area, crossed) in &mut near {
                **crossed = **crossed || (area.overlaps(around) && meets(side, *area));
            }
        }
    }
    for ((label, _), _) in labels.iter().zip(crossed).filter(|(_, crossed)| *crossed) {
        found.push(format!("a line crosses \u{201c}{}\u{201d}", label.text));
    }
    found
}

/// True when the line comes within the box.
fn meets(side: Line, area: Rect) -> bool {
    let crosses = |edge: PathSeg| !edge.intersect_line(side).is_empty();
    area.contains(side.p0) || area.path_segments(0.0).any(crosses)
}

/// Contrast of two greys by the formula of the Web Content Accessibility Guidelines 2.2 (W3C, 2023), 1 to 21.
pub fn contrast(a: f64, b: f64) -> f64 {
    let luminance = |grey: f64| {
        if grey <= 0.04045 {
            grey / 12.92
        } else {
            ((grey + 0.055) / 1.055).powf(2.4)
        }
    };
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}
