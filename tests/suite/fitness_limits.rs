//! The figure of each fitness finding against a closed form, and its severity just below and just above the limit
//! that the finding states.
//!
//! Bands are Gaussians, which have no feet, or Lorentz bands where a closed form needs them. The noise is one
//! absorbance up and one down in turn, of which every statistic is known: its fourth differences are 16 of them,
//! and the lower quartile of the size of a normal deviate is 0.3186 (printed tables), so that it is read as
//! 16 / (0.3186 · √70) = 6.0 standard deviations.

use bandlore::{
    Spectrum,
    fitness::{
        FilmCheck, Finding, Fitness, Fringes, NoiseProfile, ScaleFault, Severity, bad_points,
        check_film, examine, examine_fully, subtract_vapour,
    },
    spectrum::{MeasurementMode, Ordinate, Origin, PointFlag, SpectrumParts},
};

use crate::disturbances::LINES;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

const TURNS_TO_SD: f64 = 6.0015;

/// Points 2 cm⁻¹ apart from 400 to 4000.
fn axis() -> Vec<f64> {
    (0..1801).map(|i| 400.0 + 2.0 * f64::from(i)).collect()
}

fn gauss(x: f64, centre: f64, height: f64, fwhm: f64) -> f64 {
    height * (-4.0 * std::f64::consts::LN_2 * ((x - centre) / fwhm).powi(2)).exp()
}

/// Height of a Gaussian as it is read: three points are taken at a time, lest a spike counts, so that it is that of the
/// higher neighbour, 2 cm⁻¹ off the top.
fn read(height: f64, fwhm: f64) -> f64 {
    gauss(2.0, 0.0, height, fwhm)
}

/// Up at even points, down at odd ones: a band between two of them stands where a point is down.
fn turns(x: f64) -> f64 {
    if ((x / 2.0).round() as i64) % 2 == 0 { 1.0 } else { -1.0 }
}

/// White noise of one standard deviation, always the same.
fn white() -> impl FnMut() -> f64 {
    let mut random = ChaCha8Rng::seed_from_u64(1_201);
    move || (0..12).map(|_| random.random_range(0.0..1.0)).sum::<f64>() - 6.0
}

fn built(value: impl Fn(f64) -> f64) -> Spectrum {
    parts(value, |_| {})
}

fn parts(value: impl Fn(f64) -> f64, change: impl FnOnce(&mut SpectrumParts)) -> Spectrum {
    let axis = axis();
    let values = axis.iter().map(|x| value(*x)).collect();
    let mut parts = SpectrumParts::new(axis, values);
    change(&mut parts);
    Spectrum::new(parts).expect("valid")
}

fn of<'a>(fitness: &'a Fitness, id: &str) -> &'a Finding {
    fitness.finding(id).unwrap_or_else(|| panic!("no {id} in {:#?}", fitness.findings()))
}

/// Asserts a figure within a share of what is expected, the limit that is stated, and the severity.
fn assert_finding(finding: &Finding, value: f64, share: f64, limit: f64, severity: Severity) {
    let found = finding.value.expect("a figure");
    assert!(
        (found - value).abs() <= share * value.abs() + 1.0e-12,
        "{value} expected: {finding:?}"
    );
    assert_eq!(finding.limit, Some(limit), "{finding:?}");
    assert_eq!(finding.severity, severity, "{value}: {finding:?}");
}

#[test]
fn signal_to_noise_is_the_height_over_the_noise() {
    let height = 0.3;
    for (ratio, limit, severity) in [
        (9.8, 10.0, Severity::Unfit),
        (10.2, 30.0, Severity::Limits),
        (29.4, 30.0, Severity::Limits),
        (30.6, 10.0, Severity::Note),
    ] {
        let turn = height / (ratio * TURNS_TO_SD);
        let fitness = examine(&built(|x| gauss(x, 1730.0, height, 120.0) + turn * turns(x)));
        assert_finding(of(&fitness, "signal-to-noise"), ratio, 0.01, limit, severity);
        let (strongest, at) = fitness.strongest();
        assert!((strongest / height - 1.0).abs() < 0.005 && (at - 1730.0).abs() < 2.1);
        for x in [450.0, 1000.0, 2500.0, 3900.0] {
            let noise = fitness.noise_sd_at(x) / (turn * TURNS_TO_SD);
            assert!((noise - 1.0).abs() < 0.002, "{x}: {noise}");
        }
        let typical = fitness.noise().typical() / (turn * TURNS_TO_SD);
        assert!((typical - 1.0).abs() < 0.002, "{typical}");
        // Turns at every point are as fast as noise can be.
        assert_eq!(fitness.noise().slow_over_fast(), 1.0);
    }
}

#[test]
fn poor_contact_is_a_strongest_band_below_a_hundredth() {
    let quiet = |height: f64, noise_sd: f64, gas: f64| {
        let turn = noise_sd / TURNS_TO_SD;
        examine(&built(|x| {
            gauss(x, 1730.0, height, 120.0) + gauss(x, 2350.0, gas, 20.0) + turn * turns(x)
        }))
    };
    assert!(quiet(0.0101, 1.0e-5, 0.0).finding("poor-contact").is_none());
    let case = |height: f64, noise_sd: f64, gas: f64, severity| {
        let fitness = quiet(height, noise_sd, gas);
        // The lower hull sinks to carbon dioxide that points down, 1330 of 1950 cm⁻¹ along from the end.
        let strongest = height - gas.min(0.0) * 1330.0 / 1950.0;
        assert_finding(of(&fitness, "poor-contact"), strongest, 0.01, 0.010, severity);
    };
    case(0.0099, 1.0e-5, 0.0, Severity::Limits);
    // Sixty times the noise, or the sample hardly touched; and no more than 0.15 of carbon dioxide.
    case(0.006, 0.006 / 61.0, 0.0, Severity::Limits);
    case(0.006, 0.006 / 59.0, 0.0, Severity::Unfit);
    case(0.009, 1.0e-5, 0.145 * 0.009, Severity::Limits);
    case(0.009, 1.0e-5, 0.155 * 0.009, Severity::Unfit);
    // Downwards as well: 0.15 of what stands above the hull, 0.008 / (1 − 0.15 · 1330 / 1950).
    case(0.008, 1.0e-5, -0.145 * 0.00891, Severity::Limits);
    case(0.008, 1.0e-5, -0.155 * 0.00891, Severity::Unfit);
    // Where heights were scaled, or light went through, weak is no contact.
    for change in [
        (|parts| parts.ordinate = (Ordinate::RelativeAbsorbance, Origin::User))
            as fn(&mut SpectrumParts),
        |parts| parts.mode = (MeasurementMode::Transmission, Origin::User),
    ] {
        let weak = parts(|x| gauss(x, 1730.0, 0.005, 120.0), change);
        assert!(examine(&weak).finding("poor-contact").is_none());
    }
}

