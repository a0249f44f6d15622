//! Interference fringes of a film with parallel faces.

use serde::{Deserialize, Serialize};

use super::fourier::{hann, lowest_magnitudes};
use super::{Finding, NoiseProfile, Severity};
use crate::linalg;
use crate::spectrum::zones::FRINGES_CM1;
use crate::spectrum::{PointFlag, Spectrum, Step};

/// So many fringes must fit between the ends of the stretches, lest a bent baseline counts.
const LEAST_FRINGES: f64 = 5.0;

/// A fringe must be sampled by so many points.
const LEAST_POINTS: f64 = 4.0;

/// A cosine that runs through all stretches must account for this share of what a straight line in each
/// leaves: bands do so in one stretch, fringes in all.
const LEAST_ACCOUNTED: f64 = 0.6;

/// Periods tried about the line of the transform, which is at most a fifth of a line's width between two for
/// 60 fringes, and how far they go to either side as a share.
const PERIODS: usize = 60;
const PERIOD_REACH: f64 = 0.35;

/// About the best of them the period is narrowed so many times, each to 0.62 of the width before: to a
/// thousandth of the distance between two.
const NARROWED: usize = 16;

/// An axis is even enough where no point turns the cosine by more than this from an even one.
const UNEVEN_RAD: f64 = 0.02;

/// Fringes above this share of the strongest band are as high as weak bands.
const MOST_SHARE: f64 = 0.015;

/// A cosine of the least amplitude that accounts for all of a stretch scatters by this share of it; with
/// room for one that covers a stretch in part. Less scatter than that cannot hold fringes.
const LEAST_SCATTER: f64 = 0.6;

/// Fringes change with the film's index and roughness along the spectrum; taking out one cosine leaves
/// at least this share of them under the bands (own choice: the index of polymers moves by a tenth).
const LEFT_SHARE: f64 = 0.1;

/// Neighbouring points of what is left go together, so that only one in so many counts as its own.
const POINTS_TOGETHER: f64 = 4.0;

/// A first look takes the strongest line of the transform, which must account for this share of what is asked:
/// where stretches differ in phase, the line has less than a cosine fitted to them has.
const FIRST_LOOK: f64 = 0.5;

/// Padding of the transform: the top of its line is found to a fraction of a fringe. With half of it the line of nine
/// fringes can be lost between two places.
const PADDING: usize = 8;

/// Name of the step that records their removal.
pub const FRINGES_REMOVED: &str = "remove fringes";

/// Refractive index assumed for a polymer film where none is given.
pub const POLYMER_INDEX: f64 = 1.5;

/// Fringes found in a spectrum.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Fringes {
    /// Distance between neighbouring maxima in cm⁻¹.
    pub period_cm1: f64,
    /// Amplitude from the mean to the crest, as absorbance.
    pub amplitude: f64,
    /// Share of the variance about straight lines that the fringes account for.
    pub accounted: f64,
}

impl Fringes {
    /// Returns the thickness in µm of a film of the given refractive index: d = 1 / (2 n Δν).
    #[must_use]
    pub fn thickness_um(&self, index: f64) -> f64 {
        1.0e4 / (2.0 * index * self.period_cm1)
    }

    /// Looks for fringes in the stretches without bands.
    ///
    /// Each stretch is freed of a straight line, tapered and Fourier transformed with zeros between; about
    /// the strongest line a cosine through all stretches is fitted by least squares. Returns the
    /// best one, however weak it is; `None` where too little of the stretches was measured.
    #[must_use]
    pub fn strongest(spectrum: &Spectrum) -> Option<Self> {
        Self::search(spectrum, &Piece::all(spectrum), 0.0)
    }

