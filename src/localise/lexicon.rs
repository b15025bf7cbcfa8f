//! Which words of a report say what was found, which say nothing, and which are one word in two forms?

use super::told::What;
use crate::anatomy::Kind;

/// What a report says was found, before it is known of what: "absent" is a lost reflex, but a sign that is not there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Say {
    Absent,
    Present,
    Lost,
    Weak,
    Reduced,
    Affected,
    Power(u8),
    Spared,
    Either,
}

/// What a single word of a report is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Says what was found.
    Say(Say),
    /// Turns it round.
    Not,
    /// More or less of it: how weak a muscle is.
    Degree(u8),
    /// Says of what kind the structure is, and may say what was found, too.
    Kind(Kind, Option<Say>),
    /// Says nothing.
    Filler,
    /// Part of a name.
    Name,
}

pub fn role(word: &str) -> Role {
    if let Some(power) = power(word) {
        return Role::Say(match power {
            0 | 1 => Say::Lost,
            5 => Say::Spared,
            grade => Say::Power(grade),
        });
    }
    match word {
        "normal" | "spared" | "intact" | "preserved" | "strong" | "full" | "unaffected"
        | "kept" | "retained" | "healthy" | "ok" | "good" | "normally" => Role::Say(Say::Spared),
        "weak" | "weakness" | "paresis" | "paretic" | "weakened" | "weakly" => Role::Say(Say::Weak),
        "lost" | "paralysed" | "paralyzed" | "paralysis" | "cannot" | "unable" | "fails"
        | "failed" | "fail" | "impossible" | "plegic" => Role::Say(Say::Lost),
        "absent" | "negative" | "missing" => Role::Say(Say::Absent),
        "present" | "positive" => Role::Say(Say::Present),
        "reduced" | "diminished" | "decreased" | "impaired" | "depressed" | "dull" | "sluggish" => {
            Role::Say(Say::Reduced)
        }
        "affected" | "abnormal" | "loss" | "deficit" | "involved" | "wasted" | "wasting"
        | "atrophy" | "atrophic" | "atrophied" | "thin" => Role::Say(Say::Affected),
        "variable" => Role::Say(Say::Either),
        "numb" | "numbness" | "hypoaesthesia" | "hypoesthesia" | "hypaesthesia" | "hypesthesia"
        | "hypoaesthetic" | "hypoesthetic" | "tingling" | "paraesthesia" | "paraesthesiae"
        | "paresthesia" | "paresthesias" | "pins" => Role::Kind(Kind::Skin, Some(Say::Affected)),
        "anaesthetic" | "anesthetic" | "anaesthesia" | "anesthesia" | "insensate" => {
            Role::Kind(Kind::Skin, Some(Say::Lost))
        }
        "sensation" | "sensory" | "skin" | "feeling" | "pinprick" | "touch" | "dermatome"
        | "dermatomes" => Role::Kind(Kind::Skin, None),
        "jerk" | "jerks" | "reflex" | "reflexes" => Role::Kind(Kind::Reflex, None),
        "no" | "not" | "without" | "nor" | "neither" | "never" | "nil" => Role::Not,
        "mild" | "mildly" | "slight" | "slightly" | "minimal" | "minimally" => Role::Degree(4),
        "severe" | "severely" | "marked" | "markedly" | "profound" | "profoundly" => {
            Role::Degree(2)
        }
        "a" | "an" | "the" | "of" | "in" | "on" | "at" | "to" | "for" | "with" | "is" | "are"
        | "was" | "were" | "be" | "over" | "his" | "her" | "their" | "left" | "right"
        | "muscle" | "muscles" | "test" | "sign" | "signs" | "movement" | "movements" | "power"
        | "strength" | "grade" | "mrc" | "patient" | "has" | "have" | "had" | "there" | "very"
        | "only" | "isolated" | "area" | "moderate" | "moderately" | "its" | "he" | "she"
        | "they" | "needles" | "from" | "when" | "complete" | "completely" | "partial"
        | "partially" | "totally" | "entirely" | "found" | "shows" | "showed" => Role::Filler,
        _ => Role::Name,
    }
}

/// The power that a word gives: `4`, `4/5`, `4+`, `M4`.
fn power(word: &str) -> Option<u8> {
    let bare = word.strip_prefix(['m', 'M']).unwrap_or(word);
    let bare = bare.strip_suffix("/5").unwrap_or(bare);
    let bare = bare.trim_end_matches(['+', '-', '\u{2212}', '\u{2013}']);
    match bare.as_bytes() {
        [grade @ b'0'..=b'5'] if word.len() <= 8 => {
            // "5-" is less than full.
            let less = *grade == b'5' && word.contains(['-', '\u{2212}', '\u{2013}']);
            Some(grade - b'0' - u8::from(less))
        }
        _ => None,
    }
}

impl Say {
    /// The opposite, as after "no".
    pub fn denied(self) -> Say {
        match self {
            Say::Spared => Say::Affected,
            Say::Present => Say::Absent,
            Say::Absent => Say::Present,
            Say::Either => Say::Either,
            _ => Say::Spared,
        }
    }

