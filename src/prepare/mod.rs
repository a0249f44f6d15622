//! Smooths, subtracts the baseline, masks and measures the noise.