    /// As [`Fringes::strongest`], but gives up where the strongest line of the transform accounts for less.
    fn search(spectrum: &Spectrum, pieces: &[Piece], least_accounted: f64) -> Option<Self> {
        let spacing = spectrum.spacing_cm1();
        let measured_cm1: f64 = pieces.iter().map(|piece| piece.span_cm1()).sum();
        let (first, last) = (pieces.first()?, pieces.last()?);
        let (from, to) = (*first.axis.first()?, *last.axis.last()?);
        let count = ((to - from) / spacing).ceil() as usize + 1;
        if measured_cm1 < LEAST_MEASURED_CM1 || !(32..1 << 20).contains(&count) {
            return None;
        }
        let mut values = vec![0.0; count];
        let [mut energy, mut tapers, mut taper_squares] = [0.0; 3];
        for piece in pieces {
            for ((x, value), taper) in
                piece.axis.iter().zip(&piece.values).zip(hann(piece.values.len()))
            {
                let place = (((x - from) / spacing).round() as usize).min(count - 1);
                values[place] = value * taper;
                energy += (value * taper).powi(2);
                tapers += taper;
                taper_squares += taper * taper;
            }
        }
        let length = (count * PADDING).next_power_of_two();
        let per_bin = length as f64 * spacing;
        let least = (LEAST_FRINGES / (to - from) * per_bin).ceil() as usize;
        let magnitudes =
            lowest_magnitudes(&values, length, (length as f64 / LEAST_POINTS) as usize);
        let (place, magnitude) = magnitudes
            .get(least..)?
            .iter()
            .enumerate()
            .max_by(|a, b| a.1.total_cmp(b.1))
            .map(|(i, m)| (i + least, *m))?;
        // A cosine of amplitude A alone has the magnitude A Σt / 2 and the energy A² Σt² / 2 under tapers t.
        let of_the_line = magnitude.powi(2) * 2.0 * taper_squares / (tapers.powi(2) * energy);
        if least_accounted > 0.0 && of_the_line < least_accounted {
            return None;
        }
        let fitted = |along: f64| {
            let fringes_per_cm1 = place as f64 / per_bin * (1.0 + PERIOD_REACH * along);
            let slow = fringes_per_cm1 * (to - from) < LEAST_FRINGES;
            if slow { None } else { Self::fitted(pieces, fringes_per_cm1) }
        };
        let step = 2.0 / PERIODS as f64;
        let (best, found) = (0..=PERIODS)
            .map(|k| step * k as f64 - 1.0)
            .filter_map(|along| Some((along, fitted(along)?)))
            .max_by(|a, b| a.1.accounted.total_cmp(&b.1.accounted))?;
        Some(
            narrowed(best - step, best + step, fitted)
                .filter(|n| n.accounted > found.accounted)
                .unwrap_or(found),
        )
    }

    /// Looks for fringes that stand out, at little cost where the stretches are too quiet to hold any.
    pub(super) fn standing_out(
        spectrum: &Spectrum,
        noise: &NoiseProfile,
        strongest: f64,
    ) -> Option<Self> {
        let pieces = Piece::all(spectrum);
        let (mut squares, mut count) = (0.0, 0_usize);
        for piece in &pieces {
            squares += piece.values.iter().map(|v| v * v).sum::<f64>();
            count += piece.values.len();
        }
        let scatter = (squares / count.max(1) as f64).sqrt();
        let least = LEAST_SCATTER * MOST_SHARE * strongest * std::f64::consts::FRAC_1_SQRT_2;
        if scatter < least {
            return None;
        }
        Self::search(spectrum, &pieces, FIRST_LOOK * LEAST_ACCOUNTED)
            .filter(|fringes| fringes.stands_out(noise, strongest))
    }

    fn stands_out(&self, noise: &NoiseProfile, strongest: f64) -> bool {
        self.accounted >= LEAST_ACCOUNTED
            && self.amplitude / strongest >= MOST_SHARE
            && self.amplitude > noise.at(2000.0)
    }

