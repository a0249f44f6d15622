//! Finds a material by what people call it.

use super::Tables;
use super::materials::Material;
use super::naming::{keys, plain};

/// Materials that are offered where a word stands for none.
const MOST_OFFERED: usize = 4;

/// A word less like a name than this is likely no slip of the pen: "nilon" is to "nylon 6" as 0.83.
const LEAST_ALIKE: f64 = 0.8;

/// Words shorter than this are no part of a name: "PE" stands in too many.
const LEAST_PART: usize = 4;

impl Tables {
    /// Returns the material that a word stands for: its id in any letter case, its name, or what else
    /// the trade calls it. Blanks, hyphens and brackets make no difference.
    ///
    /// ```
    /// let tables = bandlore::Tables::built_in();
    /// let id = |word| tables.find_material(word).map(|material| material.id.as_str());
    /// assert_eq!(id("pvc"), Some("PVC"));
    /// assert_eq!(id("Nylon 6"), Some("PA6"));
    /// assert_eq!(id("nylon"), None);
    /// ```
    #[must_use]
    pub fn find_material(&self, word: &str) -> Option<&Material> {
        if let Some(exact) = self.material(word) {
            return Some(exact);
        }
        let wanted = plain(word);
        self.materials().iter().find(|material| keys(material).any(|key| key == wanted))
    }

    /// Returns the materials that a word may have meant, nearest first; at most four.
    #[must_use]
    pub fn nearest_materials(&self, word: &str) -> Vec<&Material> {
        let wanted = plain(word);
        let mut near: Vec<(bool, f64, &Material)> = self
            .materials()
            .iter()
            .filter(|material| material.nameable)
            .filter_map(|material| {
                let part = |key: &String| {
                    wanted.len() >= LEAST_PART && (key.contains(&wanted) || wanted.contains(key))
                };
                let family = plain(&material.family);
                let keys = || keys(material).chain([family.clone()]);
                let within = keys().filter(|key| key.len() >= LEAST_PART).any(|key| part(&key));
                let alike = keys().map(|key| strsim::jaro_winkler(&key, &wanted));
                Some((within, alike.max_by(f64::total_cmp)?, material))
            })
            .collect();
        near.sort_by(|a, b| b.0.cmp(&a.0).then(b.1.total_cmp(&a.1)));
        // Where the word is part of names, other likenesses are chance.
        let some_within = near.first().is_some_and(|(within, ..)| *within);
        let most = if some_within { MOST_OFFERED } else { 1 };
        near.retain(|(within, alike, _)| *within || (!some_within && *alike >= LEAST_ALIKE));
        near.into_iter().take(most).map(|(.., material)| material).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn trade_names_lead_to_the_ids_of_the_standard() {
        // Common practice, no source, but for the symbols (ISO 1043-1).
        let tables = Tables::built_in();
        for (word, id) in [
            ("acrylic", "PMMA"),
            ("Polycarbonate", "PC"),
            ("nylon 6,6", "PA66"),
            ("HDPE", "PE-HD"),
            ("poly(vinyl chloride)", "PVC"),
            ("pet-g", "PETG"),
            ("chalk", "calcite"),
        ] {
            assert_eq!(tables.find_material(word).map(|m| m.id.as_str()), Some(id), "{word}");
        }
        assert!(tables.find_material("").is_none());
    }

    #[test]
    fn a_wrong_word_gets_the_nearest() {
        let tables = Tables::built_in();
        let near = |word| -> Vec<&str> {
            tables.nearest_materials(word).iter().map(|m| m.id.as_str()).collect()
        };
        assert_eq!(near("polycarbonat")[0], "PC");
        assert_eq!(near("PVCC"), ["PVC"]);
        assert!(near("quartz crystal").is_empty());
        let mut nylons = near("nylon");
        nylons.sort_unstable();
        assert_eq!(nylons, ["PA12", "PA6", "PA66"]);
    }
}
