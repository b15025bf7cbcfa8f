//! Is the pass mark of the whole one that people can live with? Hofstee's compromise between a pass mark and a share of fails.
//!
//! Judges say the lowest and highest pass mark and the lowest and highest share of fails they could accept. The line from (lowest mark,
//! highest share) to (highest mark, lowest share) meets the curve of who would fail at each mark; where it does is the compromise.
//! Hofstee, The case for compromise in educational selection and grading, in Anderson and Helmick (eds), On Educational Testing, 1983.

/// What judges could accept, in per cent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    pub cut: [f64; 2],
    pub fails: [f64; 2],
}

/// Where the curve meets the line: the pass mark and the share that fails there, in per cent. None when they do not meet within the bounds.
///
/// `percents` are the candidates' sums in per cent of what could be had.
pub fn hofstee(percents: &[f64], bounds: Bounds) -> Option<[f64; 2]> {
    let [low, high] = bounds.cut;
    let [fewest, most] = bounds.fails;
    if percents.is_empty() || low >= high || fewest >= most {
        return None;
    }
    let fail_at = |cut: f64| {
        let below = percents.iter().filter(|p| **p < cut).count();
        100.0 * below as f64 / percents.len() as f64
    };
    let fall = (most - fewest) / (high - low);
    let line = |cut: f64| most - fall * (cut - low);
    if fail_at(low) > most || fail_at(high) < fewest {
        return None;
    }
    let mut steps: Vec<f64> = percents
        .iter()
        .copied()
        .filter(|p| (low..high).contains(p))
        .collect();
    steps.sort_by(f64::total_cmp);
    steps.dedup();
    // Between two neighbouring sums the curve is level at what it is at the upper one; it jumps just above each sum.
    let mut from = low;
    for upper in steps.into_iter().chain([high]) {
        let level = fail_at(upper);
        if line(from) <= level {
            // Met in the jump.
            return Some([from, line(from)]);
        }
        let meets = low + (most - level) / fall;
        if meets <= upper {
            return Some([meets, level]);
        }
        from = upper;
    }
    None
}
