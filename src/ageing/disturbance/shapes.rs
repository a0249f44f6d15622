//! What disturbs one face, as spectra of height 1: water vapour, a film of water, skin grease.

use crate::fitness::WATER_LINES;
use crate::tables::Stretch;

/// Liquid water: wavelength in µm and absorption index (Hale & Querry 1973, Applied Optics 12:555,
/// recalled, from memory).
const WATER_K: [(f64, f64); 49] = [
    (2.60, 0.0032),
    (2.65, 0.0067),
    (2.70, 0.019),
    (2.75, 0.059),
    (2.80, 0.115),
    (2.85, 0.185),
    (2.90, 0.268),
    (2.95, 0.298),
    (3.00, 0.272),
    (3.05, 0.240),
    (3.10, 0.192),
    (3.15, 0.135),
    (3.20, 0.0924),
    (3.25, 0.061),
    (3.30, 0.0368),
    (3.35, 0.0261),
    (3.40, 0.0195),
    (3.45, 0.0132),
    (3.50, 0.0094),
    (3.60, 0.0052),
    (3.80, 0.0034),
    (4.00, 0.0046),
    (4.40, 0.0103),
    (4.80, 0.0157),
    (5.00, 0.0124),
    (5.40, 0.0098),
    (5.60, 0.0142),
    (5.70, 0.0203),
    (5.80, 0.0330),
    (5.90, 0.0622),
    (6.00, 0.107),
    (6.10, 0.131),
    (6.20, 0.088),
    (6.30, 0.057),
    (6.40, 0.0449),
    (6.50, 0.0392),
    (6.60, 0.0356),
    (6.80, 0.0327),
    (7.00, 0.0320),
    (8.00, 0.0343),
    (9.00, 0.0399),
    (10.0, 0.0508),
    (10.5, 0.0662),
    (11.0, 0.0968),
    (11.5, 0.142),
    (12.0, 0.199),
    (13.0, 0.305),
    (14.0, 0.370),
    (16.0, 0.427),
];

/// Lines of water vapour as an instrument of one line width shows them.
#[derive(Default)]
pub struct Vapour {
    /// All lines; the highest point has height 1.
    pub values: Vec<f64>,
    width_cm1: f64,
    highest: f64,
}

impl Vapour {
    /// Folds the lines with a Gauss profile of this full width.
    pub fn new(axis: &[f64], width_cm1: f64) -> Self {
        let mut values = vec![0.0; axis.len()];
        for line in WATER_LINES {
            add_line(&mut values, axis, line, width_cm1);
        }
        let highest = values.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
        values.iter_mut().for_each(|v| *v /= highest);
        Self { values, width_cm1, highest }
    }

    /// Returns each line on its own that reaches one of the stretches, on the scale of them all.
    pub fn lines<'a>(
        &'a self,
        axis: &'a [f64],
        within: &'a [(f64, f64)],
    ) -> impl Iterator<Item = Vec<f64>> + 'a {
        let reach = REACH_IN_WIDTHS * self.width_cm1;
        WATER_LINES
            .iter()
            .filter(move |l| within.iter().any(|w| l.0 > w.0 - reach && l.0 < w.1 + reach))
            .map(move |&(place, strength)| {
                let mut values = vec![0.0; axis.len()];
                add_line(&mut values, axis, (place, strength / self.highest), self.width_cm1);
                values
            })
    }
}

/// A Gauss profile is nothing from so many full widths on.
const REACH_IN_WIDTHS: f64 = 2.0;

fn add_line(values: &mut [f64], axis: &[f64], (place, strength): (f64, f64), width_cm1: f64) {
    let reach = REACH_IN_WIDTHS * width_cm1;
    let from = axis.partition_point(|v| *v < place - reach);
    for (value, v) in values.iter_mut().zip(axis).skip(from) {
        if *v > place + reach {
            break;
        }
        *value += strength * bell(*v, place, width_cm1);
    }
}

/// Returns bands as a spectrum.
pub fn bands(axis: &[f64], bands: &[Stretch]) -> Vec<f64> {
    let bands: Vec<(f64, f64, f64)> = bands.iter().map(Stretch::as_band).collect();
    axis.iter().map(|v| bands.iter().map(|b| b.2 * bell(*v, b.0, b.1)).sum()).collect()
}

/// Parts of the spectrum of liquid water; each on its own, for how deep each is seen depends on how
/// thick the film is. All have the scale of the absorption index.
pub struct Water {
    /// O–H stretch.
    pub stretch: Vec<f64>,
    /// Bend at 1640 cm⁻¹ above its feet.
    pub bend: Vec<f64>,
    /// Libration.
    pub libration: Vec<f64>,
}

/// Returns the spectrum of liquid water in parts.
pub fn water(axis: &[f64], of: &crate::tables::Water) -> Water {
    let (bend_from, bend_to) = of.film_bend.cm1;
    // The libration has no lower end.
    let (_, libration_to) = of.film_libration.cm1;
    let (foot, other) = (water_k(bend_from), water_k(bend_to));
    let within = |(low, high): (f64, f64), v: f64| (low..=high).contains(&v);
    let part = |range: (f64, f64), base: &dyn Fn(f64) -> f64| -> Vec<f64> {
        axis.iter()
            .map(|v| if within(range, *v) { (water_k(*v) - base(*v)).max(0.0) } else { 0.0 })
            .collect()
    };
    Water {
        stretch: part(of.film_stretch.cm1, &|_| 0.0),
        bend: part(of.film_bend.cm1, &|v| {
            foot + (other - foot) * (v - bend_from) / (bend_to - bend_from)
        }),
        libration: part((0.0, libration_to), &|_| water_k(libration_to)),
    }
}

/// Absorption index of liquid water, straight between the places of the table.
fn water_k(wavenumber_cm1: f64) -> f64 {
    let wavelength = 1.0e4 / wavenumber_cm1.max(1.0);
    let after = WATER_K.partition_point(|p| p.0 < wavelength).clamp(1, WATER_K.len() - 1);
    let (a, b) = (WATER_K[after - 1], WATER_K[after]);
    (a.1 + (b.1 - a.1) * ((wavelength - a.0) / (b.0 - a.0)).clamp(0.0, 1.0)).max(0.0)
}

fn bell(v: f64, place: f64, width: f64) -> f64 {
    (-4.0 * std::f64::consts::LN_2 * ((v - place) / width).powi(2)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_lines_of_vapour_under_a_marker_make_up_all_vapour_there_and_none_stands_elsewhere() {
        let axis: Vec<f64> = (0..2400).map(|i| 1400.0 + f64::from(i)).collect();
        let vapour = Vapour::new(&axis, 5.0);
        let (low, high) = (1690.0, 1750.0);
        let lines: Vec<Vec<f64>> = vapour.lines(&axis, &[(low, high)]).collect();
        for (i, v) in axis.iter().enumerate().filter(|(_, v)| (low..=high).contains(*v)) {
            let sum: f64 = lines.iter().map(|line| line[i]).sum();
            assert!((sum - vapour.values[i]).abs() < 1.0e-12, "{v}: {sum} {}", vapour.values[i]);
        }
        assert!((3..20).contains(&lines.len()), "{}", lines.len());
        // A line reaches two widths: its top stands no farther off than that.
        let near = low - 10.0..=high + 10.0;
        for line in &lines {
            let top = (0..axis.len()).max_by(|a, b| line[*a].total_cmp(&line[*b])).expect("a top");
            assert!(near.contains(&axis[top]), "{}", axis[top]);
        }
    }
}
