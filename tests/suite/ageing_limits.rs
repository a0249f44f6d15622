//! Every number that decides something about ageing, against a closed form or a printed table, and each limit from
//! just below and just above.
//!
//! The spectra are put together from straight lines and parabolas, so that heights and areas are known to the last
//! digit, and the noise is one absorbance up and one down in turn where the noise is read and nowhere else.

use std::sync::LazyLock;

use bandlore::{
    Spectrum, Tables,
    ageing::{
        MarkerResult, MarkerState, MaterialFrom, Specimen,
        comparison::{
            COPIED_SPOTS, ChangeCall, ChangeScale, CompareInput, ComparedFace, Comparison,
            Composition, FaceColour, MarkerComparison, Session, Spot, compare, read_colours,
        },
        content::{
            Calibration, CalibrationError, Standard, degree_of_substitution_from_acetic_acid,
            degree_of_substitution_from_acetyl, degree_of_substitution_from_nitrogen,
        },
        doses::{DoseUnit, copied_in_series, dose_slopes, read_doses},
        measure_ageing, read_measure,
        statistics::{
            Welch, holm, mean_and_variance, outlier, ratio_interval, t_quantile, t_two_sided, welch,
        },
    },
    optics::Element,
    spectrum::SpectrumParts,
    tables::{Window, markers::Measure, words::MeasureKind},
};

use crate::disturbances::LINES;
use crate::synthetic_faces::{Material, Random, SpotTruth, compared, nothing};

fn near(found: f64, expected: f64, share: f64) {
    assert!(
        (found - expected).abs() <= share * expected.abs().max(1.0e-12),
        "{found} for {expected}"
    );
}

// ---- Statistics ----

#[test]
fn students_t_is_that_of_printed_tables() {
    for (p, freedom, t) in
        [(0.975, 4.0, 2.776), (0.975, 10.0, 2.228), (0.995, 3.0, 5.841), (0.8, 10.0, 0.879)]
    {
        let found = t_quantile(p, freedom).expect("defined");
        assert!((found - t).abs() < 6.0e-4, "{found} for {t}");
        near(t_two_sided(found, freedom).expect("defined"), 2.0 * (1.0 - p), 1.0e-9);
        near(t_two_sided(-found, freedom).expect("defined"), 2.0 * (1.0 - p), 1.0e-9);
    }
    near(t_two_sided(0.0, 5.0).expect("defined"), 1.0, 1.0e-12);
}

#[test]
fn welch_gives_the_interval_and_the_least_change_of_the_handbook() {
    // Means 5 and 2; variances 2.5 and 1; five and three values: errors 0.5 and 1/3.
    let (a, b) = ([3.0, 4.0, 5.0, 6.0, 7.0], [1.0, 2.0, 3.0]);
    assert_eq!(mean_and_variance(&a), Some((5.0, 2.5)));
    assert_eq!(mean_and_variance(&[1.0]), None);
    let test = welch(&a, &b).expect("spread");
    let (one, other) = (0.5, 1.0 / 3.0);
    let error = f64::sqrt(one + other);
    let freedom = (one + other) * (one + other) / (one * one / 4.0 + other * other / 2.0);
    near(test.difference, 3.0, 1.0e-12);
    near(test.standard_error, error, 1.0e-12);
    near(test.degrees_of_freedom, freedom, 1.0e-12);
    let t = t_quantile(0.975, freedom).expect("defined");
    near(test.low, 3.0 - t * error, 1.0e-9);
    near(test.high, 3.0 + t * error, 1.0e-9);
    near(test.p, t_two_sided(3.0 / error, freedom).expect("defined"), 1.0e-9);
    // Shown four times in five at 5 % shared by so many two-sided tests.
    for tests in [1, 2, 5] {
        let threshold = t_quantile(1.0 - 0.025 / tests as f64, freedom).expect("defined");
        let power = t_quantile(0.8, freedom).expect("defined");
        let least = test.smallest_detectable(tests).expect("defined");
        near(least, (threshold + power) * error, 1.0e-9);
    }
    assert_eq!(test.smallest_detectable(0), test.smallest_detectable(1));
    assert!(welch(&[1.0], &b).is_none() && welch(&[1.0, 1.0], &[2.0, 2.0]).is_none());
}

#[test]
fn holm_multiplies_each_p_by_how_many_are_left() {
    assert_eq!(holm(&[0.01, 0.04, 0.03]), [0.03, 0.06, 0.06]);
    assert_eq!(holm(&[0.5, 0.02, 0.6]), [1.0, 0.06, 1.0]);
    assert!(holm(&[]).is_empty());
}

#[test]
fn grubbs_names_a_value_past_the_printed_limit() {
    // Two-sided 1 %: 1.764 of 5 values, 2.482 of 10 (Grubbs and Beck 1972, Technometrics 14:847).
    for (count, limit) in [(5, 1.764), (10, 2.482)] {
        // All others lie at ±1 in turn; the last so far off that it stands at a known number of standard deviations.
        let off = |sd: f64| {
            let mut values: Vec<f64> =
                (1..count).map(|i| if i % 2 == 0 { 1.0 } else { -1.0 }).collect();
            values.push(0.0);
            // Found by halving: the figure grows with the distance.
            let (mut low, mut high) = (0.0, 1.0e6);
            for _ in 0..200 {
                let middle = f64::midpoint(low, high);
                values[count - 1] = middle;
                let (mean, variance) = mean_and_variance(&values).expect("spread");
                if (middle - mean) / variance.sqrt() < sd { low = middle } else { high = middle }
            }
            values
        };
        assert_eq!(outlier(&off(limit - 0.003)), None, "{count}");
        assert_eq!(outlier(&off(limit + 0.003)), Some(count - 1), "{count}");
    }
    assert_eq!(outlier(&[0.0, 0.0, 0.0, 100.0]), None);
    assert_eq!(outlier(&[1.0; 6]), None);
}

