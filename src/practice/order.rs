//! In which order do the cases stand? The easiest that may stand next comes next.

/// What the order looks at.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    pub kind: String,
    pub nerve: String,
    /// Positions in the model's sites.
    pub site: usize,
    pub twin: Option<usize>,
    pub difficulty: f64,
}

/// What neighbours owe each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// The hints of a case face the front of the next: no two of one kind.
    Kinds,
    Nerves,
    /// A case and its twin stand so far apart that the first is not copied.
    Twins,
}

const ALL: [Rule; 3] = [Rule::Nerves, Rule::Kinds, Rule::Twins];
/// How far apart twins stand.
const APART: usize = 3;
/// Places tried before a rule is given up.
const MOST: usize = 20_000;

/// The cases by number in their order, and the rules that cannot be kept: as few as possible, twins first, nerves last.
pub fn order(all: &[Standing]) -> (Vec<usize>, Vec<Rule>) {
    let mut easiest: Vec<usize> = (0..all.len()).collect();
    let figure = |i: &usize| all.get(*i).map_or(0.0, |s| s.difficulty);
    easiest.sort_by(|a, b| figure(a).total_cmp(&figure(b)));
    for given_up in [
        &[][..],
        &[Rule::Twins],
        &[Rule::Kinds],
        &[Rule::Kinds, Rule::Twins],
        &[Rule::Nerves, Rule::Twins],
    ] {
        let rules: Vec<Rule> = ALL.into_iter().filter(|r| !given_up.contains(r)).collect();
        let mut search = Search {
            all,
            easiest: &easiest,
            rules: &rules,
            tried: 0,
        };
        if let Some(order) = search.from(Vec::new()) {
            return (order, given_up.to_vec());
        }
    }
    (easiest, ALL.to_vec())
}

struct Search<'a> {
    all: &'a [Standing],
    easiest: &'a [usize],
    rules: &'a [Rule],
    tried: usize,
}

impl Search<'_> {
    fn from(&mut self, stand: Vec<usize>) -> Option<Vec<usize>> {
        if stand.len() == self.all.len() {
            return Some(stand);
        }
        for &next in self.easiest {
            self.tried += 1;
            if self.tried > MOST {
                return None;
            }
            if !stand.contains(&next) && self.may_follow(&stand, next) {
                let mut longer = stand.clone();
                longer.push(next);
                if let Some(whole) = self.from(longer) {
                    return Some(whole);
                }
            }
        }
        None
    }

    fn may_follow(&self, stand: &[usize], next: usize) -> bool {
        let Some(case) = self.all.get(next) else {
            return false;
        };
        let before = stand.iter().rev().filter_map(|i| self.all.get(*i));
        self.rules.iter().all(|rule| match rule {
            Rule::Kinds => before.clone().take(1).all(|b| b.kind != case.kind),
            Rule::Nerves => before.clone().take(1).all(|b| b.nerve != case.nerve),
            Rule::Twins => before.clone().take(APART - 1).all(|b| !twins(b, case)),
        })
    }
}

fn twins(a: &Standing, b: &Standing) -> bool {
    a.twin == Some(b.site) || b.twin == Some(a.site)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn standing(kind: &str, nerve: &str, site: usize, difficulty: f64) -> Standing {
        Standing {
            kind: kind.into(),
            nerve: nerve.into(),
            site,
            twin: None,
            difficulty,
        }
    }

    #[test]
    fn cases_get_harder_and_neighbours_differ() {
        let mut all = vec![
            standing("trace", "ulnar", 0, 5.0),
            standing("trace", "tibial", 1, 6.0),
            standing("nerve", "median", 2, 7.0),
            standing("risk", "ulnar", 3, 8.0),
            standing("examine", "radial", 4, 9.0),
        ];
        assert_eq!(order(&all), (vec![0, 2, 1, 3, 4], vec![]));
        let same = ["ulnar", "ulnar", "median"].into_iter().enumerate();
        let same: Vec<_> = same
            .map(|(n, nerve)| standing(["trace", "risk", "nerve"][n], nerve, n, n as f64))
            .collect();
        assert_eq!(order(&same), (vec![0, 2, 1], vec![]));
        all[0].twin = Some(1);
        assert_eq!(order(&all), (vec![0, 2, 3, 1, 4], vec![]));
    }

    #[test]
    fn what_cannot_be_kept_is_named() {
        let all = vec![
            standing("trace", "ulnar", 0, 6.0),
            standing("trace", "median", 1, 5.0),
        ];
        assert_eq!(order(&all), (vec![1, 0], vec![Rule::Kinds]));
    }
}
