//! What each kind of written entry becomes in the model, and what is checked of it on the way.

use super::check::At;
use super::model::{Alternative, Movement, Muscle, Reflex, SegmentIx, Site, SkinArea, Variant};
use super::raw;
use super::resolve::{Resolve, Resolver};
use crate::diagnostic::short;
use crate::wording::small;

impl Resolve for raw::Muscle {
    type Out = Muscle;
    fn resolve(self, at: &At, to: &mut Resolver) -> Muscle {
        let words = self.test.trim().to_lowercase();
        if self.testable && (words.is_empty() || words.starts_with("cannot")) {
            to.check.complain(
                &at.key("test"),
                format!("`{}` has no test that can be done", short(&self.id)),
                "say how it is tested, or write `testable: false` and leave `test` out",
            );
        }
        Muscle {
            supply: to.supply(at, &self.id, &self.supply),
            movement: self
                .movement
                .and_then(|name| to.movements.find(to.check, &at.key("movement"), &name)),
            spoken: self.spoken.unwrap_or_else(|| small(&self.label)),
            plain: self.plain.unwrap_or_else(|| {
                let test = (!self.test.is_empty()).then_some(&self.test);
                test.unwrap_or(&self.label).clone()
            }),
            isolation: if self.testable { self.isolation } else { 0.0 },
            id: self.id,
            label: self.label,
            synonyms: self.synonyms,
            part: self.part,
            nerve_label: self.nerve_label,
            action: self.action,
            test: self.test,
            testable: self.testable,
            source: self.source,
        }
    }
}

impl Resolve for raw::SkinArea {
    type Out = SkinArea;
    fn resolve(self, at: &At, to: &mut Resolver) -> SkinArea {
        reliability(at, to, self.reliability);
        SkinArea {
            supply: to.supply(at, &self.id, &self.supply),
            part_of: self
                .part_of
                .and_then(|name| to.skin.find(to.check, &at.key("part_of"), &name)),
            id: self.id,
            kind: self.kind,
            label: self.label,
            region: self.region,
            autonomous: self.autonomous,
            nerve_label: self.nerve_label,
            reliability: self.reliability,
            source: self.source,
        }
    }
}

impl Resolve for raw::Reflex {
    type Out = Reflex;
    fn resolve(self, at: &At, to: &mut Resolver) -> Reflex {
        reliability(at, to, self.reliability);
        let answering = self.muscles.iter().enumerate();
        Reflex {
            supply: to.supply(at, &self.key(), &self.supply),
            muscles: answering
                .filter_map(|(k, id)| to.muscle(&at.key("muscles").key(k), id))
                .collect(),
            id: self.id,
            label: self.label,
            synonyms: self.synonyms,
            reliability: self.reliability,
            source: self.source,
        }
    }
}

fn reliability(at: &At, to: &mut Resolver, value: f64) {
    to.check
        .part(&at.key("reliability"), "the reliability", value);
}

impl Resolve for raw::Movement {
    type Out = Movement;
    fn resolve(self, at: &At, to: &mut Resolver) -> Movement {
        Movement {
            helpers: helpers(at, to, &self),
            shares: shares(at, to, &self.shares.0),
            unaided: self.unaided,
            plain: self.plain.unwrap_or_else(|| self.label.clone()),
            id: self.id,
            label: self.label,
            command: self.command,
            testable: self.testable,
            source: self.source,
        }
    }
}

/// Of the muscles with a share, those that cannot make the movement without the others.
fn helpers(at: &At, to: &mut Resolver, m: &raw::Movement) -> Vec<usize> {
    to.check
        .part(&at.key("unaided"), "what helpers do alone", m.unaided);
    let mut all = Vec::new();
    for (k, name) in m.helpers.iter().enumerate() {
        let with_share = m.shares.0.iter().any(|(n, _)| n == name);
        match to.muscles.get(name).filter(|_| with_share) {
            Some(ix) => all.push(ix),
            None => to.check.unknown(
                &at.key("helpers").key(k),
                "muscle with a share",
                name,
                m.shares.0.iter().map(|(n, _)| n.as_str()),
            ),
        }
    }
    all
}

