//! Claims of candidate sheets, settled by a reference in the windows of the look-alikes that are left.
//!
//! Curves are the table's own rows put together, so that every pair of look-alikes can be tried; bands
//! altered by hand stand for a reference of something else. That the rows of a material resemble it is
//! tested against measured data elsewhere.

use std::cell::RefCell;

use bandlore::{
    Identification, Spectrum, Tables,
    judge::Outcome,
    object::{
        examine_object,
        sheets::{Claim, ClaimOutcome},
    },
    spectrum::SpectrumParts,
};

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::made::{Made, Shape, rows, spectrum};
use crate::object::{either, examine_with, identification, is, sheet, three};

/// Noise of a good measurement, as a share of the highest band.
const NOISE: f64 = 1.0e-4;

const VOUCHED: &str = "reference = \"r.csv\"\nreference_vouched_by = \"invented maker, batch 1\"\n";

fn curve(bands: &[Made]) -> Spectrum {
    spectrum(bands, Shape::Lorentz, NOISE, 400.0)
}

/// The same, pressed a little worse: the more is lost the higher the wavenumber.
fn pressed_worse(bands: &[Made]) -> Spectrum {
    let lost = |&(at, height, width): &Made| (at, height * (-at / 8000.0).exp(), width);
    curve(&bands.iter().map(lost).collect::<Vec<_>>())
}

/// The same spot measured once more: where no band stands, the noise is its own, for no two measurements share that.
fn measured_again(spectrum: &Spectrum, at: usize) -> Spectrum {
    let mut random = ChaCha8Rng::seed_from_u64(1000 + at as u64);
    let points = spectrum.wavenumbers_cm1().iter().zip(spectrum.absorbances());
    let absorbances = points
        .map(|(x, a)| {
            let own = 0.4 * NOISE * (2.0 * random.random::<f64>() - 1.0);
            if (1850.0..2650.0).contains(x) { a + own } else { *a }
        })
        .collect();
    Spectrum::new(SpectrumParts::new(spectrum.wavenumbers_cm1().to_vec(), absorbances))
        .expect("as sound as the first")
}

/// A claim with what the spots were found to be, their curve and that of the reference.
fn claim_with(
    claimed: &str,
    spots: &[(&'static str, &'static str, Identification)],
    measured: &Spectrum,
    reference: &Spectrum,
    tables: &Tables,
) -> Claim {
    let text = sheet(claimed, &format!("{VOUCHED}reference_material = \"{claimed}\"\n"));
    let claim = RefCell::new(None);
    examine_with(&text, spots, |input| {
        for (at, spot) in input.spectra.iter_mut().enumerate() {
            spot.spectrum = measured_again(measured, at);
        }
        input.references = vec![("N".to_owned(), reference.clone())];
        let found = examine_object(input.clone(), tables);
        claim.replace(Some(found.candidates[0].claim.clone()));
    });
    claim.into_inner().expect("a claim")
}

fn claim(claimed: &str, found: &[&str], measured: &Spectrum, reference: &Spectrum) -> Claim {
    claim_with(claimed, &three(&either(found)), measured, reference, Tables::built_in())
}

#[test]
fn a_urethane_is_settled_by_the_bands_of_urethanes_and_not_by_those_of_terephthalates() {
    let ether = rows("PUR-ether");
    let sound =
        claim("PUR-ether", &["PUR-ether", "PUR-ester"], &pressed_worse(&ether), &curve(&ether));
    assert_eq!(sound.outcome, ClaimOutcome::AsClaimed, "{}", sound.why);
    // +150 % at 1098 and −85 % at 1728 leave every window of PET and PETG as it was.
    let altered: Vec<Made> = ether
        .iter()
        .map(|&(at, height, width)| match at {
            1060.0..1110.0 => (at, 2.5 * height, width),
            1700.0..1740.0 => (at, 0.15 * height, width),
            _ => (at, height, width),
        })
        .collect();
    let odd = claim("PUR-ether", &["PUR-ether", "PUR-ester"], &curve(&ether), &curve(&altered));
    assert_eq!(odd.outcome, ClaimOutcome::ConsistentNotExcluded, "{}", odd.why);
    assert!(odd.why.contains("differs in the bands that tell"), "{}", odd.why);
}

#[test]
fn windows_tell_every_two_members_of_their_group() {
    let tables = Tables::built_in();
    let mut tried = 0;
    for group in tables.groups().iter().filter(|g| tables.windows_of(&g.id).next().is_some()) {
        for ours in &group.members {
            for other in group.members.iter().filter(|id| *id != ours) {
                let found = [ours.as_str(), other.as_str()];
                let (a, b) = (curve(&rows(ours)), curve(&rows(other)));
                let right = claim(ours, &found, &pressed_worse(&rows(ours)), &a);
                let wrong = claim(ours, &found, &b, &a);
                let smallest = tables.group_of(&found).expect("a group");
                if smallest.id == group.id {
                    assert_eq!(right.outcome, ClaimOutcome::AsClaimed, "{ours}: {}", right.why);
                    tried += 1;
                }
                assert_eq!(
                    wrong.outcome,
                    ClaimOutcome::ConsistentNotExcluded,
                    "{other} sold as {ours}: {}",
                    wrong.why
                );
            }
        }
    }
    assert!(tried >= 4, "{tried}");
}

