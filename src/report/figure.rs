//! A drawn figure as a value, whatever drew it.

/// A drawn figure.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    pub(super) svg: String,
    pub(super) title: String,
    pub(super) description: String,
    pub(super) size: (u32, u32),
}

impl Figure {
    /// Returns the figure as an SVG document.
    #[must_use]
    pub fn svg(&self) -> &str {
        &self.svg
    }

    /// Returns the title, also found in the SVG.
    #[must_use]
    pub fn title(&self) -> &str {
        &self.title
    }

    /// Returns what the figure shows in words, also found in the SVG: its alternative text.
    #[must_use]
    pub fn description(&self) -> &str {
        &self.description
    }

    /// Returns width and height in pixels.
    #[must_use]
    pub fn size(&self) -> (u32, u32) {
        self.size
    }
}
