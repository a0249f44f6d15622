//! One spectrum with the bands behind its answer.

use super::canvas::{Anchor, Canvas, Error, Ink, draw};
use super::frame::Frame;
use super::labels::{shorten, spread};
use crate::judge::{BandEvidence, BandState, Identification};
use crate::report::figure::Figure;
use crate::report::text_tools::list_words;
use crate::spectrum::{Ordinate, PointFlag, Spectrum};

/// Width and height in pixels: a column of an A4 page at 96 pixels an inch.
const SIZE: (f64, f64) = (760.0, 530.0);

/// The range shown whatever was measured, so that what was not measured is seen.
const SHOWN_CM1: (f64, f64) = (400.0, 4000.0);

/// Height of a strip of expected bands, and of a line of the key, in pixels.
const STRIP: f64 = 24.0;
const KEY_LINE: f64 = 17.0;

/// Most materials whose bands are shown: an answer has three components at most, and three signs are
/// told apart at a glance.
const MOST_MATERIALS: usize = 3;

/// Letters of an assignment that fit above the curve.
const LABEL_LETTERS: usize = 28;

/// What the table says of a band that nobody has assigned.
const NOT_ASSIGNED: &str = "not assigned";

/// Least distance of two upright labels in pixels.
const LABEL_GAP: f64 = 13.0;

/// A material with its bands.
#[derive(Clone, Copy, Debug)]
pub struct ShownBands<'a> {
    /// The material's id.
    pub material: &'a str,
    /// Expected bands and what was found.
    pub bands: &'a [BandEvidence],
}

/// Returns the bands behind an answer: of the material or the first candidate, then of each further
/// component.
#[must_use]
pub fn bands_behind(found: &Identification) -> Vec<ShownBands<'_>> {
    let named = found.material.as_ref().or(found.candidates.first());
    let ranked = named.and_then(|id| found.ranking.iter().find(|ranked| ranked.material == *id));
    let first = ranked.map(|r| ShownBands { material: &r.material, bands: &r.evidence });
    let further = found
        .components
        .iter()
        .skip(usize::from(first.is_some()))
        .map(|c| ShownBands { material: &c.id, bands: &c.evidence });
    first.into_iter().chain(further).take(MOST_MATERIALS).collect()
}

/// What a spectrum's figure shows.
#[derive(Clone, Copy, Debug)]
pub struct SpectrumFigure<'a> {
    /// Name that keeps parts of several figures on one page apart; letters, digits, hyphens.
    pub id: &'a str,
    /// The heading.
    pub title: &'a str,
    /// The spectrum.
    pub spectrum: &'a Spectrum,
    /// The materials whose bands are marked, the main one first; up to three.
    pub materials: &'a [ShownBands<'a>],
    /// Strong peaks that nothing accounts for: position in cm⁻¹ and share of the strongest.
    pub unexplained: &'a [(f64, f64)],
}

/// Draws a spectrum: curve, found bands with wavenumber and assignment, expected bands, and
/// hatching over what could not be tested.
///
/// # Errors
///
/// A spectrum of padding alone, and failures of the plotting library.
pub fn draw_spectrum(figure: &SpectrumFigure<'_>) -> Result<Figure, Error> {
    let spectrum = figure.spectrum;
    if spectrum.segments().is_empty() {
        return Err(Error::Empty("the spectrum holds padding alone".to_owned()));
    }
    let labelled =
        bands(figure).any(|b| b.state != BandState::Untestable) || !figure.unexplained.is_empty();
    let top = if labelled { 218.0 } else { 44.0 };
    let strips = figure.materials.iter().filter(|shown| !shown.bands.is_empty()).count();
    let strip = STRIP * strips as f64;
    let foot = if strips > 1 { 74.0 + KEY_LINE } else { 74.0 };
    let size = if labelled { SIZE } else { (SIZE.0, SIZE.1 - 140.0) };
    let (low, high) = spectrum.range_cm1();
    let range = (high.max(SHOWN_CM1.1), low.min(SHOWN_CM1.0));
    let frame =
        Frame::new((56.0, size.0 - 20.0), (top, size.1 - foot - strip), range, heights(spectrum));
    draw(figure.id, size, figure.title, &describe(figure), |canvas| {
        canvas.text(&shorten_title(figure.title), (14.0, 18.0), 14.0, Ink::Text, Anchor::Start)?;
        zones(canvas, &frame, spectrum)?;
        let title = match spectrum.ordinate() {
            Ordinate::RelativeAbsorbance => "Relative absorbance",
            _ => "Absorbance",
        };
        let ends = frame.bottom + strip;
        frame.draw(canvas, title, strip == 0.0)?;
        for range in spectrum.segments() {
            let points: Vec<(f64, f64)> = spectrum.wavenumbers_cm1()[range.clone()]
                .iter()
                .copied()
                .zip(spectrum.absorbances()[range.clone()].iter().copied())
                .collect();
            frame.curve(canvas, &points, Ink::First, 1.3)?;
        }
        labels(canvas, &frame, figure, size)?;
        if strip > 0.0 {
            expected(canvas, &frame, figure, ends)?;
        }
        key(canvas, figure, size)
    })
}

