//! Turns what an own station's candidate reads into the words in it that give the answer away, each at its place.

use super::Report;
use super::raw::OwnFile;
use crate::files::Step;
use crate::station::giveaway::{Words, flat};

/// Looks through every text of the candidate sheet that the author wrote; `told`: the lesion, where the kind tells it.
pub fn check(file: &OwnFile, forbidden: &Words, told: &str, report: &mut Report<'_>) {
    let mut texts: Vec<(Vec<Step>, &str)> = vec![
        (vec!["setting".into()], &file.setting),
        (vec!["stem".into()], &file.stem),
    ];
    for (key, lines) in [("task", &file.task), ("not_required", &file.not_required)] {
        for (i, line) in lines.iter().enumerate() {
            texts.push((vec![key.into(), i.into()], line));
        }
    }
    let told = flat(told);
    for (path, text) in texts {
        let mut free = flat(text);
        if !told.trim().is_empty() {
            free = free.replace(told.trim(), " ");
        }
        for (word, why) in forbidden.found_in(&free) {
            report.add(
                &path,
                format!("the candidate would read \u{201c}{word}\u{201d}, which {why}"),
                "say it in plain words: the place, the movement, what is seen",
            );
        }
    }
}
