//! Stretches of the axis that the measurement owns, whatever the material: the air, the element, and where
//! hardly any plastic absorbs. The only home of their limits; `tests/suite/zones.rs` holds that.

/// The lowest and the highest wavenumber of a stretch in cm⁻¹, both part of it.
pub(crate) type Zone = (f64, f64);

/// Returns whether a wavenumber stands in a zone.
pub(crate) fn is_in((low_cm1, high_cm1): Zone, wavenumber_cm1: f64) -> bool {
    (low_cm1..=high_cm1).contains(&wavenumber_cm1)
}

/// Carbon dioxide's stretch with its noise: no band of a sample is looked for here (common practice; a public
/// laboratory's note saw the noise from 2250, which leaves a nitrile stretch no room).
pub(crate) const CARBON_DIOXIDE_CM1: Zone = (2280.0, 2400.0);

/// How much carbon dioxide there is: where its two branches are highest (2336 and 2362 at 4 to 8 cm⁻¹, computed
/// from HITRAN2020), and where the line under them rests, which is where their wings have all but ended (common
/// practice, no source).
pub(crate) const CARBON_DIOXIDE_HEIGHT_CM1: [Zone; 3] =
    [(2320.0, 2375.0), (2270.0, 2285.0), (2395.0, 2410.0)];

/// Where water vapour is told by its lines: the bend's and the stretch's strong ones (HITRAN2020), without those
/// that stand among the strongest bands of plastics.
pub(crate) const VAPOUR_LINES_CM1: [Zone; 2] = [(1500.0, 1880.0), (3620.0, 3865.0)];

/// Where lines of water vapour of the bend stand among the bands of plastics (HITRAN2020).
pub(crate) const VAPOUR_CM1: Zone = (1350.0, 1900.0);

/// Below this stand most bands that tell one material from another (common practice, no source).
pub(crate) const FINGERPRINT_BELOW_CM1: f64 = 1250.0;

/// Where two phonons of a diamond element leave too little light for a weak band. At its end it is free
/// enough for a nitrile stretch at 2237 (bands of diamond near 2150, 2020 and 1975: Socrates 2001, recalled).
pub(crate) const TWO_PHONONS_CM1: Zone = (1870.0, 2190.0);

/// Between C=O and C–H, with diamond and carbon dioxide in it: few bands, and those unsure. Curves are compared
/// on either side (common practice, no source).
pub(crate) const FEW_BANDS_CM1: Zone = (1850.0, 2700.0);

/// Where curvature tells absorbance from transmittance: away from detector ends, carbon dioxide and the worst of
/// diamond, and nearer to them than curves are compared, for the sides of C=O and C–H decide. The low end keeps
/// the sharp aromatic band near 700 whole: half of it would point the wrong way (common practice, no source).
pub(crate) const CURVATURE_CM1: [Zone; 2] = [(660.0, 1900.0), (2600.0, 3700.0)];

/// Where plastics hardly absorb, best first, for the noise and its degrees of freedom: short enough for a cubic,
/// without nitrile and carbon dioxide (2450–2600: Griffiths & de Haseth, recalled; the rest common practice, no source).
pub(crate) const QUIET_CM1: [Zone; 3] = [(2450.0, 2600.0), (2000.0, 2200.0), (1850.0, 2000.0)];

/// The same for the level that bands stand on, which needs stretches of the whole axis; one band in one of them
/// does not move their median.
pub(crate) const LEVEL_CM1: [Zone; 5] =
    [QUIET_CM1[0], QUIET_CM1[1], QUIET_CM1[2], (2600.0, 2700.0), (3750.0, 3950.0)];

/// The same for the scatter of a second derivative, a median that needs many points and that a nitrile's few do
/// not move.
pub(crate) const SCATTER_CM1: [Zone; 2] = [(1850.0, 2250.0), (2450.0, 2700.0)];

/// The same for fringes, which are long: as wide as a nitrile, carbon dioxide with its wings and the bands above
/// allow.
pub(crate) const FRINGES_CM1: [Zone; 3] = [(1850.0, 2205.0), (2410.0, 2740.0), (3700.0, 3980.0)];
