//! Chlorine in candidate sheets: against the claim, the neighbours and the notes on replacing; and claims in words.
//!
//! Identifications are made by hand, so that each rule is tried by itself.

use bandlore::{
    Identification, Tables,
    judge::{ChlorineBands, ChlorineByIdentity, Outcome, Plasticiser, Unsettled},
    object::{
        findings::{ChlorineList, ObjectFindings, PartOutcome, Topic},
        sheets::{Claim, ClaimOutcome},
    },
    report::object::{Length, draw_object_figures},
};
use serde_json::json;

use crate::object::{chlorine, coated, either, examine, identification, is, sheet, three};
use crate::stated::stated;

/// A part that was never measured with silver touching it, and a sheet that would replace it.
fn beside_silver(claimed: &str) -> String {
    format!(
        "{}replaces = [\"M\"]\n[[part]]\nid = \"M\"\n[[part]]\nid = \"O\"\n[[neighbour]]\nname = \"medal\"\n\
         material = \"silver\"\nrelation = \"touching\"\nbeside = [\"M\"]\n",
        sheet(claimed, "")
    )
}

fn with_chlorine(id: &str, bands: ChlorineBands) -> Identification {
    let mut made = is(id);
    made.chlorine = chlorine(bands, ChlorineByIdentity::No);
    made
}

fn offered(claimed: &str, made: &Identification) -> ObjectFindings {
    examine(&beside_silver(claimed), &three(made))
}

fn claim(claimed: &str, made: &Identification) -> Claim {
    offered(claimed, made).candidates[0].claim.clone()
}

fn lines(found: &ObjectFindings, topic: Topic) -> String {
    let lines = found.summary.iter().filter(|line| line.topic == topic);
    lines.map(|line| line.text.as_str()).collect::<Vec<_>>().join("\n")
}

fn side_by_side<'a>(found: &'a ObjectFindings, heading: &str) -> &'a str {
    let rows = &found.candidates[0].side_by_side;
    rows.iter().find(|(h, _)| h == heading).map(|(_, text)| text.as_str()).expect("a row")
}

#[test]
fn chlorine_shown_refutes_a_claim_without_it_wherever_the_claim_is_read() {
    let found = offered("LDPE", &with_chlorine("PE-LD", ChlorineBands::Present));
    let claim = &found.candidates[0].claim;
    assert_eq!(claim.outcome, ClaimOutcome::NotAsClaimed);
    assert!(claim.not_excluded.is_empty());
    let why =
        "found PE-LD (3 of 3 spots agree); C–Cl bands at 3 of 3 spots, which PE-LD does not have";
    assert_eq!(claim.why, why);
    assert!(claim.settled_by[0].contains("X-ray fluorescence"), "{:?}", claim.settled_by);
    for topic in [Topic::Records, Topic::Replacement] {
        let said = lines(&found, topic);
        assert!(said.contains(&format!("N, claimed LDPE: not as claimed: {why}.")), "{said}");
        // The bands say so already.
        assert!(!said.contains("It contains chlorine"), "{said}");
    }
    let said = lines(&found, Topic::Chlorine);
    assert!(said.contains("Of the sheets offered, these contain chlorine: N."), "{said}");
    let said = lines(&found, Topic::Action);
    assert!(said.contains("choose none that contains chlorine (N)"), "{said}");
    assert!(!said.contains("Test each batch"), "{said}");
    // What speaks for polyethylene speaks for nothing that holds chlorine beside it.
    assert!(found.care.iter().all(|note| note.material != "PE-LD"), "{:?}", found.care);
    assert!(!side_by_side(&found, "known of its kind").contains("acceptable"));
    let clean = offered("LDPE", &is("PE-LD"));
    assert!(clean.care.iter().any(|note| note.material == "PE-LD"));
    assert!(side_by_side(&clean, "known of its kind").contains("acceptable"));
    assert!(!lines(&clean, Topic::Records).contains("claimed LDPE"));
    let said = lines(&clean, Topic::Action);
    assert!(said.contains("Test each batch of N") && !said.contains("choose none"), "{said}");
    // One spot that shows it is enough, and a claim of PVC is not refuted by its own chlorine.
    let mut one = three(&is("PC"));
    one[2].2 = is("PVC");
    let one = examine(&sheet("PC", ""), &one).candidates[0].claim.clone();
    assert_eq!(one.outcome, ClaimOutcome::NotAsClaimed);
    assert!(one.why.contains("C–Cl bands at 1 of 3 spots"), "{}", one.why);
    assert_eq!(self::claim("PVC", &is("PVC")).outcome, ClaimOutcome::ConsistentNotExcluded);
}

