//! PNG from SVG, with one shipped font so that every machine draws the same picture.

use std::sync::{Arc, OnceLock};

use resvg::usvg::fontdb;
use resvg::{tiny_skia, usvg};

use super::canvas::Error;
use crate::report::figure::Figure;

/// The one font of every PNG and PDF: Inter, under the SIL Open Font License (see `../fonts`).
const FONT: &[u8] = include_bytes!("../fonts/Inter-Regular.otf");

/// The largest picture that is rendered, in pixels a side.
const LARGEST_SIDE: f32 = 12_000.0;

/// Reads a figure's SVG with the one font, which is loaded once.
pub(super) fn tree(figure: &Figure) -> Result<usvg::Tree, Error> {
    static FONTS: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    let fonts = FONTS.get_or_init(|| {
        let mut fonts = fontdb::Database::new();
        fonts.load_font_data(FONT.to_vec());
        fonts.set_sans_serif_family("Inter");
        Arc::new(fonts)
    });
    let options = usvg::Options {
        font_family: "Inter".to_owned(),
        fontdb: Arc::clone(fonts),
        ..Default::default()
    };
    usvg::Tree::from_str(&figure.svg, &options).map_err(|error| Error::Render(error.to_string()))
}

/// Renders figures on all cores, in their order: pictures are most of the work of a DOCX report.
#[cfg(feature = "docx")]
pub(crate) fn all_as_png(figures: &[&Figure], scale: f32) -> Result<Vec<Vec<u8>>, Error> {
    crate::parallel::in_order(figures, |figure| figure.png(scale)).into_iter().collect()
}

impl Figure {
    /// Renders the figure as PNG, `scale` pixels for each pixel of the SVG (3 is fit for print).
    ///
    /// # Errors
    ///
    /// A scale that is not positive or makes a picture above 12 000 pixels a side is refused.
    pub fn png(&self, scale: f32) -> Result<Vec<u8>, Error> {
        let refuse = |why: &str| Error::Render(why.to_owned());
        let tree = tree(self)?;
        let size = tree.size();
        let (width, height) = (size.width() * scale, size.height() * scale);
        if !(1.0..=LARGEST_SIDE).contains(&width) || !(1.0..=LARGEST_SIDE).contains(&height) {
            return Err(refuse("the scale is not positive or makes too large a picture"));
        }
        let mut pixels = tiny_skia::Pixmap::new(width.ceil() as u32, height.ceil() as u32)
            .ok_or_else(|| refuse("the picture has no size"))?;
        let transform = tiny_skia::Transform::from_scale(scale, scale);
        resvg::render(&tree, transform, &mut pixels.as_mut());
        pixels.encode_png().map_err(|error| Error::Render(error.to_string()))
    }
}
