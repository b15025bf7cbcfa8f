//! Turns lists and states into the phrases that titles, keys and alternative texts share.

/// "Skin of the posterior cutaneous nerve of the arm" without its first words; other texts as they are.
pub fn bare<'t>(label: &'t str, nerve: &'t str) -> &'t str {
    label
        .strip_prefix("Skin of the ")
        .or_else(|| label.ends_with(" dermatome").then_some(nerve))
        .unwrap_or(label)
}