#[test]
fn the_share_that_noise_drowns_is_the_share_of_its_points() {
    let drowned = |below: f64| {
        let turn = |x: f64| if x < below { 0.1 } else { 1.0e-4 };
        examine(&built(|x| gauss(x, 1730.0, 0.3, 120.0) + turn(x) * turns(x)))
    };
    assert!(drowned(0.0).finding("noisy-range").is_none());
    for below in [656.0, 1040.0] {
        let fitness = drowned(below);
        let finding = of(&fitness, "noisy-range");
        // To the window of noise, which is 32 of 1801 points.
        let share = 100.0 * (below - 400.0) / 2.0 / 1801.0;
        let found = finding.value.expect("a share");
        assert!((found - share).abs() < 100.0 * 32.0 / 1801.0, "{share}: {finding:?}");
        assert_eq!((finding.limit, finding.severity), (Some(2.0), Severity::Limits));
        assert!(!fitness.usable(below - 100.0, below - 50.0));
        assert!(fitness.usable(below + 100.0, 4000.5) && !fitness.usable(below + 100.0, 4001.5));
        let stretches = fitness.usable_cm1();
        assert!(stretches.len() == 1 && stretches[0].1 == 4001.0, "{stretches:?}");
    }
}

#[test]
fn offset_and_slope_are_told_from_three_times_the_strongest_band() {
    let limit = |finding: &Finding| finding.limit.expect("a limit");
    for (times, severity) in [(2.95, Severity::Note), (3.05, Severity::Limits)] {
        for sign in [1.0, -1.0] {
            let level = sign * times * read(0.2, 60.0);
            let fitness = examine(&built(|x| level + gauss(x, 1730.0, 0.2, 60.0)));
            let offset = of(&fitness, "offset");
            assert_finding(offset, level, 1.0e-6, limit(offset), severity);
            assert!((limit(offset) - 3.0 * read(0.2, 60.0)).abs() < 1.0e-6, "{offset:?}");
            assert_finding(of(&fitness, "slope"), 0.0, 0.0, limit(offset), Severity::Note);
            let fitness =
                examine(&built(|x| level * (x - 400.0) / 3600.0 + gauss(x, 1730.0, 0.2, 60.0)));
            let slope = of(&fitness, "slope");
            assert_finding(slope, level.abs(), 1.0e-6, limit(slope), severity);
        }
    }
    // A tenth of the points lie below the offset: of a straight rise from 0 to 1, a tenth.
    let fitness = examine(&built(|x| (x - 400.0) / 3600.0 + gauss(x, 3000.0, 0.2, 60.0)));
    let offset = of(&fitness, "offset");
    assert_finding(offset, 0.1, 1.0e-3, limit(offset), Severity::Note);
}

/// Position and height of Lorentz bands 16 cm⁻¹ wide that are turned through a phase: cos φ of the band and
/// sin φ of its Hilbert transform.
const TURNED: [(f64, f64); 7] = [
    (760.0, 0.3),
    (910.0, 0.15),
    (1060.0, 0.4),
    (1230.0, 0.25),
    (1450.0, 0.2),
    (1700.0, 0.35),
    (2950.0, 0.15),
];

fn turned(phase_deg: f64) -> Fitness {
    let (sine, cosine) = phase_deg.to_radians().sin_cos();
    examine(&built(|x| {
        let band = |(centre, height): &(f64, f64)| {
            let u = (x - centre) / 8.0;
            height * (cosine + sine * u) / (1.0 + u * u)
        };
        TURNED.iter().map(band).sum()
    }))
}

#[test]
fn bands_turned_through_a_phase_are_read_at_that_phase() {
    let limits = [
        (0.0, "band-shape", 48.0, Severity::Note),
        (30.0, "band-shape", 48.0, Severity::Note),
        (43.0, "band-shape", 48.0, Severity::Note),
        (53.0, "reflection-shape", 48.0, Severity::Limits),
        (71.0, "reflection-shape", 48.0, Severity::Limits),
        (80.0, "reflection-shape", 48.0, Severity::Unfit),
        (90.0, "reflection-shape", 48.0, Severity::Unfit),
        (138.0, "inverted", 132.0, Severity::Unfit),
        (180.0, "inverted", 132.0, Severity::Unfit),
    ];
    for (phase, id, limit, severity) in limits {
        for sign in [1.0, -1.0] {
            let fitness = turned(sign * phase);
            let finding = of(&fitness, id);
            // Phases are tried at steps of 3°.
            let found = finding.value.expect("a phase");
            assert!((found - phase).abs() <= 3.0, "{phase}: {finding:?}");
            assert_eq!((finding.limit, finding.severity), (Some(limit), severity), "{phase}");
        }
    }
}

#[test]
fn saturated_padded_and_scaled_points_are_counted() {
    let band = |x: f64| gauss(x, 1730.0, 0.3, 60.0);
    let flagged = |flag: PointFlag, count: usize| {
        examine(&parts(band, |parts| {
            parts.flags = vec![PointFlag::Measured; 1801];
            parts.flags[..count].fill(flag);
        }))
    };
    for count in [1, 180] {
        let share = 100.0 * count as f64 / 1801.0;
        let fitness = flagged(PointFlag::Saturated, count);
        assert_finding(of(&fitness, "saturated"), share, 1.0e-9, 0.0, Severity::Limits);
        let fitness = flagged(PointFlag::Padded, count);
        let padding = of(&fitness, "padding");
        assert!(
            (padding.value.expect("a share") - share).abs() < 1.0e-9 && padding.limit.is_none()
        );
        assert_eq!(padding.severity, Severity::Note);
    }
    assert!(flagged(PointFlag::Saturated, 0).finding("saturated").is_none());
    assert!(flagged(PointFlag::Padded, 0).finding("padding").is_none());
    for (scale, level, scaled) in
        [(1.0, 0.0, true), (100.0, 0.0, true), (0.99, 0.0, false), (0.9, 0.1, false)]
    {
        let fitness = examine(&built(|x| level + gauss(x, 1730.0, scale, 60.0)));
        assert_eq!(fitness.finding("normalised").is_some(), scaled, "{scale} on {level}");
    }
}

