//! What went wrong? A message a teacher can act on: where it is, what is wrong, what to change, and the exit code.

use std::collections::HashSet;
use std::fmt;

/// A place in a text file. Lines and columns count from 1, columns in characters.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    pub file: String,
    pub line: usize,
    pub column: usize,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}", self.file, self.line, self.column)
    }
}

/// One thing that is wrong, where it is, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    pub place: Option<Place>,
    pub message: String,
    /// What to change, as an instruction; empty when the message says it all.
    pub hint: String,
}

impl Problem {
    pub fn new(message: impl Into<String>) -> Self {
        Problem {
            place: None,
            message: message.into(),
            hint: String::new(),
        }
    }

    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = hint.into();
        self
    }

    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        self.place = Some(place);
        self
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = &self.place {
            write!(f, "{place}: ")?;
        }
        write!(f, "{}", self.message)?;
        if !self.hint.is_empty() {
            write!(f, "\n  hint: {}", self.hint)?;
        }
        Ok(())
    }
}

/// How a hint begins that names the word which was probably meant.
pub const NEAR: &str = "did you mean";

/// Nobody mends more at a time.
pub const MOST_SHOWN: usize = 50;

/// Why a command stopped; each kind has its own exit code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Failure {
    /// The content reads well but says something wrong (exit code 1). All problems at once.
    Content(Vec<Problem>),
    /// An argument or an input file cannot be understood (exit code 2).
    Usage(Box<Problem>),
    /// Several input files cannot be understood (exit code 2). One problem a file.
    Unreadable(Vec<Problem>),
    /// A file could not be read or written (exit code 3).
    Disk(Box<Problem>),
}

impl Failure {
    pub fn usage(problem: Problem) -> Self {
        Failure::Usage(Box::new(problem))
    }

    pub fn disk(problem: Problem) -> Self {
        Failure::Disk(Box::new(problem))
    }

    pub fn content(problem: Problem) -> Self {
        Failure::Content(vec![problem])
    }

    /// Several failures as one: a disk that fails alone; else everything that cannot be understood (then the exit code is 2)
    /// and everything that is wrong, each problem once. `None` when there are none.
    pub fn of_all(failures: Vec<Failure>) -> Option<Failure> {
        let unreadable = failures.iter().any(|f| f.exit_code() == 2);
        let mut problems: Vec<Problem> = Vec::new();
        for failure in failures {
            if failure.exit_code() == 3 {
                return Some(failure);
            }
            problems.extend_from_slice(failure.problems());
        }
        let mut seen = HashSet::new();
        problems.retain(|p| seen.insert(p.to_string()));
        match (problems.is_empty(), unreadable) {
            (true, _) => None,
            (false, true) => Some(Failure::Unreadable(problems)),
            (false, false) => Some(Failure::Content(problems)),
        }
    }

    pub fn exit_code(&self) -> u8 {
        match self {
            Failure::Content(_) => 1,
            Failure::Usage(_) | Failure::Unreadable(_) => 2,
            Failure::Disk(_) => 3,
        }
    }

    /// The problems that are shown, and how many more there are.
    pub fn shown(&self) -> (&[Problem], usize) {
        let all = self.problems();
        let shown = &all[..all.len().min(MOST_SHOWN)];
        (shown, all.len() - shown.len())
    }

    pub fn problems(&self) -> &[Problem] {
        match self {
            Failure::Content(all) | Failure::Unreadable(all) => all,
            Failure::Usage(one) | Failure::Disk(one) => std::slice::from_ref(one),
        }
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.problems().iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Failure {}

/// Words at least this much alike (Jaro and Winkler, 0 to 1) may be a slip of each other.
const ALIKE: f64 = 0.82;

/// The known word closest to `word`, when one is close enough to be meant.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let folded = fold(word);
    let length = folded.chars().count();
    let slips = 1 + length / 5;
    let letters = histogram(&folded);
    known
        .into_iter()
        .filter_map(|k| {
            let other = fold(k);
            if !worth_a_look(length, &letters, slips, &other) {
                return None;
            }
            let distance = strsim::osa_distance(&folded, &other);
            let alike = strsim::jaro_winkler(&folded, &other);
            let close = distance <= slips || alike >= ALIKE;
            close.then(|| (alike - distance as f64 / 20.0, k))
        })
        .max_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(b.1)))
        .map(|(_, k)| k)
}

/// How often each letter stands in a word; what is no letter of ASCII counts as one.
fn histogram(word: &str) -> [u8; 128] {
    let mut all = [0u8; 128];
    for c in word.chars() {
        let at = if c.is_ascii() { c as usize } else { 0 };
        all[at] = all[at].saturating_add(1);
    }
    all
}

/// Whether the letters in common allow one of the two measures to call the words alike: both are slow, and twenty thousand bad ids
/// are compared with every known one.
fn worth_a_look(length: usize, letters: &[u8; 128], slips: usize, other: &str) -> bool {
    let theirs = histogram(other);
    let count = other.chars().count();
    let common: usize = letters
        .iter()
        .zip(&theirs)
        .map(|(a, b)| usize::from(*a.min(b)))
        .sum();
    if length.max(count) - common <= slips {
        return true;
    }
    // Jaro counts no more letters than there are in common, and a common start adds at most 0.4 of what is left to 1.
    let common = common as f64;
    let jaro = (common / length.max(1) as f64 + common / count.max(1) as f64 + 1.0) / 3.0;
    jaro + 0.4 * (1.0 - jaro) >= ALIKE
}

/// "did you mean `x`?", or where to look when nothing is close.
pub fn did_you_mean<'a>(
    word: &str,
    known: impl IntoIterator<Item = &'a str>,
    otherwise: &str,
) -> String {
    match nearest(word, known) {
        Some(close) => format!("{NEAR} `{close}`?"),
        None => otherwise.to_string(),
    }
}

/// A word shortened so that a hostile input cannot fill the screen.
pub fn short(word: &str) -> String {
    let clean: String = word
        .chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect();
    if clean.chars().count() <= 60 {
        clean
    } else {
        let mut cut: String = clean.chars().take(57).collect();
        cut.push_str("...");
        cut
    }
}

fn fold(word: &str) -> String {
    word.chars()
        .take(80)
        .flat_map(char::to_lowercase)
        .map(|c| if c == '-' || c == ' ' { '_' } else { c })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_near_miss_is_answered_with_the_word_meant() {
        let known = ["radial_axilla", "radial_spiral_groove", "ulnar_elbow"];
        assert_eq!(
            nearest("radial-spiral-grove", known),
            Some("radial_spiral_groove")
        );
        assert_eq!(nearest("zzzz", known), None);
    }

    #[test]
    fn a_long_or_binary_word_is_shortened() {
        assert!(short(&"x".repeat(10_000)).chars().count() <= 60);
        assert!(!short("a\u{1b}[31m").contains('\u{1b}'));
    }
}