    /// Returns how much of the fringes may be left at a wavenumber in cm⁻¹ of the spectrum that they were
    /// taken out of: as absorbance, one standard deviation.
    ///
    /// Three parts: what the stretches without bands still show, what the uncertain period does away from
    /// them, and a share for the film's index, which the cosine takes as constant.
    #[must_use]
    pub fn left_at(&self, corrected: &Spectrum, wavenumber_cm1: f64) -> f64 {
        let pieces = Piece::all(corrected);
        let points = || pieces.iter().flat_map(|piece| piece.axis.iter().zip(&piece.values));
        let count = points().count().max(1) as f64;
        let scatter = (points().map(|(_, v)| v * v).sum::<f64>() / count).sqrt();
        let middle = points().map(|(x, _)| x).sum::<f64>() / count;
        let spread = (points().map(|(x, _)| (x - middle).powi(2)).sum::<f64>() / count).sqrt();
        if spread <= 0.0 {
            return self.amplitude;
        }
        // A sine's phase and frequency by least squares (Cramér–Rao): the phase is off by √2·s/(A·√N) in
        // the middle and by as much again at each standard deviation of the axis away from it.
        let own = (count / POINTS_TOGETHER).max(1.0);
        let away = (wavenumber_cm1 - middle) / spread;
        let moved = scatter * (2.0 / own * (1.0 + away * away)).sqrt();
        let left = moved.hypot(LEFT_SHARE * self.amplitude).hypot(scatter);
        left.min(self.amplitude)
    }

    /// Fits a cosine of one period through all stretches at once.
    fn fitted(pieces: &[Piece], fringes_per_cm1: f64) -> Option<Self> {
        let turn = 2.0 * std::f64::consts::PI * fringes_per_cm1;
        let [mut cc, mut cs, mut ss, mut cv, mut sv, mut vv] = [0.0; 6];
        let mut turned = Vec::new();
        for piece in pieces {
            piece.turned(turn, &mut turned);
            let n = piece.axis.len().max(1) as f64;
            // Lines are taken out of the cosine as they were of the values: the fit is then joint. Both go
            // side by side, since a sum waits for each addition before the next.
            let (mut c0, mut s0) = (0.0, 0.0);
            for (c, s) in &turned {
                c0 += c;
                s0 += s;
            }
            (c0, s0) = (c0 / n, s0 / n);
            let (mut c_along, mut s_along) = (0.0, 0.0);
            for ((c, s), x) in turned.iter().zip(&piece.from_middle) {
                c_along += x * (c - c0);
                s_along += x * (s - s0);
            }
            let (c_slope, s_slope) = (slope(c_along, piece.spread), slope(s_along, piece.spread));
            for (((c, s), x), v) in turned.iter().zip(&piece.from_middle).zip(&piece.values) {
                let (c, s) = (c - c0 - c_slope * x, s - s0 - s_slope * x);
                cc += c * c;
                cs += c * s;
                ss += s * s;
                cv += c * v;
                sv += s * v;
                vv += v * v;
            }
        }
        let determinant = cc * ss - cs * cs;
        if determinant <= 0.0 || vv <= 0.0 {
            return None;
        }
        let a = (cv * ss - sv * cs) / determinant;
        let b = (sv * cc - cv * cs) / determinant;
        Some(Self {
            period_cm1: fringes_per_cm1.recip(),
            amplitude: a.hypot(b),
            accounted: (a * cv + b * sv) / vv,
        })
    }
}

/// Less than this of the stretches settles nothing; in cm⁻¹.
const LEAST_MEASURED_CM1: f64 = 300.0;

/// A stretch without bands, freed of a straight line.
struct Piece {
    axis: Vec<f64>,
    values: Vec<f64>,
    /// The axis less its mean, and the sum of the squares of that.
    from_middle: Vec<f64>,
    spread: f64,
    /// The most that a point stands off an even axis, in cm⁻¹.
    uneven_cm1: f64,
}

impl Piece {
    fn all(spectrum: &Spectrum) -> Vec<Self> {
        FRINGES_CM1
            .into_iter()
            .filter_map(|(low, high)| covered(spectrum, low, high))
            .map(|(low, high)| Self::new(spectrum, low, high))
            .filter(|piece| piece.axis.len() >= 16)
            .collect()
    }

    fn new(spectrum: &Spectrum, low: f64, high: f64) -> Self {
        let range = spectrum.window(low, high);
        let axis = spectrum.wavenumbers_cm1()[range.clone()].to_vec();
        let measured = &spectrum.absorbances()[range];
        // The least-squares straight line is taken out.
        let n = axis.len().max(1) as f64;
        let (x0, y0) = (axis.iter().sum::<f64>() / n, measured.iter().sum::<f64>() / n);
        let from_middle: Vec<f64> = axis.iter().map(|x| x - x0).collect();
        let (mut along, mut spread) = (0.0, 0.0);
        for (x, y) in from_middle.iter().zip(measured) {
            along += x * (y - y0);
            spread += x * x;
        }
        let slope = slope(along, spread);
        let values = from_middle.iter().zip(measured).map(|(x, y)| y - y0 - slope * x).collect();
        let mut piece = Self { axis, values, from_middle, spread, uneven_cm1: 0.0 };
        let (from, step) = piece.grid();
        let off = |(i, x): (usize, &f64)| (x - from - step * i as f64).abs();
        piece.uneven_cm1 = piece.axis.iter().enumerate().map(off).fold(0.0, f64::max);
        piece
    }

