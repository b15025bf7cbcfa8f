//! Pieces of English sentences: lists, capitals, articles, and texts with placeholders.

/// "a", "a and b", "a, b and c"; with semicolons where an item holds a comma of its own.
pub fn list<S: AsRef<str>>(items: &[S]) -> String {
    let items: Vec<&str> = items.iter().map(AsRef::as_ref).collect();
    let comma = if items.iter().any(|i| i.contains(',')) {
        "; "
    } else {
        ", "
    };
    match items.split_last() {
        None => String::new(),
        Some((last, [])) => (*last).to_string(),
        Some((last, [one])) if comma == ", " => format!("{one} and {last}"),
        Some((last, rest)) => {
            let and = if comma == "; " { "; and " } else { " and " };
            format!("{}{and}{last}", rest.join(comma))
        }
    }
}

/// The first letter as a capital.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// The first letter small, unless the word is a name of its own: "C5 dermatome" stays.
pub fn small(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next();
    match (first, letters.clone().next()) {
        (Some(a), Some(b)) if a.is_uppercase() && b.is_lowercase() => {
            a.to_lowercase().chain(letters).collect()
        }
        _ => text.to_string(),
    }
}

/// "a courier", "an electrician".
pub fn article(noun: &str) -> String {
    let vowel = noun.starts_with(['a', 'e', 'i', 'o', 'A', 'E', 'I', 'O'])
        || (noun.starts_with(['u', 'U']) && !noun.starts_with("uni") && !noun.starts_with("use"));
    format!("{} {noun}", if vowel { "an" } else { "a" })
}

/// The words a voice needs time for.
pub fn count_words(text: &str) -> usize {
    text.split_whitespace()
        .filter(|w| w.chars().any(char::is_alphanumeric))
        .count()
}

/// Fills `{name}` from `fact`; a value that opens a sentence gets a capital.
///
/// # Errors
/// The names that mean nothing here.
pub fn fill(text: &str, fact: &dyn Fn(&str) -> Option<String>) -> Result<String, Vec<String>> {
    let mut out = String::with_capacity(text.len() + 48);
    let mut missing = Vec::new();
    let mut rest = text.trim();
    while let Some(open) = rest.find('{') {
        let (before, after) = rest.split_at(open);
        out.push_str(before);
        let Some(close) = after.find('}') else {
            missing.push(after.to_string());
            break;
        };
        let name = &after[1..close];
        match fact(name) {
            Some(value) if opens_sentence(&out) => out.push_str(&capital(&value)),
            Some(value) => out.push_str(&value),
            None => missing.push(name.to_string()),
        }
        rest = &after[close + 1..];
    }
    out.push_str(rest);
    if missing.is_empty() {
        Ok(out)
    } else {
        Err(missing)
    }
}

/// The names of the placeholders in a text.
pub fn placeholders(text: &str) -> Vec<&str> {
    text.split('{')
        .skip(1)
        .filter_map(|piece| piece.split_once('}').map(|(name, _)| name))
        .collect()
}

/// Whether what follows this text begins a sentence.
pub fn opens_sentence(before: &str) -> bool {
    let before = before.trim_end();
    before.is_empty() || before.ends_with(['.', '!', '?'])
}

/// Small letters, everything but letters and digits as one blank, a blank at both ends.
pub fn flat(text: &str) -> String {
    let mut out = String::from(" ");
    for c in text.chars().flat_map(char::to_lowercase) {
        if c.is_alphanumeric() {
            out.push(c);
        } else if !out.ends_with(' ') {
            out.push(' ');
        }
    }
    if !out.ends_with(' ') {
        out.push(' ');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_read_as_spoken() {
        assert_eq!(list::<&str>(&[]), "");
        assert_eq!(list(&["a"]), "a");
        assert_eq!(list(&["a", "b"]), "a and b");
        assert_eq!(list(&["a", "b", "c"]), "a, b and c");
        assert_eq!(list(&["a, long", "b", "c"]), "a, long; b; and c");
        assert_eq!(list(&["a, long", "b"]), "a, long; and b");
    }

    #[test]
    fn capitals_and_articles() {
        assert_eq!(small("Extensor digitorum"), "extensor digitorum");
        assert_eq!(small("C5 dermatome"), "C5 dermatome");
        assert_eq!(article("electrician"), "an electrician");
        assert_eq!(article("university porter"), "a university porter");
    }

    #[test]
    fn a_placeholder_that_opens_a_sentence_gets_a_capital() {
        let fact = |n: &str| (n == "muscle").then(|| "deltoid".to_string());
        assert_eq!(
            fill("{muscle} works. Does {muscle}?", &fact),
            Ok("Deltoid works. Does deltoid?".to_string())
        );
        assert_eq!(fill("{x} {", &fact), Err(vec!["x".into(), "{".into()]));
        assert_eq!(placeholders("{a} and {b.c}"), ["a", "b.c"]);
    }
}
