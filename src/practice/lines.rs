//! How many lines has each question to write on?

use crate::diagnostic::Failure;
use crate::station::Question;

/// For a front of several pages: as many lines as keep to them, and then more where a page ends early and so has room, up to two for a mark.
/// `free` is the room on the last of them.
///
/// # Errors
/// As `fits`.
pub fn widened(
    free: usize,
    questions: &[Question],
    fits: &dyn Fn(&[usize]) -> Result<bool, Failure>,
) -> Result<Vec<usize>, Failure> {
    let mut lines = vec![1; questions.len()];
    for more in (1..=free).rev() {
        let tried = shared_out(questions.len() + more, questions);
        if fits(&tried)? {
            lines = tried;
            break;
        }
    }
    for (i, q) in questions.iter().enumerate() {
        let mut more = lines.clone();
        while more.get(i).is_some_and(|n| *n < 2 * q.marks as usize) {
            if let Some(n) = more.get_mut(i) {
                *n += 1;
            }
            if !fits(&more)? {
                break;
            }
            lines.clone_from(&more);
        }
    }
    Ok(lines)
}

/// Lines to write on, by the marks of each question: one that is drawn needs the most, one that is shaded only a word. No question has
/// none.
pub fn shared_out(lines: usize, questions: &[Question]) -> Vec<usize> {
    let weight = |q: &Question| match q.id.as_str() {
        "draw" => 3 * q.marks,
        "skin" => 1,
        _ => q.marks,
    };
    let mut out = vec![1; questions.len()];
    for _ in questions.len()..lines {
        // Whoever has least for its marks; of equals the first.
        let share = |i: &usize| {
            let (q, n) = (questions.get(*i)?, out.get(*i)?);
            Some(f64::from(weight(q)) / f64::from(*n))
        };
        let least = (0..out.len()).rev().max_by(|a, b| {
            let shares = (share(a).unwrap_or(0.0), share(b).unwrap_or(0.0));
            shares.0.total_cmp(&shares.1)
        });
        if let Some(n) = least.and_then(|i| out.get_mut(i)) {
            *n += 1;
        }
    }
    out.into_iter().map(|n| n as usize).collect()
}