fn bands<'a>(figure: &SpectrumFigure<'a>) -> impl Iterator<Item = &'a BandEvidence> {
    figure.materials.iter().flat_map(|shown| shown.bands)
}

/// Whose band a sign stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sign {
    /// Of the first, second or third material.
    Of(usize),
    Missing,
    Unexplained,
}

fn sign(canvas: &Canvas<'_, '_>, sign: Sign, at: (f64, f64)) -> Result<(), Error> {
    match sign {
        Sign::Of(0) => canvas.disc(at, 2.3, Ink::Text),
        Sign::Of(1) => canvas.fill((at.0 - 2.6, at.1 - 2.6), (at.0 + 2.6, at.1 + 2.6), Ink::Second),
        // A ring would look like "not testable".
        Sign::Of(_) => canvas.pointer(at, 3.6, Ink::First),
        Sign::Missing => canvas.cross(at, 3.0, Ink::Caution),
        Sign::Unexplained => canvas.diamond(at, 3.6, Ink::Faint),
    }
}

/// The range of absorbance shown: all measured points, with a margin.
fn heights(spectrum: &Spectrum) -> (f64, f64) {
    let (mut low, mut high) = (0.0f64, f64::MIN);
    for (value, flag) in spectrum.absorbances().iter().zip(spectrum.flags()) {
        if matches!(flag, PointFlag::Measured | PointFlag::Saturated) {
            low = low.min(*value);
            high = high.max(*value);
        }
    }
    let span = (high - low).max(1e-6);
    (low - 0.04 * span, low + 1.05 * span)
}

/// Ranges, in cm⁻¹, that hold nothing to judge, with the reason.
fn untested(spectrum: &Spectrum, frame_range: (f64, f64)) -> Vec<(f64, f64, &'static str)> {
    let axis = spectrum.wavenumbers_cm1();
    let mut zones = Vec::new();
    let mut from = frame_range.0;
    for segment in spectrum.segments() {
        let (first, last) = (axis[segment.start], axis[segment.end - 1]);
        if first > from + 1.0 {
            zones.push((from, first, "not measured"));
        }
        from = last;
    }
    if frame_range.1 > from + 1.0 {
        zones.push((from, frame_range.1, "not measured"));
    }
    for (flag, why) in [(PointFlag::Masked, "masked"), (PointFlag::Saturated, "saturated")] {
        let mut start: Option<usize> = None;
        for (i, found) in spectrum.flags().iter().enumerate() {
            match (*found == flag, start) {
                (true, None) => start = Some(i),
                (false, Some(begin)) => {
                    zones.push((axis[begin], axis[i - 1], why));
                    start = None;
                }
                _ => {}
            }
        }
        if let (Some(begin), Some(end)) = (start, axis.last()) {
            zones.push((axis[begin], *end, why));
        }
    }
    zones
}

