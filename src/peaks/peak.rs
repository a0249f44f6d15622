//! The value of a picked peak, and all peaks of a spectrum.

/// Where peaks are looked for, in cm⁻¹: below, detectors and elements end; above, only free O–H.
pub(super) const COUNTED_CM1: (f64, f64) = (400.0, 3750.0);

/// Above this lie the stretches of hydrogen, in cm⁻¹: common to nearly all organic materials, and wider (common
/// practice, no source).
pub(crate) const STRETCHES_ABOVE_CM1: f64 = 2600.0;

/// One minimum of the second derivative.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Peak {
    /// Position in cm⁻¹.
    pub position_cm1: f64,
    /// Height above the baseline as a share of the highest peak.
    pub share: f64,
    /// What it counts when peaks are left unexplained, between 0 and 1.
    pub weight: f64,
    /// It lies at the ceiling of the detector: it is there, and its height is a lower bound.
    pub at_least: bool,
    /// Half the width in cm⁻¹ of a plateau on which its centre may stand anywhere; zero for a top.
    pub half_width_cm1: f64,
    /// It is a line of water vapour in the beam.
    pub is_vapour: bool,
}

/// The peaks of one spectrum, lowest wavenumber first.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Peaks {
    /// The peaks.
    pub list: Vec<Peak>,
    /// Height of the highest one, as absorbance above the baseline.
    pub strongest: f64,
    /// How far the strongest curvature stands above its scatter.
    pub clearness: f64,
    /// The first peak at or above each multiple of [`BUCKET_CM1`]: every band of the table looks for
    /// its own.
    buckets: Vec<usize>,
    /// Sum of all weights.
    pub total_weight: f64,
    /// Whether one of them is of unknown height, and with it the highest.
    pub has_ceiling: bool,
}

impl Peaks {
    pub(super) fn new(list: Vec<Peak>, strongest: f64, clearness: f64) -> Self {
        let total_weight = list.iter().map(|f| f.weight).sum();
        let has_ceiling = list.iter().any(|f| f.at_least);
        let buckets = buckets(&list);
        Self { list, strongest, clearness, buckets, total_weight, has_ceiling }
    }

    /// Marks the lines of water vapour, whose height as absorbance is known at each wavenumber in cm⁻¹.
    #[must_use]
    pub(crate) fn with_vapour(mut self, height_at: impl Fn(f64) -> f64) -> Self {
        for peak in &mut self.list {
            let height = peak.share * self.strongest;
            if height > 0.0 && height_at(peak.position_cm1) >= VAPOUR_SHARE * height {
                peak.is_vapour = true;
            }
        }
        self
    }

    /// Returns the peaks that may stand within a stretch: a plateau that reaches into it counts.
    pub fn reaching(&self, low_cm1: f64, high_cm1: f64) -> impl Iterator<Item = (usize, &Peak)> {
        let widest = if self.has_ceiling {
            self.list.iter().map(|f| f.half_width_cm1).fold(0.0, f64::max)
        } else {
            0.0
        };
        self.within(low_cm1 - widest, high_cm1 + widest).filter(move |(_, f)| {
            f.position_cm1 + f.half_width_cm1 >= low_cm1
                && f.position_cm1 - f.half_width_cm1 <= high_cm1
        })
    }

    /// Returns the peaks within a stretch, both ends included, with their indices.
    pub fn within(&self, low_cm1: f64, high_cm1: f64) -> impl Iterator<Item = (usize, &Peak)> {
        let bucket = (low_cm1 / BUCKET_CM1) as usize;
        // Past the last bucket nothing is counted; the last one leads there.
        let first = self.buckets.get(bucket).or(self.buckets.last()).copied().unwrap_or(0);
        self.list
            .iter()
            .enumerate()
            .skip(first)
            .skip_while(move |(_, f)| f.position_cm1 < low_cm1)
            .take_while(move |(_, f)| f.position_cm1 <= high_cm1)
    }
}

/// A peak is a line of water vapour where the fitted lines reach this share of its height: their strengths are good to a
/// quarter, and one half as high as a band only stands on it.
const VAPOUR_SHARE: f64 = 0.6;

/// Width in cm⁻¹ of the stretches by which peaks are looked up.
const BUCKET_CM1: f64 = 16.0;

/// Returns the first peak at or above each multiple of the bucket's width.
fn buckets(list: &[Peak]) -> Vec<usize> {
    let count = (COUNTED_CM1.1 / BUCKET_CM1) as usize + 1;
    let mut first = 0;
    (0..count)
        .map(|bucket| {
            let low = bucket as f64 * BUCKET_CM1;
            while list.get(first).is_some_and(|f| f.position_cm1 < low) {
                first += 1;
            }
            first
        })
        .collect()
}

/// Returns a height as a share of the strongest; nothing where nothing stands out.
pub fn share(height: f64, strongest: f64) -> f64 {
    if strongest > 0.0 { height / strongest } else { 0.0 }
}
