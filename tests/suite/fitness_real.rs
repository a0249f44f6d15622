//! Real spectra with known faults: what is known of them must be found.

use std::path::{Path, PathBuf};

use bandlore::{
    Spectrum,
    fitness::{Fitness, Severity, check_film, examine_fully},
    read_path,
};

fn folder(name: &str) -> Option<PathBuf> {
    let path =
        Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/measured-spectra/spectra"))
            .join(name);
    if !path.exists() {
        println!("skipped 1: {} is not here", path.display());
        return None;
    }
    Some(path)
}

fn all(name: &str) -> Vec<(String, Spectrum, Fitness)> {
    let Some(folder) = folder(name) else { return Vec::new() };
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.sort();
    files
        .into_iter()
        .filter_map(|path| {
            let spectrum = read_path(&path, &Default::default()).next()?.ok()?;
            let name = path.file_name()?.to_string_lossy().into_owned();
            let fitness = examine_fully(&spectrum);
            Some((name, spectrum, fitness))
        })
        .collect()
}

/// The ids of what limits or forbids a judgement.
fn raised(fitness: &Fitness) -> Vec<&str> {
    let raised = fitness.findings().iter().filter(|f| f.severity > Severity::Note);
    raised.map(|f| f.id.as_str()).collect()
}

#[test]
fn a_students_bad_backgrounds_and_missed_contacts_are_refused_and_the_good_one_is_not() {
    // An open student project (MIT): two spectra without contact, five over a dirty background, one good.
    let found = all("student-items");
    for (name, _, fitness) in &found {
        let unfit = fitness.unfit().map(|finding| finding.id.as_str());
        let expected = match name.as_str() {
            "Silicone.csv" => None,
            "UltimakerPLA.csv" | "raise3dpla.csv" => Some("poor-contact"),
            _ => Some("inverted"),
        };
        assert_eq!(unfit, expected, "{name}: {:?}", raised(fitness));
        if expected == Some("poor-contact") {
            // The air in the beam is what was measured.
            assert!(raised(fitness).contains(&"carbon-dioxide"), "{name}");
        }
    }
    assert!(found.is_empty() || found.len() == 8);
}

#[test]
fn particles_under_a_reflection_microscope_are_read_with_their_limits() {
    // PE and PP particles on a mirror: light passes them twice, faces are parallel, the range ends early.
    let found = all("reflection-micro");
    let mut marked = 0;
    for (name, spectrum, fitness) in &found {
        let ids = raised(fitness);
        println!("{name}: {}", ids.join(", "));
        assert!(spectrum.range_cm1().0 > 700.0);
        assert!(ids.contains(&"range"), "{name}: {ids:?}");
        for band in ["c-cl-613", "c-cl-635", "c-cl-690"] {
            let finding = fitness.finding(band).expect("judged");
            assert!(finding.consequence.starts_with("not testable"), "{name}: {finding:?}");
        }
        let signs = ["fringes", "reflection-shape", "flattened"];
        marked += usize::from(signs.iter().any(|sign| ids.contains(sign)));
    }
    println!("fringes, turned or flat bands in {marked} of {}", found.len());
    assert!(2 * marked >= found.len());
}

#[test]
fn films_that_let_no_light_through_are_called_saturated() {
    // Fibre pellets and silicone layers in transmission; in each some bands reach zero.
    for set in ["rayon-and-pet", "silicone-cure"] {
        for (name, _, fitness) in all(set) {
            let finding = fitness.finding("saturated").unwrap_or_else(|| panic!("{set}/{name}"));
            assert!(finding.value.is_some_and(|percent| percent > 0.0), "{finding:?}");
            assert!(fitness.unfit().is_none(), "{set}/{name}: {:?}", fitness.unfit());
            if name.starts_with("laser-maybe") {
                assert!(finding.value.is_some_and(|percent| percent > 10.0), "{finding:?}");
                let ids = raised(&fitness);
                assert!(ids.contains(&"flattened") && ids.contains(&"clipped"), "{ids:?}");
            }
        }
    }
}

#[test]
fn a_good_film_and_a_good_paper_are_left_alone() {
    for (name, spectrum, fitness) in all("film-and-paper") {
        let ids = raised(&fitness);
        assert!(ids.iter().all(|id| id.starts_with("c-cl-")), "{name}: {ids:?}");
        if name.starts_with("polystyrene") {
            let film = check_film(&spectrum, |at| fitness.noise_sd_at(at)).expect("a film");
            assert!(film.bands.len() >= 5, "{film:?}");
        }
    }
}
