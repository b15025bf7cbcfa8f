//! How do marks grow with ratings? The straight line of least squares through points, and how surely it stands where it is read.
//!
//! Slope b = Sxy / Sxx, intercept a = mean(y) - b mean(x), residual variance s² = (Syy - b Sxy) / (n - 2); the standard error of the
//! line at x is s sqrt(1/n + (x - mean(x))² / Sxx). Draper and Smith, Applied Regression Analysis, 3rd ed. 1998, chapter 1.

/// A fitted line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    pub n: usize,
    pub slope: f64,
    pub intercept: f64,
    /// Share of the variance of y that the line accounts for; 1 when y does not vary.
    pub r2: f64,
    /// Standard deviation of the residuals, on n - 2 degrees of freedom.
    pub residual: f64,
    mean_x: f64,
    sxx: f64,
}

/// The line through points (x, y). None for fewer than three, or when all x are the same.
pub fn line(points: &[(f64, f64)]) -> Option<Line> {
    if points.len() < 3 {
        return None;
    }
    let n = points.len() as f64;
    let mean_x = points.iter().map(|p| p.0).sum::<f64>() / n;
    let mean_y = points.iter().map(|p| p.1).sum::<f64>() / n;
    let sum = |f: &dyn Fn(f64, f64) -> f64| -> f64 {
        points.iter().map(|p| f(p.0 - mean_x, p.1 - mean_y)).sum()
    };
    let (sxx, sxy, syy) = (sum(&|x, _| x * x), sum(&|x, y| x * y), sum(&|_, y| y * y));
    if sxx <= 0.0 {
        return None;
    }
    let slope = sxy / sxx;
    // From the residuals themselves: the difference of two large sums would lose its digits.
    let left = sum(&|x, y| (y - slope * x).powi(2));
    Some(Line {
        n: points.len(),
        slope,
        intercept: mean_y - slope * mean_x,
        r2: if syy > 0.0 { 1.0 - left / syy } else { 1.0 },
        residual: (left / (n - 2.0)).sqrt(),
        mean_x,
        sxx,
    })
}

impl Line {
    pub fn at(&self, x: f64) -> f64 {
        self.intercept + self.slope * x
    }

    /// Standard error of the line at x; at 0 that of the intercept.
    pub fn error_at(&self, x: f64) -> f64 {
        let off = x - self.mean_x;
        self.residual * (1.0 / self.n as f64 + off * off / self.sxx).sqrt()
    }

    pub fn slope_error(&self) -> f64 {
        self.residual / self.sxx.sqrt()
    }
}
