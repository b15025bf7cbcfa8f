//! Turns lists and states into the phrases that titles, keys and alternative texts share.

/// "a", "a and b", "a, b and c".
pub fn list(items: &[String]) -> String {
    match items.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => items.concat(),
    }
}

/// With a capital first letter.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// "Skin of the posterior cutaneous nerve of the arm" without its first words; other texts as they are.
pub fn bare<'t>(label: &'t str, nerve: &'t str) -> &'t str {
    label
        .strip_prefix("Skin of the ")
        .or_else(|| label.ends_with(" dermatome").then_some(nerve))
        .unwrap_or(label)
}