#[test]
fn a_ratios_ends_are_where_its_numerator_is_told_from_nothing() {
    // Fieller: at each end r, n − r·d is t standard errors of itself from zero.
    for (n, vn, d, vd, c, t) in [
        (2.0, 0.01, 4.0, 0.02, 0.0, 2.0),
        (0.5, 0.002, 1.0, 0.004, 0.001, 2.5),
        (-0.3, 0.001, 1.5, 0.01, -0.002, 1.97),
    ] {
        let (low, high) = ratio_interval((n, vn), (d, vd), c, t).expect("told from zero");
        assert!(low < n / d && n / d < high);
        for r in [low, high] {
            near((n - r * d).powi(2), t * t * (vn - 2.0 * r * c + r * r * vd), 1.0e-9);
        }
    }
    // A divisor of two standard errors.
    assert!(ratio_interval((1.0, 0.01), (2.0, 1.0), 0.0, 2.01).is_none());
    assert!(ratio_interval((1.0, 0.01), (2.0, 1.0), 0.0, 1.99).is_some());
}

#[test]
fn substitution_reaches_three_where_every_hydroxyl_is_an_ester() {
    // Of the triester: 3 · 60.05 of 288, 3 · 43.04 of 288.25, 3 · 14.007 of 297.13 g/mol.
    let of = |found: Option<f64>, expected: f64| {
        let found = found.expect("in range");
        assert!((found - expected).abs() < 0.01, "{found} for {expected}");
    };
    let (acid, acetyl, nitrogen) = (
        degree_of_substitution_from_acetic_acid,
        degree_of_substitution_from_acetyl,
        degree_of_substitution_from_nitrogen,
    );
    of(acid(62.5), 3.0);
    of(acetyl(44.79), 3.0);
    of(nitrogen(14.14), 3.0);
    // One of three: 60.05 of 204, 43.04 of 204.18, 14.007 of 207.14.
    of(acid(29.44), 1.0);
    of(acetyl(21.08), 1.0);
    of(nitrogen(6.762), 1.0);
    for none in
        [acid(62.95), acetyl(45.15), nitrogen(14.25), acid(-0.1), acetyl(-0.1), nitrogen(-0.1)]
    {
        assert_eq!(none, None);
    }
    for zero in [acid(0.0), acetyl(0.0), nitrogen(0.0)] {
        assert_eq!(zero, Some(0.0));
    }
    assert!(acid(62.85).is_some() && acetyl(45.05).is_some() && nitrogen(14.15).is_some());
}

// ---- Calibrations and doses ----

fn standards(of: &[(&str, f64, f64)]) -> Vec<Standard> {
    of.iter().map(|(name, content, index)| Standard::new(*name, *content, *index)).collect()
}

#[test]
fn a_calibration_predicts_as_a_handbook_predicts_from_a_line() {
    // Content 1 + 10 · index, off by these; two samples were read twice.
    let off = [0.2, -0.3, 0.1, 0.3, -0.3];
    let mut rows = Vec::new();
    for (i, off) in off.iter().enumerate() {
        let index = 0.1 * (i + 1) as f64;
        let content = 1.0 + 10.0 * index + off;
        let apart = if i < 2 { 0.005 * (i + 1) as f64 } else { 0.0 };
        rows.push((["a", "b", "c", "d", "e"][i], content, index + apart));
        if i < 2 {
            rows.push((["a", "b"][i], content, index - apart));
        }
    }
    let fit = Calibration::fit("ester, %", &standards(&rows)).expect("five standards");
    assert!(!fit.is_bent() && fit.quantity() == "ester, %");
    let x: Vec<f64> = (1..=5).map(|i| 0.1 * f64::from(i)).collect();
    let y: Vec<f64> = x.iter().zip(off).map(|(x, off)| 1.0 + 10.0 * x + off).collect();
    let (mean_x, mean_y) = (0.3, y.iter().sum::<f64>() / 5.0);
    let spread = 0.1;
    let slope = x.iter().zip(&y).map(|(x, y)| (x - mean_x) * (y - mean_y)).sum::<f64>() / spread;
    let line = |at: f64| mean_y + slope * (at - mean_x);
    let variance = x.iter().zip(&y).map(|(x, y)| (y - line(*x)).powi(2)).sum::<f64>() / 3.0;
    // Two readings ±d scatter by 2 d² with one degree of freedom; pooled over two samples.
    let repeats = (2.0 * 0.005_f64.powi(2) + 2.0 * 0.010_f64.powi(2)) / 2.0;
    for at in [0.1, 0.27, 0.5] {
        let content = fit.content(at).expect("inside");
        // Student's t with three degrees of freedom, 97.5 %: 3.1824 (printed tables).
        let squared =
            variance * (1.0 + 0.2 + (at - mean_x).powi(2) / spread) + slope * slope * repeats;
        near(content.value, line(at), 1.0e-9);
        near(content.high - content.value, 3.1824 * squared.sqrt(), 1.0e-4);
        near(content.value - content.low, 3.1824 * squared.sqrt(), 1.0e-4);
        assert_eq!(content.doubt, None);
    }
    for at in [0.099, 0.501] {
        assert!(fit.content(at).expect("carried on").doubt.is_some(), "{at}");
    }
}

#[test]
fn seven_standards_may_bend_and_six_may_not() {
    let bent = |count: usize, turn: f64| {
        let rows: Vec<Standard> = (0..count)
            .map(|i| {
                let x = i as f64 / (count - 1) as f64;
                let scatter = if i % 2 == 0 { 0.002 } else { -0.002 };
                Standard::new(i.to_string(), x + turn * x * x + scatter, x)
            })
            .collect();
        Calibration::fit("content", &rows)
    };
    assert!(bent(7, 1.0).expect("rises").is_bent());
    assert!(!bent(6, 1.0).expect("rises").is_bent());
    assert!(!bent(7, 0.0).expect("rises").is_bent());
    // x − 0.45 x² rises as far as 1, x − 0.55 x² falls again.
    assert!(bent(7, -0.45).expect("rises").is_bent());
    assert_eq!(bent(7, -0.55), Err(CalibrationError::NotMonotonic));
    assert_eq!(bent(3, 0.0), Err(CalibrationError::TooFew { found: 3 }));
    assert!(bent(4, 0.0).is_ok());
    let twice = standards(&[("a", 1.0, 0.1), ("a", 1.1, 0.1), ("b", 2.0, 0.2)]);
    let error = Calibration::fit("content", &twice).expect_err("two contents");
    assert_eq!(
        error,
        CalibrationError::TwoContents { sample: "a".to_owned(), first: 1.0, second: 1.1 }
    );
}

