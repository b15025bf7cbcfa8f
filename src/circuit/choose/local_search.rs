//! How do forms that keep the rules come out alike as well? Single stations are exchanged while it helps.

use super::task::{Task, cost, repeats};

/// Rounds over all stations; each ends early when nothing helps.
const ROUNDS: usize = 12;

/// As long as the cost falls: exchanges one station of a form for another of the same class, best exchange first; then two stations of
/// the same class between two forms.
pub fn polish(task: &Task, mut forms: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    let rules_of = rules_of(task);
    let mut now = cost(task, &forms);
    for _ in 0..ROUNDS {
        let before = now;
        for f in 0..forms.len() {
            for place in 0..forms.get(f).map_or(0, Vec::len) {
                now = exchange(task, &rules_of, &mut forms, (f, place), now);
            }
        }
        for f in 0..forms.len() {
            for g in f + 1..forms.len() {
                now = swap(task, &rules_of, &mut forms, (f, g), now);
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

/// The cost, unless a rule over several forms forbids them.
fn allowed_cost(task: &Task, forms: &[Vec<usize>]) -> f64 {
    if task.never_repeat && !repeats(task, forms).is_empty() {
        f64::INFINITY
    } else {
        cost(task, forms)
    }
}

/// Puts the station in that makes the forms cheapest, and gives what they cost then.
fn exchange(
    task: &Task,
    rules_of: &[Vec<usize>],
    forms: &mut [Vec<usize>],
    (f, place): (usize, usize),
    now: f64,
) -> f64 {
    let Some(old) = forms.get(f).and_then(|form| form.get(place)).copied() else {
        return now;
    };
    let Some(class) = task.items.get(old).filter(|i| !i.fixed).map(|i| i.class) else {
        return now;
    };
    let mut best = (now - 1e-9, old);
    for (new, item) in task.items.iter().enumerate() {
        let fits = new != old && item.class == class && !item.fixed;
        if fits && allowed(task, rules_of, &forms[f], place, new) {
            forms[f][place] = new;
            let then = allowed_cost(task, forms);
            forms[f][place] = old;
            if then < best.0 {
                best = (then, new);
            }
        }
    }
    forms[f][place] = best.1;
    if best.1 == old { now } else { best.0 }
}

/// Exchanges stations between two forms, each exchange that helps.
fn swap(
    task: &Task,
    rules_of: &[Vec<usize>],
    forms: &mut [Vec<usize>],
    (f, g): (usize, usize),
    mut now: f64,
) -> f64 {
    let class = |i: usize| task.items.get(i).filter(|x| !x.fixed).map(|x| x.class);
    for p in 0..forms[f].len() {
        for q in 0..forms[g].len() {
            let (a, b) = (forms[f][p], forms[g][q]);
            if a == b
                || class(a).is_none()
                || class(a) != class(b)
                || !allowed(task, rules_of, &forms[f], p, b)
                || !allowed(task, rules_of, &forms[g], q, a)
            {
                continue;
            }
            (forms[f][p], forms[g][q]) = (b, a);
            let then = allowed_cost(task, forms);
            if then < now - 1e-9 {
                now = then;
            } else {
                (forms[f][p], forms[g][q]) = (a, b);
            }
        }
    }
    now
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
