//! What a user may set about an answer.

use crate::optics::Element;

/// Candidates listed in a ranking where nothing else is asked for.
const DEFAULT_TOP: usize = 5;

/// Settings of a judgement.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct JudgeSettings {
    /// How many candidates the ranking lists.
    pub top: usize,
    /// The element that an ATR spectrum was measured on, for the depths; `None` where it is not known.
    pub element: Option<Element>,
}

impl Default for JudgeSettings {
    fn default() -> Self {
        Self { top: DEFAULT_TOP, element: Some(Element::DIAMOND_45) }
    }
}

impl JudgeSettings {
    /// Sets how many candidates the ranking lists.
    #[must_use]
    pub fn with_top(self, top: usize) -> Self {
        Self { top, ..self }
    }

    /// Sets the element that ATR spectra were measured on.
    #[must_use]
    pub fn with_element(self, element: impl Into<Option<Element>>) -> Self {
        Self { element: element.into(), ..self }
    }
}
