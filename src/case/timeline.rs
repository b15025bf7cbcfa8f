//! Turns the kind of nerve injury and the days since it into what can be seen by now and what to expect.
//!
//! Facts, all recalled from memory: Seddon, Three types of nerve injury, Brain 66 (1943); Sunderland, A classification of
//! peripheral nerve injuries producing loss of function, Brain 74 (1951).

use super::mechanism::Onset;
use super::{NerveInjury, Timeline};

/// A conduction block with whole axons recovers in days to about 12 weeks (Seddon 1943; Sunderland first degree).
const BLOCK_ENDS: u32 = 84;
/// Wasting can be seen from about 3 weeks after axons are lost, and never after a pure block (common practice, no source).
const WASTING_FROM: u32 = 21;
/// Fibrillation appears in 10 to 14 days near the lesion and in about 3 weeks far from it; the later figure, so that the
/// sheet never claims too much (common practice, no source).
const DENERVATION_FROM: u32 = 21;
/// Regrowth starts after about a month and makes about 1 mm a day (Seddon 1943; Sunderland 1951): by this day a crushed
/// nerve has grown some 9 cm, and a muscle that is still wholly lost would no longer be what the mechanism predicts.
const REGROWTH_SEEN: u32 = 120;
/// Days before regrowth gets past the injury.
const REGROWTH_DELAY: u32 = 30;

/// What the timeline depends on beside the mechanism.
#[derive(Debug, Clone, Copy)]
pub struct Course {
    pub since_days: u32,
    pub onset: Onset,
    pub injury: NerveInjury,
    /// All fibres are cut.
    pub complete: bool,
    /// Roots are torn from the spinal cord.
    pub avulsion: bool,
    /// A muscle is weak or lost for certain.
    pub motor: bool,
}

/// The last day on which the loss can still be as on the first: `None` when it never mends by itself, or when what caused
/// it goes on.
pub fn latest(injury: NerveInjury, onset: Onset) -> Option<u32> {
    match (onset, injury) {
        (Onset::Sudden, NerveInjury::Neurapraxia) => Some(BLOCK_ENDS),
        (Onset::Sudden, NerveInjury::Axonotmesis) => Some(REGROWTH_SEEN),
        _ => None,
    }
}

/// The picture by now. Everything in it is for the examiner.
pub fn of(course: Course) -> Timeline {
    let gradual = course.onset == Onset::Gradual;
    let injury = if course.avulsion {
        // A torn root is a divided one, whatever the file says.
        NerveInjury::Neurotmesis
    } else if gradual
        && course.complete
        && course.injury == NerveInjury::Neurapraxia
        && course.since_days > BLOCK_ENDS
    {
        // A complete block that outlasts 12 weeks has cost axons, so it is no longer a neurapraxia (Seddon 1943).
        NerveInjury::Axonotmesis
    } else {
        course.injury
    };
    let axons_lost = injury != NerveInjury::Neurapraxia && course.motor;
    Timeline {
        since_days: course.since_days,
        since: in_words(course.since_days),
        gradual,
        injury,
        wasting: axons_lost && course.since_days >= WASTING_FROM,
        denervation: axons_lost && course.since_days >= DENERVATION_FROM,
        recovery: recovery(injury, gradual, course),
    }
}

fn recovery(injury: NerveInjury, gradual: bool, course: Course) -> String {
    if course.avulsion {
        return "The torn roots do not recover and cannot be joined again to the spinal cord; useful function comes only from early \
                surgery such as nerve transfer."
            .to_string();
    }
    match (injury, gradual) {
        (NerveInjury::Neurapraxia, false) => {
            let now = if course.since_days > BLOCK_ENDS / 2 {
                ", so the first signs of it are due"
            } else {
                ""
            };
            format!(
                "The axons are likely to be whole and only their conduction blocked: full recovery is usual within 12 weeks of the \
                 injury{now}, and if it has not come by then axons have been lost."
            )
        }
        (NerveInjury::Neurapraxia, true) => {
            let sign = if course.motor {
                "wasting"
            } else {
                "a loss that stays"
            };
            format!(
                "The block is likely to last as long as its cause and to recover within about 12 weeks once the cause is removed; \
                 {sign} would mean that axons have been lost."
            )
        }
        (NerveInjury::Axonotmesis, false) => {
            let grown = course.since_days.saturating_sub(REGROWTH_DELAY) / 10;
            let now = match grown {
                0 => "too early for any sign of it now".to_string(),
                cm => format!("by now about {cm} cm at most"),
            };
            format!(
                "The axons regrow along the nerve at about 1 mm a day after a delay of about a month ({now}), the Tinel sign moves on \
                 with them, and the structures nearest to the injury recover first."
            )
        }
        (NerveInjury::Axonotmesis, true) => {
            let rest = if course.motor {
                "long-standing wasting"
            } else {
                "some numbness"
            };
            format!(
                "Once the cause is removed, what is only blocked recovers within about 12 weeks; lost axons regrow at about 1 mm a day \
                 and {rest} may stay."
            )
        }
        (NerveInjury::Neurotmesis, _) => {
            let what = if course.complete {
                "There is no useful recovery without repair"
            } else {
                "The divided fibres do not recover without repair"
            };
            let rest = if course.motor {
                "a muscle without nerve for more than 12 to 18 months is unlikely to recover"
            } else {
                "sensation may stay altered"
            };
            format!(
                "{what}; after repair axons regrow at about 1 mm a day, the Tinel sign moves on with them, and {rest}."
            )
        }
    }
}