#[test]
fn a_dose_slope_is_that_of_least_squares_with_its_interval() {
    let rows = [(0.0, 0.10), (10.0, 0.15), (20.0, 0.17), (30.0, 0.26), (30.0, 0.24)];
    let sheet = |unit: &str, count: usize| {
        let head = "file,dose,unit,source,filter,band,temperature_c,relative_humidity\n";
        let line = |(dose, _): &(f64, f64)| {
            format!("{dose}.csv,{dose},{unit},lamp,none,300-400 nm,60,50\n")
        };
        let text = head.to_owned() + &rows.iter().take(count).map(line).collect::<String>();
        read_doses("doses.csv", text.as_bytes()).expect("doses")
    };
    for (word, unit, conditions) in [
        ("lux h", DoseUnit::LuxHours, "300-400 nm"),
        ("W h/m2", DoseUnit::WattHoursPerSquareMetre, "300-400 nm"),
        ("Wh/m²", DoseUnit::WattHoursPerSquareMetre, "300-400 nm"),
        ("h", DoseUnit::Hours, "60 °C, 50 % RH"),
        ("days", DoseUnit::Days, "300-400 nm"),
    ] {
        let doses = sheet(word, 5);
        assert!(doses.iter().all(|d| d.unit == unit && d.conditions == conditions), "{doses:?}");
        // What a report prints is read again as what it was.
        assert_eq!(sheet(unit.symbol(), 1)[0].unit, unit);
        let readings: Vec<_> = doses
            .iter()
            .zip(rows)
            .map(|(dose, (_, index))| (dose, "PVC_CO", index, MarkerState::Measured))
            .collect();
        let [slope] = &dose_slopes(&readings)[..] else { panic!("one kind of dose") };
        let (n, x0, y0) = (5.0, 18.0, 0.184);
        let spread: f64 = rows.iter().map(|(x, _)| (x - x0).powi(2)).sum();
        let b = rows.iter().map(|(x, y)| (x - x0) * (y - y0)).sum::<f64>() / spread;
        let left: f64 = rows.iter().map(|(x, y)| (y - y0 - b * (x - x0)).powi(2)).sum();
        // Student's t with three degrees of freedom, 97.5 %: 3.1824 (printed tables).
        let reach = 3.1824 * (left / (n - 2.0) / spread).sqrt();
        near(slope.slope.expect("a slope"), b, 1.0e-9);
        near(slope.high.expect("an end") - b, reach, 1.0e-4);
        near(b - slope.low.expect("an end"), reach, 1.0e-4);
        assert_eq!((slope.n, slope.lowest_dose, slope.highest_dose), (5, 0.0, 30.0));
        // Three spectra are too few, and so are two doses.
        assert_eq!(dose_slopes(&readings[..3])[0].slope, None);
        let two = [readings[0], readings[0], readings[4], readings[3]];
        assert_eq!(dose_slopes(&two)[0].slope, None);
        assert!(
            dose_slopes(&[readings[0], readings[1], readings[2], readings[2]])[0].slope.is_some()
        );
    }
    assert!(read_doses("doses.csv", b"file,dose,unit,source,filter\na,-1,h,lamp,none\n").is_err());
}

// ---- Readings ----

/// Points 1 cm⁻¹ apart from 560 to 3700.
fn made(value: impl Fn(f64) -> f64) -> Spectrum {
    let axis: Vec<f64> = (560..=3700).map(f64::from).collect();
    let values = axis.iter().map(|x| value(*x)).collect();
    Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")
}

/// Up and down in turn.
fn turns(x: f64) -> f64 {
    if (x as i64) % 2 == 0 { 1.0 } else { -1.0 }
}

/// A parabola of this height and half width.
fn dome(x: f64, centre: f64, height: f64, half: f64) -> f64 {
    (height * (1.0 - ((x - centre) / half).powi(2))).max(0.0)
}

/// A level top between straight flanks.
fn table(x: f64, (low, high): (f64, f64), height: f64, flank: f64) -> f64 {
    height * (((x - low + flank).min(high + flank - x)) / flank).clamp(0.0, 1.0)
}

