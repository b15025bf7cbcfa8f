//! Does the leaf of one case give away the answer of another? Its story, questions and hints are read before the other case is done.

use crate::anatomy::Model;
use crate::station::{Station, giveaways};
use crate::wording::{count_words, flat};

/// A point of so many words is an answer by itself; fewer are met anywhere.
const A_POINT: usize = 4;

/// What stands on the leaf of a case, and what would answer it; flattened.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Leaf {
    text: String,
    answers: Vec<String>,
}

impl Leaf {
    /// `site`: position in the model's sites.
    pub fn of(model: &Model, site: usize, station: &Station) -> Leaf {
        let told = flat(&told(station));
        let mut text = told.clone();
        for said in station.questions.iter().flat_map(|q| q.spoken()) {
            text.push_str(&flat(said));
        }
        let site = model.sites.get(site);
        let names = site.map(|s| std::iter::once(&s.label).chain(&s.synonyms));
        let place = [&station.lesion.short, &station.lesion.place];
        let points = station
            .questions
            .iter()
            .flat_map(|q| &q.groups)
            .flat_map(|g| &g.points)
            .map(|p| &p.say)
            .filter(|say| count_words(say) >= A_POINT);
        let all = names.into_iter().flatten().chain(place).chain(points);
        let mut answers: Vec<String> = Vec::new();
        // What the case itself tells is no answer of it.
        for answer in all.map(|a| flat(a)) {
            if !answer.trim().is_empty() && !told.contains(&answer) && !answers.contains(&answer) {
                answers.push(answer);
            }
        }
        Leaf { text, answers }
    }
}

/// Everything that a case says before its first question, and what an examination shows.
fn told(station: &Station) -> String {
    let c = &station.candidate;
    let mut text = [
        &c.setting,
        &c.story,
        &c.note,
        &c.says,
        &c.told_lesion,
        &station.room.if_asked,
    ]
    .map(|s| s.as_str())
    .join(" . ");
    let found = c.rows.iter().chain(match station.kind.played {
        true => station.room.found.as_slice(),
        false => &[],
    });
    let found = found.flat_map(|row| row.items.iter().map(|i| i.text.as_str()));
    let places = c.told_places.iter().map(String::as_str);
    let approach = c.approach.iter().map(|a| a.told.as_str());
    for said in found.chain(places).chain(approach) {
        text.push_str(" . ");
        text.push_str(said);
    }
    text
}

/// Which questions name what an earlier one asks for. On a page all are seen together, so these stand behind.
pub fn late(station: &Station) -> Vec<bool> {
    let questions = station.questions.iter().enumerate();
    let says = questions.map(|(i, q)| i > 0 && !giveaways(station, &q.opening).is_empty());
    says.collect()
}

/// The words on the leaf of `other` that answer `case`, if there are any.
pub fn leak<'l>(case: &'l Leaf, other: &Leaf) -> Option<&'l str> {
    let given = |answer: &&String| other.text.contains(answer.as_str());
    case.answers.iter().find(given).map(|a| a.trim())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_words_of_another_leaf_give_an_answer_away() {
        let leaf = |text: &str, answers: &[&str]| Leaf {
            text: flat(text),
            answers: answers.iter().map(|a| flat(a)).collect(),
        };
        let case = leaf("A weak hand.", &["ulnar nerve at the elbow"]);
        let other = leaf("Suppose it were the ulnar nerve, at the elbow.", &[]);
        assert_eq!(leak(&case, &other), Some("ulnar nerve at the elbow"));
        assert_eq!(leak(&other, &case), None);
        assert_eq!(
            leak(&case, &leaf("The ulnar nerve at the elbows.", &[])),
            None
        );
    }
}
