//! One spectrum with the bands behind its answer.

use super::canvas::{Anchor, Canvas, Error, Ink, draw};
use super::frame::Frame;
use super::labels::{shorten, spread};
use super::view::{View, limits};
use crate::judge::{BandEvidence, BandState, Identification};
use crate::report::figure::Figure;
use crate::report::text_tools::list_words;
use crate::spectrum::{Ordinate, PointFlag, Spectrum};
use crate::tables::{Shape, Tables, shape_wavenumber_cm1};

/// Width and height in pixels: a column of an A4 page at 96 pixels an inch.
const SIZE: (f64, f64) = (760.0, 530.0);

/// Below this height in pixels there is no room for labels over the curve: the signs stand alone.
const LEAST_LABELLED: f64 = 420.0;

/// Height of a strip of expected bands, and of a line of the key, in pixels.
const STRIP: f64 = 24.0;
const KEY_LINE: f64 = 17.0;

/// Most materials whose bands are shown: an answer has three components at most, and three signs are
/// told apart at a glance.
const MOST_MATERIALS: usize = 3;

/// Letters of an assignment that fit above the curve.
const LABEL_LETTERS: usize = 28;

/// Words by which an assignment says that a band is an additive's, not the polymer's.
const ADDITIVES: [&str; 5] = ["stabiliser", "plasticiser", "lubricant", "filler", "modifier"];

/// What the table says of a band that nobody has assigned.
const NOT_ASSIGNED: &str = "not assigned";

/// Bands met by one peak lie at one and the same place.
const SAME_PEAK_CM1: f64 = 0.05;

/// Least distance of two upright labels in pixels.
const LABEL_GAP: f64 = 13.0;

/// A material with its bands.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
pub struct ShownBands<'a> {
    /// The material's id.
    pub material: &'a str,
    /// Expected bands and what was found.
    pub bands: &'a [BandEvidence],
}

impl<'a> ShownBands<'a> {
    /// Creates the bands of a material, by its id.
    #[must_use]
    pub fn new(material: &'a str, bands: &'a [BandEvidence]) -> Self {
        Self { material, bands }
    }
}

/// Returns the bands behind an answer: of the material or of each candidate, then of each further component.
#[must_use]
pub fn bands_behind(found: &Identification) -> Vec<ShownBands<'_>> {
    let one = found.material.as_ref().map(std::slice::from_ref);
    let named = one.unwrap_or(&found.candidates).iter();
    let mut shown: Vec<ShownBands<'_>> = named
        .filter_map(|id| found.ranking.iter().find(|ranked| ranked.material == *id))
        .map(|ranked| ShownBands { material: &ranked.material, bands: &ranked.evidence })
        .collect();
    let main = usize::from(!shown.is_empty());
    let further = found.components.iter().skip(main);
    shown.extend(further.map(|c| ShownBands { material: &c.id, bands: &c.evidence }));
    shown.truncate(MOST_MATERIALS);
    shown
}

/// Returns the measured shape to draw behind a spectrum whose bands of a material are shown: the one that the
/// whole curve resembles where it stands for the material, else the material's first.
#[must_use]
pub fn shape_behind<'t>(
    found: &Identification,
    shown: &[ShownBands<'_>],
    tables: &'t Tables,
) -> Option<&'t Shape> {
    let material = shown.first()?.material;
    let mut its_own =
        tables.shapes().iter().filter(|s| s.materials.iter().any(|id| id == material));
    let evidence = found.shape.as_ref();
    let resembled = evidence.and_then(|seen| {
        let summed = seen.sum.iter().map(|summand| &summand.shape);
        let nearest = std::iter::once(&seen.shape).chain(summed);
        nearest.into_iter().find_map(|id| its_own.clone().find(|shape| shape.id == *id))
    });
    resembled.or_else(|| its_own.next())
}

/// What a spectrum's figure shows.
#[derive(Clone, Copy, Debug)]
#[non_exhaustive]
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
    /// The measured shape drawn behind the curve, brought to its height.
    pub shape: Option<&'a Shape>,
    /// The table that judged: a pointer that rests on a band is told its source.
    pub tables: Option<&'a Tables>,
    /// Range, unit and size.
    pub view: View,
}