/// A roof that falls by a hundredth of its height over a distance on either side, and beyond at one height over 100 cm⁻¹:
/// near its top it is p + 1 wide and down its side p + 29, in cm⁻¹.
fn roof(x: f64, height: f64, flat_cm1: f64) -> f64 {
    let away = (x - 1500.0).abs();
    let down =
        if away < flat_cm1 { 0.01 * away / flat_cm1 } else { 0.01 + (away - flat_cm1) / 100.0 };
    height * (1.0 - down).max(0.0)
}

#[test]
fn flatness_is_the_width_near_the_top_over_that_down_the_side() {
    let flat = |flatness: f64, height: f64| {
        let flat_cm1 = (29.0 * flatness - 1.0) / (1.0 - flatness);
        examine(&built(|x| roof(x, height, flat_cm1)))
    };
    for flatness in [0.41, 0.48, 0.60] {
        let fitness = flat(flatness, 1.2);
        assert_finding(of(&fitness, "flattened"), flatness, 0.01, 0.40, Severity::Limits);
        // Stray light has bent what lies above three quarters of the top.
        assert!((fitness.ceiling().expect("a ceiling") - 0.9).abs() < 1.0e-6);
    }
    assert!(flat(0.39, 1.2).finding("flattened").is_none());
    // Below one absorbance no stray light bends a top.
    assert!(flat(0.60, 0.99).finding("flattened").is_none());
    assert!(flat(0.60, 1.01).finding("flattened").is_some());
}

#[test]
fn three_tops_at_one_height_are_a_ceiling() {
    let tops = |places: &[(f64, f64)]| {
        examine(&built(|x| places.iter().map(|(at, height)| gauss(x, *at, *height, 40.0)).sum()))
    };
    let three = tops(&[(700.0, 1.3), (1100.0, 1.29), (1500.0, 1.28)]);
    assert_finding(of(&three, "flattened"), 3.0, 0.0, 3.0, Severity::Limits);
    assert!(tops(&[(700.0, 1.3), (1100.0, 1.29)]).finding("flattened").is_none());
    // Within two hundredths of the strongest: 1.274 of 1.3.
    assert!(tops(&[(700.0, 1.3), (1100.0, 1.29), (1500.0, 1.270)]).finding("flattened").is_none());
    // Two tops of one band are one: between them the band must sink by six hundredths.
    let pair = |apart: f64| tops(&[(700.0, 1.0), (700.0 + apart, 1.0), (1500.0, 1.0)]);
    assert!(pair(200.0).finding("flattened").is_some());
}

#[test]
fn strong_bands_of_a_film_are_told_from_one_and_a_half() {
    let film = |height: f64, mode| {
        examine(&parts(
            |x| gauss(x, 1730.0, height, 60.0),
            |parts| parts.mode = (mode, Origin::User),
        ))
    };
    let through = MeasurementMode::Transmission;
    assert!(film(1.504, through).finding("strong-absorbance").is_none());
    let strong = film(1.51, through);
    assert_finding(
        of(&strong, "strong-absorbance"),
        read(1.51, 60.0),
        1.0e-6,
        1.5,
        Severity::Limits,
    );
    assert!(film(1.51, MeasurementMode::Atr).finding("strong-absorbance").is_none());
}

#[test]
fn a_cut_top_is_as_many_points_as_the_band_has_above_the_cut() {
    // A Gaussian is above a share s of its height over its width times √(log₂ 1/s).
    for (share, width) in [(0.9, 60.0), (0.5, 60.0), (0.8, 24.0)] {
        let cut = share * 0.4;
        let fitness = examine(&built(|x| gauss(x, 1730.0, 0.4, width).min(cut)));
        let reach = width * (1.0_f64 / share).log2().sqrt() / 2.0;
        let points = 2.0 * (reach / 2.0).floor() + 1.0;
        assert_finding(of(&fitness, "clipped"), points, 0.0, 3.0, Severity::Limits);
        assert!((fitness.ceiling().expect("a ceiling") - cut).abs() < 1.0e-12);
    }
    assert!(examine(&built(|x| gauss(x, 1730.0, 0.4, 60.0))).finding("clipped").is_none());
    // A flat band less than three tenths as high as the strongest is no cut top.
    let low = |height: f64| {
        examine(&built(|x| gauss(x, 1730.0, 1.0, 60.0) + gauss(x, 1000.0, 0.5, 60.0).min(height)))
    };
    assert!(low(0.29).finding("clipped").is_none() && low(0.31).finding("clipped").is_some());
}

#[test]
fn a_coarse_ordinate_is_its_step_over_the_strongest_band() {
    let rounded =
        |step: f64| examine(&built(|x| (gauss(x, 1730.0, 0.4, 60.0) / step).round() * step));
    // The band is 0.4 high, and its higher neighbour 202 or 198 steps of these.
    assert!(rounded(0.4 / 203.0).finding("coarse-ordinate").is_none());
    let fitness = rounded(0.4 / 199.0);
    assert_finding(of(&fitness, "coarse-ordinate"), 1.0 / 198.0, 1.0e-6, 0.005, Severity::Limits);
}

#[test]
fn range_and_spacing_are_those_of_the_axis() {
    let measured = |low: f64, high: f64, step: f64| {
        let count = ((high - low) / step).round() as usize + 1;
        let axis: Vec<f64> = (0..count).map(|i| low + step * i as f64).collect();
        let mut white = white();
        let values = axis.iter().map(|x| gauss(*x, 1730.0, 0.3, 60.0) + 1.0e-3 * white()).collect();
        examine_fully(&Spectrum::new(SpectrumParts::new(axis, values)).expect("valid"))
    };
    for (low, high, severity) in [
        (700.0, 3100.0, Severity::Note),
        (702.0, 3100.0, Severity::Limits),
        (700.0, 3098.0, Severity::Limits),
    ] {
        let fitness = measured(low, high, 2.0);
        assert_finding(of(&fitness, "range"), low, 0.0, 700.0, severity);
    }
    for (step, severity) in [(5.4, Severity::Note), (5.6, Severity::Limits)] {
        assert_finding(of(&measured(400.0, 4000.0, step), "spacing"), step, 1.0e-9, 5.5, severity);
    }
    // Two points to a wave: the finest that the points can show.
    let fitness = measured(400.0, 4000.0, 4.0);
    assert_finding(of(&fitness, "resolution"), 8.0, 1.0e-9, 11.0, Severity::Note);
    assert_finding(
        of(&measured(400.0, 4000.0, 5.6), "resolution"),
        11.2,
        1.0e-9,
        11.0,
        Severity::Limits,
    );
}

