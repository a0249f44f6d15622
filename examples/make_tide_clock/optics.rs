//! One reflection at the base of an ATR crystal, with thin layers between crystal and sample.

use rustfft::num_complex::Complex64;

/// A thin layer: its dielectric function at one wavenumber, and its thickness in micrometres.
pub struct Layer {
    pub permittivity: Complex64,
    pub thickness_um: f64,
}

/// Index of diamond in the mid infrared.
const DIAMOND_INDEX: f64 = 2.4;

/// Angle of incidence in degrees.
const ANGLE_DEGREES: f64 = 45.0;

/// Returns the absorbance of one unpolarised reflection off layers on a thick sample.
///
/// Characteristic matrices of stratified media: Born & Wolf, Principles of Optics, chapter 1.6
/// (recalled, not re-read). Checked against the absorbance columns that were computed from the CC0
/// optical constants by other code.
pub fn absorbance(wavenumber_cm1: f64, layers: &[Layer], sample: Complex64) -> f64 {
    let one = Complex64::new(1.0, 0.0);
    let crystal = Complex64::new(DIAMOND_INDEX * DIAMOND_INDEX, 0.0);
    // The component of the wave vector along the surface is the same in every medium.
    let along = DIAMOND_INDEX * ANGLE_DEGREES.to_radians().sin();
    let along2 = Complex64::new(along * along, 0.0);
    let normal = |permittivity: Complex64| {
        let root = (permittivity - along2).sqrt();
        // The wave must die away from the crystal.
        if root.im < 0.0 { -root } else { root }
    };
    let reflectance = |p_polarised: bool| {
        let admittance = |permittivity: Complex64| {
            if p_polarised { permittivity / normal(permittivity) } else { normal(permittivity) }
        };
        let mut electric = one;
        let mut magnetic = admittance(sample);
        for layer in layers.iter().rev() {
            let wave_number_um = std::f64::consts::TAU * wavenumber_cm1 * 1e-4;
            let phase = normal(layer.permittivity) * wave_number_um * layer.thickness_um;
            let (cosine, sine) = (phase.cos(), phase.sin());
            let y = admittance(layer.permittivity);
            let i = Complex64::new(0.0, 1.0);
            let next = electric * cosine - i * magnetic * sine / y;
            magnetic = magnetic * cosine - i * y * electric * sine;
            electric = next;
        }
        let y0 = admittance(crystal);
        ((y0 * electric - magnetic) / (y0 * electric + magnetic)).norm_sqr()
    };
    -(f64::midpoint(reflectance(false), reflectance(true))).log10()
}
