//! The statistics of marks against published worked examples and certified values, and against another program's linear algebra.

use vivasmith::marks::borderline::{self, Refused};
use vivasmith::marks::hofstee::{Bounds, hofstee};
use vivasmith::marks::line_fit::line;
use vivasmith::marks::reliability::{alpha_without, crossed, with_rest};
use vivasmith::marks::stringency::{Given, stringency};

fn near(is: f64, shall: f64, digits: i32) {
    let off = (is - shall).abs();
    assert!(
        off <= 0.5001 * 10f64.powi(-digits),
        "{is} is not {shall} to {digits} digits"
    );
}

/// To so many significant digits.
fn close(is: f64, shall: f64, digits: i32) {
    let off = ((is - shall) / shall).abs();
    assert!(off < 10f64.powi(-digits), "{is} is not {shall}");
}

/// Anscombe, Graphs in statistical analysis, The American Statistician 1973, 27:17-21, set I.
const ANSCOMBE: [(f64, f64); 11] = [
    (10.0, 8.04),
    (8.0, 6.95),
    (13.0, 7.58),
    (9.0, 8.81),
    (11.0, 8.33),
    (14.0, 9.96),
    (6.0, 7.24),
    (4.0, 4.26),
    (12.0, 10.84),
    (7.0, 4.82),
    (5.0, 5.68),
];

#[test]
fn anscombe_set_one_gives_its_line_and_the_cut_with_its_error() {
    let cut = borderline::regression(&ANSCOMBE, 7.0).expect("a line");
    near(cut.intercept, 3.0001, 4);
    near(cut.slope, 0.5001, 4);
    near(cut.r2, 0.6665, 4);
    near(cut.cut, 6.5007, 3);
    // Computed from the published residual standard deviation of 1.237.
    near(cut.se, 0.441, 3);
    assert_eq!(borderline::group(&ANSCOMBE, 7.0), Some(4.82));
    assert_eq!(borderline::group(&ANSCOMBE, 7.5), None);
}

#[test]
fn a_regression_that_cannot_bear_a_cut_is_refused() {
    assert_eq!(
        borderline::regression(&ANSCOMBE[..9], 7.0),
        Err(Refused::TooFew)
    );
    let flat: Vec<(f64, f64)> = ANSCOMBE.iter().map(|p| (3.0, p.1)).collect();
    assert_eq!(borderline::regression(&flat, 3.0), Err(Refused::OneGrade));
    let falls: Vec<(f64, f64)> = ANSCOMBE.iter().map(|p| (-p.0, p.1)).collect();
    assert_eq!(
        borderline::regression(&falls, 3.0),
        Err(Refused::FallsOrFlat)
    );
}

/// NIST Statistical Reference Datasets, linear regression, Norris (y, x), with its certified values; the data from memory, and the
/// certified values come out of them.
const NORRIS: [(f64, f64); 36] = [
    (0.1, 0.2),
    (338.8, 337.4),
    (118.1, 118.2),
    (888.0, 884.6),
    (9.2, 10.1),
    (228.1, 226.5),
    (668.5, 666.3),
    (998.5, 996.3),
    (449.1, 448.6),
    (778.9, 777.0),
    (559.2, 558.2),
    (0.3, 0.4),
    (0.1, 0.6),
    (778.1, 775.5),
    (668.8, 666.9),
    (339.3, 338.0),
    (448.9, 447.5),
    (10.8, 11.6),
    (557.7, 556.0),
    (228.3, 228.1),
    (998.0, 995.8),
    (888.8, 887.6),
    (119.6, 120.2),
    (0.3, 0.3),
    (0.6, 0.3),
    (557.6, 556.8),
    (339.3, 339.1),
    (888.0, 887.2),
    (998.5, 999.0),
    (778.9, 779.0),
    (10.2, 11.1),
    (117.6, 118.3),
    (228.9, 229.2),
    (668.4, 669.1),
    (449.2, 448.9),
    (0.2, 0.5),
];

#[test]
fn norris_gives_the_certified_line() {
    // The table has x first; its heading says which column is which.
    let points: Vec<(f64, f64)> = NORRIS.iter().map(|&(x, y)| (y, x)).collect();
    let fit = [line(&points), line(&NORRIS)]
        .into_iter()
        .flatten()
        .min_by(|a, b| {
            (a.slope - 1.002_116_818_020_45)
                .abs()
                .total_cmp(&(b.slope - 1.002_116_818_020_45).abs())
        })
        .expect("a line");
    close(fit.intercept, -0.262_323_073_774_029, 9);
    close(fit.slope, 1.002_116_818_020_45, 12);
    close(fit.error_at(0.0), 0.232_818_234_301_152, 9);
    close(fit.slope_error(), 0.429_796_848_199_937e-3, 9);
    close(fit.residual, 0.884_796_396_144_373, 9);
    close(fit.r2, 0.999_993_745_883_712, 12);
}

