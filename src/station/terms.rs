//! Turns expected points into the words that give them away, so that prompts can be compared by how much they reveal.

use super::select::Item;

/// Words that carry no answer.
const IDLE: &[&str] = &[
    "about", "above", "after", "again", "against", "along", "also", "and", "any", "are", "asked",
    "because", "been", "before", "below", "between", "beyond", "both", "branch", "branches", "but",
    "can", "cannot", "comes", "could", "does", "down", "else", "every", "for", "from", "give",
    "given", "has", "have", "here", "hold", "how", "into", "its", "leave", "leaves", "lesion",
    "like", "look", "made", "make", "many", "may", "more", "most", "move", "must", "name", "nerve",
    "nerves", "not", "off", "only", "other", "others", "out", "over", "patient", "round", "same",
    "should", "side", "some", "still", "such", "than", "that", "the", "their", "them", "then",
    "there", "these", "they", "this", "through", "towards", "under", "what", "when", "where",
    "which", "while", "who", "with", "without", "would", "your", "affected", "lost", "weak",
    "spared", "muscle", "muscles",
];

/// The telling words of a text, in small letters, each once.
pub fn words(text: &str) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for word in text.split(|c: char| !c.is_alphanumeric()) {
        let word = word.to_lowercase();
        let root = word.chars().any(|c| c.is_ascii_digit());
        if (word.chars().count() < 3 && !root) || IDLE.contains(&word.as_str()) {
            continue;
        }
        let stem = stem(&word);
        if !all.contains(&stem) {
            all.push(stem);
        }
    }
    all
}

/// Without the commonest endings, so that "extensors" answers "extensor".
fn stem(word: &str) -> String {
    for end in ["ing", "ed", "es", "s"] {
        if let Some(rest) = word.strip_suffix(end)
            && rest.chars().count() >= 4
        {
            return rest.to_string();
        }
    }
    word.to_string()
}

/// What naming a whole point is worth for each of its marks, and what a word that only belongs to a point is worth.
const POINT: f64 = 10.0;
const HINT: f64 = 1.0;
const MOST_HINTS: usize = 5;

/// The words of one expected point.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// Those of the answer itself.
    pub answer: Vec<String>,
    /// Those that only belong to it: what the muscle does, where its branch leaves.
    pub hints: Vec<String>,
    pub marks: u32,
}

/// The words that give a point away.
pub fn term(item: &Item, text: &str, marks: u32) -> Term {
    let label = item.fields.get("label").map_or(text, String::as_str);
    let answer = words(label);
    let mut hints = Vec::new();
    for value in item.fields.values().map(String::as_str).chain([text]) {
        for word in words(value) {
            if !answer.contains(&word) && !hints.contains(&word) {
                hints.push(word);
            }
        }
    }
    Term {
        answer,
        hints,
        marks,
    }
}

/// How much of the answer a prompt says that was not said before: for each point the share of its words, weighed by its marks.
pub fn revealed(prompt: &str, terms: &[Term], before: &[&str]) -> f64 {
    let said = words(prompt);
    let known: Vec<String> = before.iter().flat_map(|b| words(b)).collect();
    let mut sum = 0.0;
    let mut hints: Vec<&String> = Vec::new();
    for term in terms {
        let open: Vec<&String> = term.answer.iter().filter(|w| !known.contains(w)).collect();
        if !open.is_empty() {
            let hit = open.iter().filter(|w| said.contains(w)).count();
            sum += POINT * f64::from(term.marks) * hit as f64 / open.len() as f64;
        }
        hints.extend(
            term.hints
                .iter()
                .filter(|w| said.contains(w) && !known.contains(w)),
        );
    }
    hints.sort_unstable();
    hints.dedup();
    sum + HINT * hints.len().min(MOST_HINTS) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn telling_words_are_compared_without_endings() {
        assert_eq!(
            words("The extensors of C7, and extending"),
            ["extensor", "c7", "extend"]
        );
        let terms = [Term {
            answer: words("extensor digitorum"),
            hints: words("fingers"),
            marks: 2,
        }];
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} {b}");
        near(revealed("Which extensors?", &terms, &["What?"]), 10.0);
        near(
            revealed("Which extensors of the fingers?", &terms, &["Extensors"]),
            1.0,
        );
        near(revealed("Extensor digitorum?", &terms, &[]), 20.0);
    }
}