#[test]
fn a_stated_resolution_is_held_to_eleven_wavenumbers() {
    for (stated, value, severity) in [
        ("10.9", 10.9, Severity::Note),
        ("11,1 cm-1", 11.1, Severity::Limits),
        ("128", 128.0, Severity::Limits),
        // No plausible figure: the spacing says what there is at best.
        ("129", 4.0, Severity::Note),
        ("0.009", 4.0, Severity::Note),
        ("high", 4.0, Severity::Note),
    ] {
        let fitness = examine_fully(&parts(
            |x| gauss(x, 1730.0, 0.3, 60.0),
            |parts| {
                let mut white = white();
                parts.absorbances.iter_mut().for_each(|a| *a += 1.0e-3 * white());
                parts.provenance.stated_resolution = Some(stated.to_owned());
            },
        ));
        assert_finding(of(&fitness, "resolution"), value, 1.0e-9, 11.0, severity);
    }
}

/// The lines as an instrument of 4 cm⁻¹ shows them, 5 cm⁻¹ wide, unscaled.
fn lines_at(x: f64) -> f64 {
    LINES.iter().map(|(at, strength)| strength / (1.0 + ((x - at) / 2.5).powi(2))).sum()
}

#[test]
fn water_vapour_is_the_highest_line_over_the_strongest_band() {
    let highest = |low: f64, high: f64| {
        (0..)
            .map(|i| low + 0.5 * f64::from(i))
            .take_while(|x| *x <= high)
            .map(lines_at)
            .fold(0.0, f64::max)
    };
    // Each region is told by its own highest place; the lines fit one as well as the other.
    let (bend, stretch) = (highest(1460.0, 1920.0), highest(3580.0, 3905.0));
    let tallest = 0.4 * bend.max(stretch);
    for (share, severity) in [(0.028, Severity::Note), (0.032, Severity::Limits)] {
        for sign in [1.0, -1.0] {
            let size = sign * share * 0.4 * 0.4 / tallest;
            let fitness = examine(&built(|x| {
                gauss(x, 1100.0, 0.4, 40.0) + size * lines_at(x) + 1.0e-6 * turns(x)
            }));
            let finding = of(&fitness, "water-vapour");
            assert_finding(finding, share, 0.03, 0.03, severity);
            let told = finding.consequence.contains("downwards");
            assert_eq!(told, sign < 0.0 && severity == Severity::Limits, "{finding:?}");
        }
    }
    let dry = examine(&built(|x| gauss(x, 1100.0, 0.4, 40.0) + 1.0e-4 * turns(x)));
    assert_finding(of(&dry, "water-vapour"), 0.0, 0.0, 0.03, Severity::Note);
}

#[test]
fn carbon_dioxide_is_its_height_above_what_lies_beside_it() {
    for (share, severity) in [(0.098, Severity::Note), (0.102, Severity::Limits)] {
        // Downwards, the lower hull sinks to it, 700 of 1950 cm⁻¹ along under the strongest band.
        let down = share * read(0.4, 40.0) / (1.0 - share * 700.0 / 1950.0);
        for (size, level) in [(share * read(0.4, 40.0), 0.0), (-down, 0.2)] {
            let fitness = examine(&built(|x| {
                level + gauss(x, 1100.0, 0.4, 40.0) + gauss(x, 2350.0, size, 20.0)
            }));
            assert_finding(of(&fitness, "carbon-dioxide"), share, 1.0e-3, 0.1, severity);
        }
    }
}

/// Where fringes are looked for.
const QUIET_CM1: [(f64, f64); 3] = [(1850.0, 2205.0), (2410.0, 2740.0), (3700.0, 3980.0)];

fn fringed(amplitude: f64, period_cm1: f64) -> Spectrum {
    let wave = |x: f64| (std::f64::consts::TAU * x / period_cm1 + 0.7).cos();
    built(|x| gauss(x, 1100.0, 0.4, 40.0) + amplitude * wave(x))
}

#[test]
fn fringes_are_their_amplitude_over_the_strongest_band() {
    for period in [45.0, 90.0, 200.0] {
        for (share, severity) in [(0.0146, Severity::Note), (0.0162, Severity::Limits)] {
            // The strongest band stands on the fringes: it is up to two amplitudes higher above the lower hull.
            let spectrum = fringed(share * 0.4, period);
            let fitness = examine_fully(&spectrum);
            let share = share * 0.4 / fitness.strongest().0;
            assert_finding(of(&fitness, "fringes"), share, 0.01, 0.015, severity);
            let found = Fringes::strongest(&spectrum).expect("measured");
            assert!((found.period_cm1 / period - 1.0).abs() < 1.0e-3, "{period}: {found:?}");
            assert!((found.amplitude / (share * fitness.strongest().0) - 1.0).abs() < 0.01);
            assert!(found.accounted > 0.99, "{found:?}");
            // d = 1 / (2 n Δν), in µm.
            let thickness = 1.0e4 / (2.0 * 1.6 * found.period_cm1);
            assert!((found.thickness_um(1.6) - thickness).abs() < 1.0e-9);
        }
    }
}

#[test]
fn fringes_stand_out_where_they_account_for_three_fifths() {
    let amplitude = 0.012_f64;
    for (accounted, severity) in [(0.58_f64, Severity::Note), (0.62, Severity::Limits)] {
        // What else there is runs twelve points to a wave, so that it is no noise; either scatters by half the square
        // of its amplitude.
        let other = amplitude * ((1.0 - accounted) / accounted).sqrt();
        let wave = |x: f64, period: f64| (std::f64::consts::TAU * x / period + 0.7).cos();
        let spectrum = built(|x| {
            gauss(x, 1100.0, 0.4, 40.0) + amplitude * wave(x, 90.0) + other * wave(x, 24.0)
        });
        let found = Fringes::strongest(&spectrum).expect("measured");
        assert!((found.accounted - accounted).abs() < 0.015, "{accounted}: {found:?}");
        assert!((found.period_cm1 - 90.0).abs() < 0.5, "{found:?}");
        assert_eq!(of(&examine_fully(&spectrum), "fringes").severity, severity, "{accounted}");
    }
}

/// Fewer than five waves between the ends of the stretches are a bent baseline.
#[test]
fn four_waves_along_the_spectrum_are_no_fringes() {
    let ends = 3980.0 - 1850.0;
    for (waves, least) in [(4.3, 5.0), (4.7, 5.0), (5.3, 5.2)] {
        let found = Fringes::strongest(&fringed(0.02, ends / waves)).expect("measured");
        assert!(ends / found.period_cm1 >= 0.99 * least, "{waves}: {found:?}");
        assert_eq!(found.accounted > 0.99, waves > 5.0, "{waves}: {found:?}");
    }
}

