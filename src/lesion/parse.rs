//! Turns the argument `SITE[@SEVERITY][+SITE...]` into a lesion, or into one message that says what to write instead.

use super::{Cut, HALF, Lesion, Part, Severity};
use crate::anatomy::{Entry, Model, SegmentIx, SegmentSet, fold};
use crate::diagnostic::{Failure, Problem, did_you_mean, short};

/// Most places that one lesion may combine.
pub const MAX_PARTS: usize = 8;

/// Reads a lesion. A place is the id or a synonym of a site, the id of a segment, or the id of a nerve (its first stretch).
/// Severity: `complete` (left out: complete), `partial` (half the fibres), `40%`, chosen roots such as `C7` or `C7,C8`,
/// and for roots `avulsion` or `foraminal`.
///
/// # Errors
/// Exit code 2 with the word that is wrong and the nearest right one.
pub fn parse(model: &Model, text: &str) -> Result<Lesion, Failure> {
    let mut lesion = Lesion {
        parts: Vec::new(),
        cuts: Vec::new(),
        set: SegmentSet::default(),
    };
    let pieces: Vec<&str> = text.split('+').collect();
    if pieces.len() > MAX_PARTS {
        return Err(usage(
            format!("{} places are too many for one lesion", pieces.len()),
            format!("combine at most {MAX_PARTS} places with +"),
        ));
    }
    for piece in pieces {
        let (place, severity) = match piece.split_once('@') {
            Some((place, severity)) => (place.trim(), severity.trim()),
            None => (piece.trim(), "complete"),
        };
        if place.is_empty() {
            return Err(usage(
                format!("`{}` names no place", short(text)),
                "write a site, as in radial_spiral_groove, radial_axilla@partial or carpal_tunnel+ulnar_elbow; `vivasmith list sites` shows them all",
            ));
        }
        let found = resolve(model, place)?;
        if lesion.parts.iter().any(|p| p.place == found.id) {
            return Err(usage(
                format!("the place `{}` is named twice", found.id),
                "name each place once",
            ));
        }
        let severity = severity_of(model, severity, &found)?;
        add(model, &mut lesion, found, severity)?;
    }
    Ok(lesion)
}

/// The lesion of one place.
///
/// # Errors
/// Exit code 2 when the place is unknown or the severity does not fit it.
pub fn at(model: &Model, place: &str, severity: Severity) -> Result<Lesion, Failure> {
    let mut lesion = Lesion {
        parts: Vec::new(),
        cuts: Vec::new(),
        set: SegmentSet::default(),
    };
    let found = resolve(model, place)?;
    add(model, &mut lesion, found, severity)?;
    Ok(lesion)
}

/// Both lesions at once.
pub fn join(a: &Lesion, b: &Lesion) -> Lesion {
    Lesion {
        parts: [&a.parts[..], &b.parts[..]].concat(),
        cuts: [&a.cuts[..], &b.cuts[..]].concat(),
        set: a.set.union(&b.set),
    }
}

struct Place {
    id: String,
    label: String,
    segments: Vec<SegmentIx>,
    /// The share cut of a segment when half of the place is, where it is not half.
    partial: Vec<(SegmentIx, f64)>,
}

fn resolve(model: &Model, word: &str) -> Result<Place, Failure> {
    let folded = fold(word);
    let entries = model.lookup(&folded);
    if let Some(site) = entries.iter().find_map(|e| match e {
        Entry::Site(i) => model.sites.get(*i),
        _ => None,
    }) {
        return Ok(Place {
            id: site.id.clone(),
            label: site.label.clone(),
            segments: site.segments.clone(),
            partial: site.partial.clone(),
        });
    }
    let segment = model.segment_ix(&folded).or_else(|| {
        let nerve = model.nerves.get(model.nerve_called(&folded)?)?;
        nerve.segments.first().copied()
    });
    if let Some(ix) = segment {
        let s = &model.segments[ix];
        return Ok(Place {
            id: s.id.clone(),
            label: s.label.clone(),
            segments: vec![ix],
            partial: Vec::new(),
        });
    }
    let known = model
        .sites
        .iter()
        .flat_map(|s| std::iter::once(s.id.as_str()).chain(s.synonyms.iter().map(String::as_str)))
        .chain(model.segments.iter().map(|s| s.id.as_str()));
    Err(usage(
        format!("no site or segment is called `{}`", short(word)),
        did_you_mean(word, known, "`vivasmith list sites` shows them all"),
    ))
}

