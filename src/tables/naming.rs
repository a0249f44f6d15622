//! What a material may be called.

use super::materials::Material;

/// Everything a material is found by, as [`plain`] letters.
pub(super) fn keys(material: &Material) -> impl Iterator<Item = String> {
    [&material.id, &material.name].into_iter().chain(&material.also_called).map(|key| plain(key))
}

/// Letters and digits alone, small.
pub(super) fn plain(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}
