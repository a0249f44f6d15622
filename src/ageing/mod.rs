//! Ageing markers, comparison of faces, routes and dose series.
