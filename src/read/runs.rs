//! Whether a column's values are an axis, or count rows.

/// An abscissa runs one way in this share of its steps; a stray row or two may turn back.
const ONE_WAY_SHARE: f64 = 0.9;

#[allow(clippy::cast_precision_loss, reason = "counts of lines looked at")]
pub(super) fn share(part: usize, all: usize) -> f64 {
    if all == 0 { 0.0 } else { part as f64 / all as f64 }
}

/// Returns whether values run one way, as an axis does. Jumps of the sample count as one step.
pub(super) fn runs_one_way(values: &[f64]) -> bool {
    if values.len() < 2 || values.iter().any(|&v| v <= 0.0) {
        // One row says nothing; the first column is taken then.
        return values.len() == 1;
    }
    let steps = values.len() - 1;
    let up = values.windows(2).filter(|pair| pair[0] < pair[1]).count();
    let down = values.windows(2).filter(|pair| pair[0] > pair[1]).count();
    share(up.max(down), steps) >= ONE_WAY_SHARE
}

/// Returns whether values count 0, 1, 2 … or 1, 2, 3 …, as a spreadsheet's row numbers do.
pub(super) fn counts_rows(values: &[f64]) -> bool {
    let from_start = values.first().is_some_and(|&v| v == 0.0 || v == 1.0);
    from_start && values.windows(2).take(8).all(|pair| pair[1] - pair[0] == 1.0)
}
