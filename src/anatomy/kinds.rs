//! Which kinds of segment a region declares, and what each of them means for a lesion.

use super::check::{At, Checker, Names};
use super::model::{KindOfSegment, SegmentKind};
use super::raw;

/// Checks the kinds; they come in the order of the file, which is from the spinal cord outwards.
pub fn resolve(check: &mut Checker, kinds: &[raw::Kind]) -> Vec<KindOfSegment> {
    let at = At::head().key("kinds");
    let mut seen = Names::new("kind of segment", []);
    for (i, kind) in kinds.iter().enumerate() {
        if seen.get(&kind.id).is_some() {
            check.complain(
                &at.key(i).key("id"),
                format!("the kind `{}` is declared twice", kind.id),
                "remove one of the two",
            );
        }
        seen.add(&kind.id);
        if kind.named && (kind.root || kind.preganglionic || kind.radicular == Some(true)) {
            check.complain(
                &at.key(i),
                format!("`{}` cannot be a named nerve and a root", kind.id),
                "take `named`, or `root`, `preganglionic` and `radicular`, out",
            );
        }
    }
    for (what, missing) in [
        ("named", !kinds.iter().any(|k| k.named)),
        ("root", !kinds.iter().any(|k| k.root && !k.preganglionic)),
    ] {
        if missing {
            check.complain(
                &at,
                format!("no kind of segment is marked `{what}: true`"),
                "declare at least a kind for the roots and one for the named nerves",
            );
        }
    }
    let last_root = kinds.iter().rposition(|k| k.root);
    kinds
        .iter()
        .enumerate()
        .map(|(order, k)| KindOfSegment {
            id: k.id.clone(),
            plural: k.plural.clone(),
            place: k.blueprint.clone().unwrap_or_else(|| k.id.clone()),
            unnamed: k.unnamed,
            kind: SegmentKind {
                order,
                root: k.root,
                preganglionic: k.preganglionic,
                radicular: k.radicular.unwrap_or(k.root),
                plexus: !k.root && !k.named && last_root < Some(order),
                named: k.named,
            },
        })
        .collect()
}

/// What each root is called in a sentence.
pub fn root_names(check: &mut Checker, head: &raw::Region) -> Vec<String> {
    let at = At::head().key("root_names");
    let roots = Names::new("root", head.roots.iter().map(String::as_str));
    let mut names = head.roots.clone();
    for (root, name) in &head.root_names.0 {
        if let Some(i) = roots.find(check, &at.key(root.as_str()), root) {
            names[i].clone_from(name);
        }
    }
    names
}