#[test]
fn measures_are_read_to_the_digit_where_the_curve_is_known() {
    let read = |spectrum: &Spectrum, kind, limits: (f64, f64), line: (f64, f64)| {
        let measure =
            Measure::new(kind, Window::new(limits.0, limits.1), Window::new(line.0, line.1));
        read_measure(spectrum, &measure)
    };
    // A table 0.2 high on a tilted line: 40 wide between the limits, 0.2 above the line.
    let tilted = made(|x| 0.1 + 1.0e-4 * (x - 1700.0) + table(x, (1680.0, 1720.0), 0.2, 10.0));
    let area =
        read(&tilted, MeasureKind::Area, (1680.0, 1720.0), (1660.0, 1740.0)).expect("covered");
    near(area, 8.0, 1.0e-9);
    // Limits between points: 20 of it, and flanks of half a unit of height and 5 wide each.
    let area =
        read(&tilted, MeasureKind::Area, (1680.5, 1700.25), (1660.0, 1735.0)).expect("covered");
    near(area, 0.2 * 19.75, 1.0e-9);
    let height = read(&tilted, MeasureKind::MeanHeight, (1670.0, 1730.0), (1650.0, 1750.0))
        .expect("covered");
    near(height, 0.2 * (40.0 + 10.0) / 60.0, 1.0e-9);
    let height = read(&tilted, MeasureKind::MeanHeight, (1675.5, 1675.5), (1650.0, 1750.0))
        .expect("covered");
    near(height, 0.2 * 0.55, 1.0e-9);
    // The line under it leans on the band: at 1675 it is half as high.
    let height = read(&tilted, MeasureKind::MeanHeight, (1690.0, 1710.0), (1675.0, 1740.0))
        .expect("covered");
    near(height, 0.2 - 0.1 * (1.0 - 25.0 / 65.0), 1.0e-9);
    // The line may begin up to half a step before the first point, and end behind the last: there these stand in.
    let near_the_ends = made(|x| 1.0e-2 * (x - 560.0));
    for (line, at, end) in [((559.6, 640.0), 600.0, 0.0), ((3620.0, 3700.4), 3660.0, 31.4)] {
        let height = read(&near_the_ends, MeasureKind::MeanHeight, (at, at), line).expect("there");
        let value = |x: f64| if (560.0..=3700.0).contains(&x) { 1.0e-2 * (x - 560.0) } else { end };
        let share = (at - line.0) / (line.1 - line.0);
        let below = value(line.0) + share * (value(line.1) - value(line.0));
        near(height, value(at) - below, 1.0e-9);
    }
    // A dome's top between two points.
    let domed = made(|x| 0.1 - 2.0e-4 * (x - 1427.3) + dome(x, 1427.3, 0.3, 20.0));
    let top =
        read(&domed, MeasureKind::Maximum, (1415.0, 1440.0), (1400.0, 1450.0)).expect("covered");
    near(top, 0.3, 1.0e-9);
    // So it is where the two beside it are equally high.
    let even = made(|x| dome(x, 1427.5, 0.3, 20.0));
    let top = read(&even, MeasureKind::Maximum, (1415.0, 1440.0), (1400.0, 1450.0)).expect("there");
    near(top, 0.3, 1.0e-9);
    // At a limit the highest point stands for itself.
    let flank =
        read(&domed, MeasureKind::Maximum, (1431.0, 1440.0), (1400.0, 1450.0)).expect("covered");
    assert!(flank < 0.3 && flank >= dome(1431.0, 1427.3, 0.3, 20.0) - 1.0e-9, "{flank}");
    // A quartic's second derivative in the middle.
    let quartic = made(|x| {
        let u = x - 1786.0;
        0.2 + 1.0e-3 * u - 4.0e-4 * u * u + 1.0e-6 * u.powi(3) + 1.0e-7 * u.powi(4)
    });
    let bend = |middle: f64| {
        read(
            &quartic,
            MeasureKind::SecondDerivative,
            (middle - 4.0, middle + 4.0),
            (1770.0, 1800.0),
        )
        .expect("covered")
    };
    near(bend(1786.0), 8.0e-4, 1.0e-6);
    near(bend(1788.0), 8.0e-4 - 6.0e-6 * 2.0 - 12.0e-7 * 4.0, 1.0e-6);
    // Every spacing up to 3 cm⁻¹ leaves seven points within ±10.
    let every = |step: usize| {
        let (axis, values): (Vec<f64>, Vec<f64>) = quartic
            .wavenumbers_cm1()
            .iter()
            .zip(quartic.absorbances())
            .step_by(step)
            .map(|(x, a)| (*x, *a))
            .unzip();
        let coarse = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
        read(&coarse, MeasureKind::SecondDerivative, (1782.0, 1790.0), (1770.0, 1800.0))
    };
    near(every(3).expect("seven points"), 8.0e-4, 1.0e-6);
    assert!(every(4).is_err(), "five points");
}

/// The noise where it is read.
const NOISE: f64 = 1.0e-4;

/// A carbonyl whose mean height is `carbonyl`, over a methylene whose top is `methylene`, noise of the stated stretch alone.
fn vinyl(carbonyl: f64, methylene: f64, noise: f64) -> Spectrum {
    made(|x| {
        let quiet = if (2450.0..=2600.0).contains(&x) { noise * turns(x) } else { 0.0 };
        table(x, (1670.0, 1805.0), carbonyl, 5.0) + dome(x, 1428.0, methylene, 17.0) + quiet
    })
}

fn read_vinyl(spectrum: &Spectrum) -> (MarkerResult, f64) {
    let specimen = Specimen::new(spectrum, &[], Element::DIAMOND_45, &nothing);
    let result =
        measure_ageing(&specimen, Some(("PVC", MaterialFrom::Given)), Tables::built_in(), None);
    assert!(result.noise_from.starts_with("2450–2600"), "{}", result.noise_from);
    let noise = result.noise.expect("read");
    let marker = result.markers.into_iter().find(|m| m.id == "PVC_CO").expect("in the table");
    (marker, noise)
}

/// Sums of the squares of the weights of both bands. The carbonyl: a trapezoid over 120 cm⁻¹, less a line from 1660 to 1810
/// in the middle, 1740. The methylene: its top at 1428, less a line from 1400 to 1445.
static CARBONYL_WEIGHTS: LazyLock<f64> = LazyLock::new(|| {
    let inside = 119.0 / 120.0_f64.powi(2) + 2.0 / 240.0_f64.powi(2);
    inside + (70.0 / 150.0_f64).powi(2) + (80.0 / 150.0_f64).powi(2)
});
static METHYLENE_WEIGHTS: LazyLock<f64> =
    LazyLock::new(|| 1.0 + (17.0 / 45.0_f64).powi(2) + (28.0 / 45.0_f64).powi(2));

#[test]
fn a_marker_has_the_interval_and_the_limits_that_its_noise_makes() {
    let (marker, noise) = read_vinyl(&vinyl(0.03, 0.12, NOISE));
    // 151 points scatter by the whole of each turn; a cubic takes four of them.
    near(noise, NOISE * (151.0 / 147.0_f64).sqrt(), 1.0e-3);
    let t = t_quantile(0.975, 147.0).expect("defined");
    let (n, d) = (0.03, 0.12);
    let (vn, vd) = (noise * noise * *CARBONYL_WEIGHTS, noise * noise * *METHYLENE_WEIGHTS);
    near(marker.value.expect("measured"), n / d, 1.0e-9);
    assert_eq!(marker.as_read, marker.value);
    // Fieller without covariance: d² r² − 2 n d r + n² = t² (vn + r² vd).
    let (a, b, c) = (d * d - t * t * vd, n * d, n * n - t * t * vn);
    let root = (b * b - a * c).sqrt();
    near(marker.low.expect("an end"), (b - root) / a, 1.0e-6);
    near(marker.high.expect("an end"), (b + root) / a, 1.0e-6);
    let blank = Tables::built_in().markers().iter().find(|m| m.id == "PVC_CO").expect("there");
    assert!(blank.blank.is_none(), "the closed form below is of no blank");
    let floor = vn.sqrt() / d;
    near(marker.detection_limit.expect("stated"), 3.0 * floor, 1.0e-6);
    near(marker.quantification_limit.expect("stated"), 10.0 * floor, 1.0e-6);
}

