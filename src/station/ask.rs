//! Turns question families into this station's questions: wording, expected points, ladder, common wrong answers.

use super::context::Context;
use super::english::{article, capital};
use super::family::{Family, WrongFrom};
use super::plan::{Ask, figure};
use super::select::{Item, best_difference, select};
use super::structure::{nameable, structure};
use super::terms::term;
use super::text::first_that_fits;
use super::{Point, Question, Rung, Wrong};
use crate::case::Level;
use crate::findings::Kind;

/// A family as it stands for this case, before marks and minutes are shared out.
pub struct Draft<'f> {
    pub family: &'f Family,
    pub opening: String,
    /// Wanted points first, then spare ones; each with its item and base marks.
    pub points: Vec<Candidate>,
    pub wanted: usize,
}

/// A point that could be asked for.
pub struct Candidate {
    /// Name of the source it comes from.
    pub from: String,
    pub item: Item,
    pub text: String,
    pub marks: u32,
}

impl Draft<'_> {
    pub fn ask(&self, level: Level) -> Ask {
        Ask {
            priority: self.family.priority,
            least: self.family.half_minutes(level),
            marks: self.points.iter().map(|c| c.marks).collect(),
            wanted: self.wanted,
        }
    }
}

/// The families that have something to ask about this case.
pub fn drafts<'f>(ctx: &Context<'_>, families: &[&'f Family]) -> Vec<Draft<'f>> {
    families
        .iter()
        .filter(|f| ctx.facts.all_hold(&f.when))
        .filter_map(|f| draft(ctx, f))
        .collect()
}

fn draft<'f>(ctx: &Context<'_>, family: &'f Family) -> Option<Draft<'f>> {
    let opening = first_that_fits(&family.opening, &|n| ctx.facts.get(n))?;
    let mut wanted = Vec::new();
    let mut spare = Vec::new();
    let mut texts: Vec<String> = Vec::new();
    for expect in family
        .expects
        .iter()
        .filter(|e| ctx.facts.all_hold(&e.when))
    {
        let most = *expect.count.of(ctx.level);
        let mut taken = 0;
        for item in select(&expect.source, ctx) {
            let fact = |n: &str| item.fields.get(n).cloned().or_else(|| ctx.facts.get(n));
            let Some(text) = first_that_fits(&expect.say, &fact) else {
                continue;
            };
            // Two structures that read the same are one point; a finding in doubt is none.
            if most == 0 || texts.contains(&text) || in_doubt(&item) {
                continue;
            }
            texts.push(text.clone());
            if taken >= most && !expect.spare {
                break;
            }
            let to = if taken < most {
                &mut wanted
            } else {
                &mut spare
            };
            to.push(Candidate {
                from: expect.source.clone(),
                item,
                text,
                marks: expect.marks,
            });
            taken += 1;
        }
    }
    if wanted.is_empty() {
        return None;
    }
    let count = wanted.len();
    wanted.extend(spare);
    Some(Draft {
        family,
        opening,
        points: wanted,
        wanted: count,
    })
}

fn in_doubt(item: &Item) -> bool {
    item.finding.is_some_and(|f| !f.affected() && !f.spared())
}

/// The finished question.
pub fn question(
    ctx: &Context<'_>,
    draft: &Draft<'_>,
    number: usize,
    half_minutes: u32,
    marks: &[u32],
) -> Question {
    let points: Vec<Point> = draft
        .points
        .iter()
        .zip(marks)
        .map(|(c, marks)| Point {
            text: capital(&c.text),
            reason: reason(&c.item, &c.text),
            marks: *marks,
            about: c.item.finding,
        })
        .collect();
    let kept: Vec<&Candidate> = draft.points.iter().take(marks.len()).collect();
    let total: u32 = marks.iter().sum();
    // A prompt may use what was wanted but found no room among the marks.
    let all: Vec<&Candidate> = draft.points.iter().collect();
    let fact = |name: &str| {
        field_of(&kept, name)
            .or_else(|| field_of(&all, name))
            .or_else(|| ctx.facts.get(name))
    };
    let ladder = draft
        .family
        .ladder
        .iter()
        .filter_map(|rung| {
            let cap = rung.cap.map(|share| halves(share * f64::from(total)));
            Some(Rung {
                rung: rung.rung.word().to_string(),
                say: first_that_fits(&rung.say, &fact)?,
                cap,
                cap_text: cap.map(figure).unwrap_or_default(),
            })
        })
        .collect();
    Question {
        number,
        family: draft.family.id.clone(),
        domain: draft.family.domain.clone(),
        half_minutes,
        opening: draft.opening.clone(),
        ladder,
        terms: draft
            .points
            .iter()
            .take(draft.wanted.max(marks.len()))
            .enumerate()
            .map(|(i, c)| term(&c.item, &c.text, marks.get(i).copied().unwrap_or(c.marks)))
            .collect(),
        points,
        marks: total,
        wrong: draft
            .family
            .wrong
            .map_or_else(Vec::new, |w| wrong(ctx, w, marks.len())),
    }
}

/// `{source.field}` is the field of the question's first point of that source, `{source.2.field}` that of its second.
fn field_of(points: &[&Candidate], name: &str) -> Option<String> {
    let mut steps = name.split('.');
    let source = steps.next()?;
    let (nth, field) = match (steps.next()?, steps.next()) {
        (n, Some(field)) => (n.parse::<usize>().ok()?, field),
        (field, None) => (1, field),
    };
    points
        .iter()
        .filter(|c| c.from == source)
        .nth(nth.checked_sub(1)?)
        .and_then(|c| c.item.fields.get(field).cloned())
}

/// The reason behind a point, unless the point says it itself.
fn reason(item: &Item, text: &str) -> String {
    item.fields
        .get("reason")
        .filter(|r| !text.contains(r.as_str()))
        .cloned()
        .unwrap_or_default()
}

/// To the nearest half mark.
fn halves(marks: f64) -> f64 {
    (marks * 2.0).round() / 2.0
}

fn most_wrong(level: Level) -> usize {
    match level {
        Level::Early => 2,
        Level::Clinical | Level::Trainee => 3,
    }
}

/// What candidates often say instead, each with the finding that refutes it.
fn wrong(ctx: &Context<'_>, from: WrongFrom, expected: usize) -> Vec<Wrong> {
    let kind = match from {
        WrongFrom::Rivals => return wrong_places(ctx, 0),
        WrongFrom::NextRivals => return wrong_places(ctx, expected),
        WrongFrom::Muscles => Kind::Muscle,
        WrongFrom::Movements => Kind::Movement,
        WrongFrom::Skin => Kind::Skin,
        WrongFrom::Reflexes => Kind::Reflex,
        WrongFrom::Signs => Kind::Sign,
    };
    let mut all: Vec<Wrong> = Vec::new();
    for rival in ctx.rivals.apart.iter().filter(|r| r.distance < 0.999) {
        if all.len() >= most_wrong(ctx.level) {
            break;
        }
        let hit = rival
            .differs
            .iter()
            .find(|d| d.here.kind() == kind && d.here.spared() && nameable(ctx, &d.here));
        let Some(d) = hit else {
            continue;
        };
        let fields = structure(ctx, &d.here).fields;
        let get = |n: &str| fields.get(n).cloned().unwrap_or_default();
        if all.iter().all(|w| w.finding != get("label")) {
            all.push(Wrong {
                answer: get("label"),
                place: false,
                finding: get("label"),
                here: d.here.word().to_string(),
                there: d.there.word().to_string(),
                elsewhere: article(&rival.label),
                reason: get("reason"),
            });
        }
    }
    all
}

fn wrong_places(ctx: &Context<'_>, skip: usize) -> Vec<Wrong> {
    ctx.rivals
        .apart
        .iter()
        .filter(|r| r.distance < 0.999)
        .filter_map(|r| best_difference(ctx, r).map(|d| (r, d)))
        .skip(skip)
        .take(most_wrong(ctx.level))
        .map(|(r, d)| {
            let fields = structure(ctx, &d.here).fields;
            let get = |n: &str| fields.get(n).cloned().unwrap_or_default();
            Wrong {
                answer: r.label.clone(),
                place: true,
                finding: get("label"),
                here: d.here.word().to_string(),
                there: d.there.word().to_string(),
                elsewhere: article(&r.label),
                reason: get("reason"),
            }
        })
        .collect()
}
