//! Sheets offered and what stands beside a part: what may be said of copies, of soft and rigid, of blends and of faces.
//!
//! Identifications are made by hand and parts are invented, so that each rule is tried by itself.

use bandlore::{
    Identification, Spectrum, Tables,
    judge::{Component, Outcome, Plasticiser, Relation},
    object::{
        examine_object,
        findings::{ObjectFindings, Topic},
        sheets::{Claim, ClaimOutcome},
    },
    spectrum::SpectrumParts,
};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::json;

use crate::object::{coated, either, examine, examine_with, identification, is, sheet, three};
use crate::stated::stated;

/// A band on a slope with white noise of its own.
fn measured(seed: u64) -> Spectrum {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let axis: Vec<f64> = (0..1800).map(|i| 400.0 + 2.0 * f64::from(i)).collect();
    let mut value = |x: &f64| {
        let deviate: f64 = (0..12).map(|_| random.random::<f64>()).sum::<f64>() - 6.0;
        0.5 / (1.0 + ((x - 1430.0) / 12.0).powi(2)) + 1.0e-5 * x + 1.0e-4 * deviate
    };
    let values = axis.iter().map(&mut value).collect();
    Spectrum::new(SpectrumParts::new(axis, values)).expect("a spectrum")
}

fn written(one: &Spectrum, how: impl Fn(f64) -> f64) -> Spectrum {
    let values = one.absorbances().iter().map(|value| how(*value)).collect();
    Spectrum::new(SpectrumParts::new(one.wavenumbers_cm1().to_vec(), values)).expect("a spectrum")
}

const SHEETS: &str = "[[part]]\nid = \"A\"\n[[candidate]]\nid = \"S1\"\nclaimed = \"PMMA\"\n\
                      [[candidate]]\nid = \"S5\"\nclaimed = \"PMMA\"\n";

/// Two sheets of three spots each, of which the second's are made from the first's; its first `copied` of them.
fn offered(copied: usize, how: impl Fn(f64) -> f64 + Copy) -> ObjectFindings {
    let faces = ["face a", "face b", "cut edge"];
    let of = |sheet: &'static str| faces.map(|face| (sheet, face, is("PMMA")));
    let spots: Vec<_> = of("S1").into_iter().chain(of("S5")).collect();
    examine_with(SHEETS, &spots, |input| {
        for at in 0..6 {
            let own = measured(at as u64 + 1);
            let is_copy = at >= 3 && at < 3 + copied;
            input.spectra[at].spectrum =
                if is_copy { written(&measured(at as u64 - 2), how) } else { own };
        }
    })
}

#[test]
fn spectra_of_another_sheet_speak_for_neither_however_they_were_written() {
    for (how, found) in [
        ("scaled", offered(3, |v| 1.3 * v)),
        ("raised", offered(3, |v| v + 0.02)),
        ("rounded", offered(3, |v| (v * 2.0e4).round() / 2.0e4)),
        ("per cent", offered(3, |v| -((100.0 * 10f64.powf(-v) * 1e3).round() / 1e5).log10())),
        ("one face", offered(1, |v| 1.3 * v)),
    ] {
        for (sheet, other) in ["S5", "S1"].into_iter().enumerate() {
            let claim = &found.candidates[sheet].claim;
            assert_eq!(claim.outcome, ClaimOutcome::CannotTell, "{how}: {claim:?}");
            let why = match how {
                "one face" => format!("1 of its 3 spectra are those of {other}; "),
                _ => format!("its spectra are those of {other}; "),
            };
            assert!(claim.why.starts_with(&why), "{how}: {}", claim.why);
        }
        let told = |text: &str| text.contains("for S1 and for S5");
        let first = found.summary.iter().filter(|line| line.topic == Topic::Records);
        assert_eq!(first.filter(|line| told(&line.text)).count(), 1, "{how}");
        assert_eq!(found.warnings.iter().filter(|doubt| told(&doubt.text)).count(), 1, "{how}");
    }
    let many = offered(3, |v| 1.3 * v);
    let doubt = &many.warnings[0].text;
    let begin =
        "3 measurements are given twice, the first as 0.csv and as 3.csv, for S1 and for S5";
    assert!(doubt.starts_with(begin), "{doubt}");
    let own = offered(0, |v| v);
    assert!(own.warnings.is_empty(), "{:?}", own.warnings);
    assert!(own.candidates.iter().all(|c| c.claim.outcome == ClaimOutcome::AsClaimed));
}

