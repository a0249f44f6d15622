//! Least squares and banded solving: the only home of ndarray-linalg.
