//! What is left out of a drawn station for its room sheet to stay one that can be held? Lines to spare and further replies, never a mark.

use super::draft::{Draft, Told};
use super::station::{FoundRow, Group, Point, Question, Room, Rung};
use crate::wording::count_words as words;

/// Most words of a room sheet, its fixed ones among them, which its reader can hold; the layout counts again.
pub const ROOM_WORDS: usize = 700;
/// What the sheet says at every station.
const FIXED: usize = 123;

/// Most words of what is found if asked.
const FOUND: usize = 125;

/// What is found in so few words that it is found: what is normal goes before what is seen, and that before what is weak or dull. Of a
/// station that a teacher wrote too, for the model says it.
pub fn fit_found(room: &mut Room) {
    // Rows, how many of each stay, and whether what goes from them would be taken for normal.
    const ROWS: [(&[&str], usize, bool); 3] = [
        (&["full", "felt", "jerk_present", "not_seen"], 2, false),
        (&["seen"], 1, false),
        (&["lost", "weak", "numb", "dull"], 4, true),
    ];
    for (rows, keep, missed) in ROWS {
        while room.found.iter().map(row).sum::<usize>() + pairs(room) > FOUND {
            let long = room.found.iter_mut();
            let long = long.filter(|r| rows.contains(&r.group) && r.items.len() > keep);
            let Some(longest) = long.max_by_key(|r| row(r)) else {
                break;
            };
            longest.items.pop();
            room.whole &= !missed;
        }
    }
}

fn row(row: &FoundRow) -> usize {
    let items = row.items.iter();
    2 + items
        .map(|i| words(&i.text) + usize::from(i.power.is_some()))
        .sum::<usize>()
}

/// Takes one thing away; false: there is none of its kind left to take.
type Step<'a> = dyn Fn(&mut [Question], &mut Room) -> bool + 'a;

/// Takes the least needed thing away until the words fit, or nothing is left that can be spared: replies beyond four, what neither earns
/// nor loses beyond four, replies beyond three, dangers beyond two, lines to spare about what the
/// candidate was not told, what neither earns nor loses beyond two, other lines to spare; last of all prompts.
pub fn fit(questions: &mut [Question], room: &mut Room, draft: &Draft) {
    let fits = |questions: &[Question], room: &Room| count(questions, room) <= ROOM_WORDS;
    let played = draft.kind.tells.played();
    // Who begins with what was told must find a line to tick.
    let untold = |p: &Point| match &draft.told {
        Told::Findings(told) => !p.about.is_some_and(|s| told.contains(&s)),
        _ => false,
    };
    let steps: [&Step<'_>; 9] = [
        &|_, room| fewer_replies(room, 4),
        &|_, room| room.neither.len() > 4 && room.neither.pop().is_some(),
        &|_, room| fewer_replies(room, 3),
        &|_, room| room.dangers.len() > 2 && room.dangers.pop().is_some(),
        &|questions, _| fewer_lines(questions, &untold),
        &|_, room| room.neither.len() > 2 && room.neither.pop().is_some(),
        &|questions, _| fewer_lines(questions, &|_| true),
        &|questions, _| fewer_prompts(questions),
        // Where nobody plays the patient, nobody is asked. Last, as in a station that is written out and read back.
        &|_, room| !played && !std::mem::take(&mut room.if_asked).is_empty(),
    ];
    for step in steps {
        while !fits(questions, room) && step(questions, room) {}
    }
}

/// Of a station that a teacher wrote only what nobody needs: where nobody plays the patient, nobody is asked.
pub fn fit_authored(questions: &[Question], room: &mut Room, played: bool) {
    if !played && count(questions, room) > ROOM_WORDS {
        room.if_asked.clear();
    }
}

/// The last reply that gives no credit.
fn fewer_replies(room: &mut Room, keep: usize) -> bool {
    let last = room.replies.iter().rposition(|r| !r.credit);
    match last {
        Some(at) if room.replies.len() > keep => {
            room.replies.remove(at);
            true
        }
        _ => false,
    }
}

fn pairs(room: &Room) -> usize {
    let pair = room.pair.iter();
    pair.map(|p| words(&p.finding) + 2 + words(&p.by)).sum()
}

/// The last such line of the longest list that has more to spare, but for one that takes whatever else is sound: it speaks of no finding.
fn fewer_lines(questions: &mut [Question], may: &dyn Fn(&Point) -> bool) -> bool {
    let open = |p: &Point| p.about.is_none() && p.say.split(' ').nth(1) == Some("other");
    let spare = |g: &Group| g.points.iter().rposition(|p| !open(p) && may(p));
    let groups = questions.iter_mut().flat_map(|q| &mut q.groups);
    let long = groups.filter(|g| {
        let many = g.choose.is_some_and(|n| g.points.len() > n as usize + 1);
        many && spare(g).is_some()
    });
    long.max_by_key(|g| group(g))
        .is_some_and(|g| spare(g).is_some_and(|at| !g.points.remove(at).say.is_empty()))
}

/// Of a question for two marks the first prompt, which adds nothing, goes: the question is said again.
fn fewer_prompts(questions: &mut [Question]) -> bool {
    let clarifies = |q: &&mut Question| {
        q.marks <= 2 && q.prompts.len() > 1 && q.prompts.iter().any(|p| p.rung == Rung::Clarify)
    };
    let short = questions.iter_mut().rev().find(clarifies);
    short.is_some_and(|q| q.prompts.remove(0).rung == Rung::Clarify)
}

fn group(group: &Group) -> usize {
    let points: usize = group.points.iter().map(|p| words(&p.say)).sum();
    let marks = match group.choose {
        Some(_) => 2 + words(&group.note),
        None => group.points.len(),
    };
    points + marks
}

/// The words of the sheet, as they will be printed.
pub fn count(questions: &[Question], room: &Room) -> usize {
    let all = |texts: &[String]| texts.iter().map(|t| words(t)).sum::<usize>();
    let asked = |q: &Question| {
        let prompts: usize = q.prompts.iter().map(|p| 2 + words(&p.say)).sum();
        3 + words(&q.opening) + prompts + q.groups.iter().map(group).sum::<usize>()
    };
    let key = room.key.iter();
    let key: usize = key
        .map(|k| words(&k.landmark) + words(&k.leaves) + words(&k.mostly))
        .sum();
    let risk = room.risk.as_ref().map_or(0, |r| {
        words(&r.place) + words(&r.relation) + words(&r.test) + all(&r.protect)
    });
    let replies = room.replies.iter();
    let replies: usize = replies.map(|r| words(&r.to) + words(&r.ask) + 1).sum();
    FIXED
        + questions.iter().map(asked).sum::<usize>()
        + room.found.iter().map(row).sum::<usize>()
        + pairs(room)
        + key
        + risk
        + replies
        + all(&room.equals)
        + words(&room.if_asked)
        + all(&room.neither)
        + all(&room.dangers)
        + words(&room.second_chance)
        + all(&room.anchors)
}
