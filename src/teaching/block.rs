//! One question of the notes: its prompts, and the lines that earn marks.

use super::names::Names;
use crate::anatomy::Structure;
use crate::files::Step;
use serde::{Deserialize, Serialize};

/// What a site (a nerve, an approach, a teacher's own station) brings to one question. Findings and sites are names (`String`) as written, and
/// positions in the model once they have been looked up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(
    deny_unknown_fields,
    bound(deserialize = "F: Deserialize<'de>, P: Deserialize<'de>")
)]
pub struct Block<F = Structure, P = usize> {
    /// Openings that win over those of the question's file.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub say: Vec<String>,
    /// Prompts. No lead: there is nothing left to narrow.
    #[serde(default, rename = "c", skip_serializing_if = "Option::is_none")]
    pub clarify: Option<String>,
    #[serde(default, rename = "p", skip_serializing_if = "Option::is_none")]
    pub probe: Option<String>,
    #[serde(default, rename = "l", skip_serializing_if = "Option::is_none")]
    pub lead: Option<String>,
    /// Lines that each earn their marks, the most important first.
    #[serde(default = "Vec::new", skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<Line<F, P>>,
    /// Lines of which some are enough.
    #[serde(default = "nothing", skip_serializing_if = "Option::is_none")]
    pub any: Option<Choice<F, P>>,
}

fn nothing<T>() -> Option<T> {
    None
}

/// "Any two of", with what each is worth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(
    deny_unknown_fields,
    bound(deserialize = "F: Deserialize<'de>, P: Deserialize<'de>")
)]
pub struct Choice<F = Structure, P = usize> {
    pub each: u32,
    /// How the marks of one line are made up: "finding 1, what it excludes 1"; or empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    pub of: Vec<Line<F, P>>,
}

/// One thing to tick.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(
    deny_unknown_fields,
    bound(deserialize = "F: Deserialize<'de>, P: Deserialize<'de>")
)]
pub struct Line<F = Structure, P = usize> {
    /// In a choice `each` counts instead.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    pub marks: u32,
    pub say: String,
    /// The finding that it is about.
    #[serde(default = "nothing", skip_serializing_if = "Option::is_none")]
    pub about: Option<F>,
    /// The site to which the lesion is moved, and what flips there.
    #[serde(default = "nothing", skip_serializing_if = "Option::is_none")]
    pub to: Option<P>,
    #[serde(default = "Vec::new", skip_serializing_if = "Vec::is_empty")]
    pub flips: Vec<F>,
}

impl<F, P> Line<F, P> {
    /// A line of one mark that is about no finding.
    pub fn of(say: &str) -> Self {
        Line {
            marks: 1,
            say: say.to_string(),
            about: None,
            to: None,
            flips: Vec::new(),
        }
    }
}

fn one() -> u32 {
    1
}

fn is_one(marks: &u32) -> bool {
    *marks == 1
}

impl<F, P> Default for Block<F, P> {
    fn default() -> Self {
        Block {
            say: Vec::new(),
            clarify: None,
            probe: None,
            lead: None,
            points: Vec::new(),
            any: None,
        }
    }
}

impl<F, P> Block<F, P> {
    /// Every line, the fixed ones first.
    pub fn lines(&self) -> impl Iterator<Item = &Line<F, P>> {
        self.points
            .iter()
            .chain(self.any.iter().flat_map(|c| &c.of))
    }

    /// How these marks are made: how many of the fixed lines count, and how many of the choice are enough. As few fixed ones as that takes, and
    /// a choice with one line to spare before one without. `None`: no such lines make exactly these marks.
    pub fn split(&self, marks: u32, usable: &dyn Fn(&Line<F, P>) -> bool) -> Option<(usize, u32)> {
        let fixed: Vec<&Line<F, P>> = self.points.iter().filter(|l| usable(l)).collect();
        let each = self.any.as_ref().map_or(0, |c| c.each);
        let of = self.any.iter().flat_map(|c| &c.of);
        let of = of.filter(|l| usable(l)).count();
        let mut best: Option<(usize, u32)> = None;
        let mut sum: u32 = 0;
        for taken in 0..=fixed.len() {
            let Some(rest) = marks.checked_sub(sum) else {
                break;
            };
            let exact = match each {
                0 => rest == 0,
                _ => rest.is_multiple_of(each),
            };
            let chosen = rest.checked_div(each).unwrap_or(0);
            if exact && chosen as usize <= of {
                // A choice with one to spare is a choice; else more fixed lines are better.
                if (chosen as usize) < of || chosen == 0 {
                    best = Some((taken, chosen));
                    break;
                }
                best = best.or(Some((taken, chosen)));
            }
            sum = sum.saturating_add(fixed.get(taken).map_or(0, |l| l.marks));
        }
        best.filter(|(taken, chosen)| *taken > 0 || *chosen > 0)
    }

    /// The same block with its names looked up, or its positions named.
    pub fn map<G, Q>(self, names: &mut dyn Names<F, P, G, Q>, path: &[Step]) -> Block<G, Q> {
        let points = lines(self.points, names, &[path, &["points".into()]].concat());
        let any = self.any.map(|c| Choice {
            each: c.each,
            note: c.note,
            of: lines(c.of, names, &[path, &["any".into(), "of".into()]].concat()),
        });
        Block {
            say: self.say,
            clarify: self.clarify,
            probe: self.probe,
            lead: self.lead,
            points,
            any,
        }
    }
}

fn lines<F, P, G, Q>(
    all: Vec<Line<F, P>>,
    names: &mut dyn Names<F, P, G, Q>,
    path: &[Step],
) -> Vec<Line<G, Q>> {
    let line = |(i, line): (usize, Line<F, P>)| {
        let at = |key: &str| [path, &[Step::Item(i), Step::from(key)]].concat();
        Line {
            marks: line.marks,
            say: line.say,
            about: line.about.and_then(|f| names.finding(&at("about"), f)),
            to: line.to.and_then(|p| names.site(&at("to"), p)),
            flips: names.findings(&at("flips"), line.flips),
        }
    };
    all.into_iter().enumerate().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(fixed: &[u32], each: u32, of: usize) -> Block {
        let line = |marks: &u32| Line {
            marks: *marks,
            ..Line::of("x")
        };
        Block {
            points: fixed.iter().map(line).collect(),
            any: (of > 0).then(|| Choice {
                each,
                note: String::new(),
                of: vec![Line::of("y"); of],
            }),
            ..Block::default()
        }
    }

    #[test]
    fn marks_come_from_a_choice_with_one_to_spare_or_from_the_first_lines() {
        let all = |_: &Line| true;
        // Four lines at two marks: three of them are six marks.
        assert_eq!(block(&[], 2, 4).split(6, &all), Some((0, 3)));
        // With three lines there is no choice left: a fixed line is better where there is one.
        assert_eq!(block(&[], 2, 3).split(6, &all), Some((0, 3)));
        assert_eq!(block(&[1, 1], 2, 3).split(6, &all), Some((2, 2)));
        assert_eq!(block(&[2, 2, 1, 1], 0, 0).split(5, &all), Some((3, 0)));
        assert_eq!(block(&[2, 2, 2], 0, 0).split(5, &all), None);
        assert_eq!(block(&[], 2, 2).split(6, &all), None);
        assert_eq!(block(&[], 0, 0).split(2, &all), None, "nothing to tick");
        // What may not be used does not count.
        assert_eq!(block(&[], 2, 4).split(6, &|_: &Line| false), None);
    }
}
