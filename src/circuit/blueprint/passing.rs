//! How do marks become results? Pass mark, standard errors on top of it, stations that must be passed, dangerous answers.

use super::checker::{Checker, at};
use serde::{Deserialize, Serialize};

/// `passing:` as it is written.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Written {
    pub cut: Option<String>,
    pub errors: Option<f64>,
    pub stations: Option<f64>,
    pub danger: Option<WrittenDanger>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WrittenDanger {
    pub most: f64,
    pub then: Option<String>,
}

/// Where the pass mark of a station comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cut {
    #[default]
    BorderlineRegression,
    BorderlineGroup,
    Angoff,
    Ebel,
}

impl Cut {
    pub const ALL: [(&str, Cut); 4] = [
        ("borderline_regression", Cut::BorderlineRegression),
        ("borderline_group", Cut::BorderlineGroup),
        ("angoff", Cut::Angoff),
        ("ebel", Cut::Ebel),
    ];
}

/// Who passes.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Passing {
    pub cut: Cut,
    /// Standard errors of measurement that are added to the sum of the cuts.
    pub errors: f64,
    /// Least number of stations that must be passed; 0: none.
    pub stations: usize,
    pub danger: Option<Danger>,
}

/// What follows from dangerous answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Danger {
    /// More of them than this.
    pub most: usize,
    pub then: Then,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Then {
    /// The board decides.
    Open,
    Fail,
}

/// More standard errors than anybody adds.
const MOST_ERRORS: f64 = 3.0;

pub(super) fn passing(check: &mut Checker<'_>, written: &Written, stations: usize) -> Passing {
    let cut = check.one_of(
        &at!["passing", "cut"],
        "no pass mark is set by",
        written.cut.as_deref(),
        &Cut::ALL,
    );
    let errors = written.errors.unwrap_or(0.0);
    if !(0.0..=MOST_ERRORS).contains(&errors) {
        check.say(
            &at!["passing", "errors"],
            format!("{errors} standard errors cannot be added to a pass mark"),
            format!("write a number from 0 to {MOST_ERRORS}, such as 1"),
        );
    }
    let least = written.stations.and_then(|n| {
        check.whole(
            &at!["passing", "stations"],
            "stations to pass",
            n,
            0,
            stations,
        )
    });
    let danger = written.danger.as_ref().map(|d| Danger {
        most: check
            .whole(
                &at!["passing", "danger", "most"],
                "dangerous answers",
                d.most,
                0,
                stations,
            )
            .unwrap_or(0),
        then: check
            .one_of(
                &at!["passing", "danger", "then"],
                "after dangerous answers nobody can be",
                d.then.as_deref(),
                &[("open", Then::Open), ("fail", Then::Fail)],
            )
            .unwrap_or(Then::Open),
    });
    Passing {
        cut: cut.unwrap_or_default(),
        errors,
        stations: least.unwrap_or(0),
        danger,
    }
}