#[test]
fn what_is_left_of_fringes_follows_cramer_and_rao() {
    let scatter = 0.002;
    let fringes = Fringes::strongest(&fringed(0.05, 90.0)).expect("measured");
    let corrected = built(|x| scatter * turns(x));
    let inside = |x: &f64| QUIET_CM1.iter().any(|(low, high)| (*low..=*high).contains(x));
    let points: Vec<f64> = axis().into_iter().filter(inside).collect();
    let count = points.len() as f64;
    let middle = points.iter().sum::<f64>() / count;
    let spread = (points.iter().map(|x| (x - middle).powi(2)).sum::<f64>() / count).sqrt();
    for at in [613.0, 1730.0, middle] {
        // Phase and frequency of a sine, each with √(2/N) of the scatter; one point in four counts as its own.
        let away = (at - middle) / spread;
        let moved = scatter * (2.0 / (count / 4.0) * (1.0 + away * away)).sqrt();
        let expected =
            (moved * moved + (0.1 * fringes.amplitude).powi(2) + scatter * scatter).sqrt();
        let left = fringes.left_at(&corrected, at);
        assert!((left / expected - 1.0).abs() < 0.01, "{at}: {left} {expected}");
    }
    // No more is left than there was.
    let noisy = built(|x| 0.2 * turns(x));
    assert_eq!(fringes.left_at(&noisy, 613.0), fringes.amplitude);
}

#[test]
fn the_chlorine_bands_are_testable_from_where_the_spectrum_begins() {
    let begun = |low: f64, noise_sd: f64| {
        let axis: Vec<f64> =
            (0..3600).map(|i| low + f64::from(i)).take_while(|x| *x <= 4000.0).collect();
        let turn = noise_sd / TURNS_TO_SD;
        let values = axis
            .iter()
            .enumerate()
            .map(|(i, x)| gauss(*x, 1730.0, 0.3, 60.0) + if i % 2 == 0 { turn } else { -turn })
            .collect();
        examine(&Spectrum::new(SpectrumParts::new(axis, values)).expect("valid"))
    };
    for (id, low, limit, words) in [
        ("c-cl-613", 580.0, 580.0, "is testable"),
        ("c-cl-613", 581.0, 580.0, "one side only"),
        ("c-cl-613", 595.0, 580.0, "one side only"),
        ("c-cl-613", 596.0, 580.0, "not testable"),
        ("c-cl-635", 610.0, 610.0, "is testable"),
        ("c-cl-635", 611.0, 610.0, "not testable"),
        ("c-cl-690", 670.0, 670.0, "is testable"),
        ("c-cl-690", 671.0, 670.0, "not testable"),
    ] {
        let fitness = begun(low, 1.0e-5);
        let finding = of(&fitness, id);
        let severity = if words == "is testable" { Severity::Note } else { Severity::Limits };
        assert_finding(finding, low, 0.0, limit, severity);
        assert!(finding.consequence.contains(words), "{low}: {finding:?}");
    }
    let noisy = begun(500.0, 0.3 / 9.8);
    assert!(of(&noisy, "c-cl-613").consequence.contains("noise near 613"));
    assert_eq!(of(&begun(500.0, 0.3 / 10.2), "c-cl-613").severity, Severity::Note);
}

#[test]
fn a_bad_point_stands_twelve_bends_up_or_six_down() {
    // On a parabola of bend c (second difference) the line between the neighbours turns by 1.5 c beside it and lies
    // c/2 above it: 8 times that upwards is 12.5 c above the parabola, half as much downwards 5.5 c below it.
    // On a slope that is the same.
    let (bend, middle) = (1.0e-3, 30);
    for (away, bad, slope) in [(12.4, false), (12.6, true), (-5.4, false), (-5.6, true)]
        .into_iter()
        .flat_map(|(away, bad)| [0.0, 2.0e-3, -2.0e-3].map(|slope| (away, bad, slope)))
    {
        let parabola = |i: usize| {
            let u = i as f64 - 30.0;
            0.5 * bend * u * u + slope * u
        };
        let axis: Vec<f64> = (0..61).map(|i| 1000.0 + 2.0 * f64::from(i)).collect();
        let values: Vec<f64> =
            (0..61).map(|i| parabola(i) + if i == middle { away * bend } else { 0.0 }).collect();
        let found = bad_points(&Spectrum::new(SpectrumParts::new(axis, values)).expect("valid"));
        assert_eq!(found.len(), usize::from(bad), "{away} {slope}: {found:?}");
        if let Some(point) = found.first() {
            assert_eq!((point.index, point.wavenumber_cm1), (middle, 1060.0));
            assert!((point.expected - parabola(middle)).abs() < 1.0e-12, "{point:?}");
            assert!((point.absorbance - point.expected - away * bend).abs() < 1.0e-12);
        }
    }
}

#[test]
fn a_bad_point_stands_twelve_times_above_the_noise_and_a_hundredth_of_the_range() {
    let spike = |turn: f64, range: f64, away: f64| {
        let spectrum = built(|x| {
            let base = turn * turns(x) + gauss(x, 1730.0, range, 300.0);
            if x == 3000.0 { base + away } else { base }
        });
        bad_points(&spectrum).len()
    };
    // A point that is up stands two turns above the line between its neighbours.
    let noise = TURNS_TO_SD * 1.0e-3;
    assert_eq!(spike(1.0e-3, 0.01, 11.8 * noise - 2.0e-3), 0);
    assert_eq!(spike(1.0e-3, 0.01, 12.2 * noise), 1);
    // Between the second and the ninety-eighth hundredth of all points lies what a Gaussian has at 18 of 1801 points.
    let range = gauss(18.0 * 2.0, 0.0, 1.0, 300.0);
    assert_eq!(spike(0.0, 1.0, 0.0098 * range), 0);
    assert_eq!(spike(0.0, 1.0, 0.0102 * range), 1);
}