fn severity_of(model: &Model, word: &str, place: &Place) -> Result<Severity, Failure> {
    let lower = word.to_lowercase();
    match lower.as_str() {
        "complete" | "foraminal" => return Ok(Severity::Complete),
        "partial" => return Ok(Severity::Partial(HALF)),
        "avulsion" => return Ok(Severity::Avulsion),
        _ => {}
    }
    let figure = lower
        .strip_suffix('%')
        .map(|f| f.trim().parse::<f64>().map(|p| p / 100.0))
        .or_else(|| {
            lower
                .starts_with(|c: char| c.is_ascii_digit() || c == '.')
                .then(|| lower.parse::<f64>())
        });
    if let Some(figure) = figure {
        return match figure {
            Ok(share) if share > 0.0 && share < 1.0 => Ok(Severity::Partial(share)),
            _ => Err(usage(
                format!("`{}` is no share of fibres", short(word)),
                "write the share that is cut, between 1% and 99%, for instance @40%; all of it is @complete",
            )),
        };
    }
    let mut roots = Vec::new();
    for name in word.split(',') {
        match model
            .roots
            .iter()
            .position(|r| r.eq_ignore_ascii_case(name.trim()))
        {
            Some(root) => roots.push(root),
            None => {
                let words = ["complete", "partial", "avulsion", "foraminal"];
                return Err(usage(
                    format!("`{}` is no severity", short(word)),
                    did_you_mean(
                        word,
                        words
                            .into_iter()
                            .chain(model.roots.iter().map(String::as_str)),
                        "write complete, partial, a share such as 40%, roots such as C7 or C7,C8, or avulsion for a root",
                    ),
                ));
            }
        }
    }
    roots.sort_unstable();
    roots.dedup();
    let passing = |root: usize| {
        place.segments.iter().any(|&s| {
            let runs = |supply: &crate::anatomy::Supply| {
                supply
                    .usual()
                    .iter()
                    .any(|f| f.root == root && f.path.contains(s))
            };
            model.muscles.iter().any(|m| runs(&m.supply))
                || model.skin.iter().any(|k| runs(&k.supply))
        })
    };
    if let Some(&stranger) = roots.iter().find(|&&r| !passing(r)) {
        return Err(usage(
            format!(
                "no {} fibres run through the {}",
                model.roots[stranger], place.label
            ),
            "choose roots that pass this place, or @partial for a share of all fibres",
        ));
    }
    Ok(Severity::Roots(roots))
}

fn add(
    model: &Model,
    lesion: &mut Lesion,
    place: Place,
    severity: Severity,
) -> Result<(), Failure> {
    let mut segments = place.segments.clone();
    if severity == Severity::Avulsion {
        segments = segments
            .iter()
            .filter_map(|&s| rootlets_of(model, s))
            .collect();
        if segments.len() != place.segments.len() {
            return Err(usage(
                format!("the {} cannot be avulsed", place.label),
                "only roots of the plexus can: for instance root_c8@avulsion+root_t1@avulsion",
            ));
        }
    }
    let (passes, roots) = match &severity {
        Severity::Complete | Severity::Avulsion => (0.0, Vec::new()),
        Severity::Partial(share) => (1.0 - share.clamp(0.0, 1.0), Vec::new()),
        Severity::Roots(roots) => (0.0, roots.clone()),
    };
    for segment in segments {
        let own = place.partial.iter().find(|(s, _)| *s == segment);
        let passes = match (&severity, own) {
            (Severity::Partial(share), Some((_, at_half))) => 1.0 - uneven(*share, *at_half),
            _ => passes,
        };
        lesion.set.insert(segment);
        lesion.cuts.push(Cut {
            segment,
            passes,
            roots: roots.clone(),
        });
    }
    let severity_word = match &severity {
        Severity::Complete => "complete".to_string(),
        Severity::Avulsion => "avulsion".to_string(),
        Severity::Partial(share) if (*share - HALF).abs() < 1e-9 => "partial".to_string(),
        Severity::Partial(share) => format!("{}%", (share * 1000.0).round() / 10.0),
        Severity::Roots(roots) => {
            let names: Vec<&str> = roots
                .iter()
                .filter_map(|&r| model.roots.get(r).map(String::as_str))
                .collect();
            names.join(",")
        }
    };
    lesion.parts.push(Part {
        place: place.id,
        label: place.label,
        severity,
        severity_word,
    });
    Ok(())
}

/// The share cut of a part that loses `at_half` when half of the whole is cut: a power of the share, so that none stays none and all stays all.
fn uneven(share: f64, at_half: f64) -> f64 {
    share.powf(at_half.ln() / HALF.ln())
}

/// The rootlets above a root, or the segment itself when it is rootlets.
fn rootlets_of(model: &Model, segment: SegmentIx) -> Option<SegmentIx> {
    let s = model.segments.get(segment)?;
    if s.kind.preganglionic {
        return Some(segment);
    }
    s.from
        .iter()
        .copied()
        .find(|&f| s.kind.root && model.segments.get(f).is_some_and(|x| x.kind.preganglionic))
}

fn usage(message: impl Into<String>, hint: impl Into<String>) -> Failure {
    Failure::usage(Problem::new(message).hint(hint))
}
