//! What does a report say, as people write it: `edc=lost`, `thumb extension=4/5`, "triceps jerk absent, little finger numb, no winging"?

use super::called::Names;
use super::clause::{Clause, clauses};
use super::lexicon::Say;
use super::observe::{kind_of, name, words};
use super::told::{Told, What};
use crate::anatomy::{Entry, Kind, Model, Structure, fold};
use crate::diagnostic::{Problem, did_you_mean, nearest, short};

/// One statement, not yet held against a region.
#[derive(Debug, Clone, PartialEq)]
pub enum Statement {
    /// `NAME=STATE`.
    Equation(String),
    Clause(Clause),
}

/// The statements of a text.
pub fn statements(text: &str) -> Vec<Statement> {
    let mut all = Vec::new();
    let mut free: Vec<&str> = Vec::new();
    for piece in text.split_inclusive([',', ';']) {
        if piece.contains('=') {
            all.extend(clauses(&free.concat()).into_iter().map(Statement::Clause));
            free.clear();
            let equation = piece.trim_end_matches([',', ';']).trim();
            all.push(Statement::Equation(equation.to_string()));
        } else {
            free.push(piece);
        }
    }
    all.extend(clauses(&free.concat()).into_iter().map(Statement::Clause));
    all
}

/// What a statement says of this region.
///
/// # Errors
/// Which word is not understood, and what to write.
pub fn read(model: &Model, names: &Names, statement: &Statement) -> Result<Told, Problem> {
    match statement {
        Statement::Equation(text) => equation(model, names, text),
        Statement::Clause(clause) => free(model, names, clause),
    }
}

/// Adds a statement; a second one of the same structures is passed over.
///
/// # Errors
/// When it contradicts an earlier one.
pub fn add(all: &mut Vec<Told>, told: Told) -> Result<(), Problem> {
    let earlier = all.iter().find(|t| t.structures == told.structures);
    match earlier {
        Some(t) if t.abnormal() != told.abnormal() => {
            Err(
                Problem::new(format!("`{}` contradicts `{}`", told.text(), t.text()))
                    .hint("keep one of the two"),
            )
        }
        Some(_) => Ok(()),
        None => {
            all.push(told);
            Ok(())
        }
    }
}

fn equation(model: &Model, names: &Names, text: &str) -> Result<Told, Problem> {
    let (id, state) = text.split_once('=').unwrap_or((text, ""));
    let (wanted, bare) = match id.split_once(':') {
        Some((kind, rest)) => (Some(kind_of(kind.trim())?), rest),
        None => (None, id),
    };
    let state = state.trim();
    let right = clauses(state);
    let say = match right.as_slice() {
        [one] if one.names.is_empty() => one.say,
        _ => None,
    };
    let left = clauses(bare);
    let (asked, hinted) = match left.as_slice() {
        [one] => (one.names.clone(), one.kind),
        _ => (vec![bare.to_string()], None),
    };
    let wanted = wanted.or(hinted);
    let of_kind = |s: Structure| wanted.is_none_or(|w| w == s.kind);
    // What the name may mean, whatever its state.
    let by_id = model.lookup(&fold(bare)).iter().filter_map(|e| match e {
        Entry::Structure(s) => Some(*s),
        _ => None,
    });
    let mut known: Vec<Structure> = by_id.filter(|s| of_kind(*s)).collect();
    let fits = |s: Structure| of_kind(s) && say.is_some_and(|say| say.of(s.kind).is_some());
    for s in names.meant(&asked, &fits) {
        if !known.contains(&s) {
            known.push(s);
        }
    }
    if known.is_empty() {
        known = names.meant(&asked, &of_kind);
    }
    let Some(first) = known.first() else {
        return Err(unknown(model, names, bare, &asked));
    };
    let told = say.and_then(|say| choose(model, bare, &known, say));
    told.ok_or_else(|| {
        Problem::new(format!(
            "`{}` is no state of a {}",
            short(state),
            first.kind.word()
        ))
        .hint(format!("write one of: {}", words(first.kind)))
    })
}

fn free(model: &Model, names: &Names, clause: &Clause) -> Result<Told, Problem> {
    for word in &clause.names {
        if !names.knows(word) {
            return Err(Problem::new(format!(
                "`{}` in `{}` is not understood",
                short(word),
                short(&clause.text)
            ))
            .hint(nearest_word(names, word)));
        }
    }
    let signs = names.whole_signs(&clause.words);
    if clause.say.is_none() && !signs.is_empty() {
        let say = if clause.denied {
            Say::Absent
        } else {
            Say::Present
        };
        let called = clause.words.join(" ");
        return choose(model, &called, &signs, say).ok_or_else(|| silent(model, clause));
    }
    if clause.names.is_empty() && clause.say == Some(Say::Spared) {
        // "Sensation normal", "no weakness".
        let kind = clause.kind.unwrap_or(Kind::Movement);
        let structures = model
            .structures(kind)
            .filter(|s| model.testable(*s))
            .collect();
        return Ok(Told {
            name: kind.word().to_string(),
            structures,
            what: What::Spared,
        });
    }
    let says = match (clause.say, clause.denied) {
        (Some(say), _) => vec![say],
        (None, true) => vec![Say::Absent, Say::Lost],
        (None, false) => Vec::new(),
    };
    let found = says
        .iter()
        .find_map(|say| find(model, names, clause, *say, None));
    // "Tinel at the elbow" needs no state; "thumb" may be too much for that.
    let only_signs = names
        .meant(&clause.names, &|s| s.kind != Kind::Sign)
        .is_empty();
    let sign = || only_signs.then(|| find(model, names, clause, Say::Present, Some(Kind::Sign)))?;
    let lent = || find(model, names, clause, clause.borrowed?, None);
    let found = if says.is_empty() {
        sign().or_else(lent)
    } else {
        found
    };
    found.ok_or_else(|| {
        let any = names.meant(&clause.names, &|s| clause.kind.is_none_or(|k| k == s.kind));
        if any.is_empty() {
            unknown(model, names, &clause.text, &clause.names)
        } else {
            silent(model, clause)
        }
    })
}