#[test]
fn white_noise_is_read_at_its_size_and_slower_noise_as_slower() {
    let mut white = white();
    let values: Vec<f64> = (0..1802).map(|_| 1.0e-3 * white()).collect();
    let profile = |values: Vec<f64>| {
        let spectrum = Spectrum::new(SpectrumParts::new(axis(), values)).expect("valid");
        examine(&spectrum).noise().clone()
    };
    let mean = |profile: &NoiseProfile| {
        let places = (0..360).map(|i| 405.0 + 10.0 * f64::from(i));
        places.map(|x| profile.at(x)).sum::<f64>() / 360.0
    };
    let fast = profile(values[..1801].to_vec());
    // To a tenth, as a quartile of some thirty values is.
    let read = mean(&fast) * fast.slow_over_fast().recip();
    assert!((0.9..1.1).contains(&(read / 1.0e-3)), "{read}");
    assert!(fast.slow_over_fast() < 1.1, "{fast:?}");
    // The mean of two neighbours scatters by 1/√2, and its fourth differences by √7/√70: 2.24 times
    // slower, and the lower fifth of the windows counts.
    let slow = profile(values.windows(2).map(|pair| f64::midpoint(pair[0], pair[1])).collect());
    assert!((1.2..2.24).contains(&slow.slow_over_fast()), "{}", slow.slow_over_fast());
    // A straight line is no noise, however steep.
    let tilted = profile((0..1801).map(|i| values[i] + 5.0e-3 * i as f64).collect());
    assert!((tilted.slow_over_fast() - fast.slow_over_fast()).abs() < 1.0e-6, "{tilted:?}");
    assert!((mean(&tilted) / mean(&fast) - 1.0).abs() < 1.0e-6);
    // Ten times the noise is ten times the figure.
    let tenfold = profile(values[..1801].iter().map(|a| 10.0 * a).collect());
    assert!((mean(&tenfold) / mean(&fast) - 10.0).abs() < 1.0e-6);
}

/// A polystyrene film in transmission with each band moved from its published place (European Pharmacopoeia 2.2.24).
fn film(moved: [f64; 7]) -> FilmCheck {
    let bands = [
        (1028.3, 0.20, 10.0),
        (1154.5, 0.10, 10.0),
        (1583.0, 0.12, 7.0),
        (1601.2, 0.30, 9.0),
        (1942.9, 0.10, 16.0),
        (2849.5, 0.25, 18.0),
        (3060.0, 0.25, 16.0),
    ];
    let axis: Vec<f64> = (0..6801).map(|i| 600.0 + 0.5 * f64::from(i)).collect();
    let band = |x: f64, (at, height, fwhm): (f64, f64, f64), moved: f64| {
        gauss(x, at + moved, height, fwhm)
    };
    let values =
        axis.iter().map(|x| bands.iter().zip(moved).map(|(b, m)| band(*x, *b, m)).sum()).collect();
    let mut parts = SpectrumParts::new(axis, values);
    parts.mode = (MeasurementMode::Transmission, Origin::User);
    check_film(&Spectrum::new(parts).expect("valid"), |_| 1.0e-4).expect("a film")
}

/// Two-sided 95 % of Student's t with 5 and 6 degrees of freedom, and one-sided 95 % of F with 1 and 5, 1 and 6, 2 and 5:
/// printed tables.
const T: [f64; 2] = [2.5706, 2.4469];
const F: [f64; 3] = [6.608, 5.987, 5.786];

#[test]
fn a_film_is_fitted_as_a_handbook_fits_a_line() {
    let pattern = [0.2, -0.3, 0.1, 0.3, -0.25, 0.15, -0.2];
    let mut named = std::collections::BTreeSet::new();
    for step in -12..=12 {
        for ppm in [0.0, 100.0, 300.0, -1000.0] {
            let offset = f64::from(step) / 12.0;
            let places = [1028.3, 1154.5, 1583.0, 1601.2, 1942.9, 2849.5, 3060.0];
            let moved: [f64; 7] =
                std::array::from_fn(|i| 0.8 * pattern[i] + offset + ppm * 1.0e-6 * places[i]);
            let check = film(moved);
            assert_eq!((check.bands.len(), check.set_aside), (7, None), "{check:?}");
            // The foot of 1601 tilts the line under 1583 a little.
            for (band, moved) in check.bands.iter().zip(moved) {
                assert!((band.centroid - band.nominal - moved).abs() < 0.05, "{moved}: {band:?}");
                assert!((band.minimum - band.nominal - moved).abs() < 0.05, "{moved}: {band:?}");
            }
            let x: Vec<f64> = check.bands.iter().map(|b| b.nominal * 1.0e-6).collect();
            let y: Vec<f64> = check.bands.iter().map(|b| b.centroid - b.nominal).collect();
            let sum =
                |f: &dyn Fn(f64, f64) -> f64| x.iter().zip(&y).map(|(x, y)| f(*x, *y)).sum::<f64>();
            let (mean_x, mean_y) = (sum(&|x, _| x) / 7.0, sum(&|_, y| y) / 7.0);
            let spread = sum(&|x, _| (x - mean_x).powi(2));
            let slope = sum(&|x, y| (x - mean_x) * (y - mean_y)) / spread;
            let shift = mean_y - slope * mean_x;
            let left_both = sum(&|x, y| (y - shift - slope * x).powi(2));
            let sd = (left_both / 5.0).sqrt();
            let shift_error = sd * (1.0 / 7.0 + mean_x * mean_x / spread).sqrt();
            let squares = sum(&|x, _| x * x);
            let through = sum(&|x, y| x * y) / squares;
            let left_scale = sum(&|x, y| (y - through * x).powi(2));
            let left_shift = sum(&|_, y| (y - mean_y).powi(2));
            let scale_error = (left_scale / 6.0 / squares).sqrt();
            let offset_error = (left_shift / 6.0 / 7.0).sqrt();
            for (found, value, reach) in [
                (check.scale_ppm, slope, T[0] * sd / spread.sqrt()),
                (check.shift, shift, T[0] * shift_error),
                (check.proportional_ppm, through, T[1] * scale_error),
                (check.offset, mean_y, T[1] * offset_error),
            ] {
                for (found, expected) in
                    [(found.value, value), (found.low, value - reach), (found.high, value + reach)]
                {
                    assert!(
                        (found - expected).abs() < 1.0e-4 * reach,
                        "{found} {expected}: {check:?}"
                    );
                }
            }
            // The simplest of the models that no richer one betters by an F test.
            let none = sum(&|_, y| y * y);
            let (single, kind) = if left_shift < left_scale {
                (left_shift, ScaleFault::Shift)
            } else {
                (left_scale, ScaleFault::Scale)
            };
            let expected = if single - left_both > F[0] * left_both / 5.0
                && (none - left_both) / 2.0 > F[2] * left_both / 5.0
            {
                ScaleFault::Both
            } else if none - single > F[1] * single / 6.0 {
                kind
            } else {
                ScaleFault::None
            };
            assert_eq!(check.fault, expected, "{offset} {ppm}: {check:?}");
            named.insert(format!("{expected:?}"));
            let k_of = |ppm: f64| 1.0 / (1.0 + ppm * 1.0e-6);
            let (ppm, of) = match expected {
                ScaleFault::Shift => (0.0, None),
                ScaleFault::Both => (slope, Some(check.scale_ppm)),
                _ => (through, Some(check.proportional_ppm)),
            };
            assert!((check.error_ppm() - ppm).abs() < 1.0e-4, "{check:?}");
            assert!((check.k - k_of(ppm)).abs() < 1.0e-9);
            let ends = of.map_or((1.0, 1.0), |of| (k_of(of.high), k_of(of.low)));
            assert_eq!(check.k_interval, ends);
            for (at, deviation) in &check.deviations {
                assert!((deviation - shift - slope * at * 1.0e-6).abs() < 1.0e-6, "{check:?}");
            }
        }
    }
    let all = ["Both", "None", "Scale", "Shift"];
    assert!(named.iter().eq(all), "{named:?}");
}