/// Hatches what could not be tested, and says why where there is room.
fn zones(canvas: &Canvas<'_, '_>, frame: &Frame, spectrum: &Spectrum) -> Result<(), Error> {
    let (low, high) = spectrum.range_cm1();
    for (from, to, why) in untested(spectrum, (low.min(SHOWN_CM1.0), high.max(SHOWN_CM1.1))) {
        let (left, right) = (frame.at(to, 0.0).0, frame.at(from, 0.0).0);
        let right = right.max(left + 1.0);
        canvas.fill((left, frame.top), (right, frame.bottom), Ink::Hatch)?;
        if right - left > 15.0 {
            let at = ((left + right) / 2.0, frame.top + 6.0);
            canvas.upright(why, at, 10.5, Ink::Faint, Anchor::End)?;
        }
    }
    Ok(())
}

/// One label above the curve.
struct Label {
    x: f64,
    y: f64,
    text: String,
    sign: Sign,
    ink: Ink,
}

fn labels(
    canvas: &Canvas<'_, '_>,
    frame: &Frame,
    figure: &SpectrumFigure<'_>,
    size: (f64, f64),
) -> Result<(), Error> {
    let height = |wavenumber: f64| figure.spectrum.absorbance_at(wavenumber).unwrap_or(0.0);
    let mut labels: Vec<Label> = Vec::new();
    let of = figure.materials.iter().enumerate();
    for (place, band) in of.flat_map(|(place, shown)| shown.bands.iter().map(move |b| (place, b))) {
        let assignment = shorten(&band.assignment, LABEL_LETTERS);
        let (at, text, sign, ink) = match (band.state, band.found_cm1) {
            (BandState::Met, Some(found)) => {
                (found, format!("{found:.0}  {assignment}"), Sign::Of(place), Ink::Text)
            }
            // Of a further material the strip alone says it: room is for what is there.
            (BandState::Missing, _) if place == 0 => {
                // The table has bands without an assignment: then the place is all there is to say.
                let text = if assignment.is_empty() || assignment == NOT_ASSIGNED {
                    format!("{:.0}  missing", band.expected_cm1)
                } else {
                    let text = format!("{:.0}  missing: {assignment}", band.expected_cm1);
                    shorten(&text, LABEL_LETTERS + 6)
                };
                (band.expected_cm1, text, Sign::Missing, Ink::Caution)
            }
            _ => continue,
        };
        if frame.holds(at) {
            let (x, y) = frame.at(at, height(at));
            labels.push(Label { x, y, text, sign, ink });
        }
    }
    for &(position, _) in figure.unexplained.iter().filter(|(p, _)| frame.holds(*p)) {
        let (x, y) = frame.at(position, height(position));
        let text = format!("{position:.0}  unexplained");
        labels.push(Label { x, y, text, sign: Sign::Unexplained, ink: Ink::Faint });
    }
    labels.sort_by(|a, b| a.x.total_cmp(&b.x));
    let wished: Vec<f64> = labels.iter().map(|label| label.x).collect();
    let places = spread(&wished, LABEL_GAP, frame.left + 6.0, size.0 - 20.0);
    let foot = frame.top - 12.0;
    for (label, place) in labels.iter().zip(places) {
        canvas.line(&[(place, foot), (label.x, foot + 12.0)], Ink::Grid, 0.8)?;
        canvas.line(&[(label.x, foot + 12.0), (label.x, label.y - 3.0)], Ink::Grid, 0.8)?;
        let at = (label.x, label.y - 3.0);
        sign(canvas, label.sign, at)?;
        canvas.upright(&label.text, (place, foot - 3.0), 10.5, label.ink, Anchor::Start)?;
    }
    Ok(())
}

/// A strip under the curve for each material: each expected band by its state.
fn expected(
    canvas: &Canvas<'_, '_>,
    frame: &Frame,
    figure: &SpectrumFigure<'_>,
    ends: f64,
) -> Result<(), Error> {
    canvas.line(&[(frame.left, ends), (frame.right, ends)], Ink::Text, 0.9)?;
    let several = figure.materials.len() > 1;
    let strips = figure.materials.iter().enumerate().filter(|(_, shown)| !shown.bands.is_empty());
    for (row, (place, shown)) in strips.enumerate() {
        let middle = frame.bottom + STRIP * (row as f64 + 0.5);
        let words = (frame.left - if several { 11.0 } else { 7.0 }, middle);
        canvas.text("expected", words, 10.0, Ink::Faint, Anchor::End)?;
        if several {
            sign(canvas, Sign::Of(place), (frame.left - 5.0, middle))?;
        }
        for band in shown.bands.iter().filter(|band| frame.holds(band.expected_cm1)) {
            let x = frame.at(band.expected_cm1, 0.0).0;
            state(canvas, band.state, (x, middle))?;
        }
    }
    frame.numbers(canvas, ends)
}