/// The structures that a statement means, if it says this of them.
fn find(
    model: &Model,
    names: &Names,
    clause: &Clause,
    say: Say,
    only: Option<Kind>,
) -> Option<Told> {
    let kind = only.or(clause.kind);
    let fits = |s: Structure| kind.is_none_or(|k| k == s.kind) && say.of(s.kind).is_some();
    let longer: Option<Vec<String>> = clause
        .tail
        .as_ref()
        .map(|tail| [&clause.names[..], std::slice::from_ref(tail)].concat());
    longer
        .into_iter()
        .chain([clause.names.clone()])
        .map(|asked| names.meant(&asked, &fits))
        .find(|all| !all.is_empty())
        .and_then(|all| choose(model, &clause.names.join(" "), &all, say))
}

/// Of structures of several kinds, those of the kind that one says this of first: a weak triceps is the muscle, an absent one the reflex.
fn choose(model: &Model, called: &str, known: &[Structure], say: Say) -> Option<Told> {
    let rank = |s: Structure| {
        let place = match s.kind {
            Kind::Muscle | Kind::Movement => 0,
            Kind::Skin => 1,
            Kind::Sign => 2,
            Kind::Reflex => 3,
        };
        match say {
            Say::Absent | Say::Present | Say::Reduced => 3 - place,
            _ => place,
        }
    };
    let fitting = || known.iter().filter(|s| say.of(s.kind).is_some());
    let first = fitting().min_by_key(|s| rank(**s))?;
    let structures: Vec<Structure> = fitting()
        .filter(|s| rank(**s) == rank(*first))
        .copied()
        .collect();
    let name = match structures.as_slice() {
        [one] => name(model, *one),
        _ => fold(called.split_once(':').map_or(called, |(_, rest)| rest)),
    };
    Some(Told {
        name,
        structures,
        what: say.of(first.kind)?,
    })
}

/// The name means something, but nothing that one says this of.
fn silent(model: &Model, clause: &Clause) -> Problem {
    let name = short(&clause.names.join(" "));
    if clause.say.is_none() {
        return Problem::new(format!(
            "`{}` does not say what was found",
            short(&clause.text)
        ))
        .hint(format!(
            "write for instance `{name} weak`, `{name} 3/5`, `{name} numb` or `{name} normal`; or write ID=STATE, for instance edc=lost"
        ));
    }
    Problem::new(format!(
        "`{}` says of something in the {} what cannot be said of it",
        short(&clause.text),
        model.label
    ))
    .hint("muscles and movements are lost, weak, normal or have a power 0-5; skin is numb, reduced or normal; reflexes are absent, reduced or present; signs are present or absent")
}

fn unknown(model: &Model, names: &Names, called: &str, asked: &[String]) -> Problem {
    let problem = Problem::new(format!(
        "nothing that can be examined is called `{}`",
        short(called.trim())
    ));
    let ids = Kind::ALL
        .into_iter()
        .flat_map(|kind| model.structures(kind))
        .map(|s| model.id(s));
    if !called.trim().contains(' ')
        && let Some(close) = nearest(called.trim(), ids)
    {
        return problem.hint(format!("did you mean `{close}`?"));
    }
    if let Some(word) = asked.iter().find(|w| !names.knows(w)) {
        return problem.hint(nearest_word(names, word));
    }
    let close = names.nearest(asked, 4);
    problem.hint(if close.is_empty() {
        WHERE_TO_LOOK.to_string()
    } else {
        format!("the nearest names are: {}", close.join(", "))
    })
}

const WHERE_TO_LOOK: &str =
    "`vivasmith list muscles`, `movements`, `skin`, `reflexes` and `signs` show what can be named";

fn nearest_word(names: &Names, word: &str) -> String {
    let states = [
        "weak",
        "lost",
        "absent",
        "present",
        "reduced",
        "numb",
        "normal",
        "spared",
        "paralysed",
        "intact",
        "reflex",
        "jerk",
    ];
    did_you_mean(
        &word.to_lowercase(),
        names.words().chain(states),
        WHERE_TO_LOOK,
    )
}
