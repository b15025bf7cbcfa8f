//! Turns a figure into the list of what would make it hard to read: labels that overlap, cross lines or leave the picture.

use super::geometry::{flatten, meets_box};
use super::shape::{Figure, Label};

/// Everything that a label runs into, as sentences.
pub fn collisions(figure: &Figure) -> Vec<String> {
    let mut found = Vec::new();
    let labels: Vec<&Label> = figure.labels().collect();
    for (i, label) in labels.iter().enumerate() {
        let (left, top, right, bottom) = label.area();
        if left < 0.0 || top < 0.0 || right > figure.width_mm || bottom > figure.height_mm {
            found.push(format!("\u{201c}{}\u{201d} leaves the picture", label.text));
        }
        for other in labels.iter().skip(i + 1) {
            let (l, t, r, b) = other.area();
            if l < right && r > left && t < bottom && b > top {
                found.push(format!(
                    "\u{201c}{}\u{201d} overlaps \u{201c}{}\u{201d}",
                    label.text, other.text
                ));
            }
        }
    }
    let areas: Vec<(f64, f64, f64, f64)> = labels.iter().map(|l| l.area()).collect();
    let mut crossed = vec![false; labels.len()];
    for path in figure.paths() {
        let Some(stroke) = path.stroke else {
            continue;
        };
        let half = stroke.width / 2.0;
        for side in path
            .subs
            .iter()
            .map(flatten)
            .flat_map(|points| points.windows(2).map(|w| (w[0], w[1])).collect::<Vec<_>>())
        {
            let (a, b) = side;
            let (low, high) = (a.y.min(b.y) - half, a.y.max(b.y) + half);
            for (&(left, top, right, bottom), crossed) in areas.iter().zip(&mut crossed) {
                if low < bottom
                    && high > top
                    && meets_box(a, b, (left - half, top - half, right + half, bottom + half))
                {
                    *crossed = true;
                }
            }
        }
    }
    for (label, _) in labels.iter().zip(crossed).filter(|(_, crossed)| *crossed) {
        found.push(format!("a line crosses \u{201c}{}\u{201d}", label.text));
    }
    found
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
