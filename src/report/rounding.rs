//! Figures as every JSON format of version 1 holds them.

/// Rounds to a fixed number of decimals; a value that is not finite becomes 0, which JSON can hold.
pub(crate) fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    let round = (value * scale).round() / scale;
    if round.is_finite() { round + 0.0 } else { 0.0 }
}

/// As [`rounded`], but a value that is not finite is left out.
pub(crate) fn finite(value: f64, decimals: i32) -> Option<f64> {
    value.is_finite().then(|| rounded(value, decimals))
}
