//! Look-alikes in one table: each row a place in the spectrum, each column a candidate.

use crate::judge::{BandEvidence, BandState};

/// One place, with what each candidate expects there.
pub(super) struct SharedRow<'a> {
    /// Where it was found, else where it is expected, in cm⁻¹.
    pub(super) place_cm1: f64,
    /// Height as a share of the strongest band, where it was found.
    pub(super) share: Option<f64>,
    /// The assignment of the first candidate that expects it.
    pub(super) assignment: &'a str,
    /// What happened to the band of each candidate; `None` where it expects none here.
    pub(super) states: Vec<Option<BandState>>,
}

/// Bands not found that are expected nearer to each other than this are one row, in cm⁻¹: the table's
/// own windows are wider.
const SAME_PLACE_CM1: f64 = 4.0;

/// Joins the evidence of several candidates, falling in wavenumber.
pub(super) fn shared<'a>(evidence: &[(&str, &'a [BandEvidence])]) -> Vec<SharedRow<'a>> {
    let mut rows: Vec<SharedRow<'a>> = Vec::new();
    for (column, (_, bands)) in evidence.iter().enumerate() {
        for band in *bands {
            let place_cm1 = band.found_cm1.unwrap_or(band.expected_cm1);
            let same = rows.iter_mut().find(|row| {
                let step = (row.place_cm1 - place_cm1).abs();
                let found = row.share.is_some() && band.found_cm1.is_some();
                // Two bands found are one row only where it is one and the same peak.
                row.states[column].is_none() && step < if found { 0.05 } else { SAME_PLACE_CM1 }
            });
            match same {
                Some(row) => {
                    row.states[column] = Some(band.state);
                    if row.share.is_none() && band.found_cm1.is_some() {
                        row.place_cm1 = place_cm1;
                        row.share = band.share;
                    }
                }
                None => {
                    let mut states = vec![None; evidence.len()];
                    states[column] = Some(band.state);
                    rows.push(SharedRow {
                        place_cm1,
                        share: band.share.filter(|_| band.found_cm1.is_some()),
                        assignment: &band.assignment,
                        states,
                    });
                }
            }
        }
    }
    rows.sort_by(|a, b| b.place_cm1.total_cmp(&a.place_cm1));
    rows
}

/// What stands in a cell.
pub(super) fn cell(state: Option<BandState>) -> &'static str {
    match state {
        Some(BandState::Met) => "found",
        Some(BandState::Missing) => "not found",
        Some(BandState::Untestable) => "untested",
        None => "–",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn band(expected_cm1: f64, found_cm1: Option<f64>) -> BandEvidence {
        BandEvidence {
            band: String::new(),
            expected_cm1,
            assignment: "CH2".into(),
            required: false,
            state: if found_cm1.is_some() { BandState::Met } else { BandState::Missing },
            found_cm1,
            share: found_cm1.map(|_| 0.5),
            note: String::new(),
            depth_um: None,
            status: String::new(),
        }
    }

    #[test]
    fn one_peak_is_one_row_and_two_peaks_are_two() {
        let (high, low) = (
            [band(2915.0, Some(2914.2)), band(719.0, Some(718.4))],
            [band(2916.0, Some(2914.2)), band(1377.0, None), band(730.0, Some(729.1))],
        );
        let rows = shared(&[("PE-HD", &high), ("PE-LD", &low)]);
        let cells: Vec<Vec<&str>> =
            rows.iter().map(|row| row.states.iter().map(|s| cell(*s)).collect()).collect();
        assert_eq!(cells, [["found", "found"], ["–", "not found"], ["–", "found"], ["found", "–"]]);
        assert_eq!(rows[0].place_cm1, 2914.2);
    }
}