fn claim(claimed: &str, found: &Identification) -> Claim {
    examine(&sheet(claimed, ""), &three(found)).candidates[0].claim.clone()
}

fn pvc(plasticiser: Option<Plasticiser>) -> Identification {
    let mut made = is("PVC");
    made.plasticiser = plasticiser;
    made
}

fn phthalate() -> Option<Plasticiser> {
    Some(Plasticiser::Class { id: "plasticiser-ortho-phthalate".to_owned() })
}

#[test]
fn soft_pvc_without_a_plasticiser_is_not_as_claimed_and_rigid_pvc_with_one_neither() {
    for soft in ["plasticised PVC", "PVC-P", "soft PVC", "flexible PVC", "weich-PVC"] {
        let none = claim(soft, &pvc(Some(Plasticiser::NoneSeen)));
        assert_eq!(none.outcome, ClaimOutcome::NotAsClaimed, "{soft}: {}", none.why);
        assert!(none.why.contains("no plasticiser seen at 3 of 3 spots"), "{}", none.why);
        let found = claim(soft, &pvc(phthalate()));
        assert_eq!(found.outcome, ClaimOutcome::ConsistentNotExcluded, "{soft}: {}", found.why);
        assert!(found.why.contains("plasticiser-ortho-phthalate was found"), "{}", found.why);
        for open in [None, Some(Plasticiser::NotTestable { why: "made by hand".to_owned() })] {
            let open = claim(soft, &pvc(open));
            assert_eq!(open.outcome, ClaimOutcome::CannotTell, "{soft}: {}", open.why);
        }
    }
    // One spot that was not tested leaves room for it.
    let mut spots = three(&pvc(Some(Plasticiser::NoneSeen)));
    spots[2].2.plasticiser = None;
    let open = examine(&sheet("soft PVC", ""), &spots).candidates[0].claim.clone();
    assert_eq!(open.outcome, ClaimOutcome::CannotTell, "{}", open.why);
    for rigid in ["rigid PVC", "PVC-U", "Hart-PVC", "PVC, unplasticised"] {
        let found = claim(rigid, &pvc(phthalate()));
        assert_eq!(found.outcome, ClaimOutcome::NotAsClaimed, "{rigid}: {}", found.why);
        let none = claim(rigid, &pvc(Some(Plasticiser::NoneSeen)));
        assert_eq!(none.outcome, ClaimOutcome::ConsistentNotExcluded, "{rigid}: {}", none.why);
    }
    // Of a material that takes none, softness asks for nothing.
    assert_eq!(claim("rigid PC sheet", &is("PC")).outcome, ClaimOutcome::AsClaimed);
}

#[test]
fn a_blend_is_claimed_of_all_its_parts_and_a_choice_of_one() {
    for blend in ["PC/ABS", "ABS/PC", "PC/ABS blend", "PC + ABS", "PC-ABS", "PC and ABS"] {
        let one = claim(blend, &is("PC"));
        assert_eq!(one.outcome, ClaimOutcome::CannotTell, "{blend}: {}", one.why);
        assert!(one.why.contains("ABS, which the claim names, was not found"), "{}", one.why);
        let neither = claim(blend, &is("PET"));
        assert_eq!(neither.outcome, ClaimOutcome::NotAsClaimed, "{blend}: {}", neither.why);
        let mut both = coated("ABS", "PC");
        assert_eq!(claim(blend, &both).outcome, ClaimOutcome::CannotTell, "a coat is no blend");
        both.components[1].relation = Relation::Blend;
        both.chlorine = is("PC").chlorine;
        let both = claim(blend, &both);
        assert_eq!(both.outcome, ClaimOutcome::ThisFaceAgrees, "{blend}: {}", both.why);
    }
    let salt = claim("PVC/PMMA", &is("PVC"));
    assert_eq!(salt.outcome, ClaimOutcome::CannotTell, "{}", salt.why);
    assert_eq!(claim("PC or ABS", &is("PC")).outcome, ClaimOutcome::AsClaimed);
}