impl<'a> SpectrumFigure<'a> {
    /// Creates a figure of the curve alone, whole and in absorbance.
    #[must_use]
    pub fn new(id: &'a str, title: &'a str, spectrum: &'a Spectrum) -> Self {
        Self {
            id,
            title,
            spectrum,
            materials: &[],
            unexplained: &[],
            shape: None,
            tables: None,
            view: View::default(),
        }
    }

    /// Sets the materials whose bands are marked, the main one first.
    #[must_use]
    pub fn with_materials(self, materials: &'a [ShownBands<'a>]) -> Self {
        Self { materials, ..self }
    }

    /// Sets the strong peaks that nothing accounts for.
    #[must_use]
    pub fn with_unexplained(self, unexplained: &'a [(f64, f64)]) -> Self {
        Self { unexplained, ..self }
    }

    /// Sets the measured shape drawn behind the curve.
    #[must_use]
    pub fn with_shape(self, shape: impl Into<Option<&'a Shape>>) -> Self {
        Self { shape: shape.into(), ..self }
    }

    /// Sets the table that judged.
    #[must_use]
    pub fn with_tables(self, tables: impl Into<Option<&'a Tables>>) -> Self {
        Self { tables: tables.into(), ..self }
    }

    /// Sets range, unit and size.
    #[must_use]
    pub fn with_view(self, view: View) -> Self {
        Self { view, ..self }
    }
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
    let view = &figure.view;
    let range = view.range(std::iter::once(spectrum));
    let inside = |at: f64| (range.1..=range.0).contains(&at);
    let marked = bands(figure).any(|b| b.state != BandState::Untestable && inside(place(b)))
        || figure.unexplained.iter().any(|(at, _)| inside(*at));
    let usual = if marked { SIZE } else { (SIZE.0, SIZE.1 - 140.0) };
    let size = view.size(usual);
    let labelled = marked && size.1 >= LEAST_LABELLED;
    let top = if labelled { 218.0 } else { 44.0 };
    let strips = figure.materials.iter().filter(|shown| !shown.bands.is_empty()).count();
    let strip = STRIP * strips as f64;
    let foot = if strips > 1 { 74.0 + KEY_LINE } else { 74.0 };
    let runs = view.runs(spectrum, range);
    let shown = runs.iter().flatten().map(|point| point.1);
    let values = limits(shown, !view.percent_transmittance)
        .ok_or_else(|| Error::Empty("nothing was measured in this range".to_owned()))?;
    let frame = Frame::new((56.0, size.0 - 20.0), (top, size.1 - foot - strip), range, values);
    draw(figure.id, size, figure.title, &describe(figure), |canvas| {
        zones(canvas, &frame, spectrum, range)?;
        let relative = spectrum.ordinate() == Ordinate::RelativeAbsorbance;
        let ends = frame.bottom + strip;
        for run in shape_runs(figure, range) {
            frame.curve(canvas, &run, Ink::Faint, 1.1)?;
        }
        frame.draw(canvas, view.ordinate_title(relative), strip == 0.0)?;
        for run in &runs {
            frame.curve(canvas, run, Ink::First, 1.3)?;
        }
        labels(canvas, &frame, figure, labelled.then_some(size))?;
        if strip > 0.0 {
            expected(canvas, &frame, figure, ends)?;
        }
        key(canvas, figure, size)
    })
}

/// The shape in this range as it is drawn, in unbroken runs: its foot at the lowest absorbance shown, its
/// highest point at the highest where both are known.
fn shape_runs(figure: &SpectrumFigure<'_>, range: (f64, f64)) -> Vec<Vec<(f64, f64)>> {
    let Some(shape) = figure.shape else { return Vec::new() };
    let mut low = f64::INFINITY;
    // The shape's height and the spectrum's, both where the shape is highest among what was measured.
    let mut highest: Option<(f64, f64)> = None;
    let points: Vec<(f64, f64)> = shape
        .absorbances
        .iter()
        .enumerate()
        .map(|(point, height)| (shape_wavenumber_cm1(point), *height))
        .filter(|(wavenumber, _)| (range.1..=range.0).contains(wavenumber))
        .collect();
    for (wavenumber, height) in points.iter().filter(|(_, height)| height.is_finite()) {
        let Some(absorbance) = figure.spectrum.absorbance_at(*wavenumber) else { continue };
        low = low.min(absorbance);
        if highest.is_none_or(|(known, _)| *height > known) {
            highest = Some((*height, absorbance));
        }
    }
    let Some((height, absorbance)) = highest.filter(|(height, _)| *height > 0.0) else {
        return Vec::new();
    };
    let placed = |&(wavenumber, share): &(f64, f64)| {
        (wavenumber, figure.view.value(low + share / height * (absorbance - low)))
    };
    points
        .split(|(_, height)| !height.is_finite())
        .filter(|run| run.len() > 1)
        .map(|run| run.iter().map(placed).collect())
        .collect()
}

