//! How does a question of the bank stand in one station: which words, which prompts with which cap, which lines for which marks?

use super::station::{Group, Point, Prompt, Question, Rung};
use crate::case::Stream;
use crate::teaching::{Asking, Block, Choice, Line, Situation, filled};

/// What one question is made from.
pub struct Parts<'a> {
    /// Of the question, and what it is worth.
    pub id: &'a str,
    pub marks: u32,
    pub asking: &'a Asking,
    pub block: &'a Block,
    pub situation: &'a Situation,
    /// A line about a finding is used only if that finding is as the line needs it in this patient.
    pub usable: &'a dyn Fn(&Line) -> bool,
    pub seed: u64,
    /// Nobody wrote the lines: marks may be stretched over what there is.
    pub derived: bool,
    /// A text that names what this or an earlier question pays.
    pub gives: &'a dyn Fn(&str) -> bool,
    /// How many lines of the choice are enough, where its author says so.
    pub choose: Option<u32>,
}

/// Why a question cannot be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lack {
    /// Its lines cannot make these marks.
    Marks { wanted: u32 },
    /// None of its openings fits.
    Words,
}

/// The question, without its number and its time.
pub fn question(parts: &Parts<'_>) -> Result<Question, Lack> {
    let Parts {
        id,
        marks,
        asking,
        block,
        situation,
        ..
    } = *parts;
    let pick = |what: &str, of: &[String]| {
        let mut stream = Stream::new(parts.seed, &format!("station/{what}/{id}"));
        stream.pick(of).cloned()
    };
    let openings = match block.say.is_empty() {
        true => asking.openings(situation),
        false => filled(&block.say, situation),
    };
    let opening = pick("opening", &openings).ok_or(Lack::Words)?;
    let said = |own: &Option<String>, bank: &[String]| match own {
        Some(own) => Some(own.clone()),
        None => {
            let mut texts = filled(bank, situation);
            texts.retain(|t| !(parts.gives)(t));
            pick("prompt", &texts)
        }
    };
    // Without lines nothing can be asked; with own prompts an empty lead means that nothing is left to narrow.
    let lead_from: &[String] = if block.probe.is_some() {
        &[]
    } else {
        &asking.lead
    };
    let prompts = [
        (Rung::Clarify, said(&block.clarify, &asking.clarify)),
        (Rung::Probe, said(&block.probe, &asking.probe)),
        (Rung::Lead, said(&block.lead, lead_from)),
    ];
    let spare = spare(id);
    let groups = match parts.choose {
        Some(choose) => Some(as_written(block, choose)),
        None => groups(block, marks, parts.usable, spare),
    };
    // Lines that are not true of this patient are left out, and then the others may have to weigh more.
    let stretchable = parts.derived || self::groups(block, marks, &|_| true, spare).is_some();
    let groups = groups
        .or_else(|| {
            stretchable.then(|| self::groups(&topped(parts), marks, parts.usable, spare))?
        })
        .or_else(|| stretchable.then(|| stretched(block, marks, parts.usable))?)
        .ok_or(Lack::Marks { wanted: marks })?;
    Ok(Question {
        number: 0,
        id: asking.id.clone(),
        domain: asking.domain.clone(),
        from: 0,
        seconds: 0,
        clock: String::new(),
        opening,
        prompts: prompts
            .into_iter()
            .filter_map(|(rung, say)| {
                let cap = cap(rung, marks)?;
                Some(Prompt {
                    rung,
                    say: say.filter(|s| !s.is_empty() || marks > 2)?,
                    cap,
                    cap_text: halves(cap),
                })
            })
            .collect(),
        groups,
        marks,
        reasoning: f64::from(marks) * asking.reasoning,
    })
}