#[test]
fn a_plasticiser_may_enter_a_foam_too_and_one_that_was_not_judged_is_not_excluded() {
    let text = "[[part]]\nid = \"toy\"\n[[part]]\nid = \"cup\"\n[[part]]\nid = \"box\"\n\
                [[neighbour]]\nname = \"foam\"\nmaterial = \"plastic\"\nbeside = [\"toy\"]\nrelation = \"touching\"\n\
                [[neighbour]]\npart = \"cup\"\nbeside = [\"toy\"]\nrelation = \"touching\"\n\
                [[neighbour]]\npart = \"box\"\nbeside = [\"toy\"]\nrelation = \"touching\"\n";
    let with = |toy: Identification| {
        let spots =
            [("toy", "exposed", toy), ("cup", "exposed", is("PS")), ("box", "exposed", is("PP"))];
        examine(text, &spots)
    };
    let beside = |found: &ObjectFindings| -> Vec<(String, String)> {
        let risks = found.neighbours.iter().filter(|risk| risk.rule == "plasticiser-into-plastic");
        risks.map(|risk| (risk.neighbour.clone(), risk.advice.clone())).collect()
    };
    let found = with(pvc(phthalate()));
    let risks = beside(&found);
    assert_eq!(risks.iter().map(|(name, _)| name.as_str()).collect::<Vec<_>>(), ["foam", "cup"]);
    assert!(risks.iter().all(|(_, advice)| advice.starts_with("Part them")), "{risks:?}");
    assert!(found.recorded_neighbours.iter().all(|pair| pair.neighbour == "box"));
    for open in [None, Some(Plasticiser::NotTestable { why: "made by hand".to_owned() })] {
        let open = with(pvc(open));
        let risks = beside(&open);
        assert_eq!(risks.len(), 2, "{risks:?}");
        let begin = "Plasticiser not excluded; part them";
        assert!(risks.iter().all(|(_, advice)| advice.starts_with(begin)), "{risks:?}");
        let words = &open.neighbours.iter().find(|r| r.neighbour == "foam").expect("one").words;
        assert!(words.starts_with("toy: a plasticiser is not excluded."), "{words}");
    }
    assert!(beside(&with(pvc(Some(Plasticiser::NoneSeen)))).is_empty());
    assert!(beside(&with(is("PC"))).is_empty());
}

fn on_first_page(found: &ObjectFindings, topic: Topic) -> Vec<&str> {
    let lines = found.summary.iter().filter(|line| line.topic == topic);
    lines.map(|line| line.text.as_str()).collect()
}

#[test]
fn a_part_that_was_judged_is_never_said_not_to_have_been() {
    let text =
        "[[part]]\nid = \"A\"\n[[part]]\nid = \"B\"\n[[part]]\nid = \"C\"\n[[part]]\nid = \"D\"\n";
    let found = examine(
        text,
        &[
            ("A", "unknown", is("PC")),
            ("B", "unknown", is("PS")),
            ("C", "cut edge", is("PC")),
            ("D", "exposed", identification(Outcome::NotEnoughSignal)),
        ],
    );
    assert_eq!(
        on_first_page(&found, Topic::Ageing),
        [
            "A and B: not compared, no face was stated.",
            "C: not compared, only the cut edge was measured.",
            "D: not compared, no face could be judged."
        ]
    );
}