#[test]
fn a_blank_that_scatters_lifts_both_limits() {
    let noise = |x: f64| if (1900.0..=2600.0).contains(&x) { 1.0e-6 * turns(x) } else { 0.0 };
    let fresh = made(|x| dome(x, 1466.0, 0.2, 10.0) + noise(x));
    let specimen = Specimen::new(&fresh, &[], Element::DIAMOND_45, &nothing);
    let given = Some(("PE-LD", MaterialFrom::Given));
    let result = measure_ageing(&specimen, given, Tables::built_in(), None);
    // Mean and standard deviation of the blanks as the table prints them; the noise is far below either.
    for (id, mean, deviation) in [("CI_HEIGHT", 0.0027, 0.0463), ("CI_SAUB", -0.0360, 0.1665)] {
        let marker = result.markers.iter().find(|m| m.id == id).expect("in the table");
        near(marker.detection_limit.expect("stated"), mean + 3.0 * deviation, 1.0e-3);
        near(marker.quantification_limit.expect("stated"), mean + 10.0 * deviation, 1.0e-3);
    }
}

#[test]
fn detection_is_three_and_quantification_ten_standard_deviations() {
    let one = NOISE * (151.0 / 147.0_f64).sqrt() * CARBONYL_WEIGHTS.sqrt();
    for (times, state, quantifiable) in [
        (2.97, MarkerState::BelowDetection, false),
        (3.03, MarkerState::Measured, false),
        (9.9, MarkerState::Measured, false),
        (10.1, MarkerState::Measured, true),
    ] {
        let (marker, _) = read_vinyl(&vinyl(times * one, 0.12, NOISE));
        assert_eq!(
            (marker.state, marker.quantifiable),
            (state, quantifiable),
            "{times}: {marker:?}"
        );
        near(marker.as_read.expect("as read"), times * one / 0.12, 1.0e-6);
        if state == MarkerState::BelowDetection {
            assert_eq!((marker.value, marker.high), (None, marker.detection_limit));
        }
    }
    // A reference band of ten standard deviations may be divided by.
    let one = NOISE * (151.0 / 147.0_f64).sqrt() * METHYLENE_WEIGHTS.sqrt();
    let (weak, _) = read_vinyl(&vinyl(0.03, 9.9 * one, NOISE));
    assert_eq!(weak.state, MarkerState::Refused);
    assert!(weak.refusal.as_deref().is_some_and(|why| why.contains("too weak to divide by")));
    let (strong, _) = read_vinyl(&vinyl(0.03, 10.1 * one, NOISE));
    assert_eq!(strong.state, MarkerState::Measured);
}

#[test]
fn noise_is_read_where_it_can_be_and_says_where() {
    let over = |range: (i32, i32), noise: &dyn Fn(f64) -> f64| {
        let axis: Vec<f64> = (range.0..=range.1).map(f64::from).collect();
        let values =
            axis.iter().map(|x| dome(*x, 1428.0, 0.12, 17.0) + noise(*x) * turns(*x)).collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis, values)).expect("valid");
        let specimen = Specimen::new(&spectrum, &[], Element::DIAMOND_45, &nothing);
        let result =
            measure_ageing(&specimen, Some(("PVC", MaterialFrom::Given)), Tables::built_in(), None);
        (result.noise_from, result.noise.expect("read"))
    };
    let by_place = |x: f64| match x {
        x if x < 1850.0 => 4.0e-4,
        x if x < 2000.0 => 3.0e-4,
        x if x <= 2200.0 => 2.0e-4,
        _ => 1.0e-4,
    };
    for (range, from, points, noise) in [
        ((560, 3700), "2450–2600", 151.0, 1.0e-4),
        ((560, 2590), "2000–2200", 201.0, 2.0e-4),
        ((560, 2190), "1850–2000", 151.0, 3.0e-4),
        ((560, 1849), "the quietest stretch", 60.0, 4.0e-4),
    ] {
        let (words, found) = over(range, &by_place);
        assert!(words.starts_with(from), "{words} for {from}");
        // 1850–2000 ends on the first point of its quieter neighbour.
        near(found, noise * f64::sqrt(points / (points - 4.0)), 0.01);
    }
}

// ---- Comparisons ----

fn marker<'a>(comparison: &'a Comparison, id: &str) -> &'a MarkerComparison {
    comparison.markers.iter().find(|m| m.id == id).expect("in the table")
}

fn spots(levels: &[f64], gaps: &[f64]) -> Vec<Spectrum> {
    let material = Material::new(4.0);
    levels
        .iter()
        .zip(gaps)
        .enumerate()
        .map(|(i, (level, gap_um))| {
            let truth = SpotTruth {
                carbonyl: *level,
                hydroxyl: *level,
                scale: 1.0,
                gap_um: *gap_um,
                noise: 1.0e-5,
            };
            material.spot(&truth, &mut Random::new(900 + i as u64 + (1.0e4 * level) as u64))
        })
        .collect()
}

fn indices(values: &[Option<f64>]) -> Vec<f64> {
    values.iter().map(|v| v.expect("read").ln()).collect()
}