#[test]
fn a_band_off_by_more_than_the_tolerance_of_what_the_others_agree_on_is_set_aside() {
    for (off, aside) in [(0.9, false), (1.1, true), (-1.1, true)] {
        for which in 0..7 {
            let mut moved = [0.3; 7];
            moved[which] += off;
            let check = film(moved);
            assert_eq!(check.set_aside.is_some(), aside, "{off} at {which}: {check:?}");
            let Some(band) = check.set_aside else { continue };
            assert!((band.centroid - band.nominal - 0.3 - off).abs() < 0.08, "{band:?}");
            assert_eq!(check.bands.len(), 6);
            // All others agree: an offset of 0.3 and no spread.
            assert_eq!(check.fault, ScaleFault::Shift);
            assert!((check.offset.value - 0.3).abs() < 0.02, "{check:?}");
            let spread: f64 = check
                .bands
                .iter()
                .map(|b| (b.centroid - b.nominal - check.offset.value).powi(2))
                .sum();
            let reach = T[0] * (spread / 5.0 / 6.0).sqrt();
            assert!((check.offset.high - check.offset.value - reach).abs() < 1.0e-3 * reach);
        }
    }
}

#[test]
fn the_findings_of_a_film_are_held_to_their_tolerances() {
    let found = |moved: [f64; 7], id: &str| {
        film(moved).findings().into_iter().find(|f| f.id == id).expect("told")
    };
    let places = [1028.3, 1154.5, 1583.0, 1601.2, 1942.9, 2849.5, 3060.0];
    // A little scatter, as any film has: without it a richer model would be told by rounding alone.
    let scatter = [0.01, -0.01, -0.01, -0.01, 0.01, -0.01, 0.01];
    for (offset, severity) in
        [(0.92, Severity::Note), (1.08, Severity::Limits), (-1.08, Severity::Limits)]
    {
        let moved = std::array::from_fn(|i| offset + scatter[i]);
        assert_finding(&found(moved, "scale-shift"), offset, 0.01, 1.0, severity);
        let outside = if severity == Severity::Note { 0.0 } else { 7.0 };
        assert_finding(&found(moved, "film-bands"), outside, 0.0, 0.0, severity);
    }
    for (ppm, severity) in
        [(590.0, Severity::Note), (610.0, Severity::Limits), (-610.0, Severity::Limits)]
    {
        let moved = std::array::from_fn(|i| ppm * 1.0e-6 * places[i] + scatter[i]);
        assert_finding(&found(moved, "scale-error"), ppm, 0.01, 600.0, severity);
        // 1 cm⁻¹ is reached by the three bands above 1695 or 1639 cm⁻¹, and nearly by those about 1600.
        let bands = film(moved).bands;
        let outside = bands.iter().filter(|b| (b.centroid - b.nominal).abs() > 1.0).count();
        assert!((3..=5).contains(&outside), "{ppm}: {bands:?}");
        assert_finding(&found(moved, "film-bands"), outside as f64, 0.0, 0.0, Severity::Limits);
    }
}

/// Lines of vapour are sharp, and what they stand on is not: neither its height, its slope nor its bend counts.
#[test]
fn lines_of_vapour_are_told_on_whatever_smooth_ground_they_stand() {
    // The stretch of water is not measured, so that the lines among the carbonyls settle it.
    let axis: Vec<f64> = (0..601).map(|i| 1000.0 + 2.0 * f64::from(i)).collect();
    let with = |lines: &dyn Fn(f64) -> f64, ground: &dyn Fn(f64) -> f64| {
        let value = |x: f64| gauss(x, 1100.0, 0.4, 40.0) + lines(x) + ground(x) + 1.0e-6 * turns(x);
        let values = axis.iter().map(|x| value(*x)).collect();
        let spectrum = SpectrumParts::new(axis.clone(), values);
        let fitness = examine(&Spectrum::new(spectrum).expect("valid"));
        let finding = of(&fitness, "water-vapour").clone();
        (finding.value.expect("a share") * fitness.strongest().0, finding.consequence)
    };
    let lines = |x: f64| 2.0e-3 * lines_at(x);
    let flat = with(&lines, &|_| 0.05);
    assert_eq!(flat.1, "lines of water vapour are there, too weak to matter");
    for ground in [
        &|x: f64| 1.0e-3 * (x - 1000.0),
        &|x: f64| 1.0e-3 * (2200.0 - x),
        &|x: f64| 1.0e-6 * (x - 1700.0).powi(2),
        &|x: f64| gauss(x, 1700.0, 0.2, 400.0),
    ] as [&dyn Fn(f64) -> f64; 4]
    {
        let (height, words) = with(&lines, ground);
        assert_eq!(words, flat.1);
        assert!((height / flat.0 - 1.0).abs() < 0.05, "{height} for {}", flat.0);
    }
    // What fits as well when it is moved by more than a line's width is no comb of vapour.
    let twice = |x: f64| 2.0e-3 * (lines_at(x) + lines_at(x - 7.0));
    assert_eq!(with(&twice, &|_| 0.05).1, "no lines of water vapour stand out");
    // A comb that does not go on among the carbonyls is something else, and so is one far too high there.
    for among in [0.0, 4.0] {
        let other = |x: f64| {
            let of = |at: f64| if at > 1647.0 { among } else { 1.0 };
            let line =
                |(at, strength): &(f64, f64)| of(*at) * strength / (1.0 + ((x - at) / 2.5).powi(2));
            2.0e-3 * LINES.iter().map(line).sum::<f64>()
        };
        let (_, words) = with(&other, &|_| 0.05);
        assert_eq!(words, "no lines of water vapour stand out", "{among}");
    }
}