fn bands<'a>(figure: &SpectrumFigure<'a>) -> impl Iterator<Item = &'a BandEvidence> {
    figure.materials.iter().flat_map(|shown| shown.bands)
}

/// Where a band stands: where it was found, else where it is expected.
fn place(band: &BandEvidence) -> f64 {
    band.found_cm1.unwrap_or(band.expected_cm1)
}

/// Whether a band that is missing says nothing: not every sample of the material shows it, as of an
/// additive that this one does not hold.
fn optional(band: &BandEvidence, tables: Option<&Tables>) -> bool {
    let row = tables.and_then(|tables| tables.band(&band.band));
    let height = row.and_then(|row| row.height.as_ref());
    let of_additive = ADDITIVES.iter().any(|word| band.assignment.contains(word));
    band.state == BandState::Missing
        && (of_additive || height.is_some_and(|height| height.low <= 0.0))
}

/// What a pointer is told of a band: place, state, assignment, source.
fn told(band: &BandEvidence, material: &str, tables: Option<&Tables>) -> String {
    let mut text = match (band.state, band.found_cm1) {
        (BandState::Met, Some(found)) => {
            format!("{found:.1} cm⁻¹, band of {material} expected at {:.0}", band.expected_cm1)
        }
        (state, _) => format!(
            "{:.0} cm⁻¹, band of {material}: {}",
            band.expected_cm1,
            crate::report::words::band_state(state)
        ),
    };
    for more in [&band.assignment, &band.note] {
        if !more.is_empty() && more != NOT_ASSIGNED {
            text.push_str("; ");
            text.push_str(more);
        }
    }
    if let Some(row) = tables.and_then(|tables| tables.band(&band.band)) {
        let status = row.sourcing.status;
        text.push_str(&format!("; {} [{status}]", row.sourcing.source));
    }
    text
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
        let mut end = 0;
        for run in spectrum.flags().chunk_by(|one, next| one == next) {
            let start = end;
            end += run.len();
            if run.contains(&flag) {
                zones.push((axis[start], axis[end - 1], why));
            }
        }
    }
    zones
}

/// Hatches what could not be tested, and says why where there is room.
fn zones(
    canvas: &Canvas<'_, '_>,
    frame: &Frame,
    spectrum: &Spectrum,
    range: (f64, f64),
) -> Result<(), Error> {
    let (low, high) = spectrum.range_cm1();
    for (from, to, why) in untested(spectrum, (low.min(range.1), high.max(range.0))) {
        let (from, to) = (from.max(range.1), to.min(range.0));
        if from >= to {
            continue;
        }
        let (left, right) = (frame.at(to, 0.0).0, frame.at(from, 0.0).0);
        let right = right.max(left + 1.0);
        canvas.fill((left, frame.top), (right, frame.bottom), Ink::Hatch)?;
        canvas.tell(
            ((left + right) / 2.0, (frame.top + frame.bottom) / 2.0),
            ((right - left) / 2.0, (frame.bottom - frame.top) / 2.0),
            &format!("{to:.0}–{from:.0} cm⁻¹: {why}"),
        );
        if right - left > 15.0 {
            let at = ((left + right) / 2.0, frame.top + 6.0);
            canvas.upright(why, at, 10.5, Ink::Faint, Anchor::End)?;
        }
    }
    Ok(())
}

/// One label above the curve.
struct Label {
    at: f64,
    x: f64,
    y: f64,
    text: String,
    sign: Sign,
    ink: Ink,
    told: String,
}