#[test]
fn what_contains_chlorine_is_kept_apart_whether_or_not_a_neighbour_is_recorded() {
    let text = "[[part]]\nid = \"A\"\n[[part]]\nid = \"B\"\n[[part]]\nid = \"C\"\n[[part]]\nid = \"D\"\n\
                [[neighbour]]\nname = \"rim\"\nmaterial = \"copper alloy\"\nbeside = [\"D\"]\nrelation = \"touching\"\n";
    let spots = [
        ("A", "exposed", is("PVC")),
        ("B", "exposed", is("PC")),
        ("C", "exposed", identification(Outcome::NotInTable)),
        ("D", "exposed", is("PVC")),
    ];
    let found = examine(text, &spots);
    let lines = on_first_page(&found, Topic::Action);
    let keep: Vec<_> = lines.iter().filter(|line| line.starts_with("Keep apart")).collect();
    assert_eq!(keep.len(), 1, "{lines:?}");
    // D has its own line, beside the rim.
    assert!(keep[0].contains(": A, for the chlorine, and C until tested."), "{keep:?}");
    assert!(lines.iter().any(|line| line.starts_with("D beside rim: place an acid indicator")));
    let clean = examine("[[part]]\nid = \"B\"\n", &[("B", "exposed", is("PC"))]);
    let lines = on_first_page(&clean, Topic::Action);
    assert!(lines.iter().all(|line| !line.starts_with("Keep apart")), "{lines:?}");
}

/// Each face of a sheet with the same at three spots.
fn faces(of: [&Identification; 3]) -> Vec<(&'static str, &'static str, Identification)> {
    let names = ["face a", "face b", "cut edge"].into_iter().zip(of);
    names.flat_map(|(face, made)| [0; 3].map(|_| ("N", face, made.clone()))).collect()
}

#[test]
fn what_lies_on_one_face_of_a_sheet_is_said_with_its_face_and_count() {
    let mut greased = is("PC");
    let deposit: Component = stated(
        json!({ "id": "PDMS", "role": "polymer", "relation": Relation::DepositOn, "evidence": [] }),
    );
    greased.components.push(deposit);
    let found = examine(&sheet("PC", ""), &faces([&greased, &is("PC"), &is("PC")]));
    let why = &found.candidates[0].claim.why;
    assert!(why.contains("9 of 9 spots agree; PDMS on it at 3 of 9 (face a)"), "{why}");
    let bare = examine(&sheet("PC", ""), &faces([&is("PC"), &is("PC"), &is("PC")]));
    assert!(!bare.candidates[0].claim.why.contains("PDMS"));
}

#[test]
fn faces_of_a_sheet_that_differ_are_told_face_by_face() {
    let body = either(&["PE-HD", "PE-LD"]);
    let found = examine(&sheet("PET", ""), &faces([&is("PET"), &is("PET"), &body]));
    let claim = &found.candidates[0].claim;
    assert_eq!(claim.outcome, ClaimOutcome::CannotTell, "{}", claim.why);
    let words = "the faces differ: face a: PET at 3 of 3 spots; face b: PET at 3 of 3 spots; \
                 cut edge: PE-HD or PE-LD at 3 of 3 spots";
    assert!(claim.why.starts_with(words), "{}", claim.why);
    assert!(!claim.why.contains("measure again"), "{}", claim.why);
    // Spots of one face that contradict each other are still named as such.
    let mut spots = faces([&is("PET"), &is("PET"), &body]);
    spots[0].2 = is("PC");
    let odd = examine(&sheet("PET", ""), &spots);
    let why = &odd.candidates[0].claim.why;
    assert!(why.contains("measure again beside it"), "{why}");
}

#[test]
fn many_spots_of_many_parts_are_held_against_each_other_in_no_time() {
    let mut text = String::new();
    let spots: Vec<(&str, &str, Identification)> =
        (0..60).map(|_| ("A", "unknown", is("PC"))).collect();
    for at in 0..60 {
        text.push_str(&format!("[[part]]\nid = \"P{at}\"\n"));
    }
    text.push_str("[[part]]\nid = \"A\"\n");
    let took = std::cell::Cell::new(None);
    examine_with(&text, &spots, |input| {
        for at in 0..60 {
            input.spectra[at].spectrum = measured(at as u64);
            input.manifest.spectra[at].part = format!("P{at}");
        }
        let started = std::time::Instant::now();
        let found = examine_object(input.clone(), Tables::built_in());
        took.set(Some(started.elapsed()));
        assert!(found.warnings.is_empty(), "{:?}", found.warnings);
    });
    let took = took.get().expect("examined");
    // Another machine, or a busy one, may be ten times as slow.
    assert!(took.as_secs() < 10, "{took:?}");
    println!("60 spectra of 60 parts: {took:?}");
}