fn shares(at: &At, to: &mut Resolver, written: &[(String, f64)]) -> Vec<(usize, f64)> {
    let at = at.key("shares");
    let mut all = Vec::new();
    let mut total = 0.0;
    for (name, share) in written {
        let at = at.key(name.as_str());
        let what = format!("the share of `{}`", short(name));
        to.check.part(&at, &what, *share);
        total += share;
        all.extend(to.muscle(&at, name).map(|m| (m, *share)));
    }
    if (total - 1.0).abs() > 0.011 {
        to.check.complain(
            &at,
            format!("the shares of the muscles add up to {total:.2}, not 1"),
            "change the shares so that they add up to 1",
        );
    }
    if total > 0.0 {
        all.iter_mut().for_each(|(_, s)| *s /= total);
    }
    all
}

impl Resolve for raw::Variant {
    type Out = Variant;
    fn resolve(self, at: &At, to: &mut Resolver) -> Variant {
        let at = at.key("alternatives");
        for (a, alternative) in self.alternatives.iter().enumerate() {
            let at = at.key(a).key("prevalence");
            to.check.part(&at, "the prevalence", alternative.prevalence);
        }
        let rest = 1.0 - self.alternatives.iter().map(|a| a.prevalence).sum::<f64>();
        if rest < -1e-9 {
            to.check.complain(
                &at,
                "the prevalences of the alternatives add up to more than 1",
                "lower them: what is left to 1 is the usual arrangement",
            );
        }
        let usual = Alternative {
            id: "usual".to_string(),
            label: self.usual,
            prevalence: rest.max(0.0),
        };
        let shifts_plexus = self.alternatives.iter().any(|a| a.root_shift != 0);
        let others = self.alternatives.into_iter().map(|a| Alternative {
            id: a.id,
            label: a.label,
            prevalence: a.prevalence,
        });
        Variant {
            id: self.id,
            label: self.label,
            synonyms: self.synonyms,
            anatomical: self.kind == raw::VariantKind::Limbs,
            shifts_plexus,
            alternatives: std::iter::once(usual).chain(others).collect(),
            note: self.note,
            source: self.source,
        }
    }
}

impl Resolve for raw::Site {
    type Out = Site;
    fn resolve(self, at: &At, to: &mut Resolver) -> Site {
        to.check
            .within(&at.key("weight"), "the weight", self.weight, 0.0, 1e6);
        if self.segments.is_empty() {
            to.check.complain(
                &at.key("segments"),
                format!("the site `{}` cuts nothing", self.id),
                "name at least one segment",
            );
        }
        Site {
            segments: to.segments(&at.key("segments"), &self.segments),
            partial: partial(at, to, &self),
            id: self.id,
            label: self.label,
            synonyms: self.synonyms,
            weight: self.weight,
            avulsion: self.avulsion,
            giveaways: self.giveaways,
            care: self.care,
            source: self.source,
        }
    }
}

/// How a partial lesion parts itself among the segments of a place.
fn partial(at: &At, to: &mut Resolver, site: &raw::Site) -> Vec<(SegmentIx, f64)> {
    let mut all = Vec::new();
    for (id, share) in &site.partial.0 {
        let at = at.key("partial").key(id.as_str());
        let what = format!("the share of `{}`", short(id));
        to.check.within(&at, &what, *share, 0.01, 0.99);
        let known = site.segments.iter().map(String::as_str);
        match to
            .graph
            .names
            .get(id)
            .filter(|_| site.segments.contains(id))
        {
            Some(ix) => all.push((ix, *share)),
            None => to.check.unknown(&at, "segment of the site", id, known),
        }
    }
    all
}