#[test]
fn while_chlorine_is_open_nothing_speaks_for_a_claim_without_it() {
    let open = with_chlorine("PC", ChlorineBands::CannotTell);
    let found = offered("PC", &open);
    let claim = &found.candidates[0].claim;
    assert_eq!(claim.outcome, ClaimOutcome::CannotTell);
    assert_eq!(claim.words, "cannot tell, chlorine not excluded");
    assert!(claim.why.starts_with("found PC (3 of 3 spots agree)"), "{}", claim.why);
    assert!(claim.why.contains("chlorine is not excluded (made by hand)"), "{}", claim.why);
    assert!(claim.settled_by[0].contains("X-ray fluorescence"), "{:?}", claim.settled_by);
    assert!(lines(&found, Topic::Records).contains("cannot tell, chlorine not excluded"));
    let said = lines(&found, Topic::Chlorine);
    assert!(said.contains("Of the sheets offered, chlorine is not excluded in: N."), "{said}");
    let notes: Vec<_> = found.care.iter().filter(|note| note.material == "PC").collect();
    assert!(!notes.is_empty());
    for note in notes {
        assert!(note.advice.starts_with("Chlorine is not excluded in N: "), "{}", note.advice);
    }
    // X-ray fluorescence settles it, either way.
    let fluorescence = |result: &str| {
        let text = sheet("PC", &format!("xrf_chlorine = \"{result}\"\n"));
        examine(&text, &three(&open)).candidates[0].claim.clone()
    };
    assert_eq!(fluorescence("not detected").outcome, ClaimOutcome::AsClaimed);
    let detected = fluorescence("detected");
    assert_eq!(detected.outcome, ClaimOutcome::CannotTell);
    assert!(detected.why.contains("chlorine by X-ray fluorescence"), "{}", detected.why);
    // What is on record is not asked for again.
    for claim in [fluorescence("not detected"), detected] {
        assert!(claim.settled_by.iter().all(|way| !way.contains("X-ray")), "{claim:?}");
    }
}

#[test]
fn a_claim_of_words_that_are_not_read_never_agrees() {
    // Clean polystyrene offered in words that the table does not know; only the denial is read.
    let mut clean = is("PS");
    clean.chlorine = chlorine(ChlorineBands::NotDetected, ChlorineByIdentity::No);
    for claimed in ["verre organique, sans PVC", "PVC-free, museum quality"] {
        let said = claim(claimed, &clean);
        assert_eq!(said.outcome, ClaimOutcome::CannotTell, "{claimed}: {}", said.why);
        assert!(said.why.contains("not read: "), "{}", said.why);
        let found = offered(claimed, &clean);
        assert!(
            lines(&found, Topic::Records).contains(&format!("N, claimed {claimed}: cannot tell"))
        );
    }
    assert_eq!(claim("PVC-free film", &clean).outcome, ClaimOutcome::ThisFaceAgrees);
    // Beside a name that is read, a word of quality is quoted and decides nothing.
    let named = claim("PS, museum quality", &clean);
    assert_eq!(named.outcome, ClaimOutcome::AsClaimed, "{}", named.why);
    assert!(named.why.contains("not read: \u{201c}museum quality\u{201d}"), "{}", named.why);
    assert_eq!(claim("Polystyrol", &clean).outcome, ClaimOutcome::AsClaimed);
}