fn table(text: &[&str]) -> Vec<Vec<f64>> {
    let row = |line: &&str| {
        let cells = line.split(' ').map(|c| c.parse().expect("a number"));
        cells.collect()
    };
    text.iter().map(row).collect()
}

/// Shrout and Fleiss, Intraclass correlations, Psychological Bulletin 1979, 86:420-428, tables 2 and 3; alpha is their ICC(3,4), the
/// absolute coefficient their ICC(2,4).
#[test]
fn shrout_and_fleiss_give_their_mean_squares_and_coefficients() {
    let rows = table(&[
        "9 2 5 8", "6 1 3 2", "8 4 6 8", "7 1 2 6", "10 5 6 9", "6 2 4 7",
    ]);
    let found = crossed(&rows).expect("a table");
    near(found.of_candidates, 11.24, 2);
    near(found.of_stations, 32.49, 2);
    near(found.of_rest, 1.02, 2);
    near(found.alpha().expect("alpha"), 0.909, 3);
    near(found.absolute().expect("absolute"), 0.620, 3);
    // The sum's standard deviation times the root of 1 - alpha.
    let sums: Vec<f64> = rows.iter().map(|r| r.iter().sum()).collect();
    let spread = vivasmith::marks::stations::spread(&sums).expect("a spread");
    let alpha = found.alpha().expect("alpha");
    near(found.error_of_sum(4), spread * (1.0 - alpha).sqrt(), 9);
    // Their ICC(3,1) is 0.71 and ICC(2,1) 0.29: by Spearman and Brown 0.8 / 0.2 x (1 - 0.7148) / 0.7148 = 1.6 and 4 x 0.7102 / 0.2898 = 9.8.
    assert_eq!(found.stations_needed(), Some([2, 10]));
}

/// Brennan, Generalizability Theory, 2001, synthetic data set 1 (10 persons, 12 items) with its components 0.0574, 0.0754 and 0.1269 and
/// coefficients 0.844 and 0.773; all from memory.
#[test]
fn brennan_synthetic_set_one_gives_its_components_and_coefficients() {
    let rows = table(&[
        "1 0 1 0 0 0 0 0 0 0 0 0",
        "1 1 1 0 0 1 0 0 0 0 0 0",
        "1 1 1 1 1 0 0 0 0 0 0 0",
        "1 1 0 1 1 0 0 1 0 0 0 0",
        "1 1 1 1 1 0 1 0 0 0 0 0",
        "1 1 1 0 1 1 1 0 0 0 0 0",
        "1 1 1 1 1 1 1 0 0 0 0 0",
        "1 1 1 1 0 1 1 1 1 1 0 0",
        "1 1 1 1 1 1 1 1 1 1 1 0",
        "1 1 1 1 1 1 1 1 1 1 1 1",
    ]);
    let found = crossed(&rows).expect("a table");
    let parts = found.variance();
    near(parts.candidate, 0.0574, 4);
    near(parts.station, 0.0754, 4);
    near(parts.rest, 0.1269, 4);
    near(found.alpha().expect("alpha"), 0.844, 3);
    near(found.absolute().expect("absolute"), 0.773, 3);
}

const ALPHA_AND_CORRELATION: [(f64, f64); 4] = [
    (0.8833922261484098, 0.8057873703521801),
    (0.8665048543689318, 0.8593040509596618),
    (0.8715486194477791, 0.8444792822226257),
    (0.9178743961352658, 0.7902036646570127),
];

#[test]
fn one_row_or_column_gives_no_coefficients() {
    assert_eq!(crossed(&table(&["1 2 3"])), None);
    assert_eq!(crossed(&table(&["1", "2"])), None);
    assert_eq!(crossed(&table(&["1 2", "2"])), None);
    let alike = crossed(&table(&["1 2", "2 1"])).expect("a table");
    assert_eq!((alike.alpha(), alike.stations_needed()), (None, None));
}

/// The table of Shrout and Fleiss again; the figures by numpy 2.4.6 (corrcoef, cov).
#[test]
fn what_a_station_adds_is_what_numpy_computes() {
    let rows = table(&[
        "9 2 5 8", "6 1 3 2", "8 4 6 8", "7 1 2 6", "10 5 6 9", "6 2 4 7",
    ]);
    for (station, (alpha, r)) in ALPHA_AND_CORRELATION.into_iter().enumerate() {
        near(alpha_without(&rows, station).expect("alpha"), alpha, 9);
        near(with_rest(&rows, station).expect("a correlation"), r, 9);
    }
    assert_eq!(with_rest(&table(&["1 2", "1 3"]), 0), None);
}

