use super::*;
use crate::matching::matcher::{self, Matcher};
use crate::prepare::prepare;
use crate::spectrum::SpectrumParts;
use crate::tables::Tables;

/// A spectrum, prepared, with its peaks.
struct Seen {
    measured: Spectrum,
    prepared: Prepared,
    peaks: Peaks,
}

impl Seen {
    /// The bands of a material at their heights in the table, 12 cm⁻¹ wide, from `low_cm1` on.
    fn new(material: &str, low_cm1: f64) -> Self {
        let bands: Vec<(f64, f64)> = Tables::built_in()
            .bands_of(material)
            .iter()
            .map(|band| (band.position_cm1, matcher::share(band)))
            .collect();
        let count = ((3998.0 - low_cm1) / 2.0) as u32;
        let axis: Vec<f64> = (0..count).map(|i| low_cm1 + 2.0 * f64::from(i)).collect();
        let height = |x: f64| -> f64 {
            bands.iter().map(|(at, share)| 0.4 * share / (1.0 + ((x - at) / 6.0).powi(2))).sum()
        };
        let values = axis.iter().map(|x| 0.01 + height(*x)).collect();
        let measured = Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum");
        let prepared = prepare(&measured).expect("prepared");
        let peaks = crate::peaks::pick(&measured, &prepared);
        Self { measured, prepared, peaks }
    }

    fn match_input(&self) -> MatchInput<'_> {
        MatchInput::new(&self.measured, &self.prepared, &self.peaks)
    }
}

/// Many bands, few bands, and a spectrum that ends before most of them.
fn all_seen() -> [Seen; 3] {
    [Seen::new("PET", 450.0), Seen::new("PE-HD", 450.0), Seen::new("PVC", 1300.0)]
}

/// All that a fit says: numbers are written with every digit that tells them from others.
fn words(fit: Option<Fit>) -> String {
    format!("{fit:?}")
}

#[test]
fn fits_of_all_entries_are_those_of_each_alone() {
    let matcher = Matcher::new(Tables::built_in());
    let entries = matcher.entries();
    for seen in all_seen() {
        // By itself, and beside a material that explains every second peak.
        let half: Vec<f64> =
            (0..seen.peaks.list.len()).map(|i| f64::from(u8::from(i % 2 == 0))).collect();
        for explained in [&[][..], &half] {
            let input = seen.match_input().beside(explained);
            let together = fits(entries, input);
            let alone: Vec<Fit> =
                entries.iter().enumerate().filter_map(|(i, entry)| fit(i, entry, input)).collect();
            assert!(alone.len() > 10 && alone.len() < entries.len(), "{} fit", alone.len());
            assert_eq!(together.len(), alone.len());
            for (together, alone) in together.into_iter().zip(alone) {
                assert_eq!(words(Some(together)), words(Some(alone)));
            }
        }
    }
}

#[test]
fn room_used_again_leaves_no_trace_of_another_entry_or_spectrum() {
    let matcher = Matcher::new(Tables::built_in());
    let entries = matcher.entries();
    let all_seen = all_seen();
    let mut scratch = Scratch::default();
    let (mut fitted, mut without) = (0, 0);
    // Backwards, and from spectrum to spectrum: the entry before has now more bands, now fewer, and where it
    // had no fit it left off half-way.
    for (index, entry) in entries.iter().enumerate().rev() {
        for seen in &all_seen {
            let again = fit_with(index, entry, seen.match_input(), &mut scratch);
            if again.is_some() {
                fitted += 1
            } else {
                without += 1
            }
            assert_eq!(words(again), words(fit(index, entry, seen.match_input())), "entry {index}");
        }
    }
    assert!(fitted > 50 && without > 10, "{fitted} fitted, {without} did not");
}

#[test]
fn peaks_kept_for_a_band_are_those_found_when_it_is_asked_again() {
    let matcher = Matcher::new(Tables::built_in());
    let seen = Seen::new("PET", 450.0);
    let mut found = 0;
    for entry in matcher.entries() {
        let mut near = Near::default();
        for band in &entry.expected {
            candidate(band, false, seen.match_input(), &mut near);
        }
        assert_eq!(near.of_each().count(), entry.expected.len());
        for (kept, band) in near.of_each().zip(&entry.expected) {
            let mut again = Vec::new();
            best_of(band, false, seen.match_input(), &mut again);
            assert_eq!(kept, again, "at {}", band.position_cm1);
            found += kept.len();
        }
    }
    assert!(found > 100, "{found} found");
}

