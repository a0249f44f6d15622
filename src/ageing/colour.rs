//! Colour readings beside the infrared: never mixed with it, only set next to it.

use super::values::{ComparedFace, FaceColour};
use crate::tables::{Asked, Faults, read_by_hand};

/// Colour difference (CIE 1976 ΔE*ab) that an eye just tells side by side (Mahy, Van Eycken & Oosterlinck 1994,
/// recalled).
pub(crate) const SEEN_COLOUR_DIFFERENCE: f64 = 2.3;
/// Difference in yellowness index held to be seen; ours, of the size of the above.
const SEEN_YELLOWNESS_DIFFERENCE: f64 = 3.0;

/// Reads colours: columns `face`, `instrument`, `backing`, and `l`, `a`, `b` or `yi`.
///
/// # Errors
///
/// Missing columns, unknown faces and rows without a colour.
pub fn read_colours(file: &str, bytes: &[u8]) -> Result<Vec<FaceColour>, Faults> {
    const ASKED: Asked = Asked {
        columns: &["face", "instrument", "backing"],
        optional: &["l", "a", "b", "yi"],
        loose: true,
    };
    read_by_hand(bytes, file, ASKED, |row| {
        let face = match row.text("face").to_lowercase().as_str() {
            "exposed" => ComparedFace::Exposed,
            "reverse" => ComparedFace::Reverse,
            "covered" => ComparedFace::Covered,
            "earlier" => ComparedFace::Earlier,
            "later" => ComparedFace::Later,
            _ => {
                row.refuse("face", "exposed, reverse, covered, earlier or later");
                ComparedFace::Exposed
            }
        };
        let lab = row
            .all_or_none(&["l", "a", "b"], "expected L*, a* and b*, all three or none")
            .then(|| [row.number("l"), row.number("a"), row.number("b")]);
        let yellowness_index = row.optional_number("yi");
        if ["l", "a", "b", "yi"].iter().all(|column| row.is_empty(column)) {
            row.refuse("l", "L*, a* and b*, or a yellowness index under yi");
        }
        FaceColour {
            face,
            lab,
            yellowness_index,
            instrument: row.required("instrument"),
            backing: row.required("backing"),
        }
    })
}

/// A colour difference in words, and whether it can be seen.
#[derive(Clone, Debug, PartialEq)]
pub struct ColourDifference {
    /// The figures.
    pub words: String,
    /// Whether it is large enough to be seen.
    pub seen: bool,
}

/// Compares the mean colours of two faces, where instrument and backing agree.
#[must_use]
pub fn compare_colours(
    colours: &[FaceColour],
    face: ComparedFace,
    against: ComparedFace,
) -> Option<ColourDifference> {
    let of = |wanted: ComparedFace| colours.iter().filter(move |c| c.face == wanted);
    let first = of(face).next()?;
    of(against).next()?;
    if of(face)
        .chain(of(against))
        .any(|c| c.instrument != first.instrument || c.backing != first.backing)
    {
        return Some(ColourDifference {
            words: "colours were read with different instruments or backings and are not compared"
                .to_owned(),
            seen: false,
        });
    }
    if let (Some(a), Some(b)) = (mean_lab(of(face)), mean_lab(of(against))) {
        let difference = a.iter().zip(b).map(|(x, y)| (x - y).powi(2)).sum::<f64>().sqrt();
        return Some(ColourDifference {
            words: format!("colour differs by ΔE*ab {difference:.1} (Δb* {:+.1})", a[2] - b[2]),
            seen: difference >= SEEN_COLOUR_DIFFERENCE,
        });
    }
    let (a, b) = (mean_yellowness(of(face))?, mean_yellowness(of(against))?);
    Some(ColourDifference {
        words: format!("yellowness index differs by {:+.1}", a - b),
        seen: (a - b).abs() >= SEEN_YELLOWNESS_DIFFERENCE,
    })
}

fn mean_lab<'a>(colours: impl Iterator<Item = &'a FaceColour>) -> Option<[f64; 3]> {
    let readings: Vec<[f64; 3]> = colours.filter_map(|c| c.lab).collect();
    if readings.is_empty() {
        return None;
    }
    let n = readings.len() as f64;
    let mut mean = [0.0; 3];
    for reading in &readings {
        for (sum, value) in mean.iter_mut().zip(reading) {
            *sum += value / n;
        }
    }
    Some(mean)
}

fn mean_yellowness<'a>(colours: impl Iterator<Item = &'a FaceColour>) -> Option<f64> {
    let readings: Vec<f64> = colours.filter_map(|c| c.yellowness_index).collect();
    (!readings.is_empty()).then(|| readings.iter().sum::<f64>() / readings.len() as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: &str = "face,l,a,b,yi,instrument,backing\n\
        exposed,88,-1,12,,sphere d/8 D65/10,white tile\ncovered,91,-1,4,,sphere d/8 D65/10,white tile\n";

    #[test]
    fn takes_the_colour_difference_of_two_faces() {
        let colours = read_colours("c.csv", SHEET.as_bytes()).expect("readable");
        let found = compare_colours(&colours, ComparedFace::Exposed, ComparedFace::Covered)
            .expect("both faces");
        // By hand: sqrt(3² + 0 + 8²) = 8.544.
        assert_eq!(found.words, "colour differs by ΔE*ab 8.5 (Δb* +8.0)");
        assert!(found.seen);
    }

    #[test]
    fn compares_no_colours_on_different_backings() {
        let text = SHEET.replacen("white tile", "black trap", 1);
        let colours = read_colours("c.csv", text.as_bytes()).expect("readable");
        let found = compare_colours(&colours, ComparedFace::Exposed, ComparedFace::Covered)
            .expect("both faces");
        assert!(!found.seen && found.words.contains("not compared"));
    }

    #[test]
    fn refuses_a_row_without_colour_or_face() {
        assert!(read_colours("c", b"face,instrument,backing\nexposed,x,y\n").is_err());
        assert!(read_colours("c", b"face,instrument,backing,yi\nfront,x,y,3\n").is_err());
    }
}