/// Forty candidates at six stations with eight examiners, drawn by a congruential generator; four in a hundred marks are missing.
fn drawn(linked: bool) -> Vec<Given> {
    let mut state: u64 = 20_251_126;
    let mut next = |below: u64| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) % below) as usize
    };
    let mut all = Vec::new();
    for candidate in 0..40 {
        for station in 0..6 {
            if next(100) < 4 {
                continue;
            }
            let examiner = match (linked, candidate % 2, station) {
                (true, ..) => (station + candidate / 5) % 8,
                (false, 0, _) | (false, _, 0..=3) => station,
                _ => station + 2,
            };
            let twice = next(17) + candidate * 7 % 5 + station + 2 * examiner;
            all.push(Given {
                candidate,
                station,
                examiner,
                mark: twice as f64 / 2.0,
            });
        }
    }
    all
}

/// numpy 2.4.6: design matrix with a column for each candidate, station and examiner; `pinv` and `matrix_rank`; the contrast of each
/// examiner with the mean of all eight.
#[test]
fn examiners_who_change_stations_get_the_effects_that_numpy_finds() {
    let given = drawn(true);
    let fit = stringency(&given, 6, 8);
    assert_eq!((given.len(), fit.rank, fit.freedom), (229, 52, 177));
    near(fit.left, 1_148.831_280_532, 6);
    let shall = [
        (-4.327_515_115_7, 0.455_420_570_8),
        (-1.890_291_931_3, 0.455_962_740_4),
        (-1.369_566_457_5, 0.464_158_952_4),
        (-0.866_258_819_1, 0.457_403_315_8),
        (0.899_048_210_7, 0.465_282_570_5),
        (1.135_250_083_4, 0.463_772_933_7),
        (2.560_118_665_3, 0.456_393_525_2),
        (3.859_215_364_2, 0.456_138_277_9),
    ];
    for (is, (effect, se)) in fit.effects.iter().zip(shall) {
        assert_eq!(is.set, Some(0));
        near(is.effect.expect("an effect"), effect, 8);
        near(is.se.expect("an error"), se, 8);
    }
}

/// The same by numpy: `l (X'X)⁻ X'X = l` holds for the differences 4-6 and 5-7 and for no other.
#[test]
fn who_never_leaves_a_station_cannot_be_parted_from_it() {
    let fit = stringency(&drawn(false), 6, 9);
    assert_eq!((fit.rank, fit.freedom), (47, 182));
    near(fit.left, 1_150.913_835_987, 6);
    let sets: Vec<Option<usize>> = fit.effects.iter().map(|e| e.set).collect();
    let alone = None;
    assert_eq!(
        sets,
        [
            alone,
            alone,
            alone,
            alone,
            Some(0),
            Some(1),
            Some(0),
            Some(1),
            alone
        ]
    );
    assert_eq!((fit.effects[0].effect, fit.effects[8].marks), (None, 0));
    let both: f64 = fit.effects[4].effect.expect("one") + fit.effects[6].effect.expect("other");
    near(both, 0.0, 9);
}

/// Worked by hand: ten sums from 41 to 77; the line falls from 40 % of fails at 50 to 10 % at 60, three for each per cent. At 53 three
/// of ten are below (41, 49, 52), and the line stands at 31; 30 % are failed from there on, and the line is there at 53 and a third.
#[test]
fn hofstee_meets_the_line_where_it_does_by_hand() {
    let percents = [41.0, 49.0, 52.0, 55.0, 58.0, 61.0, 64.0, 70.0, 74.0, 77.0];
    let bounds = |cut, fails| Bounds { cut, fails };
    let [cut, fails] = hofstee(&percents, bounds([50.0, 60.0], [10.0, 40.0])).expect("they meet");
    near(cut, 53.0 + 1.0 / 3.0, 9);
    near(fails, 30.0, 9);
    // In the jump at 58 from 40 % to 50 %: the line falls from 60 at 50 by 2 for each per cent, and stands at 44.
    let [cut, fails] = hofstee(&percents, bounds([50.0, 70.0], [20.0, 60.0])).expect("they meet");
    near(cut, 58.0, 9);
    near(fails, 44.0, 9);
    assert_eq!(
        hofstee(&percents, bounds([50.0, 60.0], [0.0, 10.0])),
        None,
        "20 % fail at 50 already"
    );
    assert_eq!(
        hofstee(&percents, bounds([42.0, 45.0], [30.0, 50.0])),
        None,
        "no more than 10 % fail at 45"
    );
}