#[test]
fn a_reference_that_is_the_sheet_s_own_spectrum_written_again_settles_nothing() {
    let own = curve(&rows("PETG"));
    let scaled = own.absorbances().iter().map(|a| 1.02 * a + 0.001).collect();
    let again = Spectrum::new(SpectrumParts::new(own.wavenumbers_cm1().to_vec(), scaled))
        .expect("as sound as the first");
    let text = sheet("PETG", &format!("{VOUCHED}reference_material = \"PETG\"\n"));
    let found = examine_with(&text, &three(&either(&["PET", "PETG"])), |input| {
        for (at, spot) in input.spectra.iter_mut().enumerate() {
            spot.spectrum = if at == 1 { again.clone() } else { measured_again(&own, at) };
        }
        input.references = vec![("N".to_owned(), own.clone())];
    });
    let claim = &found.candidates[0].claim;
    assert_eq!(claim.outcome, ClaimOutcome::ConsistentNotExcluded);
    assert!(claim.why.contains("is the sheet's own spectrum"), "{}", claim.why);
}

#[test]
fn look_alikes_without_windows_cannot_be_settled_by_a_reference() {
    let curve = curve(&rows("PE-LD"));
    let found = claim("PE-LD", &["PE-LD", "PE-HD"], &curve, &curve);
    assert_eq!(found.outcome, ClaimOutcome::ConsistentNotExcluded);
    let said =
        "cannot be settled by this reference: the table states no windows for PE-LD and PE-HD";
    assert!(found.why.contains(said), "{}", found.why);
    let way = |text: &str| found.settled_by.iter().any(|way| way.contains(text));
    assert!(way("density") && !way("a reference"), "{:?}", found.settled_by);
}

#[test]
fn a_table_of_ones_own_says_where_a_reference_is_heard() {
    let folder = tempfile::tempdir().expect("a folder");
    Tables::built_in().export(folder.path()).expect("exported");
    let path = folder.path().join("windows.csv");
    let text = std::fs::read_to_string(&path).expect("exported too");
    let kept: Vec<&str> = text.lines().filter(|line| !line.starts_with("polyurethane")).collect();
    assert!(kept.len() < text.lines().count());
    std::fs::write(&path, kept.join("\n")).expect("written");
    let own = Tables::load(folder.path()).expect("sound");
    assert_ne!(own.sha256(), Tables::built_in().sha256());
    let curve = curve(&rows("PUR-ether"));
    let found = three(&either(&["PUR-ether", "PUR-ester"]));
    let found = claim_with("PUR-ether", &found, &curve, &curve, &own);
    assert_eq!(found.outcome, ClaimOutcome::ConsistentNotExcluded);
    assert!(found.why.contains("the table states no windows"), "{}", found.why);

    let faulty = |row: &str| {
        std::fs::write(&path, format!("{text}{row}\n")).expect("written");
        Tables::load(folder.path()).expect_err("faulty").to_string()
    };
    let source = "limits ours,peer-reviewed,memory,";
    for (row, wanted) in [
        (format!("x-700,x,700,760,a band,{source}"), "\"x\" is not in groups.csv"),
        (format!("styrenic-960,styrenic,960,970,a band,{source}"), "10 cm⁻¹ wide"),
        (
            format!("polyurethane-1100,polyurethane,1100,1250,a band,{source}"),
            "overlaps \"polyurethane-1030\"",
        ),
        ("styrenic-940,styrenic,940,990,a band,,peer-reviewed,memory,".to_owned(), "source"),
    ] {
        let found = faulty(&row);
        assert!(found.contains("windows.csv") && found.contains(wanted), "{row}: {found}");
    }
}

#[test]
fn a_face_that_could_not_be_judged_or_is_left_open_does_not_count_as_measured() {
    let curve = curve(&rows("PC"));
    let with = |second: Identification| {
        let mut spots = three(&is("PC"));
        spots[1].2 = second;
        claim_with("PC", &spots, &curve, &curve, Tables::built_in())
    };
    let dark = with(identification(Outcome::NotEnoughSignal));
    assert_eq!(dark.outcome, ClaimOutcome::ThisFaceAgrees, "{}", dark.why);
    assert!(dark.why.contains("could not be judged: face b"), "{}", dark.why);
    assert_eq!(dark.settled_by, ["measure again face b"]);
    let open = with(either(&["PC", "PAR"]));
    assert_eq!(open.outcome, ClaimOutcome::ThisFaceAgrees, "{}", open.why);
    assert!(open.why.contains("left open: face b"), "{}", open.why);
}

#[test]
fn a_spot_without_signal_neither_settles_nor_unsettles_what_a_reference_says() {
    let ether = curve(&rows("PUR-ether"));
    let found = either(&["PUR-ether", "PUR-ester"]);
    let mut spots = three(&found);
    spots[1].2 = identification(Outcome::NotEnoughSignal);
    let dark = claim_with("PUR-ether", &spots, &ether, &ether, Tables::built_in());
    assert_eq!(dark.outcome, ClaimOutcome::ThisFaceAgrees, "{}", dark.why);
    assert!(dark.why.contains("could not be judged: face b"), "{}", dark.why);
}
