//! Turns a share of surviving fibres into a power grade, and doubt about the share into a probability.
//!
//! No study gives the grade of a muscle from the share of its fibres; the mapping is ours, set between these marks
//! (Beasley and Sharrard from memory, to be checked against print; the others' abstracts were read):
//! - Beasley WC, Arch Phys Med Rehabil 1961;42:398-425: muscles graded 3 held about 10-20 % of normal force, graded 4 about 40-50 %,
//!   and many graded 5 well under the full force.
//! - MacAvoy MC, Green DP, J Hand Surg Am 2007;32:149-53: grade 4 covers more than 96 % of the strength of elbow flexion.
//! - Dvir Z, Clin Rehabil 1997;11:36-41: lifting the limb (grade 3) takes 7-10 % of full strength at the elbow, 7-27 % at the shoulder; Sato H
//!   et al., J Jpn Phys Ther Assoc 1999;2:1-5: 5 % at the knee; Schreuders TA, Stam HJ 1996: 12 % at the knuckles.
//! - Sharrard WJ, J Bone Joint Surg Br 1955;37:540-58: a muscle is paralysed once only a few per cent of its motor neurones are left.

/// A share below the first figure has the grade beside it; 0.80 and above is grade 5.
pub const POWER: [(f64, u8); 5] = [(0.02, 0), (0.05, 1), (0.12, 2), (0.20, 3), (0.80, 4)];
/// Sensation: lost below the first share, reduced below the second.
pub const SENSATION: (f64, f64) = (0.10, 0.75);
/// Tendon reflex: absent below the first share, reduced below the second.
pub const REFLEX: (f64, f64) = (0.25, 0.80);
/// A finding decides a mark when its probability is at least `DECIDES` or at most `1 - DECIDES`; between, it is variable.
pub const DECIDES: f64 = 0.85;
/// Doubt about a share `s` made of root shares, as a standard deviation: `DOUBT * sqrt(s (1 - s))`; 0.10 at one half, none at 0 and 1,
/// where no root share matters. Our judgement of how far tables of root shares differ.
pub const DOUBT: f64 = 0.20;

/// MRC grade 0-5 of a surviving share 0-1.
pub fn grade(share: f64) -> u8 {
    POWER
        .iter()
        .find(|(below, _)| share < *below)
        .map_or(5, |(_, g)| *g)
}

/// The share below which power is at most `grade`.
pub fn limit(grade: u8) -> f64 {
    POWER
        .iter()
        .find(|(_, g)| *g == grade)
        .map_or(f64::INFINITY, |(below, _)| *below)
}

/// Chance 0-1 that a share known as `share` is truly below `limit`.
pub fn chance_below(share: f64, limit: f64) -> f64 {
    let sd = DOUBT * (share * (1.0 - share)).max(0.0).sqrt();
    if sd < 1e-6 {
        return f64::from(u8::from(share < limit));
    }
    normal((limit - share) / sd)
}

/// Standard normal distribution function (Abramowitz and Stegun 7.1.26, error below 2e-7).
fn normal(z: f64) -> f64 {
    let x = z.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * x);
    let poly = t
        * (0.254_829_592
            + t * (-0.284_496_736
                + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    let upper = 0.5 * poly * (-x * x).exp();
    if z >= 0.0 { 1.0 - upper } else { upper }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Quantiles of the standard normal distribution: any table.
    #[test]
    fn the_normal_distribution_is_the_tabulated_one() {
        for (z, p) in [
            (0.0, 0.5),
            (1.0, 0.841_345),
            (1.96, 0.975_002),
            (-1.644_854, 0.05),
        ] {
            assert!((normal(z) - p).abs() < 2e-6, "{z}");
        }
    }

    #[test]
    fn grades_rise_with_the_share_and_certainty_is_kept_at_the_ends() {
        assert_eq!(
            [0.0, 0.03, 0.1, 0.15, 0.5, 0.9].map(grade),
            [0, 1, 2, 3, 4, 5]
        );
        assert!((chance_below(0.0, 0.8) - 1.0).abs() < 1e-12);
        assert!(chance_below(1.0, 0.8).abs() < 1e-12);
        assert!((chance_below(0.8, 0.8) - 0.5).abs() < 1e-6);
    }
}
