//! How text is dressed: plain, or with terminal escapes. The caller decides; writers never look.

/// Whether a text writer may use terminal escapes.
///
/// Nothing is ever said by colour alone: the plain form holds the same words.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub enum Style {
    /// No escapes.
    #[default]
    Plain,
    /// ANSI escapes for bold, dim and colour.
    Ansi,
}

/// What a piece of text is, from which its dress follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Weight {
    /// The leading sentence or a heading.
    Strong,
    /// Side information.
    Faint,
    /// A warning, a missing band, a limit.
    Caution,
}

impl Style {
    /// Dresses a piece of text. It must hold no line break.
    pub(crate) fn dress(self, weight: Weight, text: &str) -> String {
        if self == Self::Plain || text.is_empty() {
            return text.to_owned();
        }
        let code = match weight {
            Weight::Strong => "1",
            Weight::Faint => "2",
            Weight::Caution => "33",
        };
        format!("\u{1b}[{code}m{text}\u{1b}[0m")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_style_adds_nothing() {
        assert_eq!(Style::Plain.dress(Weight::Strong, "PVC"), "PVC");
        assert_eq!(Style::Ansi.dress(Weight::Strong, "PVC"), "\u{1b}[1mPVC\u{1b}[0m");
    }
}