#[test]
fn a_change_is_the_ratio_of_the_means_with_welchs_interval() {
    let (exposed, covered) =
        (spots(&[1.2, 1.3, 1.1, 1.35], &[0.0; 4]), spots(&[1.0, 1.1, 0.97], &[0.0; 3]));
    let comparison = compared("PVC", &exposed, &covered);
    let found = marker(&comparison, "PVC_CO");
    assert_eq!(found.scale, ChangeScale::Ratio);
    let (a, b) = (indices(&found.face_values), indices(&found.against_values));
    let test: Welch = welch(&a, &b).expect("spread");
    // The fit of what one face may carry beside its age leaves some thousandths.
    near(found.face_mean.expect("a mean"), (a.iter().sum::<f64>() / 4.0).exp(), 5.0e-3);
    near(found.against_mean.expect("a mean"), (b.iter().sum::<f64>() / 3.0).exp(), 5.0e-3);
    near(found.change.expect("a change"), test.difference.exp(), 5.0e-3);
    near(found.low.expect("an end"), test.low.exp(), 0.01);
    near(found.high.expect("an end"), test.high.exp(), 0.01);
    // Pressing again changes a hundredth at least, which no number of spots takes away.
    let squared = test.standard_error.powi(2) + 0.01_f64.powi(2);
    let freedom = squared.powi(2)
        / (test.standard_error.powi(4) / test.degrees_of_freedom + 0.01_f64.powi(4) / 1.0e6);
    let p = t_two_sided(test.difference / squared.sqrt(), freedom).expect("defined");
    near(found.p.expect("tested"), p, 0.1);
    // Two markers of the material are named beforehand, and share 5 %.
    let t = t_quantile(1.0 - 0.05 / 4.0, freedom).expect("defined")
        + t_quantile(0.8, freedom).expect("defined");
    near(found.smallest_detectable.expect("stated"), (t * squared.sqrt()).exp(), 0.01);
    // 1740 over 1428 cm⁻¹: depths go with the wavelength.
    near(found.depth_ratio.expect("stated"), 1740.0 / 1428.0, 1.0e-9);
    near(found.contact_change.expect("fitted"), 1.0, 1.0e-3);
    let sentence = &comparison.sentence;
    assert!(sentence.contains("Exposed against covered face: "), "{sentence}");
}

#[test]
fn one_measurement_twice_is_not_compared() {
    let exposed = spots(&[1.2, 1.3, 1.1], &[0.0; 3]);
    let covered = spots(&[1.0, 1.1, 0.97], &[0.0; 3]);
    let told = |exposed: &[Spectrum], covered: &[Spectrum]| {
        let warnings = compared("PVC", exposed, covered).warnings;
        warnings.into_iter().find(|w| w.id == COPIED_SPOTS).map(|w| w.text)
    };
    assert_eq!(told(&exposed, &covered), None);
    let replicate = [exposed[0].clone(), exposed[1].clone(), exposed[0].clone()];
    assert!(told(&replicate, &covered).is_some_and(|text| text.contains("one file is one spot")));
    let both = [covered[0].clone(), covered[1].clone(), exposed[0].clone()];
    assert!(told(&exposed, &both).is_some_and(|text| text.contains("shows no change")));
    let series: Vec<&Spectrum> = exposed.iter().chain(&covered).collect();
    assert_eq!(copied_in_series(&series), None);
    let series: Vec<&Spectrum> = replicate.iter().collect();
    assert!(copied_in_series(&series).is_some_and(|text| text.contains("are one measurement")));
}

#[test]
fn fewer_than_three_spots_are_shown_and_not_tested() {
    let compare = |count: usize| {
        let (exposed, covered) =
            (spots(&[1.9, 2.0, 2.3][..count], &[0.0; 3]), spots(&[1.0, 1.1, 0.97], &[0.0; 3]));
        marker(&compared("PVC", &exposed, &covered), "PVC_CO").clone()
    };
    let two = compare(2);
    assert_eq!((two.call, two.p, two.low), (ChangeCall::NotTested, None, None));
    assert!(two.change.is_some_and(|change| (1.7..2.1).contains(&change)), "{two:?}");
    assert_eq!(compare(3).call, ChangeCall::Changed);
}

/// What a micrometre of air takes off the logarithm of a band (Harrick 1967): 2 · 2π n₁ ν √(sin²θ − 1/n₁²), diamond at 45°.
fn loss_per_um(wavenumber_cm1: f64) -> f64 {
    4.0 * std::f64::consts::PI
        * 2.4
        * wavenumber_cm1
        * 1.0e-4
        * (0.5 - 1.0_f64 / 2.4_f64.powi(2)).sqrt()
}

#[test]
fn contact_is_fitted_and_taken_out() {
    let (exposed, covered) = (
        spots(&[1.9, 2.0, 2.3], &[0.20, 0.25, 0.30]),
        spots(&[1.0, 1.1, 0.97], &[0.05, 0.04, 0.06]),
    );
    let comparison = compared("PVC", &exposed, &covered);
    assert_eq!(comparison.contact.len(), 6);
    for (fit, gap) in comparison.contact.iter().zip([0.20, 0.25, 0.30, 0.05, 0.04, 0.06]) {
        // Against the mean of the covered face, 0.05 µm.
        assert!((fit.gap_um - (gap - 0.05)).abs() < 0.01, "{gap}: {fit:?}");
        assert!((fit.scale - 1.0).abs() < 0.02, "{fit:?}");
        assert!(fit.gap_error_um < 0.01, "{fit:?}");
    }
    let numbers: Vec<usize> = comparison.contact.iter().map(|fit| fit.spot).collect();
    assert_eq!(numbers, [1, 2, 3, 1, 2, 3]);
    let found = marker(&comparison, "PVC_CO");
    // 0.20 µm more on the exposed face weaken 1740 more than 1428.
    let gain = loss_per_um(1428.0) - loss_per_um(1740.0);
    near(found.contact_change.expect("fitted"), (0.20 * gain).exp(), 0.01);
    let (a, b) = (indices(&found.face_values), indices(&found.against_values));
    let raw = (a.iter().sum::<f64>() - b.iter().sum::<f64>()) / 3.0;
    near(found.change.expect("a change"), (raw - 0.20 * gain).exp(), 0.01);
}

// ---- Sessions and colours ----

/// At zero below 1600 cm⁻¹, half of the range from 1200 on, and at a height above.
fn check_sample(low: u32, height: f64) -> Spectrum {
    let axis: Vec<f64> = (low..=2000).map(f64::from).collect();
    let values = axis.iter().map(|x| if *x < 1600.0 { 0.0 } else { height }).collect();
    Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")
}