/// Marks still in reach after a prompt: all after the first, which adds nothing; about two thirds and a third after the others. Two marks
/// leave no room for a third step.
pub fn cap(rung: Rung, marks: u32) -> Option<f64> {
    let share = |part: f64| (f64::from(marks) * part * 2.0).round() / 2.0;
    match (rung, marks) {
        (Rung::Clarify, _) => Some(f64::from(marks)),
        (Rung::Probe, 2) => Some(1.0),
        (Rung::Probe, _) => Some(share(2.0 / 3.0)),
        (Rung::Lead, 2) => None,
        (Rung::Lead, _) => Some(share(0.35)),
    }
}

/// "2", "2½".
pub fn halves(marks: f64) -> String {
    match (marks.trunc(), marks.fract() >= 0.5) {
        (0.0, true) => "½".to_string(),
        (whole, true) => format!("{whole:.0}½"),
        (whole, false) => format!("{whole:.0}"),
    }
}

fn point(line: &Line, marks: u32) -> Point {
    Point {
        say: line.say.clone(),
        marks,
        about: line.about,
        flips: line.flips.clone(),
    }
}

/// Lines of a choice beyond those that are needed. Of what decides between two places one, for each has its row on the other side.
fn spare(id: &str) -> usize {
    match id {
        "deciders" => 1,
        _ => 2,
    }
}

/// Lines that make exactly these marks, the choice first. `None`: there are no such lines.
fn groups(
    block: &Block,
    marks: u32,
    usable: &dyn Fn(&Line) -> bool,
    spare: usize,
) -> Option<Vec<Group>> {
    let (taken, chosen) = block.split(marks, usable)?;
    let fixed: Vec<&Line> = block.points.iter().filter(|l| usable(l)).collect();
    let of = block.any.iter().flat_map(|c| &c.of).filter(|l| usable(l));
    let mut all = Vec::new();
    if let Some(from) = block.any.as_ref().filter(|_| chosen > 0) {
        // A few more than are needed are a choice; more only take longer to find.
        all.push(choice(from, chosen, of.take(chosen as usize + spare)));
    }
    if taken > 0 {
        let points = fixed
            .iter()
            .take(taken)
            .map(|l| point(l, l.marks))
            .collect();
        all.push(Group {
            choose: None,
            each: 0,
            note: String::new(),
            points,
        });
    }
    (!all.is_empty()).then_some(all)
}

/// All fixed lines, and some of the choice.
fn as_written(block: &Block, choose: u32) -> Vec<Group> {
    let chosen = block.any.iter().map(|c| choice(c, choose, c.of.iter()));
    let fixed = block
        .points
        .iter()
        .map(|l| point(l, l.marks))
        .collect::<Vec<_>>();
    let fixed = (!fixed.is_empty()).then(|| Group {
        choose: None,
        each: 0,
        note: String::new(),
        points: fixed,
    });
    chosen.chain(fixed).collect()
}

/// Some of these lines; when that is all of them, each counts.
fn choice<'l>(from: &Choice, choose: u32, of: impl Iterator<Item = &'l Line>) -> Group {
    let points: Vec<Point> = of.map(|l| point(l, from.each)).collect();
    Group {
        choose: (choose as usize != points.len()).then_some(choose),
        each: from.each,
        note: from.note.clone(),
        points,
    }
}

/// The block with the lines that the bank has ready, for a mark each.
fn topped(parts: &Parts<'_>) -> Block {
    let mut block = parts.block.clone();
    let key = match parts.situation.muscles {
        0 => "more_skin",
        _ => "more",
    };
    let ready = match parts.asking.lines(key) {
        [] => parts.asking.lines("more"),
        lines => lines,
    };
    for say in ready {
        if block.lines().all(|l| l.say != *say) {
            block.points.push(Line::of(say));
        }
    }
    block
}

