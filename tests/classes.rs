//! The evidence of classes, asked of measured spectra that are none of the table's own.

use std::fs;
use std::path::Path;

use bandlore::{
    Class, Examined, Examiner, MeasuredBy, MeasurementMode, Observed, ReadOptions, Tables, Verdict,
    evaluate, read_bytes,
};

/// Says whether a spectrum shows a class.
fn shows(class: &Class, examined: &Examined) -> Verdict {
    let observed = Observed::new(&examined.spectrum, &examined.prepared, &examined.peaks);
    let asked = match class.measured_by {
        MeasuredBy::Any => true,
        MeasuredBy::Atr => observed.mode() == MeasurementMode::Atr,
        MeasuredBy::Transmission => observed.mode() == MeasurementMode::Transmission,
    };
    if !asked {
        return Verdict::NotTestable;
    }
    let questions = class.questions.questions.iter();
    let answers: Vec<Verdict> =
        questions.map(|x| evaluate(&x.predicate, &observed).verdict).collect();
    class.questions.decide(&answers)
}

/// Returns the classes that a spectrum shows.
fn shown(examined: &Examined) -> Vec<&'static str> {
    let classes = Tables::built_in().classes().iter();
    classes.filter(|x| shows(x, examined) == Verdict::Yes).map(|x| x.id.as_str()).collect()
}

#[test]
fn measured_optical_constants_show_their_own_class_and_no_other() {
    // Outside source: n and k of Zhang et al. 2020, Tsuda et al. 2018, David 2022 and Querry 1987 (CC0), with
    // the absorbance of one diamond bounce computed from them by the publisher of the shared series.
    // Their grids of 4 to 10 cm⁻¹ blur sharp bands, so that a class may be missed but never wrong.
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/optical-constants"));
    if !folder.exists() {
        println!("skipped 1 test: {} is not there", folder.display());
        return;
    }
    let cases: [(&str, &[&str]); 13] = [
        ("DEP", &[]),
        ("KAOL", &[]),
        ("PC", &[]),
        ("PDMS", &[]),
        ("PE", &[]),
        ("PEI", &[]),
        ("PET", &[]),
        ("PMMA_TBB", &["acrylic-ester"]),
        ("PMMA_ZM", &["acrylic-ester"]),
        ("PMMA_ZT", &["acrylic-ester"]),
        ("PS_M", &["styrenic"]),
        ("PS_Z", &[]),
        ("PVC", &["vinyl-chloride"]),
    ];
    let examiner = Examiner::new(Tables::built_in());
    for (name, expected) in cases {
        let path = folder.join(format!("{name}_nk_atr.csv"));
        let series = fs::read_to_string(&path).expect("a series");
        let lines = series.lines().skip(1).map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            format!("{},{}\n", cells[0], cells[3])
        });
        let text = format!("wavenumber,absorbance\n{}", lines.collect::<String>());
        let spectrum = read_bytes(text.as_bytes(), name, &ReadOptions::default())
            .next()
            .expect("a spectrum")
            .expect("read");
        let examined = examiner.examine(spectrum).expect("examined");
        assert_eq!(shown(&examined), expected, "{name}");
    }
}
