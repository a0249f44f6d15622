//! Degree of substitution of cellulose esters from their composition.

/// Molar mass of one anhydroglucose unit, C6H10O5, in g/mol.
const ANHYDROGLUCOSE: f64 = 162.0;
/// A hundred times the molar mass of acetic acid, C2H4O2 (60.05 g/mol), for a content in percent.
const ACETIC_ACID_PERCENT: f64 = 6005.0;
/// What one acetyl group adds to the unit, C2H2O, in g/mol.
const ACETYL_GAIN: f64 = 42.0;

/// Returns the degree of substitution of a cellulose acetate from its combined acetic acid in
/// percent by mass.
///
/// Combined acetic acid is the acid that hydrolysis would set free, not the acetyl group's own mass:
/// 62.5 % is the triacetate. `None` outside 0 to 62.9 % (a degree above 3.05 cannot be).
///
/// ```
/// let degree = bandlore::ageing::content::degree_of_substitution_from_acetic_acid(60.7).unwrap();
/// assert!((degree - 2.85).abs() < 0.01);
/// ```
#[must_use]
pub fn degree_of_substitution_from_acetic_acid(combined_acetic_acid_percent: f64) -> Option<f64> {
    let acid = combined_acetic_acid_percent;
    (0.0..=62.9)
        .contains(&acid)
        .then(|| ANHYDROGLUCOSE * acid / (ACETIC_ACID_PERCENT - ACETYL_GAIN * acid))
}

/// Returns the degree of substitution of a cellulose acetate from its acetyl content in percent.
///
/// The acetyl group weighs 43 g/mol and adds 42 to the unit. `None` outside 0 to 45.1 %.
#[must_use]
pub fn degree_of_substitution_from_acetyl(acetyl_percent: f64) -> Option<f64> {
    (0.0..=45.1).contains(&acetyl_percent).then(|| 3.86 * acetyl_percent / (102.4 - acetyl_percent))
}

/// Returns the degree of substitution of a cellulose nitrate from its nitrogen content in percent.
///
/// `None` outside 0 to 14.2 % (the trinitrate holds 14.14 %).
#[must_use]
pub fn degree_of_substitution_from_nitrogen(nitrogen_percent: f64) -> Option<f64> {
    (0.0..=14.2)
        .contains(&nitrogen_percent)
        .then(|| 3.60 * nitrogen_percent / (31.13 - nitrogen_percent))
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    #[test]
    fn follows_the_published_table_of_cellulose_acetates() {
        // Nunes et al. 2020, Heritage Science 8:33, Table 1: combined acetic acid and degree.
        for (acid, degree) in [(52.1, 2.2), (54.3, 2.3), (60.7, 2.9), (62.85, 3.0)] {
            let found = degree_of_substitution_from_acetic_acid(acid).expect("in range");
            assert_abs_diff_eq!(found, degree, epsilon = 0.07);
        }
        assert_abs_diff_eq!(
            degree_of_substitution_from_acetic_acid(52.1).expect("in range"),
            162.0 * 52.1 / (6005.0 - 42.0 * 52.1),
            epsilon = 1e-12
        );
    }

    #[test]
    fn follows_the_published_table_of_cellulose_nitrates() {
        // Nunes et al. 2020, Heritage Science 8:33, Table 1.
        for (nitrogen, degree) in [(12.0, 2.26), (11.2, 2.02), (13.5, 2.76)] {
            let found = degree_of_substitution_from_nitrogen(nitrogen).expect("in range");
            assert_abs_diff_eq!(found, degree, epsilon = 0.01);
        }
    }

    #[test]
    fn knows_acetyl_from_acetic_acid() {
        // The triacetate holds 44.8 % acetyl and 62.5 % combined acetic acid: molar masses.
        let acetyl = degree_of_substitution_from_acetyl(44.8).expect("in range");
        let acid = degree_of_substitution_from_acetic_acid(62.5).expect("in range");
        assert_abs_diff_eq!(acetyl, 3.0, epsilon = 0.02);
        assert_abs_diff_eq!(acid, 3.0, epsilon = 0.02);
        assert_eq!(degree_of_substitution_from_acetyl(62.0), None);
        assert_eq!(degree_of_substitution_from_acetic_acid(-1.0), None);
        assert_eq!(degree_of_substitution_from_nitrogen(f64::NAN), None);
    }
}
