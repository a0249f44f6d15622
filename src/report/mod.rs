//! Report values and their writers.
