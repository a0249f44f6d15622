//! Bytes as a text table, with the options that change how one is read.
#![no_main]

use bandlore::{
    ReadOptions,
    read::Column,
    read_bytes,
    spectrum::{MeasurementMode, Ordinate},
};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let Some((&choice, bytes)) = data.split_last() else { return };
    let options = ReadOptions::default()
        .with_ordinate((choice & 1 > 0).then_some(Ordinate::PercentTransmittance))
        .with_mode((choice & 2 > 0).then_some(MeasurementMode::Transmission))
        .with_column((choice & 4 > 0).then(|| Column::Number(usize::from(choice >> 5))))
        .with_block((choice & 8 > 0).then_some(usize::from(choice >> 6)));
    for answer in read_bytes(bytes, "fuzz.csv", &options) {
        match answer {
            Ok(spectrum) => {
                assert!(spectrum.absorbances().iter().all(|a| a.is_finite()));
                assert!(spectrum.wavenumbers_cm1().windows(2).all(|pair| pair[0] < pair[1]));
            }
            Err(error) => {
                let text = error.to_string();
                assert!(text.starts_with("fuzz.csv") && !text.contains(['\n', '\r']), "{text}");
            }
        }
    }
});