    /// The even axis through both ends: where it begins, and its step.
    fn grid(&self) -> (f64, f64) {
        let from = self.axis.first().copied().unwrap_or(0.0);
        (from, self.span_cm1() / (self.axis.len().max(2) - 1) as f64)
    }

    /// Cosine and sine along the stretch; on an even axis each point is the last one turned on.
    fn turned(&self, turn: f64, turned: &mut Vec<(f64, f64)>) {
        turned.clear();
        if self.uneven_cm1 * turn >= UNEVEN_RAD {
            turned.extend(self.axis.iter().map(|x| ((turn * x).cos(), (turn * x).sin())));
            return;
        }
        let (from, step) = self.grid();
        let (step_sine, step_cosine) = (turn * step).sin_cos();
        let (mut sine, mut cosine) = (turn * from).sin_cos();
        turned.extend(self.axis.iter().map(|_| {
            let here = (cosine, sine);
            (cosine, sine) =
                (cosine * step_cosine - sine * step_sine, sine * step_cosine + cosine * step_sine);
            here
        }));
    }

    fn span_cm1(&self) -> f64 {
        match (self.axis.first(), self.axis.last()) {
            (Some(first), Some(last)) => last - first,
            _ => 0.0,
        }
    }
}

/// Narrows a place about one top by the golden section, and returns what is there.
fn narrowed(
    mut low: f64,
    mut high: f64,
    fitted: impl Fn(f64) -> Option<Fringes>,
) -> Option<Fringes> {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let accounted = |at: f64| fitted(at).map_or(0.0, |fringes| fringes.accounted);
    let (mut left, mut right) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
    let (mut at_left, mut at_right) = (accounted(left), accounted(right));
    for _ in 0..NARROWED {
        if at_left > at_right {
            (high, right, at_right) = (right, left, at_left);
            left = high - GOLDEN * (high - low);
            at_left = accounted(left);
        } else {
            (low, left, at_left) = (left, right, at_right);
            right = low + GOLDEN * (high - low);
            at_right = accounted(right);
        }
    }
    fitted(f64::midpoint(low, high))
}

/// The slope of a least-squares line from its two sums; none where all points stand in one place.
fn slope(along: f64, spread: f64) -> f64 {
    if spread > 0.0 { along / spread } else { 0.0 }
}

/// The part of a stretch that was measured without gap or mask, from its upper end down.
fn covered(spectrum: &Spectrum, low: f64, high: f64) -> Option<(f64, f64)> {
    let range = spectrum.window(low, high);
    let axis = spectrum.wavenumbers_cm1();
    let start = *axis.get(range.start)?;
    let end = *axis.get(range.end.checked_sub(1)?)?;
    let clear = spectrum.flags()[range].iter().all(|flag| *flag == PointFlag::Measured);
    (clear && end > start && spectrum.covers(start, end)).then_some((start, end))
}

pub(super) fn finding(
    spectrum: &Spectrum,
    noise: &NoiseProfile,
    strongest: f64,
) -> Option<Finding> {
    let fringes = Fringes::strongest(spectrum)?;
    let share = fringes.amplitude / strongest;
    let clear = fringes.stands_out(noise, strongest);
    let words = if share < MOST_SHARE {
        "no interference fringes stand out".to_owned()
    } else {
        format!(
            "no fringes: the best cosine explains {:.0} % of the stretches without bands, {:.0} % are needed",
            100.0 * fringes.accounted,
            100.0 * LEAST_ACCOUNTED
        )
    };
    let finding =
        Finding::note("fringes", words).figure(share, MOST_SHARE, "of the strongest band");
    Some(if clear { fringes.raise(finding, "weak bands and ratios are unsafe") } else { finding })
}

