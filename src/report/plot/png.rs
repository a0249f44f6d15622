//! PNG from SVG, with one shipped font so that every machine draws the same picture.

use resvg::{tiny_skia, usvg};

use super::canvas::Error;
use crate::report::figure::Figure;

/// The one font of every PNG: Inter, under the SIL Open Font License (see `../fonts`).
const FONT: &[u8] = include_bytes!("../fonts/Inter-Regular.otf");

/// The largest picture that is rendered, in pixels a side.
const LARGEST_SIDE: f32 = 12_000.0;

impl Figure {
    /// Renders the figure as PNG, `scale` pixels for each pixel of the SVG (3 is fit for print).
    ///
    /// # Errors
    ///
    /// A scale that is not positive or makes a picture above 12 000 pixels a side is refused.
    pub fn png(&self, scale: f32) -> Result<Vec<u8>, Error> {
        let refuse = |why: &str| Error::Render(why.to_owned());
        let mut options = usvg::Options { font_family: "Inter".to_owned(), ..Default::default() };
        options.fontdb_mut().load_font_data(FONT.to_vec());
        options.fontdb_mut().set_sans_serif_family("Inter");
        let tree = usvg::Tree::from_str(&self.svg, &options)
            .map_err(|error| Error::Render(error.to_string()))?;
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
