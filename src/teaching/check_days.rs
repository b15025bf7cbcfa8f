//! Do first steps cover every day of every way of injury, and do lines make the marks that the kinds of station pay?

use super::check::{Checker, Plan, Way};
use super::notes::LATER;
use crate::diagnostic::{did_you_mean, short};
use crate::files::Step;

impl Checker<'_> {
    /// The general rows follow each other without a gap to the end, and every way of injury has a row for each of its days.
    pub fn days(&mut self, ways: &[Way]) {
        let rows = &self.notes.first_steps;
        for (i, row) in rows.iter().enumerate() {
            for (k, id) in row.only.iter().enumerate() {
                if self.found.is_some() && ways.iter().all(|w| w.id != *id) {
                    let path = [
                        "first_steps".into(),
                        Step::Item(i),
                        "only".into(),
                        Step::Item(k),
                    ];
                    let known = ways.iter().map(|w| w.id.as_str());
                    let hint =
                        did_you_mean(id, known, "name an `id:` of the scenario file of this site");
                    self.add(
                        &path,
                        format!("no way of injury is called `{}`", short(id)),
                        hint,
                    );
                }
            }
        }
        for way in ways.iter().filter(|_| !rows.is_empty()) {
            let fits = |day: u32| {
                let mut rows = rows.iter();
                rows.any(|r| {
                    (r.only.is_empty() || r.only.contains(&way.id))
                        && (r.from..=r.to).contains(&day)
                })
            };
            if let Some(day) = (way.days.0..=way.days.1).find(|&day| !fits(day.min(LATER))) {
                self.add(
                    &["first_steps".into()],
                    format!(
                        "`{}` may be {day} days old, and no row says what is done then",
                        way.id
                    ),
                    "let the days of the rows follow each other, the last one ending at 9999",
                );
            }
        }
        let mut next = 0;
        for (i, row) in self.notes.first_steps.iter().enumerate() {
            let path = ["first_steps".into(), Step::Item(i), "from".into()];
            if row.from > row.to {
                self.add(
                    &path,
                    format!("the days run backwards: {} to {}", row.from, row.to),
                    "write the smaller number under `from:`",
                );
            }
            if row.only.is_empty() {
                if row.from != next {
                    self.add(
                        &path,
                        format!(
                            "day {next} comes next, and this row begins at day {}",
                            row.from
                        ),
                        format!("write from: {next}"),
                    );
                }
                next = row.to.saturating_add(1);
            }
        }
        if next > 0 && next <= LATER {
            self.add(
                &["first_steps".into()],
                format!("nothing is said of day {next} and later"),
                format!("let the last row end at {LATER}"),
            );
        }
    }

    /// Every number of marks that a kind pays for a question can be made of its lines.
    pub fn marks(&mut self, plan: &Plan) {
        for (id, marks) in &plan.asks {
            let Some(block) = self.notes.block(id).filter(|_| id != "act") else {
                continue;
            };
            if block.split(*marks, &|_| true).is_none() {
                let message = format!(
                    "the kind `{}` pays {marks} marks for `{}`, and no choice of its lines makes exactly {marks}",
                    plan.kind,
                    short(id)
                );
                self.add(
                    &["ask".into(), Step::from(id.as_str())],
                    message,
                    "let the marks of the first lines add up to it, or offer more lines under `any:`",
                );
            }
        }
        let act = plan.asks.iter().find(|(id, _)| id == "act");
        let Some((_, marks)) = act else { return };
        for (i, row) in self.notes.first_steps.iter().enumerate() {
            if row.pay.len() < *marks as usize {
                self.add(
                    &["first_steps".into(), Step::Item(i), "pay".into()],
                    format!("{} lines for {marks} marks", row.pay.len()),
                    "write one line for each mark, better two more to choose from",
                );
            }
        }
    }
}