#[test]
fn half_the_height_at_its_place_excuses_a_wide_hydrogen_stretch_and_no_other_band() {
    let seen = Seen::new("PA6", 450.0);
    let matcher = Matcher::new(Tables::built_in());
    let any = matcher.entries()[0].expected[0].clone();
    // On the flank of the N–H stretch, where no top is.
    let position_cm1 = 3308.0;
    let spectrum = seen.prepared.spectrum();
    let point = nearest_index(spectrum.wavenumbers_cm1(), position_cm1).expect("measured");
    let here = share(spectrum.absorbances()[point], seen.peaks.strongest);
    assert!(here > LEAST_TESTABLE_SHARE, "{here}");
    let covered = |broad: bool, there: f64| {
        let band = Expected { position_cm1, broad, ..any.clone() };
        unanswered(&band, here / there, seen.match_input())
    };
    assert_eq!(covered(true, 0.5), Answer::Missing { covered: true });
    assert_eq!(covered(true, 0.2), Answer::Missing { covered: false });
    assert_eq!(covered(false, 0.5), Answer::Missing { covered: false });
}

#[test]
fn a_band_is_hidden_by_a_higher_neighbour_whose_flank_fills_its_place() {
    let seen = Seen::new("PET", 450.0);
    let matcher = Matcher::new(Tables::built_in());
    let any = matcher.entries()[0].expected[0].clone();
    let spectrum = seen.prepared.spectrum();
    let (_, carbonyl) = seen.peaks.within(1700.0, 1730.0).next().expect("a carbonyl");
    // So far from the carbonyl, where this share of the band's height is.
    let covered = |off_cm1: f64, there: f64| {
        let position_cm1 = carbonyl.position_cm1 + off_cm1;
        let point = nearest_index(spectrum.wavenumbers_cm1(), position_cm1).expect("measured");
        let here = share(spectrum.absorbances()[point], seen.peaks.strongest);
        let band = Expected { position_cm1, broad: false, ..any.clone() };
        unanswered(&band, here / there, seen.match_input())
    };
    for side in [-1.0, 1.0] {
        assert_eq!(covered(8.0 * side, 0.9), Answer::Missing { covered: true }, "{side}");
        assert_eq!(covered(8.0 * side, 0.7), Answer::Missing { covered: false }, "{side}");
    }
    // No higher than the band should be, it hides nothing.
    assert_eq!(covered(0.0, 0.9), Answer::Missing { covered: false });
    // Too far off: its feet do not look like a band.
    assert_eq!(covered(30.0, 0.9), Answer::Missing { covered: false });
}

#[test]
fn heights_that_the_detector_cut_set_the_scale_only_where_hardly_any_other_is_there() {
    let matcher = Matcher::new(Tables::built_in());
    let is_long = |entry: &&Entry| entry.expected.iter().filter(|band| !band.optional).count() >= 8;
    let entry = matcher.entries().iter().find(is_long).expect("a material of many bands");
    let expected: Vec<Expected> =
        entry.expected.iter().filter(|band| !band.optional).take(8).cloned().collect();
    let seen = Seen::new("PET", 450.0);
    let one = seen.peaks.list[0];
    // So many as high as expected, the others cut off at half of it.
    let scale_with = |whole: usize| {
        let mut peaks = seen.peaks.clone();
        peaks.has_ceiling = true;
        let height = |(at, band): (usize, &Expected)| Peak {
            share: if at < whole { band.share } else { 0.5 * band.share },
            at_least: at >= whole,
            ..one
        };
        peaks.list = expected.iter().enumerate().map(height).collect();
        let candidates: Vec<Candidate> = (0..8).map(|at| Candidate::Peak(at, 1.0)).collect();
        scale(&expected, &candidates, &peaks, &mut Vec::new())
    };
    assert_eq!(scale_with(2), Some(1.0));
    assert_eq!(scale_with(1), Some(0.5));
}