#[test]
fn a_claim_without_phthalates_is_held_against_the_plasticiser_found() {
    let with = |plasticiser: Plasticiser| {
        let mut made = is("PVC");
        made.plasticiser = Some(plasticiser);
        claim("PVC, no phthalates", &made)
    };
    let phthalate = || Plasticiser::Class { id: "plasticiser-ortho-phthalate".to_owned() };
    let refuted = with(phthalate());
    assert_eq!(refuted.outcome, ClaimOutcome::NotAsClaimed, "{}", refuted.why);
    assert!(refuted.why.contains("plasticiser-ortho-phthalate was found"), "{}", refuted.why);
    assert_eq!(with(Plasticiser::UnresolvedEster).outcome, ClaimOutcome::CannotTell);
    let clean = with(Plasticiser::NoneSeen);
    assert_eq!(clean.outcome, ClaimOutcome::ConsistentNotExcluded, "{}", clean.why);
    assert!(clean.why.contains("none seen at this surface"), "{}", clean.why);
    // Another plasticiser is no phthalate, but is one.
    let citrate = || Plasticiser::Class { id: "plasticiser-citrate".to_owned() };
    assert_eq!(with(citrate()).outcome, ClaimOutcome::ConsistentNotExcluded);
    // A terephthalate is sold as free of phthalates: whether it is meant is for the buyer to ask.
    let dotp = Plasticiser::Class { id: "plasticiser-terephthalate".to_owned() };
    assert_eq!(with(dotp).outcome, ClaimOutcome::CannotTell);
    let mut soft = is("PVC");
    soft.plasticiser = Some(citrate());
    let unread = claim("Flurbanol, phthalate-free", &soft);
    assert_eq!(unread.outcome, ClaimOutcome::CannotTell, "{}", unread.why);
    assert!(unread.why.contains("not read: \u{201c}Flurbanol\u{201d}"), "{}", unread.why);
    assert_eq!(claim("PVC, without plasticiser", &soft).outcome, ClaimOutcome::NotAsClaimed);
}

#[test]
fn what_is_recorded_of_a_corrosion_test_stands_on_the_first_page_word_for_word() {
    let text = sheet("PC", "oddy_test = \"failed: silver coupon blackened\"\n");
    let found = examine(&text, &three(&is("PC")));
    let said = lines(&found, Topic::Records);
    assert!(said.contains("N: on record, Oddy test: failed: silver coupon blackened."), "{said}");
    let none = examine(&sheet("PC", ""), &three(&is("PC")));
    assert!(!lines(&none, Topic::Records).contains("on record"));
}

#[test]
fn a_name_at_one_spot_of_a_face_leaves_chlorine_open() {
    let mut spots = three(&is("PET"));
    spots.extend(three(&is("PET")));
    let mut pvc = is("PVC");
    pvc.chlorine = chlorine(ChlorineBands::CannotTell, ChlorineByIdentity::Yes);
    spots.push(("N", "cut edge", pvc.clone()));
    let said = |spots: &[(&str, &str, Identification)]| {
        let found = examine(&sheet("PET", ""), spots);
        found.parts.iter().find(|part| part.id == "N").expect("the sheet").chlorine.clone()
    };
    assert_eq!(said(&spots).finding.by_identity, ChlorineByIdentity::Open);
    // Fluorescence that found none does not make the one spot unsaid.
    let text = sheet("PET", "xrf_chlorine = \"not detected\"\n");
    let found = examine(&text, &spots);
    let part = found.parts.iter().find(|part| part.id == "N").expect("the sheet");
    assert_eq!(part.chlorine.list, ChlorineList::ImpliedOrNotExcluded, "{}", part.chlorine.words);
    assert!(part.chlorine.words.contains("look into the difference"), "{}", part.chlorine.words);
    spots.extend([("N", "cut edge", pvc.clone()), ("N", "cut edge", pvc)]);
    assert_eq!(said(&spots).finding.by_identity, ChlorineByIdentity::Yes);
}

