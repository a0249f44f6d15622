//! What the user's own references add to a whole object.

use super::References;
use crate::matching::ReferenceOpinion;
use crate::object::Manifest;
use crate::spectrum::{Spectrum, Warning};

/// Lends a candidate without a reference of its own the vouched-for one that resembles its spots best.
///
/// The best is taken whatever it is a reference of: a vouched-for PET that is nearer than any PETG must
/// not settle a claim of PETG. Each loan is a warning, for the manifest does not name it.
pub(super) fn lend(
    second: &References,
    opinions: &[(usize, ReferenceOpinion)],
    manifest: &mut Manifest,
    references: &mut Vec<(String, Spectrum)>,
) -> Vec<Warning> {
    let mut loans = Vec::new();
    for candidate in &mut manifest.candidates {
        if !candidate.reference.is_empty() {
            continue;
        }
        let spots = opinions.iter().filter(|(record, _)| {
            manifest.spectra.get(*record).is_some_and(|row| row.part == candidate.id)
        });
        let best = spots
            .flat_map(|(_, opinion)| {
                let close = !opinion.materials.is_empty();
                opinion.resembling.iter().filter(move |near| close && near.vouched)
            })
            .max_by(|a, b| a.similarity.total_cmp(&b.similarity));
        let Some(best) = best else { continue };
        let Some(spectrum) = second.labelled(&best.file) else { continue };
        let who = format!(
            "{} (maker {}, grade {}, batch {})",
            best.vouched_by, best.maker, best.grade, best.batch
        );
        loans.push(Warning::new(
            "reference-lent",
            format!(
                "{}: compared with the {} reference {} of the references folder, vouched for by {who}; \
                 the manifest names no reference",
                candidate.id, best.material, best.file
            ),
        ));
        candidate.reference.clone_from(&best.file);
        candidate.reference_material.clone_from(&best.material);
        candidate.reference_vouched_by = who;
        references.push((candidate.id.clone(), spectrum));
    }
    loans
}

/// Counts the second opinions in one line of the method.
pub(super) fn second_setting(
    second: &References,
    opinions: &[(usize, ReferenceOpinion)],
) -> (String, String) {
    let count = |agrees: Option<bool>| opinions.iter().filter(|(_, o)| o.agrees == agrees).count();
    let text = format!(
        "{} references of the user's own were asked beside the bands (similarity of first derivatives): \
         they agree on {} spectra, disagree on {}, and say nothing that can be compared on {}; no band \
         finding was changed by them",
        second.labels().len(),
        count(Some(true)),
        count(Some(false)),
        count(None)
    );
    ("Second opinion".to_owned(), text)
}
