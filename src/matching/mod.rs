//! Scores the peaks of a spectrum against the open table.