/// Signs on the curve, and where there is room for it (`size`) a label over each.
fn labels(
    canvas: &Canvas<'_, '_>,
    frame: &Frame,
    figure: &SpectrumFigure<'_>,
    size: Option<(f64, f64)>,
) -> Result<(), Error> {
    let height = |wavenumber: f64| {
        figure.view.value(figure.spectrum.absorbance_at(wavenumber).unwrap_or(0.0))
    };
    let mut labels: Vec<Label> = Vec::new();
    let of = figure.materials.iter().enumerate();
    let bands = of.flat_map(|(number, shown)| shown.bands.iter().map(move |b| (number, shown, b)));
    for (number, shown, band) in bands {
        let assignment = shorten(&band.assignment, LABEL_LETTERS);
        let (text, sign, ink) = match (band.state, band.found_cm1) {
            (BandState::Met, Some(found)) => {
                let known = assignment != NOT_ASSIGNED;
                let assignment = if known { assignment.as_str() } else { "" };
                (format!("{found:.0}  {assignment}"), Sign::Of(number), Ink::Text)
            }
            // Of a further material the strip alone says it: room is for what is there. So it does of a
            // band that not every sample shows: that it is absent is no fault.
            (BandState::Missing, _) if number == 0 && !optional(band, figure.tables) => {
                // The table has bands without an assignment: then the place is all there is to say.
                let text = if assignment.is_empty() || assignment == NOT_ASSIGNED {
                    format!("{:.0}  missing", band.expected_cm1)
                } else {
                    let text = format!("{:.0}  missing: {assignment}", band.expected_cm1);
                    shorten(&text, LABEL_LETTERS + 6)
                };
                (text, Sign::Missing, Ink::Caution)
            }
            _ => continue,
        };
        let at = place(band);
        if !frame.holds(at) {
            continue;
        }
        let told = told(band, shown.material, figure.tables);
        // A peak has one label, however many bands it stands for; the first that is assigned.
        let same = |label: &&mut Label| {
            (label.at - at).abs() < SAME_PEAK_CM1 && label.sign != Sign::Missing
        };
        if let Some(known) = labels.iter_mut().find(same).filter(|_| sign != Sign::Missing) {
            known.told.push_str(&format!("\n{told}"));
            if known.text.trim_end() == format!("{at:.0}") {
                known.text = text;
            }
            continue;
        }
        let (x, y) = frame.at(at, height(at));
        labels.push(Label { at, x, y, text, sign, ink, told });
    }
    for &(at, share) in figure.unexplained.iter().filter(|(p, _)| frame.holds(*p)) {
        let (x, y) = frame.at(at, height(at));
        let text = format!("{at:.0}  unexplained");
        let told =
            format!("{at:.1} cm⁻¹, {share:.2} of the strongest band: nothing accounts for it");
        labels.push(Label { at, x, y, text, sign: Sign::Unexplained, ink: Ink::Faint, told });
    }
    labels.sort_by(|a, b| a.x.total_cmp(&b.x));
    let wished: Vec<f64> = labels.iter().map(|label| label.x).collect();
    let places = spread(&wished, LABEL_GAP, frame.left + 6.0, frame.right);
    let foot = frame.top - 12.0;
    for (label, place) in labels.iter().zip(places) {
        let at = (label.x, label.y - 3.0);
        if size.is_some() {
            canvas.line(&[(place, foot), (label.x, foot + 12.0)], Ink::Grid, 0.8)?;
            canvas.line(&[(label.x, foot + 12.0), at], Ink::Grid, 0.8)?;
            canvas.upright(&label.text, (place, foot - 3.0), 10.5, label.ink, Anchor::Start)?;
            canvas.tell((place, foot - 70.0), (LABEL_GAP / 2.0, 68.0), &label.told);
        }
        sign(canvas, label.sign, at)?;
        canvas.tell(at, (7.0, 7.0), &label.told);
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
            let at = (frame.at(band.expected_cm1, 0.0).0, middle);
            if optional(band, figure.tables) {
                canvas.line(&[(at.0, at.1 - 3.0), (at.0, at.1 + 3.0)], Ink::Faint, 1.2)?;
            } else {
                state(canvas, band.state, at)?;
            }
            canvas.tell(at, (5.0, STRIP / 2.0), &told(band, shown.material, figure.tables));
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
    let range = figure.view.range(std::iter::once(figure.spectrum));
    let inside = |at: f64| (range.1..=range.0).contains(&at);
    let shown = || bands(figure).filter(|band| inside(place(band)));
    let any = |state| shown().any(|b| b.state == state && !optional(b, figure.tables));
    let signs: Vec<(KeySign, &str, &str)> = [
        (any(BandState::Met), KeySign::State(BandState::Met), found.as_str(), "found"),
        (
            any(BandState::Missing),
            KeySign::State(BandState::Missing),
            "expected, measured, missing",
            "missing",
        ),
        (
            any(BandState::Untestable),
            KeySign::State(BandState::Untestable),
            "expected, not testable here",
            "not testable",
        ),
        (
            figure.unexplained.iter().any(|(at, _)| inside(*at)),
            KeySign::Unexplained,
            "unexplained",
            "unexplained",
        ),
        (
            !shape_runs(figure, range).is_empty(),
            KeySign::Shape,
            "measured shape of the table",
            "table's shape",
        ),
        (
            shown().any(|band| optional(band, figure.tables)),
            KeySign::Optional,
            "not in every sample",
            "not in all",
        ),
    ]
    .into_iter()
    .filter_map(|(shown, sign, long, short)| shown.then_some((sign, long, short)))
    .collect();
    let room = size.0 - 56.0;
    let fits = signs.iter().map(|(_, long, _)| said_width(long)).sum::<f64>() <= room;
    let mut x = 56.0;
    for (what, long, short) in signs {
        match what {
            KeySign::State(of) => state(canvas, of, (x + 5.0, y))?,
            KeySign::Unexplained => sign(canvas, Sign::Unexplained, (x + 5.0, y))?,
            KeySign::Shape => canvas.line(&[(x - 2.0, y), (x + 11.0, y)], Ink::Faint, 1.1)?,
            KeySign::Optional => {
                canvas.line(&[(x + 5.0, y - 3.0), (x + 5.0, y + 3.0)], Ink::Faint, 1.2)?;
            }
        }
        x += said(canvas, &shorten(if fits { long } else { short }, 48), (x, y))?;
    }
    Ok(())
}

/// A sign of the key.
enum KeySign {
    State(BandState),
    Unexplained,
    Shape,
    Optional,
}

/// The room that a sign of the key and its words take.
fn said_width(text: &str) -> f64 {
    30.0 + super::canvas::text_width(text, 10.5)
}

/// Writes what a sign of the key means and returns the room that both take.
fn said(canvas: &Canvas<'_, '_>, text: &str, at: (f64, f64)) -> Result<f64, Error> {
    canvas.text(text, (at.0 + 15.0, at.1), 10.5, Ink::Text, Anchor::Start)?;
    Ok(said_width(text))
}

/// The figure in words.
fn describe(figure: &SpectrumFigure<'_>) -> String {
    let (measured_low, measured_high) = figure.spectrum.range_cm1();
    let (high, low) = figure.view.range_cm1.unwrap_or((measured_high, measured_low));
    let inside = |at: f64| (low..=high).contains(&at);
    let mut text = format!(
        "{} against wavenumber, falling from {high:.0} to {low:.0} cm⁻¹.",
        figure.view.ordinate_title(false)
    );
    for shown in figure.materials {
        for (state, words) in [
            (BandState::Met, "found"),
            (BandState::Missing, "missing"),
            (BandState::Untestable, "not testable"),
        ] {
            let bands: Vec<String> = shown
                .bands
                .iter()
                .filter(|band| band.state == state && inside(place(band)))
                .filter(|band| !optional(band, figure.tables))
                .map(|band| format!("{:.0}", place(band)))
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
    let peaks = figure.unexplained.iter().filter(|(at, _)| inside(*at));
    let peaks: Vec<String> = peaks.map(|(position, _)| format!("{position:.0}")).collect();
    if let Some(shape) = figure.shape {
        text.push_str(&format!(" Behind it the measured shape {} of the table.", shape.id));
    }
    if !peaks.is_empty() {
        text.push_str(&format!(" Unexplained: {} cm⁻¹.", list_words(&peaks, "and")));
    }
    text
}