fn state(canvas: &Canvas<'_, '_>, state: BandState, at: (f64, f64)) -> Result<(), Error> {
    match state {
        BandState::Met => canvas.line(&[(at.0, at.1 - 8.0), (at.0, at.1 + 8.0)], Ink::Text, 2.0),
        BandState::Missing => canvas.cross(at, 3.6, Ink::Caution),
        BandState::Untestable => canvas.ring(at, 3.6, Ink::Faint),
    }
}

/// The key: what each sign means, only for the signs that are used.
fn key(
    canvas: &Canvas<'_, '_>,
    figure: &SpectrumFigure<'_>,
    size: (f64, f64),
) -> Result<(), Error> {
    let y = size.1 - 14.0;
    let several = figure.materials.len() > 1;
    if several {
        let mut x = 56.0;
        for (place, shown) in figure.materials.iter().enumerate() {
            let text = format!("band of {} found", shown.material);
            sign(canvas, Sign::Of(place), (x + 5.0, y - KEY_LINE))?;
            x += said(canvas, &text, (x, y - KEY_LINE))?;
        }
    }
    let found = match figure.materials {
        [one] if !one.material.is_empty() => format!("band of {} found", one.material),
        [_] => "band found".to_owned(),
        _ => "expected and found".to_owned(),
    };
    let mut x = 56.0;
    for (sign, text) in [
        (BandState::Met, found.as_str()),
        (BandState::Missing, "expected, measured, missing"),
        (BandState::Untestable, "expected, not testable here"),
    ] {
        if bands(figure).any(|band| band.state == sign) {
            state(canvas, sign, (x + 5.0, y))?;
            x += said(canvas, &shorten(text, 48), (x, y))?;
        }
    }
    if !figure.unexplained.is_empty() {
        sign(canvas, Sign::Unexplained, (x + 5.0, y))?;
        said(canvas, "unexplained", (x, y))?;
    }
    Ok(())
}

/// Writes what a sign of the key means and returns the room that both take.
fn said(canvas: &Canvas<'_, '_>, text: &str, at: (f64, f64)) -> Result<f64, Error> {
    canvas.text(text, (at.0 + 15.0, at.1), 10.5, Ink::Text, Anchor::Start)?;
    Ok(30.0 + super::canvas::text_width(text, 10.5))
}

fn shorten_title(title: &str) -> String {
    /// Letters of a heading that fit the width.
    const MOST: usize = 92;
    if title.chars().count() <= MOST {
        return title.to_owned();
    }
    let cut: String = title.chars().take(MOST - 1).collect();
    format!("{cut}…")
}

/// The figure in words.
fn describe(figure: &SpectrumFigure<'_>) -> String {
    let (low, high) = figure.spectrum.range_cm1();
    let mut text =
        format!("Absorbance against wavenumber, falling from {high:.0} to {low:.0} cm⁻¹.");
    for shown in figure.materials {
        for (state, words) in [
            (BandState::Met, "found"),
            (BandState::Missing, "missing"),
            (BandState::Untestable, "not testable"),
        ] {
            let bands: Vec<String> = shown
                .bands
                .iter()
                .filter(|band| band.state == state)
                .map(|band| format!("{:.0}", band.found_cm1.unwrap_or(band.expected_cm1)))
                .collect();
            if !bands.is_empty() {
                let of = if shown.material.is_empty() { "" } else { " of " };
                text.push_str(&format!(
                    " Bands{of}{} {words}: {} cm⁻¹.",
                    shown.material,
                    list_words(&bands, "and")
                ));
            }
        }
    }
    if !figure.unexplained.is_empty() {
        let peaks: Vec<String> =
            figure.unexplained.iter().map(|(position, _)| format!("{position:.0}")).collect();
        text.push_str(&format!(" Unexplained: {} cm⁻¹.", list_words(&peaks, "and")));
    }
    text
}
