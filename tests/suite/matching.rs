//! The closed set of questions, each answered yes, no and not testable, on made spectra whose heights,
//! widths and ratios are known; and every question of the built-in table the same way.

use bandlore::{
    Spectrum, Tables,
    matching::{Answered, Observed, evaluate},
    tables::{
        Window,
        look_alikes::{Predicate, Reading, Verdict},
    },
};

use crate::made::{Made, QUIET, Shape, examined, spectrum};

fn ask(spectrum: Spectrum, predicate: &Predicate) -> Answered {
    let seen = examined(spectrum);
    let observed = Observed::new(&seen.spectrum, &seen.prepared, &seen.peaks);
    evaluate(predicate, &observed)
}

fn on(bands: &[Made], predicate: &Predicate) -> Answered {
    ask(spectrum(bands, Shape::Gauss, QUIET, 400.0), predicate)
}

fn reading(low: f64, high: f64, base_low: f64, base_high: f64) -> Reading {
    Reading { window: Window::new(low, high), baseline: Window::new(base_low, base_high) }
}

fn value(answered: &Answered, name: &str) -> f64 {
    answered.values.iter().find(|(known, _)| known == name).expect("a value").1
}

const STRONGEST: Made = (1500.0, 1.0, 14.0);

#[test]
fn a_band_is_there_is_not_there_or_was_not_measured() {
    let band = reading(990.0, 1010.0, 970.0, 1030.0);
    let asked = Predicate::Present { band, least_share: 0.05 };
    let found = on(&[STRONGEST, (1000.0, 0.2, 12.0)], &asked);
    assert_eq!(found.verdict, Verdict::Yes, "{found:?}");
    assert!((value(&found, "share") - 0.2).abs() < 0.02, "{found:?}");
    assert!((value(&found, "position_cm1") - 1000.0).abs() <= 1.9, "{found:?}");
    assert_eq!(on(&[STRONGEST, (1000.0, 0.03, 12.0)], &asked).verdict, Verdict::No);
    assert_eq!(on(&[STRONGEST], &asked).verdict, Verdict::No);
    // A flank of a band outside the window is no band in it.
    assert_eq!(on(&[STRONGEST, (1025.0, 0.6, 24.0)], &asked).verdict, Verdict::No);
    let masked = spectrum(&[STRONGEST, (1000.0, 0.2, 12.0)], Shape::Gauss, QUIET, 400.0).with_mask(
        995.0,
        1005.0,
        "for the test",
    );
    assert_eq!(ask(masked, &asked).verdict, Verdict::NotTestable);
    let short = spectrum(&[STRONGEST, (1000.0, 0.2, 12.0)], Shape::Gauss, QUIET, 980.0);
    assert_eq!(ask(short, &asked).verdict, Verdict::NotTestable);
}

#[test]
fn a_band_that_would_drown_in_noise_is_not_testable() {
    let band = reading(990.0, 1010.0, 970.0, 1030.0);
    let noisy = || spectrum(&[STRONGEST], Shape::Gauss, 0.05, 400.0);
    let present = ask(noisy(), &Predicate::Present { band, least_share: 0.05 });
    assert_eq!(present.verdict, Verdict::NotTestable, "{present:?}");
    let absent = ask(noisy(), &Predicate::Absent { band, most_share: 0.05 });
    assert_eq!(absent.verdict, Verdict::NotTestable, "{absent:?}");
}

#[test]
fn absence_is_yes_no_or_not_testable() {
    let band = reading(990.0, 1010.0, 970.0, 1030.0);
    let asked = Predicate::Absent { band, most_share: 0.05 };
    assert_eq!(on(&[STRONGEST], &asked).verdict, Verdict::Yes);
    assert_eq!(on(&[STRONGEST, (1000.0, 0.03, 12.0)], &asked).verdict, Verdict::Yes);
    assert_eq!(on(&[STRONGEST, (1000.0, 0.2, 12.0)], &asked).verdict, Verdict::No);
    let short = spectrum(&[STRONGEST], Shape::Gauss, QUIET, 1000.0);
    assert_eq!(ask(short, &asked).verdict, Verdict::NotTestable);
}