impl Fringes {
    fn raise(&self, finding: Finding, consequence: &str) -> Finding {
        finding.raised(
            Severity::Limits,
            format!(
                "fringes {:.0} cm⁻¹ apart, of amplitude {:.4} (a film {:.1} µm thick at index \
                 {POLYMER_INDEX}): {consequence}",
                self.period_cm1,
                self.amplitude,
                self.thickness_um(POLYMER_INDEX)
            ),
            "roughen or tilt the film, or use ATR; check --write-corrected FILE writes the spectrum without them, and \
             identify takes them out unless --keep-fringes is given",
        )
    }

    /// Returns the finding where they were taken out before the judgement.
    pub(super) fn removed(&self, strongest: f64, left: f64) -> Finding {
        let finding = Finding::note("fringes", "").figure(
            self.amplitude / strongest,
            MOST_SHARE,
            "of the strongest band",
        );
        self.raise(
            finding,
            &format!(
                "taken out before the judgement; {left:.4} may be left, bands of that size are not read"
            ),
        )
    }
}

/// Takes fringes out by a least-squares cosine over the stretches without bands, and records it.
///
/// The cosine is fitted where there are few bands and subtracted everywhere, so that bands keep their
/// heights as far as the film's index stays the same.
///
/// # Errors
///
/// The stretches without bands must have been measured.
pub fn remove_fringes(spectrum: &Spectrum, fringes: Fringes) -> Result<Spectrum, linalg::Error> {
    let turn = |x: f64| 2.0 * std::f64::consts::PI * x / fringes.period_cm1;
    let axis = spectrum.wavenumbers_cm1();
    let mut points = Vec::new();
    for (piece, (low, high)) in FRINGES_CM1.into_iter().enumerate() {
        if let Some((low, high)) = covered(spectrum, low, high) {
            points.extend(spectrum.window(low, high).map(|i| (piece, i)));
        }
    }
    // Cosine, sine, and a straight line for each stretch.
    let pieces: Vec<usize> =
        (0..FRINGES_CM1.len()).filter(|p| points.iter().any(|(piece, _)| piece == p)).collect();
    let fit = linalg::fit_rows(points.len(), 2 + 2 * pieces.len(), |row, terms| {
        let (piece, i) = points[row];
        let (sine, cosine) = turn(axis[i]).sin_cos();
        terms[0] = cosine;
        terms[1] = sine;
        if let Some(pair) = pieces.iter().position(|of| *of == piece) {
            terms[2 + 2 * pair] = 1.0;
            terms[3 + 2 * pair] = axis[i] / 1000.0;
        }
        spectrum.absorbances()[i]
    })?;
    // Cosine and sine are 1 at most. What is subtracted everywhere is the same on every processor.
    let highest = points.iter().map(|(_, i)| spectrum.absorbances()[*i].abs()).fold(0.0, f64::max);
    let [of_cosine, of_sine] = [0, 1].map(|term| linalg::settled(fit.coefficients[term], highest));
    let values = axis
        .iter()
        .zip(spectrum.absorbances())
        .map(|(x, a)| a - of_cosine * turn(*x).cos() - of_sine * turn(*x).sin())
        .collect();
    let step = Step::new(FRINGES_REMOVED)
        .with("period_cm1", format!("{:.3}", fringes.period_cm1))
        .with("amplitude", format!("{:.5}", of_cosine.hypot(of_sine)))
        .with("thickness_um", format!("{:.2}", fringes.thickness_um(POLYMER_INDEX)))
        .with("index", POLYMER_INDEX);
    spectrum.clone().with_absorbances(values, step).map_err(|_| linalg::Error::NotFinite)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fringes_that_were_taken_out_are_told_by_their_share_of_the_strongest_band() {
        let fringes = Fringes { period_cm1: 90.0, amplitude: 0.02, accounted: 0.9 };
        let finding = fringes.removed(0.5, 0.0012);
        assert_eq!((finding.value, finding.severity), (Some(0.04), Severity::Limits));
        assert!(finding.consequence.contains("0.0012 may be left"), "{}", finding.consequence);
    }
}