#[test]
fn a_note_keeps_its_caveat_for_the_sheet_that_is_open_though_another_is_clean() {
    let both = |second: &str| {
        let whole = sheet("PC", "");
        let (object, _) = whole.split_once("[[candidate]]").expect("a sheet");
        let one = |id| format!("[[candidate]]\nid = \"{id}\"\nclaimed = \"PC\"\n");
        [object, &one(if second == "N" { "P" } else { "N" }), &one(second)].concat()
    };
    let open = with_chlorine("PC", ChlorineBands::CannotTell);
    let of_clean = three(&is("PC")).into_iter().map(|(_, face, made)| ("P", face, made));
    for sheets in [both("P"), both("N")] {
        let spots: Vec<_> = three(&open).into_iter().chain(of_clean.clone()).collect();
        let found = examine(&sheets, &spots);
        let notes: Vec<_> = found.care.iter().filter(|note| note.material == "PC").collect();
        assert!(!notes.is_empty());
        for note in notes {
            assert!(note.advice.starts_with("Chlorine is not excluded in N: "), "{}", note.advice);
        }
    }
}

#[test]
fn a_claim_in_words_is_answered_with_what_was_found() {
    let pmma = claim("PMMA, UV-stable", &is("PMMA"));
    assert_eq!(pmma.outcome, ClaimOutcome::AsClaimed);
    assert!(pmma.why.starts_with("found PMMA (3 of 3 spots agree)"), "{}", pmma.why);
    assert!(
        pmma.why.contains("not testable by infrared: \u{201c}UV-stable\u{201d}"),
        "{}",
        pmma.why
    );
    assert!(pmma.settled_by.iter().any(|way| way.contains("UV-visible transmittance")));
    let unknown = claim("Wonderglass", &is("PMMA"));
    assert_eq!(unknown.outcome, ClaimOutcome::CannotTell);
    assert!(unknown.why.starts_with("found PMMA (3 of 3 spots agree)"), "{}", unknown.why);
    for denied in
        ["PVC-free film", "not PVC", "vinyl-free", "chlorine-free", "PVC-frei", "sans PVC"]
    {
        let of = |made: &Identification| {
            let claim = claim(denied, made);
            assert!(!claim.why.contains("nearest"), "{denied}: {}", claim.why);
            assert!(claim.why.starts_with("found "), "{denied}: {}", claim.why);
            claim
        };
        let shown = of(&with_chlorine("PE-LD", ChlorineBands::Present));
        assert_eq!(shown.outcome, ClaimOutcome::NotAsClaimed, "{denied}");
        assert!(shown.why.contains("C–Cl bands at 3 of 3 spots"), "{denied}: {}", shown.why);
        assert_eq!(of(&is("PVC")).outcome, ClaimOutcome::NotAsClaimed, "{denied}");
        assert_eq!(of(&is("PE-LD")).outcome, ClaimOutcome::ThisFaceAgrees, "{denied}");
        let open = of(&with_chlorine("PE-LD", ChlorineBands::CannotTell));
        assert_eq!(open.outcome, ClaimOutcome::CannotTell, "{denied}");
        let unmeasured = examine(&sheet(denied, ""), &[]).candidates[0].claim.clone();
        assert_eq!(unmeasured.outcome, ClaimOutcome::CannotTell, "{denied}");
    }
    // By name where it is no matter of chlorine, and both where both are claimed.
    assert_eq!(claim("not PC", &is("PC")).outcome, ClaimOutcome::NotAsClaimed);
    assert_eq!(claim("not PC", &is("PET")).outcome, ClaimOutcome::ThisFaceAgrees);
    assert_eq!(claim("PETG, not PVC", &is("PETG")).outcome, ClaimOutcome::AsClaimed);
    assert_eq!(claim("not PVC-free", &is("PVC")).outcome, ClaimOutcome::CannotTell);
    assert_eq!(claim("acid-free PP", &is("PP")).outcome, ClaimOutcome::CannotTell);
    assert_eq!(claim("PP, acid-free", &is("PP")).outcome, ClaimOutcome::AsClaimed);
    // Alternatives are refuted where none of them can be.
    assert_eq!(claim("PET or PETG", &is("PMMA")).outcome, ClaimOutcome::NotAsClaimed);
    assert_eq!(claim("PET or PETG", &is("PETG")).outcome, ClaimOutcome::AsClaimed);
    // Words that are not read refute nothing, whatever chlorine there is.
    let unread = claim("PC substitute", &is("PVC"));
    assert_eq!(unread.outcome, ClaimOutcome::CannotTell);
    assert!(unread.why.starts_with("found PVC"), "{}", unread.why);
    // Chlorine of another material that is named says nothing of the one that is denied.
    assert_eq!(claim("PVDC-free", &is("PVC")).outcome, ClaimOutcome::CannotTell);
    // Fluorescence finds it in a salt or a pigment too: that refutes no claim about a material, and one about chlorine.
    for (denied, outcome) in
        [("PVC-free", ClaimOutcome::CannotTell), ("chlorine-free", ClaimOutcome::NotAsClaimed)]
    {
        let text = sheet(denied, "xrf_chlorine = \"detected\"\n");
        let claim = examine(&text, &three(&is("PE-LD"))).candidates[0].claim.clone();
        assert_eq!(claim.outcome, outcome, "{denied}");
        assert!(claim.why.contains("chlorine by X-ray fluorescence"), "{denied}: {}", claim.why);
    }
}

