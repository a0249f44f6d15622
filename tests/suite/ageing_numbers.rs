//! Areas, tests and intervals against numpy and scipy, and substitution against published tables.

use std::path::Path;

use approx::assert_relative_eq;
use bandlore::{
    Spectrum,
    ageing::{
        content::{
            Calibration, Curve, Standard, degree_of_substitution_from_acetic_acid,
            degree_of_substitution_from_nitrogen,
        },
        read_measure,
        statistics::{t_quantile, welch},
    },
    spectrum::SpectrumParts,
    tables::{Window, markers::Measure, words::MeasureKind},
};
use serde_json::Value;

/// Made by `golden/ageing_golden.py` with the versions named inside.
fn golden() -> Value {
    serde_json::from_str(include_str!("../golden/ageing.json")).expect("valid JSON")
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(|v| v.as_f64().expect("a number")).collect()
}

fn number(value: &Value, key: &str) -> f64 {
    value.get(key).and_then(Value::as_f64).expect("a number")
}

#[test]
fn integrates_like_scipys_trapezoid() {
    let golden = golden();
    let spectrum = Spectrum::new(SpectrumParts::new(numbers(&golden["x"]), numbers(&golden["y"])))
        .expect("valid");
    for row in golden["areas"].as_array().expect("a list") {
        let measure = Measure::new(
            MeasureKind::Area,
            Window::new(number(row, "low"), number(row, "high")),
            Window::new(number(row, "baseline_low"), number(row, "baseline_high")),
        );
        let found = read_measure(&spectrum, &measure).expect("covered");
        assert_relative_eq!(found, number(row, "area"), max_relative = 1e-9);
    }
}

#[test]
fn tests_means_like_scipys_welch() {
    for row in golden()["welch"].as_array().expect("a list") {
        let found = welch(&numbers(&row["a"]), &numbers(&row["b"])).expect("spread");
        assert_relative_eq!(found.p, number(row, "p"), max_relative = 1e-9);
        assert_relative_eq!(found.degrees_of_freedom, number(row, "df"), max_relative = 1e-9);
        assert_relative_eq!(found.low, number(row, "low"), max_relative = 1e-9);
        assert_relative_eq!(found.high, number(row, "high"), max_relative = 1e-9);
    }
}

#[test]
fn knows_students_t_like_scipy() {
    for row in golden()["t"].as_array().expect("a list") {
        let found = t_quantile(number(row, "p"), number(row, "df")).expect("defined");
        assert_relative_eq!(found, number(row, "t"), max_relative = 1e-9);
    }
}

#[test]
fn predicts_with_the_interval_of_scipys_regression() {
    let golden = golden();
    let line = &golden["line"];
    let (x, y) = (numbers(&line["x"]), numbers(&line["y"]));
    let fit = Curve::fit(&x, &y, 1).expect("a line");
    let (slope, half, _) = fit.slope().expect("degrees of freedom");
    assert_relative_eq!(slope, number(line, "slope"), max_relative = 1e-9);
    assert_relative_eq!(half, number(line, "slope_half"), max_relative = 1e-9);
    // Six of the seven standards would bend; a calibration of fewer than seven stays a line.
    for row in line["prediction"].as_array().expect("a list") {
        let half = fit.prediction_half_width(number(row, "x"), 0.0).expect("degrees of freedom");
        assert_relative_eq!(fit.value(number(row, "x")), number(row, "value"), max_relative = 1e-9);
        assert_relative_eq!(half, number(row, "half"), max_relative = 1e-9);
    }
    let standards: Vec<Standard> = x
        .iter()
        .zip(&y)
        .enumerate()
        .map(|(i, (&index, &content))| Standard::new(i.to_string(), content, index))
        .collect();
    let calibration = Calibration::fit("DS", &standards).expect("seven standards");
    let content = calibration.content(0.0095).expect("inside");
    assert!(content.low < content.value && content.value < content.high);
}

#[test]
fn substitution_follows_the_worked_examples_where_they_exist() {
    let path =
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/facts/worked_examples.csv"));
    let Ok(mut reader) = csv::Reader::from_path(path) else {
        println!("skipped 1: {} is not here", path.display());
        return;
    };
    let mut tried = 0;
    for row in reader.records().map(|r| r.expect("readable")) {
        // "combined acetic acid 52.1 % (…)" or "N = 12 %"; expected "… = 2.214 (table 2.2)".
        let digits = |text: &str| -> Option<f64> {
            text.split(|c: char| !(c.is_ascii_digit() || c == '.'))
                .find(|w| w.parse::<f64>().is_ok())?
                .parse()
                .ok()
        };
        let table = |text: &str| digits(text.split("table ").nth(1)?);
        let found = match &row[0] {
            "cellulose_acetate_DS" => {
                degree_of_substitution_from_acetic_acid(digits(&row[2]).expect("a percentage"))
            }
            "cellulose_nitrate_DS" => {
                degree_of_substitution_from_nitrogen(digits(&row[2]).expect("a percentage"))
            }
            _ => continue,
        };
        let tolerance: f64 = row[4].parse().expect("a tolerance");
        let expected = table(&row[3]).expect("the published figure");
        // Published with one decimal, so half a unit of it comes on top.
        assert!(
            (found.expect("in range") - expected).abs() <= tolerance + 0.01,
            "{}: {found:?} against {expected}",
            &row[1]
        );
        tried += 1;
    }
    assert!(tried >= 7, "only {tried} worked examples found");
}
