//! Where the C–Cl stretches of poly(vinyl chloride) stand, and what a material has there by itself.

use crate::tables::{Band, BandWidth, Place, SHAPE_POINTS, Shape, Tables, shape_wavenumber_cm1};

/// How far a band reaches beyond its window, by its width as the table has it: a full width at half height, at
/// which a Lorentzian has fallen to a fifth (common practice, no source).
const fn reach_cm1(width: BandWidth) -> f64 {
    match width {
        BandWidth::Sharp => 8.0,
        BandWidth::Medium => 15.0,
        BandWidth::Broad => 40.0,
    }
}

impl Place {
    /// Returns how far a curve on the grid of shapes rises here above the line between its two sides.
    pub(super) fn rise(&self, curve: &[f64]) -> Option<f64> {
        let mean = |(low, high): (f64, f64)| {
            let points = (0..SHAPE_POINTS)
                .map(shape_wavenumber_cm1)
                .zip(curve.iter().copied())
                .skip_while(|(wavenumber, _)| *wavenumber < low)
                .take_while(|(wavenumber, _)| *wavenumber <= high);
            let (sum, at, n) = points.fold((0.0, 0.0, 0.0), |(sum, at, n), (wavenumber, value)| {
                (sum + value, at + wavenumber, n + 1.0)
            });
            // Where a point was not measured the sum is not a number.
            (n > 0.0 && f64::is_finite(sum)).then(|| (at / n, sum / n))
        };
        let ((from, low), (at, top), (until, high)) =
            (mean(self.below_cm1)?, mean(self.at_cm1)?, mean(self.above_cm1)?);
        Some(top - low - (high - low) * (at - from) / (until - from))
    }

    /// Returns the least and the most that a material by itself rises here: as its measured shapes do, give or take
    /// what its spectra stray, and where none reaches down to here nothing, unless the table has a band of it nearby.
    /// Without one on either side nothing pulls it below the line between them (47 cellulose acetates, of which no
    /// shape reaches down, rise by −0.001 to 0.017 near 690: own reading).
    pub(super) fn own(&self, tables: &Tables, transmission: bool, id: &str) -> Option<(f64, f64)> {
        let of = |shape: &&Shape| shape.materials.iter().any(|material| material == id);
        let range = tables
            .shapes()
            .iter()
            .filter(of)
            .filter_map(|shape| self.rise(&shape.absorbances))
            .map(|rise| (rise - self.spread, rise + self.spread))
            .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
        let disturbs = |band: &Band| {
            let window = if transmission { &band.transmission } else { &band.atr };
            let reach = reach_cm1(band.width);
            // A band wider than all three raises the sides as well, and never hides a rise.
            let is_wider =
                window.low_cm1 <= self.below_cm1.0 && window.high_cm1 >= self.above_cm1.1;
            let reaches = |(low, high): &(f64, f64)| {
                window.high_cm1 + reach >= *low && window.low_cm1 - reach <= *high
            };
            !is_wider && [self.below_cm1, self.at_cm1, self.above_cm1].iter().any(reaches)
        };
        range.or_else(|| (!tables.bands_of(id).iter().any(disturbs)).then_some((0.0, self.spread)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places() -> &'static [Place] {
        Tables::built_in().places()
    }

    fn curve(height: impl Fn(f64) -> f64) -> Vec<f64> {
        (0..SHAPE_POINTS).map(|point| height(shape_wavenumber_cm1(point))).collect()
    }

    #[test]
    fn a_sloping_level_is_no_rise_and_a_band_is_read_above_it() {
        let level = places()[0].rise(&curve(|v| 0.4 - 2.0e-4 * v)).expect("measured");
        assert!(level.abs() < 1.0e-12, "{level}");
        let band = |v: f64| 0.3 * (-((v - 613.0) / 15.0).powi(2)).exp();
        let rise = places()[0].rise(&curve(|v| 0.4 - 2.0e-4 * v + band(v))).expect("measured");
        // Means over 608, 612 and 616 against those of the sides, by hand.
        let by_hand = [608.0, 612.0, 616.0].map(band).iter().sum::<f64>() / 3.0
            - band(576.0) * (1.0 - (612.0 - 576.0) / (660.0 - 576.0));
        assert!((rise - by_hand).abs() < 2.0e-3, "{rise} {by_hand}");
    }

    #[test]
    fn a_stretch_with_a_gap_is_not_read() {
        assert_eq!(places()[0].rise(&curve(|v| if v == 612.0 { f64::NAN } else { 0.1 })), None);
        assert_eq!(places()[0].rise(&curve(|v| if v < 574.0 { f64::NAN } else { 0.1 })), None);
    }

    #[test]
    fn what_a_material_has_there_is_read_off_its_shape_or_known_to_be_nothing() {
        let own = |place: usize, id: &str| places()[place].own(Tables::built_in(), false, id);
        // Its shape sags between the flanks of the amide V band at 687 cm⁻¹.
        assert!(own(0, "PA6").expect("a shape").1 < -0.1);
        // Several shapes: from the lowest to the highest, and what spectra stray beside.
        let (least, most) = own(0, "PET").expect("shapes");
        assert!(most - least > 2.0 * places()[0].spread + 0.005, "{least} {most}");
        // No shape reaches down to it: its acetate band at 602 lies there, and nothing near 690.
        assert_eq!([own(0, "CA"), own(1, "CA"), own(2, "CA")], [None, None, Some((0.0, 0.018))]);
        // Talc at 669 lifts the upper side.
        assert_eq!(own(0, "talc"), None);
        // Titania, from 500 to 800, lifts the sides as much as what is between.
        assert_eq!([own(0, "titania"), own(1, "titania")], [Some((0.0, 0.02)), Some((0.0, 0.012))]);
    }
}
