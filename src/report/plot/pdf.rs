//! PDF from SVG, one page of the figure's own size, lines and letters kept as such.

use krilla::geom::Size;
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla_svg::{SurfaceExt, SvgSettings};

use super::canvas::Error;
use super::png::tree;
use crate::report::figure::Figure;

/// Points of a pixel: 72 points and 96 pixels make an inch.
const POINTS_A_PIXEL: f32 = 0.75;

impl Figure {
    /// Writes the figure as PDF; the same figure gives the same bytes.
    ///
    /// # Errors
    ///
    /// Failures of the PDF library.
    pub fn pdf(&self) -> Result<Vec<u8>, Error> {
        let refuse = |why: &str| Error::Render(format!("PDF: {why}"));
        let tree = tree(self)?;
        let (width, height) =
            (tree.size().width() * POINTS_A_PIXEL, tree.size().height() * POINTS_A_PIXEL);
        let size = Size::from_wh(width, height).ok_or_else(|| refuse("the page has no size"))?;
        let settings =
            PageSettings::from_wh(width, height).ok_or_else(|| refuse("the page has no size"))?;
        let mut document = krilla::Document::new();
        document.set_metadata(
            Metadata::new().title(self.title.clone()).description(self.description.clone()),
        );
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        surface
            .draw_svg(&tree, size, SvgSettings::default())
            .ok_or_else(|| refuse("the figure could not be drawn"))?;
        surface.finish();
        page.finish();
        document.finish().map_err(|error| refuse(&format!("{error:?}")))
    }
}
