//! A report as blocks, the same for every command and for every format that is read by people.

mod blocks;
#[cfg(feature = "docx")]
mod docx;
mod fonts;
mod frame;
mod html;
mod markdown;
mod text;

use super::style::Style;

pub use blocks::Document;
pub(crate) use blocks::{Block, Cell, Kind, Mark, Table, Tone};
pub use frame::PageFrame;
pub(crate) use frame::{CARE_IS_WEIGHED, sourced};
pub(crate) use markdown::Markdown;

impl Document {
    /// Returns the report as one HTML file that needs no script and no network.
    #[must_use]
    pub fn html(&self) -> String {
        html::page(self)
    }

    /// Returns the report as Markdown; figures are described in words.
    #[must_use]
    pub fn markdown(&self) -> String {
        let mut writer = Markdown::default();
        [writer.head(self), writer.blocks(self), writer.foot(self)].concat()
    }

    /// Returns the report as text for a terminal that is `width` columns wide; figures are described in words.
    pub(crate) fn text_in(&self, width: usize, style: Style) -> String {
        text::text(self, width, style)
    }

    /// Returns the report as a DOCX package.
    ///
    /// # Errors
    ///
    /// Of rendering a figure, and of packing.
    #[cfg(feature = "docx")]
    pub fn docx(&self) -> std::io::Result<Vec<u8>> {
        docx::package(self)
    }
}
