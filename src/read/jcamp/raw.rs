//! Any block's numbers, whatever its technique: for checking the decoder from outside.

use super::super::Error as ReadError;
use super::block;
use super::blocks::{Block, outline};
use super::error::Located;
use super::xydata::Table;
use super::{at, axis, scale};

/// The numbers of one block of a JCAMP-DX file, of any technique, as its header scales them.
///
/// Nothing is converted, ordered or checked: [`crate::read_path`] does that for infrared spectra.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct JcampBlock {
    /// One abscissa per point, in file order.
    pub abscissas: Vec<f64>,
    /// One ordinate per point; NaN where the file says that none was measured.
    pub ordinates: Vec<f64>,
}

/// Decodes every block of a JCAMP-DX text that holds one table of ordinates or pairs.
///
/// Blocks of any technique are decoded, peak tables included; abscissas follow FIRSTX, LASTX and
/// the number of points alone. `file` names the text in messages.
///
/// ```
/// let text = concat!(
///     "##TITLE=a\n##JCAMP-DX=4.24\n##DATA TYPE=INFRARED SPECTRUM\n##XUNITS=1/CM\n",
///     "##YUNITS=ABSORBANCE\n##XFACTOR=1\n##YFACTOR=0.5\n##FIRSTX=10\n##LASTX=13\n",
///     "##NPOINTS=4\n##XYDATA=(X++(Y..Y))\n10A%JJ\n##END=\n",
/// );
/// let blocks = bandlore::read::decode_jcamp_blocks(text, "a.dx");
/// let block = blocks[0].as_ref().expect("decodes");
/// assert_eq!(block.abscissas, [10.0, 11.0, 12.0, 13.0]);
/// assert_eq!(block.ordinates, [0.5, 0.5, 1.0, 1.5]);
/// ```
#[must_use]
pub fn decode_jcamp_blocks(text: &str, file: &str) -> Vec<Result<JcampBlock, ReadError>> {
    match outline(text) {
        Ok(blocks) => blocks.iter().map(|b| decode(text, b).map_err(|l| at(file, l))).collect(),
        Err(located) => vec![Err(at(file, located))],
    }
}

fn decode(text: &str, block: &Block) -> Result<JcampBlock, Located> {
    let mut head = block::head(text, block)?;
    let table = head.table(text, block, false)?;
    let header = head.header;
    let (abscissas, mut ordinates) = match table {
        Table::Packed(packed) => (axis::unchecked(&header, &packed)?, packed.ordinates),
        Table::Pairs { mut abscissas, ordinates } => {
            scale(&mut abscissas, header.x_factor.map_or(1.0, |stated| stated.value));
            (abscissas, ordinates)
        }
    };
    scale(&mut ordinates, header.y_factor.map_or(1.0, |stated| stated.value));
    Ok(JcampBlock { abscissas, ordinates })
}