#[test]
fn sessions_agree_within_the_stated_limits() {
    let (before, after) = (spots(&[1.0, 1.1, 0.97], &[0.0; 3]), spots(&[1.9, 2.0, 2.3], &[0.0; 3]));
    let session = |angle: f64, resolution: f64, check: Spectrum| {
        Session::default()
            .with_crystal("diamond".to_owned())
            .with_angle_deg(angle)
            .with_resolution_cm1(resolution)
            .with_check(check)
    };
    let earlier = session(45.0, 4.0, check_sample(1200, 0.5));
    let refused = |later: &Session| -> Option<String> {
        let list: Vec<Spot<'_>> = before
            .iter()
            .map(|s| (ComparedFace::Earlier, s))
            .chain(after.iter().map(|s| (ComparedFace::Later, s)))
            .map(|(face, s)| {
                Spot::new(face, Specimen::new(s, &[], Element::DIAMOND_45, &nothing))
                    .with_composition(Composition::default().with_material("PVC".to_owned()))
            })
            .collect();
        let mut input =
            CompareInput::new(&list, Element::DIAMOND_45, Tables::built_in()).with_material("PVC");
        input.sessions = Some((&earlier, later));
        let comparison = compare(&input);
        let found = marker(&comparison, "PVC_CO");
        let refused = found.call == ChangeCall::Refused;
        assert_eq!(found.change.is_none(), refused, "{found:?}");
        refused.then(|| found.why.clone().expect("a reason"))
    };
    let says = |later: Session, words: &str| {
        let why = refused(&later).unwrap_or_else(|| panic!("{words}: not refused"));
        assert!(why.contains(words), "{why}");
    };
    // Measured again: no two measurements are equal to the last digit.
    let same = || check_sample(1200, 0.499_999);
    for angle in [44.0, 46.0] {
        assert_eq!(refused(&session(angle, 4.0, same())), None);
    }
    for angle in [43.9, 46.1] {
        says(session(angle, 4.0, same()), "angle of incidence differs");
    }
    assert_eq!(refused(&session(45.0, 4.09, same())), None);
    says(session(45.0, 4.11, same()), "resolution differs");
    // Half of the points lower by a share of the height: less its mean, half of that either way, and twice that counts.
    assert_eq!(refused(&session(45.0, 4.0, check_sample(1200, 0.5 * 0.971))), None);
    says(session(45.0, 4.0, check_sample(1200, 0.5 * 0.969)), "differs by 3.1 %");
    says(session(45.0, 4.0, check_sample(1200, 0.5 * 1.04)), "differs by 4.0 %");
    assert_eq!(refused(&session(45.0, 4.0, same()).with_crystal("Diamond".to_owned())), None);
    says(session(45.0, 4.0, same()).with_crystal("germanium".to_owned()), "crystals differ");
    says(session(45.0, 4.0, same()).with_crystal(None), "crystal of both");
    says(session(45.0, 4.0, check_sample(1201, 0.5)), "share too little range");
    says(session(45.0, 4.0, same()).with_check(None), "no stable check sample");
}

#[test]
fn colours_differ_by_the_distance_of_their_means() {
    // Faces that are alike in the infrared: a colour that is seen is then not explained.
    let (exposed, covered) =
        (spots(&[1.0, 1.05, 0.97], &[0.0; 3]), spots(&[1.01, 1.06, 0.98], &[0.0; 3]));
    let said = |colours: &[FaceColour]| {
        let list: Vec<Spot<'_>> = exposed
            .iter()
            .map(|s| (ComparedFace::Exposed, s))
            .chain(covered.iter().map(|s| (ComparedFace::Covered, s)))
            .map(|(face, s)| {
                Spot::new(face, Specimen::new(s, &[], Element::DIAMOND_45, &nothing))
                    .with_composition(Composition::default().with_material("PVC".to_owned()))
            })
            .collect();
        let mut input =
            CompareInput::new(&list, Element::DIAMOND_45, Tables::built_in()).with_material("PVC");
        input.colours = colours;
        compare(&input).colour
    };
    let sheet = |rows: &str| {
        let text = format!("face,instrument,backing,l,a,b,yi\n{rows}");
        read_colours("colours.csv", text.as_bytes()).expect("colours")
    };
    // ΔE*ab = √(2² + 3² + 6²) = 7 between the means of two readings each.
    let colours = sheet(
        "exposed,sphere,white,79,4,17,\nexposed,sphere,white,77,2,15,\ncovered,sphere,white,81,1,10,\ncovered,sphere,white,79,-1,10,\n",
    );
    let words = said(&colours).expect("compared");
    assert!(words.starts_with("colour differs by ΔE*ab 7.0 (Δb* +6.0)"), "{words}");
    assert!(words.contains("not explained"));
    for (rows, words, seen) in [
        ("exposed,sphere,white,80,0,12.29,\ncovered,sphere,white,80,0,10,\n", "ΔE*ab 2.3", false),
        ("exposed,sphere,white,80,0,12.31,\ncovered,sphere,white,80,0,10,\n", "ΔE*ab 2.3", true),
        (
            "exposed,sphere,white,,,,12.9\ncovered,sphere,white,,,,10\n",
            "index differs by +2.9",
            false,
        ),
        (
            "exposed,sphere,white,,,,13.1\ncovered,sphere,white,,,,10\n",
            "index differs by +3.1",
            true,
        ),
        (
            "exposed,sphere,white,,,,6.9\ncovered,sphere,white,,,,10\n",
            "index differs by -3.1",
            true,
        ),
        (
            "exposed,sphere,white,,,,16\nexposed,sphere,white,,,,12\ncovered,sphere,white,,,,10\n",
            "index differs by +4.0",
            true,
        ),
        (
            "exposed,sphere,black,80,0,30,\ncovered,sphere,white,80,0,10,\n",
            "are not compared",
            false,
        ),
        ("exposed,disc,white,80,0,30,\ncovered,sphere,white,80,0,10,\n", "are not compared", false),
    ] {
        let found = said(&sheet(rows)).expect("compared");
        assert!(found.contains(words), "{found} for {words}");
        assert_eq!(found.contains("not explained"), seen, "{found}");
    }
    assert_eq!(
        said(&sheet("exposed,sphere,white,80,0,30,\nreverse,sphere,white,80,0,10,\n")),
        None
    );
}

