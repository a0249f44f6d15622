//! The object's parts by chlorine, as tiles told apart by filling.

use super::canvas::{Anchor, Canvas, Error, Ink, draw};
use super::labels::shorten;
use crate::object::ChlorineList;
use crate::report::figure::Figure;

/// Width in pixels.
const WIDTH: f64 = 760.0;

/// Size of a tile in pixels.
const TILE: (f64, f64) = (78.0, 46.0);

/// Space between tiles in pixels.
const GAP: f64 = 10.0;

/// Where tiles start; group names stand to the left.
const LEFT: f64 = 150.0;

/// One part.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct MapPart {
    /// Its id.
    pub id: String,
    /// What it is made of, in a word.
    pub material: String,
    /// Which list it stands on; `None` where it was not measured.
    pub list: Option<ChlorineList>,
    /// Neighbours that a rule speaks of, each in a word.
    pub neighbours: Vec<String>,
}

impl MapPart {
    /// Creates a part without neighbours.
    #[must_use]
    pub fn new(
        id: impl Into<String>,
        material: impl Into<String>,
        list: impl Into<Option<ChlorineList>>,
    ) -> Self {
        let (id, material, list) = (id.into(), material.into(), list.into());
        Self { id, material, list, neighbours: Vec::new() }
    }

    /// Sets the neighbours that a rule speaks of.
    #[must_use]
    pub fn with_neighbours(self, neighbours: Vec<String>) -> Self {
        Self { neighbours, ..self }
    }
}

/// Parts that belong together.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct MapGroup {
    /// Their name.
    pub name: String,
    /// The parts.
    pub parts: Vec<MapPart>,
}

impl MapGroup {
    /// Creates a group of parts.
    #[must_use]
    pub fn new(name: impl Into<String>, parts: Vec<MapPart>) -> Self {
        Self { name: name.into(), parts }
    }
}

/// Draws every part as a tile: filled where chlorine is shown, hatched where it is implied or not
/// excluded, open where none was detected at the surface.
///
/// # Errors
///
/// No parts, and failures of the plotting library.
pub fn draw_chlorine_map(id: &str, title: &str, groups: &[MapGroup]) -> Result<Figure, Error> {
    if groups.iter().all(|group| group.parts.is_empty()) {
        return Err(Error::Empty("there are no parts".to_owned()));
    }
    let columns = ((WIDTH - LEFT) / (TILE.0 + GAP)).floor().max(1.0) as usize;
    let row_height = TILE.1 + GAP + 14.0;
    let rows: usize = groups.iter().map(|g| g.parts.len().div_ceil(columns)).sum();
    let height = 92.0 + rows as f64 * row_height + 6.0;
    draw(id, (WIDTH, height), title, &describe(groups), |canvas| {
        key(canvas)?;
        let mut y = 84.0;
        for group in groups.iter().filter(|group| !group.parts.is_empty()) {
            let name = shorten(&group.name, 20);
            canvas.text(&name, (14.0, y + TILE.1 / 2.0), 12.0, Ink::Text, Anchor::Start)?;
            for row in group.parts.chunks(columns) {
                for (i, part) in row.iter().enumerate() {
                    tile(canvas, part, (LEFT + i as f64 * (TILE.0 + GAP), y))?;
                }
                y += row_height;
            }
        }
        Ok(())
    })
}

fn tile(canvas: &Canvas<'_, '_>, part: &MapPart, at: (f64, f64)) -> Result<(), Error> {
    let to = (at.0 + TILE.0, at.1 + TILE.1);
    let middle = at.0 + TILE.0 / 2.0;
    swatch(canvas, part.list, at, to)?;
    let ink = if part.list == Some(ChlorineList::Shown) { Ink::Paper } else { Ink::Text };
    if part.list == Some(ChlorineList::ImpliedOrNotExcluded) {
        canvas.fill((at.0 + 6.0, at.1 + 6.0), (to.0 - 6.0, to.1 - 6.0), Ink::Paper)?;
    }
    canvas.text(&shorten(&part.id, 10), (middle, at.1 + 16.0), 13.0, ink, Anchor::Middle)?;
    canvas.text(&shorten(&part.material, 12), (middle, at.1 + 32.0), 10.0, ink, Anchor::Middle)?;
    if !part.neighbours.is_empty() {
        let words = shorten(&part.neighbours.join(", "), 15);
        let half = super::canvas::text_width(&words, 9.5) / 2.0;
        canvas.pointer((middle - half - 4.0, to.1 + 9.0), 3.0, Ink::Caution)?;
        canvas.text(&words, (middle + 4.0, to.1 + 9.0), 9.5, Ink::Caution, Anchor::Middle)?;
    }
    Ok(())
}

fn swatch(
    canvas: &Canvas<'_, '_>,
    list: Option<ChlorineList>,
    from: (f64, f64),
    to: (f64, f64),
) -> Result<(), Error> {
    match list {
        Some(ChlorineList::Shown) => canvas.fill(from, to, Ink::First)?,
        Some(ChlorineList::ImpliedOrNotExcluded) => canvas.fill(from, to, Ink::BoldHatch)?,
        Some(ChlorineList::NoneDetected) => canvas.fill(from, to, Ink::Paper)?,
        None => canvas.fill(from, to, Ink::Hatch)?,
    }
    canvas.outline(from, to, Ink::First, 1.2)
}

fn key(canvas: &Canvas<'_, '_>) -> Result<(), Error> {
    let mut x = 14.0;
    for (list, words) in [
        (Some(ChlorineList::Shown), "chlorine shown"),
        (Some(ChlorineList::ImpliedOrNotExcluded), "implied or not excluded"),
        (Some(ChlorineList::NoneDetected), "none detected at this surface"),
    ] {
        swatch(canvas, list, (x, 38.0), (x + 26.0, 54.0))?;
        canvas.text(words, (x + 34.0, 46.0), 11.0, Ink::Text, Anchor::Start)?;
        x += 56.0 + super::canvas::text_width(words, 11.0);
    }
    canvas.pointer((x, 46.0), 3.4, Ink::Caution)?;
    canvas.text("neighbour at risk", (x + 10.0, 46.0), 11.0, Ink::Caution, Anchor::Start)
}

/// What the tiles show, in words; a part that was never measured is treated as the table of parts does.
fn describe(groups: &[MapGroup]) -> String {
    let of = |wanted: ChlorineList| {
        let ids: Vec<String> = groups
            .iter()
            .flat_map(|group| &group.parts)
            .filter_map(|part| match part.list {
                Some(list) => (list == wanted).then(|| part.id.clone()),
                None => (wanted == ChlorineList::ImpliedOrNotExcluded)
                    .then(|| format!("{} (not measured)", part.id)),
            })
            .collect();
        if ids.is_empty() { "none".to_owned() } else { ids.join(", ") }
    };
    format!(
        "Chlorine shown: {}. Implied or not excluded: {}. None detected at this surface: {}.",
        of(ChlorineList::Shown),
        of(ChlorineList::ImpliedOrNotExcluded),
        of(ChlorineList::NoneDetected),
    )
}
