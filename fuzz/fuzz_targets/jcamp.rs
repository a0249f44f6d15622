//! Bytes as JCAMP-DX: as they are, and as the data lines of an infrared block.
#![no_main]

use bandlore::{ReadOptions, read::decode_jcamp_blocks, read_bytes};
use libfuzzer_sys::fuzz_target;

const HEAD: &str = "##TITLE=x\n##JCAMP-DX=4.24\n##DATA TYPE=INFRARED SPECTRUM\n##XUNITS=1/CM\n\
                    ##YUNITS=ABSORBANCE\n##XFACTOR=1\n##YFACTOR=0.001\n##FIRSTX=400\n##LASTX=4000\n\
                    ##XYDATA=(X++(Y..Y))\n";

fn read(bytes: &[u8]) {
    for answer in read_bytes(bytes, "fuzz.dx", &ReadOptions::default()) {
        match answer {
            Ok(spectrum) => {
                assert!(spectrum.absorbances().iter().all(|a| a.is_finite()));
                assert!(spectrum.wavenumbers_cm1().windows(2).all(|pair| pair[0] < pair[1]));
            }
            Err(error) => {
                let text = error.to_string();
                assert!(text.starts_with("fuzz.dx") && !text.contains(['\n', '\r']), "{text}");
            }
        }
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        let _ = decode_jcamp_blocks(text, "fuzz.dx").len();
    }
}

fuzz_target!(|data: &[u8]| {
    read(data);
    read(&[HEAD.as_bytes(), data, b"\n##END=\n"].concat());
});
