//! Turns expected points into the words that give them away, so that prompts can be compared by how much they reveal.

use super::select::Item;

/// Words that carry no answer.
const IDLE: &[&str] = &[
    "about", "above", "after", "again", "against", "along", "also", "and", "any", "are", "asked", "because", "been",
    "before", "below", "between", "beyond", "both", "branch", "branches", "but", "can", "cannot", "comes", "could",
    "does", "down", "else", "every", "for", "from", "give", "given", "has", "have", "here", "hold", "how", "into", "its",
    "leave", "leaves", "lesion", "like", "look", "made", "make", "many", "may", "more", "most", "move", "must", "name",
    "nerve", "nerves", "not", "off", "only", "other", "others", "out", "over", "patient", "round", "same", "should",
    "side", "some", "still", "such", "than", "that", "the", "their", "them", "then", "there", "these", "they", "this",
    "through", "towards", "under", "what", "when", "where", "which", "while", "who", "with", "without", "would", "your",
    "affected", "lost", "weak", "spared", "muscle", "muscles",
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

/// Every telling word of these items and of the points made from them.
pub fn of_items<'i>(items: impl Iterator<Item = (&'i Item, &'i str)>) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for (item, text) in items {
        for value in item.fields.values().map(String::as_str).chain([text]) {
            for word in words(value) {
                if !all.contains(&word) {
                    all.push(word);
                }
            }
        }
    }
    all
}

/// Which of the terms a prompt says that were not said before.
pub fn revealed<'t>(prompt: &str, terms: &'t [String], before: &[&str]) -> Vec<&'t str> {
    let said = words(prompt);
    let known: Vec<String> = before.iter().flat_map(|b| words(b)).collect();
    terms
        .iter()
        .filter(|t| said.contains(t) && !known.contains(t))
        .map(String::as_str)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn telling_words_are_compared_without_endings() {
        assert_eq!(words("The extensors of C7, and extending"), ["extensor", "c7", "extend"]);
        let terms = words("extensor digitorum");
        assert_eq!(revealed("Which extensors?", &terms, &["What?"]), ["extensor"]);
        assert!(revealed("Which extensors?", &terms, &["Extensors"]).is_empty());
    }
}
