//! Turns forms that keep the rules into forms that also come out alike, by exchanging single stations while it helps.

use super::assemble::{Task, cost, repeats};

/// Rounds over all stations; each ends early when nothing helps.
const ROUNDS: usize = 12;

/// Exchanges one station of a form for another of the same class, best exchange first, as long as the cost falls.
pub fn polish(task: &Task, mut forms: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    let rules_of = rules_of(task);
    let mut now = cost(task, &forms);
    for _ in 0..ROUNDS {
        let before = now;
        for f in 0..forms.len() {
            for place in 0..forms.get(f).map_or(0, Vec::len) {
                let Some(old) = forms.get(f).and_then(|form| form.get(place)).copied() else {
                    continue;
                };
                let Some(class) = task.items.get(old).filter(|i| !i.fixed).map(|i| i.class) else {
                    continue;
                };
                let mut best = (now - 1e-9, old);
                for (new, item) in task.items.iter().enumerate() {
                    if new == old
                        || item.class != class
                        || item.fixed
                        || !allowed(task, &rules_of, &forms[f], place, new)
                    {
                        continue;
                    }
                    forms[f][place] = new;
                    let then = cost(task, &forms);
                    let repeats = task.never_repeat && !repeats(task, &forms).is_empty();
                    if then < best.0 && !repeats {
                        best = (then, new);
                    }
                }
                forms[f][place] = best.1;
                if best.1 != old {
                    now = best.0;
                }
            }
        }
        if now > before - 1e-9 {
            break;
        }
    }
    for form in &mut forms {
        form.sort_unstable();
    }
    forms
}

/// For each item the rules that count it.
fn rules_of(task: &Task) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new(); task.items.len()];
    for (r, rule) in task.rules.iter().enumerate() {
        for i in &rule.members {
            if let Some(own) = all.get_mut(*i) {
                own.push(r);
            }
        }
    }
    all
}

/// The form with the station at `place` exchanged keeps every rule of a form, given that it does so now.
fn allowed(task: &Task, rules_of: &[Vec<usize>], form: &[usize], place: usize, new: usize) -> bool {
    let (Some(item), Some(old)) = (task.items.get(new), form.get(place)) else {
        return false;
    };
    let others = || {
        let kept = form.iter().enumerate().filter(move |(p, _)| *p != place);
        kept.map(|(_, i)| *i)
    };
    if others().any(|i| task.items.get(i).is_some_and(|o| o.site == item.site)) {
        return false;
    }
    let touched = [*old, new];
    touched
        .iter()
        .filter_map(|i| rules_of.get(*i))
        .flatten()
        .all(|r| {
            task.rules.get(*r).is_none_or(|rule| {
                let has = |i: usize| rule.members.binary_search(&i).is_ok();
                let count = others().filter(|i| has(*i)).count() + usize::from(has(new));
                (rule.least..=rule.most).contains(&count)
            })
        })
}