/// A span of days as one says it: "1 day", "13 days", "about 5 weeks", "about 4 months", "about 2 years".
pub fn in_words(days: u32) -> String {
    let about = |n: u32, unit: &str| format!("about {n} {unit}s");
    match days {
        1 => "1 day".to_string(),
        0..=13 => format!("{days} days"),
        14..=83 => about((days + 3) / 7, "week"),
        // A month is 30.4 days.
        84..=699 => about((days * 10 + 152) / 304, "month"),
        _ => about((days.saturating_add(182)) / 365, "year"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn course(injury: NerveInjury, onset: Onset, since_days: u32) -> Course {
        Course {
            since_days,
            onset,
            injury,
            complete: true,
            avulsion: false,
            motor: true,
        }
    }

    #[test]
    fn wasting_needs_three_weeks_lost_axons_and_a_muscle() {
        let at = |injury, days| of(course(injury, Onset::Sudden, days));
        for injury in [NerveInjury::Axonotmesis, NerveInjury::Neurotmesis] {
            assert!(!at(injury, 20).wasting && !at(injury, 20).denervation);
            assert!(at(injury, 21).wasting && at(injury, 21).denervation);
        }
        let block = at(NerveInjury::Neurapraxia, 80);
        assert!(!block.wasting && !block.denervation);
        let skin_only = of(Course {
            motor: false,
            ..course(NerveInjury::Neurotmesis, Onset::Sudden, 200)
        });
        assert!(!skin_only.wasting && !skin_only.denervation);
    }

    #[test]
    fn a_long_complete_block_has_lost_axons() {
        let long = of(course(NerveInjury::Neurapraxia, Onset::Gradual, 200));
        assert_eq!(long.injury, NerveInjury::Axonotmesis);
        assert!(long.wasting);
        let partial = of(Course {
            complete: false,
            ..course(NerveInjury::Neurapraxia, Onset::Gradual, 200)
        });
        assert_eq!(partial.injury, NerveInjury::Neurapraxia);
        assert!(!partial.wasting);
    }

    #[test]
    fn torn_roots_count_as_divided() {
        let torn = of(Course {
            avulsion: true,
            ..course(NerveInjury::Axonotmesis, Onset::Sudden, 40)
        });
        assert_eq!(torn.injury, NerveInjury::Neurotmesis);
        assert!(torn.recovery.contains("do not recover"));
    }

    #[test]
    fn only_what_mends_by_itself_has_a_last_day() {
        use NerveInjury::{Axonotmesis, Neurapraxia, Neurotmesis};
        // 12 weeks: Seddon 1943, from memory.
        assert_eq!(latest(Neurapraxia, Onset::Sudden), Some(84));
        assert_eq!(latest(Axonotmesis, Onset::Sudden), Some(120));
        assert_eq!(latest(Neurotmesis, Onset::Sudden), None);
        assert_eq!(latest(Neurapraxia, Onset::Gradual), None);
    }

    #[test]
    fn regrowth_is_told_in_centimetres_and_never_too_early() {
        let at = |days| of(course(NerveInjury::Axonotmesis, Onset::Sudden, days)).recovery;
        assert!(at(10).contains("too early"));
        // 120 days: 30 without growth, then 90 mm (1 mm a day, Seddon 1943, from memory).
        assert!(at(120).contains("about 9 cm"), "{}", at(120));
    }

    #[test]
    fn where_no_muscle_suffers_none_is_spoken_of() {
        use NerveInjury::{Axonotmesis, Neurapraxia, Neurotmesis};
        for injury in [Neurapraxia, Axonotmesis, Neurotmesis] {
            for onset in [Onset::Sudden, Onset::Gradual] {
                let text = of(Course {
                    motor: false,
                    ..course(injury, onset, 50)
                })
                .recovery;
                assert!(
                    !text.contains("wasting") && !text.contains("muscle"),
                    "{text}"
                );
            }
        }
    }

    #[test]
    fn recovery_is_one_sentence() {
        use NerveInjury::{Axonotmesis, Neurapraxia, Neurotmesis};
        for injury in [Neurapraxia, Axonotmesis, Neurotmesis] {
            for onset in [Onset::Sudden, Onset::Gradual] {
                for (days, complete, avulsion) in
                    [(2, true, false), (60, false, false), (110, true, true)]
                {
                    let text = of(Course {
                        complete,
                        avulsion,
                        ..course(injury, onset, days)
                    })
                    .recovery;
                    assert_eq!(text.matches('.').count(), 1, "{text}");
                    assert!(text.ends_with('.') && !text.contains("  "), "{text}");
                }
            }
        }
    }

    #[test]
    fn spans_read_as_one_says_them() {
        let said = [
            (1, "1 day"),
            (13, "13 days"),
            (14, "about 2 weeks"),
            (36, "about 5 weeks"),
            (83, "about 12 weeks"),
            (84, "about 3 months"),
            (300, "about 10 months"),
            (699, "about 23 months"),
            (730, "about 2 years"),
        ];
        for (days, words) in said {
            assert_eq!(in_words(days), words);
        }
    }
}
