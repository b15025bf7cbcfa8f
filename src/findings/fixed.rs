//! Turns the names of variants into the alternatives that are held.

use super::share::Fixed;
use crate::anatomy::{Entry, Model, fold};
use crate::diagnostic::{Failure, Problem, did_you_mean, short};

/// Reads `ID` (the commonest alternative that is not the usual one) or `ID=ALTERNATIVE`.
///
/// # Errors
/// Exit code 2 when the variant or the alternative is unknown, or a variant is named twice.
pub fn fixed(model: &Model, names: &[String]) -> Result<Vec<Fixed>, Failure> {
    let mut all: Vec<Fixed> = Vec::new();
    for name in names {
        let (id, alternative) = match name.split_once('=') {
            Some((id, a)) => (id, Some(a)),
            None => (name.as_str(), None),
        };
        let found = model.lookup(&fold(id)).iter().find_map(|e| match e {
            Entry::Variant(v) => Some(*v),
            _ => None,
        });
        let Some(v) = found else {
            return Err(Failure::usage(
                Problem::new(format!("no variant is called `{}`", short(id))).hint(did_you_mean(
                    id,
                    model.variants.iter().map(|v| v.id.as_str()),
                    "`vivasmith list variants` shows them all",
                )),
            ));
        };
        let variant = &model.variants[v];
        let a = match alternative {
            Some(word) => variant.alternatives.iter().position(|a| a.id == fold(word)),
            None => (1..variant.alternatives.len()).max_by(|&a, &b| {
                variant.alternatives[a]
                    .prevalence
                    .total_cmp(&variant.alternatives[b].prevalence)
            }),
        };
        let Some(a) = a else {
            let known: Vec<&str> = variant.alternatives.iter().map(|a| a.id.as_str()).collect();
            return Err(Failure::usage(
                Problem::new(format!(
                    "the variant `{}` has no alternative `{}`",
                    variant.id,
                    short(alternative.unwrap_or_default())
                ))
                .hint(format!("choose one of: {}", known.join(", "))),
            ));
        };
        if all.iter().any(|(x, _)| *x == v) {
            return Err(Failure::usage(
                Problem::new(format!("the variant `{}` is named twice", variant.id))
                    .hint("name each variant once"),
            ));
        }
        all.push((v, a));
    }
    Ok(all)
}
