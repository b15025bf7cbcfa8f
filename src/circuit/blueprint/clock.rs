//! How are minutes and times of day read, counted in seconds and written?

/// Seconds since midnight; a day has 86,400.
pub type Second = u32;

pub const DAY: Second = 24 * 60 * 60;

/// "09:00" or "9:00:30".
pub fn parse(text: &str) -> Option<Second> {
    let mut parts = text.trim().split(':');
    let hour = number(parts.next()?, 23)?;
    let minute = number(parts.next()?, 59)?;
    let second = match parts.next() {
        Some(part) => number(part, 59)?,
        None => 0,
    };
    parts
        .next()
        .is_none()
        .then_some(hour * 3600 + minute * 60 + second)
}

fn number(text: &str, most: u32) -> Option<u32> {
    let plain = (1..=2).contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    plain
        .then(|| text.parse::<u32>().ok())
        .flatten()
        .filter(|n| *n <= most)
}

/// A date as it shall be printed; `false` for one that looks like a day of the calendar and is none: 2026-02-31.
pub fn is_date(text: &str) -> bool {
    let parts: Vec<&str> = text.trim().split('-').collect();
    let [year, month, day] = parts[..] else {
        return true;
    };
    let digits = |t: &str| {
        t.parse::<u32>()
            .ok()
            .filter(|_| t.bytes().all(|b| b.is_ascii_digit()))
    };
    let (4, Some(year), Some(month), Some(day)) =
        (year.len(), digits(year), digits(month), digits(day))
    else {
        return true;
    };
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let days = match month {
        2 => 28 + u32::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => 0,
    };
    (1..=days).contains(&day)
}

/// "09:00", or "09:00:30" where seconds matter; hours past midnight go on counting.
pub fn show(at: Second) -> String {
    let (hour, minute, second) = (at / 3600, at / 60 % 60, at % 60);
    if second == 0 {
        format!("{hour:02}:{minute:02}")
    } else {
        format!("{hour:02}:{minute:02}:{second:02}")
    }
}

/// Minutes as written to seconds, if they are whole half minutes.
pub fn seconds(minutes: f64) -> Option<Second> {
    let halves = minutes * 2.0;
    (halves.is_finite() && (0.0..=2.0 * 24.0 * 60.0).contains(&halves) && halves.fract() == 0.0)
        .then(|| halves as u32 * 30)
}

/// "9.5" for 570 seconds.
pub fn minutes(seconds: Second) -> String {
    let whole = f64::from(seconds) / 60.0;
    let text = format!("{whole:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_of_day_are_read_strictly_and_written_back() {
        assert_eq!(parse("09:00"), Some(32_400));
        assert_eq!(parse("9:05:30"), Some(32_730));
        for wrong in [
            "",
            "9",
            "24:00",
            "9:60",
            "9:00:60",
            "9:00:00:0",
            "+9:00",
            "9h00",
            "009:00",
        ] {
            assert_eq!(parse(wrong), None, "{wrong}");
        }
        assert_eq!(show(32_730), "09:05:30");
        assert_eq!(show(32_400), "09:00");
    }

    #[test]
    fn a_day_that_is_not_in_the_calendar_is_no_date() {
        // The Gregorian rule for leap years (ISO 8601).
        for (text, fine) in [
            ("2026-02-28", true),
            ("2026-02-31", false),
            ("2028-02-29", true),
            ("2100-02-29", false),
            ("2026-13-01", false),
            ("2026-04-31", false),
            ("31 February", true),
            ("", true),
            ("12-14 May", true),
        ] {
            assert_eq!(is_date(text), fine, "{text}");
        }
    }

    #[test]
    fn minutes_are_whole_halves_and_never_negative() {
        assert_eq!(seconds(9.5), Some(570));
        for wrong in [-1.0, 0.3, f64::NAN, f64::INFINITY, 1e9] {
            assert_eq!(seconds(wrong), None, "{wrong}");
        }
        assert_eq!(minutes(570), "9.5");
        assert_eq!(minutes(5220), "87");
    }
}