#[test]
fn a_sheet_is_held_against_the_neighbours_of_what_it_would_replace() {
    let risks = |found: &ObjectFindings| -> Vec<(String, String)> {
        let of_sheet = found.neighbours.iter().filter(|risk| risk.part == "N");
        of_sheet.map(|risk| (risk.words.clone(), risk.advice.clone())).collect()
    };
    let shown = offered("LDPE", &with_chlorine("PE-LD", ChlorineBands::Present));
    let [(words, advice)] = &risks(&shown)[..] else { panic!("{:?}", shown.neighbours) };
    assert!(words.starts_with("N, if used: contains chlorine. "), "{words}");
    // Nothing was read or seen of a sheet that is not there yet.
    assert!(!words.contains("indicator"), "{words}");
    assert!(advice.starts_with("Contains chlorine; if used, place an acid indicator"), "{advice}");
    assert!(lines(&shown, Topic::Action).contains("N beside medal: contains chlorine; if used, "));
    let would = "If used, N, which contains chlorine, would stand touching medal (silver).";
    assert!(lines(&shown, Topic::Chlorine).contains(would), "{}", lines(&shown, Topic::Chlorine));
    let open = offered("LDPE", &with_chlorine("PE-LD", ChlorineBands::CannotTell));
    assert!(risks(&open)[0].1.starts_with("Chlorine not excluded; if used, "));
    assert!(risks(&offered("LDPE", &is("PE-LD"))).is_empty());
    // Another part's neighbour is none of its own.
    let elsewhere = beside_silver("LDPE").replace("beside = [\"M\"]", "beside = [\"O\"]");
    let found = examine(&elsewhere, &three(&with_chlorine("PE-LD", ChlorineBands::Present)));
    assert!(risks(&found).is_empty());
    assert!(!lines(&found, Topic::Chlorine).contains("If used"));
}

#[test]
fn nothing_is_said_of_a_part_that_was_never_measured() {
    let found = offered("PC", &is("PC"));
    let original = found.candidates[0].original.as_ref().expect("a part to replace");
    for heading in ["plasticiser", "chlorine", "known of its kind"] {
        let fact = original.facts.iter().find(|(h, _)| h == heading).expect("a fact");
        assert_eq!(fact.1, "not measured", "{heading}");
    }
    assert_eq!(side_by_side(&found, "plasticiser"), "none seen at this surface");
    let unknown = offered("PC", &identification(Outcome::NotInTable));
    assert_eq!(side_by_side(&unknown, "plasticiser"), "cannot tell: the material is not settled");
}

