//! Both back ends in one build of the tests: what LAPACK returns, nalgebra returns too.
//!
//! Two libraries that share no code are each other's reference, to a few units in the last place of the largest
//! number; signs of a row of the triangle are either's choice. That whole answers are the same to the byte is for
//! the tests of the Python package, which is built on nalgebra.

#[path = "pure_rust.rs"]
mod pure_rust;

use ndarray::Array2;

use super::back_end as lapack;

/// Difference allowed between the two, as a share of the largest value.
const TOLERANCE: f64 = 1.0e-12;

fn powers(rows: usize, columns: usize, scale: f64) -> Array2<f64> {
    Array2::from_shape_fn((rows, columns), |(row, power)| {
        let from_middle = (row as f64 - (rows - 1) as f64 / 2.0) * scale;
        from_middle.powi(i32::try_from(power).expect("a small power"))
    })
}

/// Designs of the kinds that are fitted: smoothing windows, lines of few points, curves of many, columns of unlike size,
/// and such as can hardly be told apart.
fn designs() -> Vec<Array2<f64>> {
    let mut designs: Vec<Array2<f64>> =
        [(5, 3), (11, 4), (31, 5), (79, 4), (160, 3), (7, 1), (4, 4)]
            .into_iter()
            .flat_map(|(rows, columns)| [powers(rows, columns, 1.0), powers(rows, columns, 1.0e-2)])
            .collect();
    designs.push(Array2::from_shape_fn((40, 3), |(row, column)| {
        ((row * (37 + 11 * column)) as f64 * 0.7).sin() * 10f64.powi(3 * column as i32)
    }));
    designs.push(Array2::from_shape_fn((40, 2), |(row, column)| {
        let level = (row as f64 * 0.3).cos();
        if column == 0 { level } else { level + 1.0e-6 * (row as f64 * 0.9).sin() }
    }));
    designs
}

fn largest(matrix: &Array2<f64>) -> f64 {
    matrix.iter().fold(0.0, |most, value| most.max(value.abs()))
}

fn assert_close(found: &Array2<f64>, expected: &Array2<f64>, tolerance: f64, what: &str) {
    assert_eq!(found.dim(), expected.dim(), "{what}");
    let apart = largest(&(found - expected));
    assert!(apart <= tolerance * largest(expected), "{what}: {apart:e} of {:e}", largest(expected));
}

#[test]
fn both_take_a_matrix_apart_into_the_same_factors() {
    for design in designs() {
        let (q, r) = lapack::qr(design.clone()).expect("finite");
        let (other_q, other_r) = pure_rust::qr(design.clone()).expect("finite");
        assert_close(&other_q.dot(&other_r), &design, TOLERANCE, "the product, by nalgebra");
        assert_close(&q.dot(&r), &design, TOLERANCE, "the product, by LAPACK");
        let unit = Array2::eye(design.ncols());
        assert_close(&other_q.t().dot(&other_q), &unit, TOLERANCE, "unit columns");
        assert_close(&other_r.mapv(f64::abs), &r.mapv(f64::abs), TOLERANCE, "the triangle");
        let (alone, other_alone) = (
            lapack::triangle(design.clone()).expect("finite"),
            pure_rust::triangle(design).expect("finite"),
        );
        assert_close(&alone, &r, TOLERANCE, "the triangle alone, by LAPACK");
        assert_close(&other_alone, &other_r, TOLERANCE, "the triangle alone, by nalgebra");
    }
}

#[test]
fn both_invert_a_triangle_and_tell_its_rank() {
    let sorted = |mut values: Vec<f64>| {
        values.sort_by(f64::total_cmp);
        values
    };
    for design in designs() {
        let triangle = lapack::triangle(design).expect("finite");
        let (inverse, singular) = lapack::inverse(&triangle).expect("finite");
        let (other, other_singular) = pure_rust::inverse(&triangle).expect("finite");
        let (singular, other_singular) = (sorted(singular), sorted(other_singular));
        let most = singular[singular.len() - 1];
        for (one, another) in singular.iter().zip(&other_singular) {
            assert!((one - another).abs() <= TOLERANCE * most, "{singular:?} {other_singular:?}");
        }
        // An inverse is known as well as the matrix can be told from a singular one.
        let known = TOLERANCE.max(f64::EPSILON * 10.0 * most / singular[0]);
        assert_close(&other, &inverse, known, "the inverse");
    }
}

#[test]
fn both_say_that_columns_cannot_be_told_apart() {
    let triangle = ndarray::array![[2.0, 1.0, 3.0], [0.0, 0.0, 0.0], [0.0, 0.0, 1.0]];
    for singular in [lapack::inverse(&triangle), pure_rust::inverse(&triangle)] {
        let (_, singular) = singular.expect("finite");
        assert_eq!(singular.len(), 3);
        assert!(singular.iter().any(|value| value.abs() < 1.0e-15), "{singular:?}");
    }
}
