//! Bytes in, spectra out.