/// The marks spread over whatever lines there are, the first getting the most.
fn stretched(block: &Block, marks: u32, usable: &dyn Fn(&Line) -> bool) -> Option<Vec<Group>> {
    let lines: Vec<&Line> = block
        .lines()
        .filter(|l| usable(l))
        .take(marks as usize)
        .collect();
    let count = u32::try_from(lines.len()).ok().filter(|n| *n > 0)?;
    let (share, extra) = (marks / count, marks % count);
    let points = lines
        .iter()
        .zip(0..)
        .map(|(l, i)| point(l, share + u32::from(i < extra)));
    Some(vec![Group {
        choose: None,
        each: 0,
        note: String::new(),
        points: points.collect(),
    }])
}

/// Half minutes kept for the greeting, and for the end.
const EDGE: u32 = 30;
/// Clock times are told in quarters of a minute.
const STEP: u32 = 15;

/// Numbers the questions and shares the time out: by their parts, in quarters of a minute, at least half a minute each.
pub fn timed(questions: &mut [Question], parts: &[u32], minutes: u32) {
    let steps = (minutes * 60).saturating_sub(2 * EDGE) / STEP;
    let count = u32::try_from(questions.len()).unwrap_or(u32::MAX).max(1);
    let least = (steps / count).min(3);
    let free = steps.saturating_sub(least.saturating_mul(count));
    let whole: u32 = parts.iter().sum::<u32>().max(1);
    let mut given: Vec<u32> = parts.iter().map(|p| least + free * p / whole).collect();
    let left = steps.saturating_sub(given.iter().sum());
    // What rounding left goes to the longest, the first of equals first.
    let mut order: Vec<usize> = (0..given.len()).collect();
    order.sort_by_key(|&i| (std::cmp::Reverse(parts.get(i).copied()), i));
    for &i in order.iter().cycle().take(left as usize) {
        if let Some(g) = given.get_mut(i) {
            *g += 1;
        }
    }
    let seconds: Vec<u32> = given.into_iter().map(|steps| steps * STEP).collect();
    numbered(questions, &seconds);
}

/// Numbers the questions, each with its seconds.
pub fn numbered(questions: &mut [Question], seconds: &[u32]) {
    let mut now = EDGE;
    for (i, (q, seconds)) in questions.iter_mut().zip(seconds).enumerate() {
        q.number = i + 1;
        q.from = now;
        q.seconds = *seconds;
        q.clock = clock(now);
        now += q.seconds;
    }
}

/// "1:45".
pub fn clock(seconds: u32) -> String {
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_prompt_costs_nothing_and_the_others_more_and_more() {
        for marks in 2..=8 {
            let caps: Vec<f64> = [Rung::Clarify, Rung::Probe, Rung::Lead]
                .into_iter()
                .filter_map(|rung| cap(rung, marks))
                .collect();
            assert_eq!(caps.first(), Some(&f64::from(marks)));
            assert!(caps.windows(2).all(|w| w[1] < w[0]), "{marks}: {caps:?}");
            assert!(caps.iter().all(|c| *c > 0.0 && (c * 2.0).fract() == 0.0));
        }
        assert_eq!(cap(Rung::Lead, 2), None, "two marks leave no third step");
    }

    #[test]
    fn halves_are_said_as_one_says_them() {
        assert_eq!(halves(0.5), "\u{bd}");
        assert_eq!(halves(2.5), "2\u{bd}");
        assert_eq!(halves(3.0), "3");
    }

    #[test]
    fn times_fill_the_station_but_for_greeting_and_end() {
        let mut all = vec![
            Question {
                number: 0,
                id: String::new(),
                domain: String::new(),
                from: 0,
                seconds: 0,
                clock: String::new(),
                opening: String::new(),
                prompts: Vec::new(),
                groups: Vec::new(),
                marks: 2,
                reasoning: 0.0,
            };
            3
        ];
        timed(&mut all, &[5, 3, 2], 8);
        let sum: u32 = all.iter().map(|q| q.seconds).sum();
        assert_eq!(sum, 7 * 60);
        assert!(
            all.iter()
                .all(|q| q.seconds >= 45 && q.seconds.is_multiple_of(15))
        );
        assert_eq!(all[0].from, EDGE);
        assert_eq!(all[0].clock, "0:30");
    }
}