#[test]
fn a_ratio_is_read_within_its_noise_and_limits() {
    let numerator = reading(990.0, 1010.0, 970.0, 1030.0);
    let denominator = reading(1190.0, 1210.0, 1170.0, 1230.0);
    let asked = Predicate::Ratio { numerator, denominator, least: Some(0.4), most: Some(0.8) };
    let with =
        |ratio: f64| on(&[STRONGEST, (1000.0, 0.3 * ratio, 12.0), (1200.0, 0.3, 12.0)], &asked);
    let found = with(0.6);
    assert_eq!(found.verdict, Verdict::Yes, "{found:?}");
    assert!((value(&found, "ratio") - 0.6).abs() < 0.05, "{found:?}");
    assert_eq!(with(0.3).verdict, Verdict::No);
    assert_eq!(with(1.0).verdict, Verdict::No);
    // Nothing below the line to divide by.
    assert_eq!(on(&[STRONGEST, (1000.0, 0.3, 12.0)], &asked).verdict, Verdict::NotTestable);
    // Close to a limit the noise decides, and noise decides nothing.
    let bands = [STRONGEST, (1000.0, 0.0805, 12.0), (1200.0, 0.2, 12.0)];
    let near = ask(spectrum(&bands, Shape::Gauss, 0.004, 400.0), &asked);
    assert_eq!(near.verdict, Verdict::NotTestable, "{near:?}");
}

#[test]
fn a_width_is_read_at_half_height() {
    let band = reading(985.0, 1015.0, 940.0, 1060.0);
    let asked = Predicate::Width { band, least_cm1: Some(15.0), most_cm1: Some(30.0) };
    let with = |width: f64| on(&[STRONGEST, (1000.0, 0.3, width)], &asked);
    let found = with(22.0);
    assert_eq!(found.verdict, Verdict::Yes, "{found:?}");
    assert!((value(&found, "width_cm1") - 22.0).abs() < 2.5, "{found:?}");
    assert_eq!(with(9.0).verdict, Verdict::No);
    assert_eq!(with(45.0).verdict, Verdict::No);
    assert_eq!(on(&[STRONGEST], &asked).verdict, Verdict::NotTestable);
}

#[test]
fn an_order_needs_a_difference_above_the_noise() {
    let stronger = reading(990.0, 1010.0, 970.0, 1030.0);
    let weaker = reading(1190.0, 1210.0, 1170.0, 1230.0);
    let asked = Predicate::Order { stronger, weaker };
    let with = |a: f64, b: f64, noise: f64| {
        let bands = [STRONGEST, (1000.0, a, 12.0), (1200.0, b, 12.0)];
        ask(spectrum(&bands, Shape::Gauss, noise, 400.0), &asked).verdict
    };
    assert_eq!(with(0.4, 0.2, QUIET), Verdict::Yes);
    assert_eq!(with(0.2, 0.4, QUIET), Verdict::No);
    assert_eq!(with(0.200, 0.2001, 0.003), Verdict::NotTestable);
}

#[test]
fn what_was_measured_is_known() {
    let asked = Predicate::Measured { window: Window::new(500.0, 560.0) };
    assert_eq!(on(&[STRONGEST], &asked).verdict, Verdict::Yes);
    let short = spectrum(&[STRONGEST], Shape::Gauss, QUIET, 520.0);
    assert_eq!(ask(short, &asked).verdict, Verdict::No);
}

