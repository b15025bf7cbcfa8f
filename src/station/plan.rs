//! Turns chosen questions and the minutes asked for into a timed plan, and their points into marks that add up to the total.

use super::Slot;

/// Marks of every station, at every level, so that stations of one circuit weigh the same.
pub const TOTAL: u32 = 20;
/// Half minutes kept for greeting and reading the task aloud, and for the end.
pub const OPENING: u32 = 1;
pub const CLOSING: u32 = 1;

/// A question as the plan sees it.
#[derive(Debug, Clone, Default)]
pub struct Ask {
    pub priority: u32,
    /// Least half minutes.
    pub least: u32,
    /// Marks of each point that could be asked for, best first.
    pub marks: Vec<u32>,
    /// How many of them are wanted.
    pub wanted: usize,
}

/// Which questions are asked: by priority, as many as fit. Positions in `asks`, in the order of the script.
pub fn choose(asks: &[Ask], half_minutes: u32) -> Vec<usize> {
    let mut order: Vec<usize> = (0..asks.len()).collect();
    order.sort_by_key(|&i| (asks[i].priority, i));
    let mut left = half_minutes.saturating_sub(OPENING + CLOSING);
    let mut chosen = Vec::new();
    for i in order {
        if asks[i].least <= left && !asks[i].marks.is_empty() {
            left -= asks[i].least;
            chosen.push(i);
        }
    }
    chosen.sort_unstable();
    chosen
}

/// Half minutes of each question: the least each needs, and what is left shared out, longest question first.
pub fn times(least: &[u32], half_minutes: u32) -> Vec<u32> {
    let mut times = least.to_vec();
    let used: u32 = least.iter().sum();
    let mut left = half_minutes.saturating_sub(OPENING + CLOSING + used);
    let mut order: Vec<usize> = (0..least.len()).collect();
    order.sort_by_key(|&i| (std::cmp::Reverse(least[i]), i));
    while left > 0 && !order.is_empty() {
        for &i in &order {
            if left == 0 {
                break;
            }
            times[i] += 1;
            left -= 1;
        }
    }
    times
}

/// The marks of each question's points so that all together make the total; `None` when there is nothing to share among.
///
/// First each question gives what it wants. Too few marks: points held back come in, then single points weigh more. Too many:
/// the least important points go, then weights shrink; a question keeps at least two marks, so that its caps can differ.
pub fn share(asks: &[Ask], total: u32) -> Option<Vec<Vec<u32>>> {
    let mut marks: Vec<Vec<u32>> = asks
        .iter()
        .map(|a| a.marks.iter().take(a.wanted.max(1)).copied().collect())
        .collect();
    if marks.iter().all(Vec::is_empty) {
        return None;
    }
    let sum = |m: &[Vec<u32>]| m.iter().flatten().sum::<u32>();
    let mut by_need: Vec<usize> = (0..asks.len()).collect();
    by_need.sort_by_key(|&i| (asks[i].priority, i));
    // A question of one mark cannot be capped in steps.
    for question in &mut marks {
        if question.iter().sum::<u32>() < 2
            && let Some(first) = question.first_mut()
        {
            *first = 2;
        }
    }
    while sum(&marks) < total {
        let missing = total - sum(&marks);
        let spare = by_need.iter().copied().filter(|&i| {
            let more = asks[i].marks.get(marks[i].len());
            // No question swells by more than half of what its level wants.
            more.is_some_and(|m| *m <= missing)
                && marks[i].len() < asks[i].wanted + asks[i].wanted.div_ceil(2)
        });
        if let Some(i) = spare.min_by_key(|&i| marks[i].iter().sum::<u32>()) {
            let more = asks[i].marks[marks[i].len()];
            marks[i].push(more);
            continue;
        }
        // Raise the lightest point of the lightest question, so that no question swallows the station.
        let lightest = by_need
            .iter()
            .flat_map(|&i| marks[i].iter().enumerate().map(move |(p, m)| (*m, i, p)))
            .min_by_key(|(m, i, p)| (marks[*i].iter().sum::<u32>(), *m, *p));
        let (_, i, p) = lightest?;
        marks[i][p] += 1;
    }
    while sum(&marks) > total {
        let over = sum(&marks) - total;
        let from = by_need
            .iter()
            .rev()
            .copied()
            .filter(|&i| {
                let last = marks[i].last().copied().unwrap_or_default();
                marks[i].len() > 1 && last <= over && marks[i].iter().sum::<u32>() - last >= 2
            })
            .max_by_key(|&i| marks[i].iter().sum::<u32>());
        if let Some(i) = from {
            marks[i].pop();
            continue;
        }
        let heaviest = by_need
            .iter()
            .flat_map(|&i| marks[i].iter().enumerate().map(move |(p, m)| (*m, i, p)))
            .filter(|(m, i, _)| *m > 1 && marks[*i].iter().sum::<u32>() > 2)
            .max_by_key(|(m, _, _)| *m);
        let (_, i, p) = heaviest?;
        marks[i][p] -= 1;
    }
    Some(marks)
}

