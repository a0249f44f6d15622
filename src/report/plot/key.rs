//! The key of a figure's curves, in as many lines as they need.

use super::canvas::{Anchor, Canvas, Error, Ink, text_width};

/// Inks of the curves; each has a dash of its own, so that six are told apart without colour.
pub(super) const INKS: [Ink; 6] =
    [Ink::First, Ink::Second, Ink::Third, Ink::Fourth, Ink::Fifth, Ink::Sixth];

/// Height of a line, and the places of the first, in pixels.
const LINE: f64 = 18.0;
const START: (f64, f64) = (56.0, 40.0);

/// The labels with their places.
pub(super) struct Key<'a>(Vec<(&'a str, (f64, f64))>);

impl<'a> Key<'a> {
    pub(super) fn new(labels: impl Iterator<Item = &'a str>, width: f64) -> Self {
        let (mut x, mut y) = START;
        let placed = labels.map(|label| {
            let takes = 62.0 + text_width(label, 11.0);
            if x > START.0 && x + takes > width - 10.0 {
                (x, y) = (START.0, y + LINE);
            }
            let at = (x, y);
            x += takes;
            (label, at)
        });
        Self(placed.collect())
    }

    /// Where it ends.
    pub(super) fn bottom(&self) -> f64 {
        self.0.last().map_or(START.1, |(_, at)| at.1) + LINE + 1.2
    }

    pub(super) fn draw(&self, canvas: &Canvas<'_, '_>) -> Result<(), Error> {
        for ((label, (x, y)), ink) in self.0.iter().zip(INKS.into_iter().cycle()) {
            let width = if ink == Ink::Third { 2.4 } else { 1.8 };
            canvas.line(&[(*x, *y), (x + 30.0, *y)], ink, width)?;
            canvas.text(label, (x + 37.0, *y), 11.0, Ink::Text, Anchor::Start)?;
        }
        Ok(())
    }
}