/// Measured vapour is taken out with a factor that is as sure as it says.
#[test]
fn the_factor_of_subtracted_vapour_scatters_as_its_error_says() {
    let axis: Vec<f64> = (0..1751).map(|i| 500.0 + 2.0 * f64::from(i)).collect();
    let spectrum =
        |values: Vec<f64>| Spectrum::new(SpectrumParts::new(axis.clone(), values)).expect("valid");
    let air = spectrum(axis.iter().map(|x| 0.02 * lines_at(*x)).collect());
    let mut normal = white();
    for truth in [0.7, -0.4] {
        let found: Vec<_> = (0..40)
            .map(|_| {
                let value = |(x, air): (&f64, &f64)| {
                    let bands = gauss(*x, 1730.0, 0.3, 60.0) + gauss(*x, 1100.0, 0.4, 40.0);
                    // A baseline that leans has no fine structure.
                    5.0e-4 * (x - 500.0) + bands + truth * air + 3.0e-3 * normal()
                };
                let wet = spectrum(axis.iter().zip(air.absorbances()).map(value).collect());
                let done = subtract_vapour(&wet, &air).expect("lines");
                let step = done.spectrum.history().last().expect("recorded");
                assert_eq!(step.name, "subtract vapour");
                // Nothing is changed but for the vapour.
                for ((before, after), air) in
                    wet.absorbances().iter().zip(done.spectrum.absorbances()).zip(air.absorbances())
                {
                    assert!((before - after - done.subtraction.factor * air).abs() < 1.0e-12);
                }
                done.subtraction
            })
            .collect();
        let count = found.len() as f64;
        let mean = found.iter().map(|s| s.factor).sum::<f64>() / count;
        assert!((mean - truth).abs() < 0.02, "{mean} for {truth}");
        let scatter =
            (found.iter().map(|s| (s.factor - mean).powi(2)).sum::<f64>() / (count - 1.0)).sqrt();
        let error = found.iter().map(|s| s.factor_error).sum::<f64>() / count;
        assert!((0.6..1.6).contains(&(error / scatter)), "{error} for {scatter}");
        // The error of one factor is no matter of luck.
        for done in &found {
            assert!((0.3..3.0).contains(&(done.factor_error / error)), "{done:?} {error}");
        }
        let held = found.iter().filter(|s| (s.factor - truth).abs() < 2.0 * s.factor_error).count();
        assert!(held >= 34, "{held} of 40");
    }
}

/// A band of chlorine that was not measured is refused with where the spectrum begins, or for a gap without a figure.
#[test]
fn a_chlorine_band_that_was_not_measured_is_refused_with_its_cause() {
    let measured = |keep: &dyn Fn(f64) -> bool| {
        let axis: Vec<f64> = axis().into_iter().filter(|x| keep(*x)).collect();
        let values = axis.iter().map(|x| gauss(*x, 1730.0, 0.3, 60.0)).collect();
        examine(&Spectrum::new(SpectrumParts::new(axis, values)).expect("valid"))
    };
    let late = measured(&|x| x >= 750.0);
    for (id, centre, low) in
        [("c-cl-613", 613, 580.0), ("c-cl-635", 635, 610.0), ("c-cl-690", 690, 670.0)]
    {
        let finding = of(&late, id);
        assert_finding(finding, 750.0, 0.0, low, Severity::Limits);
        assert!(finding.consequence.contains(&format!("{centre} cm⁻¹ was not measured")));
        assert!(!finding.remedy.is_empty());
    }
    // Measured from 400 on, but for a gap at the band: no beginning is to blame.
    let gap = measured(&|x| !(600.0..=660.0).contains(&x));
    let finding = of(&gap, "c-cl-613");
    assert_eq!((finding.value, finding.severity), (None, Severity::Limits), "{finding:?}");
    assert!(finding.consequence.contains("613 cm⁻¹ was not measured"), "{finding:?}");
    assert_eq!(of(&gap, "c-cl-690").severity, Severity::Note);
}

/// Where noise hides the shape of broad bands, the side of the quiet stretches that they lie on tells which way they point.
#[test]
fn broad_bands_in_noise_are_told_upside_down_by_the_side_they_lie_on() {
    // Two bands of areas 1 and `other`: the side is the difference over the sum.
    let shape = |first: f64, other: f64| {
        let mut noise = white();
        let axis = axis();
        let bands =
            |x: f64| first * gauss(x, 1200.0, 0.3, 250.0) + other * gauss(x, 3200.0, 0.3, 250.0);
        let values = axis.iter().map(|x| 0.8 + bands(*x) + 3.0e-3 * noise()).collect();
        let fitness = examine(&Spectrum::new(SpectrumParts::new(axis, values)).expect("valid"));
        ["inverted", "band-shape"].iter().find_map(|id| fitness.finding(id)).expect("told").clone()
    };
    for (first, other) in [(1.0, 1.0), (1.0, -0.3), (-1.0, 1.0), (-1.0, 0.65)] {
        let found = shape(first, other);
        assert_eq!(
            (found.id.as_str(), found.severity),
            ("band-shape", Severity::Note),
            "{found:?}"
        );
        assert_eq!(found.consequence, "too few narrow bands to tell their shape");
    }
    for (first, other) in [(-1.0, -1.0), (-1.0, 0.3), (0.3, -1.0), (-1.0, 0.45)] {
        let found = shape(first, other);
        assert_eq!(
            (found.id.as_str(), found.severity),
            ("inverted", Severity::Limits),
            "{found:?}"
        );
        assert!(found.consequence.contains("seem to point down"), "{found:?}");
    }
}

/// Points need not stand evenly for the period, the amplitude and the share of fringes to be known.
#[test]
fn fringes_are_the_same_on_uneven_points() {
    let axis: Vec<f64> =
        (0..1801).map(|i| 400.0 + 2.0 * f64::from(i) + 0.4 * (0.9 * f64::from(i)).sin()).collect();
    for period in [60.0, 90.0, 150.0] {
        let wave = |x: f64| (std::f64::consts::TAU * x / period + 0.7).cos();
        let values = axis.iter().map(|x| gauss(*x, 1100.0, 0.4, 40.0) + 0.02 * wave(*x)).collect();
        let spectrum = Spectrum::new(SpectrumParts::new(axis.clone(), values)).expect("valid");
        let found = Fringes::strongest(&spectrum).expect("measured");
        assert!((found.period_cm1 / period - 1.0).abs() < 1.0e-3, "{period}: {found:?}");
        assert!((found.amplitude / 0.02 - 1.0).abs() < 0.02, "{period}: {found:?}");
        assert!(found.accounted > 0.99, "{period}: {found:?}");
    }
}