/// Bands that make a question's answer yes, and bands that make it no. Smoothing and a line drawn close to
/// a band both take of its height: `made_up_for` is by how much a ratio between two limits is made higher.
fn yes_and_no(predicate: &Predicate, made_up_for: f64) -> (Vec<Made>, Vec<Made>) {
    // Narrow enough to have fallen at the ends of the baseline, wide enough for the points.
    let place = |reading: &Reading, height: f64| -> Made {
        let at = f64::midpoint(reading.window.low_cm1, reading.window.high_cm1);
        let room = (at - reading.baseline.low_cm1).min(reading.baseline.high_cm1 - at);
        (at, height, (0.6 * room).clamp(6.0, 14.0))
    };
    match predicate {
        Predicate::Present { band, least_share } => {
            (vec![place(band, (2.0 * least_share).clamp(0.2, 0.95))], Vec::new())
        }
        Predicate::Absent { band, most_share } => {
            (Vec::new(), vec![place(band, (3.0 * most_share).clamp(0.2, 0.95))])
        }
        Predicate::Ratio { numerator, denominator, least, most } => {
            let with = |ratio: f64| {
                // Neither higher than the strongest band of all.
                let under = 0.5_f64.min(0.5 / ratio);
                // A band must have fallen where the other is read, or it lends the other its flank.
                let (over, below) = (numerator.window, denominator.window);
                let gap = (over.low_cm1 - below.high_cm1).max(below.low_cm1 - over.high_cm1);
                let apart = |(at, height, width): Made| (at, height, width.min(gap.max(6.0)));
                vec![apart(place(numerator, ratio * under)), apart(place(denominator, under))]
            };
            let inside = match (least, most) {
                (Some(least), Some(most)) => made_up_for * f64::midpoint(*least, *most),
                (Some(least), None) => 2.0 * least.max(0.05),
                (None, Some(most)) => 0.4 * most,
                (None, None) => panic!("a ratio without limits"),
            };
            let outside = least.map_or_else(|| 2.5 * most.expect("one limit"), |least| 0.3 * least);
            (with(inside), with(outside))
        }
        Predicate::Width { band, least_cm1, most_cm1 } => {
            let at = f64::midpoint(band.window.low_cm1, band.window.high_cm1);
            let inside = match (least_cm1, most_cm1) {
                (Some(least), Some(most)) => f64::midpoint(*least, *most),
                (Some(least), None) => 1.6 * least,
                (None, Some(most)) => 0.6 * most,
                (None, None) => panic!("a width without limits"),
            };
            let outside =
                least_cm1.map_or_else(|| 2.2 * most_cm1.expect("one limit"), |least| 0.6 * least);
            (vec![(at, 0.5, inside)], vec![(at, 0.5, outside)])
        }
        Predicate::Order { stronger, weaker } => (
            vec![place(stronger, 0.8), place(weaker, 0.3)],
            vec![place(stronger, 0.3), place(weaker, 0.8)],
        ),
        Predicate::Measured { .. } => (Vec::new(), Vec::new()),
    }
}

/// The stretch that must be missing for a question not to be testable.
fn needed(predicate: &Predicate) -> Window {
    match predicate {
        Predicate::Present { band, .. }
        | Predicate::Absent { band, .. }
        | Predicate::Width { band, .. } => band.window,
        Predicate::Ratio { numerator, .. } => numerator.window,
        Predicate::Order { stronger, .. } => stronger.window,
        Predicate::Measured { window } => *window,
    }
}

#[test]
fn every_question_of_the_table_is_answered_yes_no_and_not_testable() {
    let mut asked = 0;
    let mut wrong = Vec::new();
    for rule in Tables::built_in().rules() {
        for question in &rule.questions.questions {
            asked += 1;
            let predicate = &question.predicate;
            // The strongest band stands where no question of the table looks.
            let strongest = (2450.0, 1.0, 6.0);
            let with = |bands: &[Made]| [&[strongest], bands].concat();
            let (mut yes, no) = yes_and_no(predicate, 1.0);
            if on(&with(&yes), predicate).verdict == Verdict::No {
                yes = yes_and_no(predicate, 2.0).0;
            }
            let window = needed(predicate);
            let centre = f64::midpoint(window.low_cm1, window.high_cm1);
            let masked = spectrum(&with(&yes), Shape::Gauss, QUIET, 400.0).with_mask(
                centre - 3.0,
                centre + 3.0,
                "for the test",
            );
            let not_testable = ask(masked, predicate).verdict;
            let (expected_yes, expected_no, expected_not_testable) =
                if matches!(predicate, Predicate::Measured { .. }) {
                    (Verdict::Yes, Verdict::Yes, Verdict::No)
                } else {
                    (Verdict::Yes, Verdict::No, Verdict::NotTestable)
                };
            for (case, found, expected) in [
                ("yes", on(&with(&yes), predicate), expected_yes),
                ("no", on(&with(&no), predicate), expected_no),
            ] {
                if found.verdict != expected {
                    wrong.push(format!("{} {:?} {case}: {found:?}", rule.id, question.what));
                }
            }
            if not_testable != expected_not_testable {
                wrong.push(format!("{} {:?} masked: {not_testable:?}", rule.id, question.what));
            }
        }
    }
    assert!(asked > 60, "{asked}");
    assert!(wrong.is_empty(), "{} of {asked}: {wrong:#?}", wrong.len());
}