/// Spots of several faces, each face a little more aged than the one before; all of one invented PVC.
fn compared_faces(faces: &[ComparedFace]) -> Comparison {
    let made: Vec<Vec<Spectrum>> = (0..faces.len())
        .map(|i| {
            let level = 1.0 + 0.5 * i as f64;
            spots(&[level, 1.1 * level, 0.97 * level], &[0.0; 3])
        })
        .collect();
    let list: Vec<Spot<'_>> = faces
        .iter()
        .zip(&made)
        .flat_map(|(face, spots)| spots.iter().map(|s| (*face, s)))
        .map(|(face, s)| {
            Spot::new(face, Specimen::new(s, &[], Element::DIAMOND_45, &nothing))
                .with_composition(Composition::default().with_material("PVC".to_owned()))
        })
        .collect();
    let input = CompareInput::new(&list, Element::DIAMOND_45, Tables::built_in());
    compare(&input.with_material("PVC"))
}

/// A covered face is the reference of both others; where there is none, the reverse is, which is no unaged one.
#[test]
fn which_faces_are_compared_follows_from_which_were_measured() {
    use ComparedFace::{Covered, Earlier, Exposed, Later, Reverse};

    for (faces, expected) in [
        (&[Exposed, Covered][..], &[(Exposed, Covered)][..]),
        (&[Covered, Reverse], &[(Reverse, Covered)]),
        (&[Reverse, Exposed], &[(Exposed, Reverse)]),
        (&[Exposed, Reverse, Covered], &[(Exposed, Covered), (Reverse, Covered)]),
        (&[Earlier, Later], &[(Later, Earlier)]),
        (&[Exposed, Later], &[]),
        (&[Covered, Earlier], &[]),
        (&[Reverse], &[]),
    ] {
        let found = compared_faces(faces);
        let mut pairs: Vec<_> = found.markers.iter().map(|m| (m.face, m.against)).collect();
        pairs.sort_by_key(|pair| format!("{pair:?}"));
        pairs.dedup();
        assert_eq!(pairs, expected, "{faces:?}");
        let warned = found.warnings.iter().any(|w| w.text.starts_with("both faces saw light"));
        assert_eq!(warned, faces.contains(&Reverse), "{faces:?}: {:?}", found.warnings);
        // Who is compared with whom is said, the aged one first.
        for (face, against) in expected.iter().filter(|pair| pair.0 != Later) {
            let words = format!("{face:?} against {against:?} face").to_lowercase();
            assert!(found.sentence.to_lowercase().contains(&words), "{}", found.sentence);
        }
    }
}

/// Light and air reach the exposed face: where the covered one is the more oxidised, its name is doubted.
#[test]
fn faces_of_which_the_covered_one_is_the_more_oxidised_may_have_been_exchanged() {
    let (less, more) = (spots(&[1.0, 1.1, 0.97], &[0.0; 3]), spots(&[1.9, 2.0, 2.3], &[0.0; 3]));
    let doubted = |exposed: &[Spectrum], covered: &[Spectrum]| {
        let found = compared("PVC", exposed, covered);
        assert_eq!(marker(&found, "PVC_CO").call, ChangeCall::Changed);
        found.warnings.into_iter().find(|w| w.id == "faces-exchanged").map(|w| w.text)
    };
    assert_eq!(doubted(&more, &less), None);
    let text = doubted(&less, &more).expect("doubted");
    assert!(
        text.starts_with("the covered face is the more oxidised beside the exposed one"),
        "{text}"
    );
    // No change, no doubt.
    let same = compared("PVC", &less, &spots(&[1.01, 1.09, 0.98], &[0.0; 3]));
    assert!(same.warnings.iter().all(|w| w.id != "faces-exchanged"), "{:?}", same.warnings);
    // Of the reverse face nobody knows how much light it saw.
    let reverse = compared_faces(&[ComparedFace::Exposed, ComparedFace::Reverse]);
    assert!(reverse.warnings.iter().all(|w| w.id != "faces-exchanged"));
}

/// Points that stand closer than bands and lines need change no answer, and neither do fewer.
#[test]
fn a_change_and_what_disturbs_it_are_the_same_at_any_spacing() {
    let faces = |step: f64, vapour: f64| {
        let material = Material::new(step);
        let face = |levels: [f64; 3], vapour: f64, seed: u64| -> Vec<Spectrum> {
            levels
                .iter()
                .enumerate()
                .map(|(i, level)| {
                    let truth = SpotTruth {
                        carbonyl: *level,
                        hydroxyl: *level,
                        scale: 1.0,
                        gap_um: 0.0,
                        noise: 2.0e-5,
                    };
                    let dry = material.spot(&truth, &mut Random::new(seed + i as u64));
                    let line = |x: f64, (at, strength): &(f64, f64)| {
                        strength / (1.0 + ((x - at) / 2.5).powi(2))
                    };
                    let lines = |x: f64| LINES.iter().map(|l| line(x, l)).sum::<f64>();
                    let values = dry
                        .wavenumbers_cm1()
                        .iter()
                        .zip(dry.absorbances())
                        .map(|(x, a)| a + vapour * lines(*x));
                    let (axis, values) = (dry.wavenumbers_cm1().to_vec(), values.collect());
                    Spectrum::new(SpectrumParts::new(axis, values)).expect("valid")
                })
                .collect()
        };
        let (exposed, covered) =
            (face([1.9, 2.0, 2.3], vapour, 40), face([1.0, 1.1, 0.97], 0.0, 50));
        compared("PVC", &exposed, &covered)
    };
    let expected = ((1.9_f64 * 2.0 * 2.3) / (1.0 * 1.1 * 0.97)).cbrt();
    for step in [0.25, 0.5, 1.0, 2.0] {
        for vapour in [0.0, 0.003, -0.003] {
            let found = faces(step, vapour);
            let told = found.warnings.iter().any(|w| w.id == "vapour-on-one-face");
            assert_eq!(told, vapour != 0.0, "{step} {vapour}: {:?}", found.warnings);
            let carbonyl = marker(&found, "PVC_CO");
            // What the lines do to the carbonyl is taken out.
            near(carbonyl.change.expect("a change"), expected, 0.05);
            assert_eq!(carbonyl.call, ChangeCall::Changed, "{step} {vapour}: {carbonyl:?}");
            let (low, high) = (carbonyl.low.expect("an end"), carbonyl.high.expect("an end"));
            assert!(low < expected && expected < high, "{step} {vapour}: {carbonyl:?}");
        }
    }
}