    /// How weak: of weakness only.
    pub fn by_degree(self, degree: u8) -> Say {
        match self {
            Say::Weak => Say::Power(degree),
            say => say,
        }
    }

    /// What it means of a structure of this kind; `None` where nobody would say it of one.
    pub fn of(self, kind: Kind) -> Option<What> {
        Some(match (self, kind) {
            (Say::Either, _) => What::Either,
            (Say::Absent, Kind::Sign) | (Say::Present, Kind::Reflex | Kind::Skin) => What::Spared,
            (Say::Present, Kind::Sign) => What::Lost,
            (Say::Absent, Kind::Reflex | Kind::Skin) => What::Lost,
            (Say::Absent | Say::Present, _) => return None,
            (Say::Spared, _) => What::Spared,
            (Say::Affected, Kind::Sign) => What::Lost,
            (_, Kind::Sign) => return None,
            (Say::Affected, _) => What::Affected,
            (Say::Lost, _) => What::Lost,
            (Say::Weak, Kind::Muscle | Kind::Movement) | (Say::Reduced, _) => What::Weak,
            (Say::Power(grade), Kind::Muscle | Kind::Movement) => What::Power(grade),
            (Say::Weak | Say::Power(_), _) => return None,
        })
    }
}

/// One form of a word: "extensors", "extends" and "straightening" are "extension", "peroneal" is "fibular".
pub fn stem(word: &str) -> String {
    let word: String = word.to_lowercase().replace(['\'', '\u{2019}'], "");
    let forms: &[(&str, &[&str])] = &[
        (
            "flexion",
            &[
                "flexor", "flexors", "flex", "flexes", "flexing", "bend", "bending", "bends",
            ],
        ),
        (
            "extension",
            &[
                "extensor",
                "extensors",
                "extend",
                "extends",
                "extending",
                "straighten",
                "straightening",
            ],
        ),
        (
            "abduction",
            &["abductor", "abductors", "abduct", "abducts", "abducting"],
        ),
        (
            "adduction",
            &["adductor", "adductors", "adduct", "adducts", "adducting"],
        ),
        ("rotation", &["rotator", "rotators", "rotate", "rotating"]),
        ("eversion", &["evertor", "evertors", "evert", "everting"]),
        (
            "inversion",
            &["invertor", "invertors", "invert", "inverting"],
        ),
        (
            "dorsiflexion",
            &["dorsiflexor", "dorsiflexors", "dorsiflex"],
        ),
        (
            "plantarflexion",
            &["plantarflexor", "plantarflexors", "plantarflex"],
        ),
        ("supination", &["supinate", "supinating", "supinates"]),
        ("pronation", &["pronate", "pronating", "pronates"]),
        ("opposition", &["oppose", "opposing", "opposes"]),
        (
            "fibular",
            &["peroneal", "peroneus", "peronei", "fibularis", "fibulares"],
        ),
        ("interosseus", &["interossei", "interosseous"]),
        ("great", &["big", "hallux"]),
        ("shrug", &["shrugging", "shrugs"]),
        ("wing", &["winging", "winged"]),
        ("spread", &["spreading"]),
        ("lateral", &["outer", "external"]),
        ("medial", &["inner", "internal"]),
        ("first", &["1st"]),
        ("second", &["2nd"]),
        ("third", &["3rd"]),
        ("fourth", &["4th"]),
        ("fifth", &["5th"]),
        ("tip", &["tips", "dip"]),
        ("knuckle", &["knuckles", "mcp"]),
    ];
    if let Some((form, _)) = forms.iter().find(|(_, all)| all.contains(&word.as_str())) {
        return (*form).to_string();
    }
    let plural = word.len() > 3
        && word.ends_with('s')
        && !["us", "is", "ss"].iter().any(|e| word.ends_with(e));
    if plural {
        word[..word.len() - 1].to_string()
    } else {
        word
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grades_are_read_as_they_are_written() {
        let said = |w: &str| role(w);
        for (word, say) in [
            ("4", Say::Power(4)),
            ("4/5", Say::Power(4)),
            ("4+", Say::Power(4)),
            ("4-/5", Say::Power(4)),
            ("M3", Say::Power(3)),
            ("5-", Say::Power(4)),
            ("5/5", Say::Spared),
            ("0/5", Say::Lost),
            ("1", Say::Lost),
        ] {
            assert_eq!(said(word), Role::Say(say), "{word}");
        }
        assert_eq!(said("6"), Role::Name);
        assert_eq!(said("44"), Role::Name);
    }

    #[test]
    fn forms_of_a_word_are_one() {
        for (a, b) in [
            ("extensors", "extension"),
            ("peroneal", "fibular"),
            ("interossei", "interosseous"),
            ("fingers", "finger"),
        ] {
            assert_eq!(stem(a), stem(b));
        }
        assert_eq!(stem("pollicis"), "pollicis");
    }
}