#[test]
fn the_figure_of_chlorine_counts_as_its_table_does() {
    let text =
        beside_silver("LDPE").replace("id = \"O\"\n", "id = \"O\"\nxrf_chlorine = \"detected\"\n");
    let found = examine(&text, &three(&with_chlorine("PE-LD", ChlorineBands::Present)));
    let figures =
        draw_object_figures(&found, &[], Tables::built_in(), Length::Short).expect("drawn");
    let words = figures[0].figure.description().to_owned();
    let of = |list: ChlorineList| -> Vec<String> {
        let of_list = found.parts.iter().filter(|part| part.chlorine.list == list);
        let id = |id: &str, outcome| match (list, outcome) {
            (ChlorineList::ImpliedOrNotExcluded, PartOutcome::NotMeasured) => {
                format!("{id} (not measured)")
            }
            _ => id.to_owned(),
        };
        of_list.map(|part| id(&part.id, part.outcome)).collect()
    };
    assert_eq!(of(ChlorineList::ImpliedOrNotExcluded), ["M (not measured)"]);
    assert_eq!(of(ChlorineList::Shown).len(), 2);
    for (heading, list) in [
        ("Chlorine shown", ChlorineList::Shown),
        ("Implied or not excluded", ChlorineList::ImpliedOrNotExcluded),
    ] {
        assert!(words.contains(&format!("{heading}: {}.", of(list).join(", "))), "{words}");
    }
}

#[test]
fn what_would_settle_it_settles_what_is_open() {
    let way: Unsettled = stated(json!({
        "feature": "957 against 970",
        "settled_by": "differential scanning calorimetry of a sample",
    }));
    let remedies = |mut made: Identification| {
        made.unsettled = Some(way.clone());
        let found = examine("[[part]]\nid = \"A\"\n", &[("A", "exposed", made)]);
        found.unsettled[0].remedies.clone()
    };
    // The name is settled; chlorine alone is open.
    let named = remedies(with_chlorine("PET", ChlorineBands::CannotTell));
    assert!(named[0].starts_with("X-ray fluorescence for chlorine"), "{named:?}");
    assert!(named.iter().all(|way| !way.contains("calorimetry")), "{named:?}");
    // Both are open: the first way does not leave out either, and takes no sample without leave.
    let mut both = either(&["PET", "PETG"]);
    both.chlorine = chlorine(ChlorineBands::CannotTell, ChlorineByIdentity::No);
    let both = remedies(both);
    for part in ["calorimetry", "with permission only", "for chlorine X-ray fluorescence"] {
        assert!(both[0].contains(part), "{part}: {both:?}");
    }
    // A freshly cut edge is asked for only where none was measured.
    let cut = |spots: usize| {
        let found = examine(&sheet("PC", ""), &three(&coated("PDMS", "PC"))[..spots]);
        found.candidates[0].claim.settled_by.iter().any(|way| way.contains("freshly cut edge"))
    };
    assert!(cut(2) && !cut(3));
}

#[test]
fn a_way_that_takes_a_sample_says_by_whose_leave() {
    let mut sampled = 0;
    for group in Tables::built_in().groups() {
        let members: Vec<&str> = group.members.iter().map(String::as_str).collect();
        let found = claim(members[0], &either(&members));
        for way in &found.settled_by {
            let takes = ["sample", "calorimetry", "pyrolysis", "magnetic resonance", "solubility"];
            if takes.iter().any(|word| way.contains(word)) && !way.contains("reference") {
                sampled += 1;
                assert!(way.contains("with permission only and by local practice"), "{way}");
            }
        }
    }
    assert!(sampled > 5, "{sampled}");
}