/// The plan with clock times from 0:00; each question with its half minutes and its domain.
pub fn slots<'q>(questions: impl Iterator<Item = (u32, &'q str)>) -> Vec<Slot> {
    let mut now = 0;
    let mut all = Vec::new();
    let mut add = |half: u32, what: &str, question: usize, domain: &str| {
        all.push(Slot {
            from: clock(now),
            to: clock(now + half),
            half_minutes: half,
            minutes: figure(f64::from(half) / 2.0),
            what: what.to_string(),
            question,
            domain: domain.to_string(),
        });
        now += half;
    };
    add(OPENING, "opening", 0, "");
    for (i, (half, domain)) in questions.enumerate() {
        add(half, "question", i + 1, domain);
    }
    add(CLOSING, "closing", 0, "");
    all
}

/// "2" or "2.5".
pub fn figure(halves: f64) -> String {
    if halves.fract() == 0.0 {
        format!("{halves:.0}")
    } else {
        format!("{halves:.1}")
    }
}

fn clock(half_minutes: u32) -> String {
    let seconds = if half_minutes.is_multiple_of(2) {
        "00"
    } else {
        "30"
    };
    format!("{}:{seconds}", half_minutes / 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask(priority: u32, marks: &[u32], wanted: usize) -> Ask {
        Ask {
            priority,
            least: 2,
            marks: marks.to_vec(),
            wanted,
        }
    }

    #[test]
    fn marks_always_make_the_total() {
        let many = [ask(1, &[2; 12], 9), ask(2, &[1; 9], 6), ask(3, &[2; 6], 4)];
        let few = [ask(1, &[1], 1), ask(2, &[1, 1], 2)];
        let spare = [ask(1, &[1; 9], 2), ask(2, &[1; 9], 2), ask(3, &[3], 1)];
        for asks in [&many[..], &few[..], &spare[..]] {
            let marks = share(asks, TOTAL).unwrap();
            assert_eq!(marks.iter().flatten().sum::<u32>(), TOTAL, "{marks:?}");
            assert!(
                marks.iter().all(|q| q.iter().sum::<u32>() >= 2),
                "{marks:?}"
            );
            assert!(marks.iter().flatten().all(|m| *m >= 1));
        }
        assert_eq!(share(&[], TOTAL), None);
    }

    #[test]
    fn time_is_used_to_the_last_half_minute() {
        let least = [2, 3, 4];
        let times = times(&least, 16);
        assert_eq!(times.iter().sum::<u32>() + OPENING + CLOSING, 16);
        assert!(times.iter().zip(least).all(|(t, l)| *t >= l));
        let slots = slots(times.iter().map(|t| (*t, "anatomy")));
        assert_eq!(slots.last().map(|s| s.to.as_str()), Some("8:00"));
    }

    #[test]
    fn the_most_needed_questions_are_asked_in_their_order() {
        let asks = [
            ask(3, &[1], 1),
            ask(1, &[1], 1),
            ask(2, &[1], 1),
            ask(0, &[], 1),
        ];
        assert_eq!(choose(&asks, 6), [1, 2]);
    }
}
