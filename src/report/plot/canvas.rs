//! A drawing surface in tenths of a pixel, because the plotting library counts in whole numbers.

use std::cell::RefCell;

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use crate::report::figure::Figure;
use crate::report::text_tools::{cut, xml_forbids};

/// Tenths of a pixel on the page.
const FINE: f64 = 10.0;

/// The library divides font sizes by this when it writes SVG; we multiply to get what we ask for.
const FONT_FACTOR: f64 = 1.24;

/// The families a viewer may have; the first is the one that PNG is rendered with.
const FAMILIES: &str = "Inter, 'Helvetica Neue', Arial, sans-serif";

/// Why a figure could not be drawn.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The plotting library gave up.
    #[error("the figure could not be drawn: {0}")]
    Draw(String),
    /// The renderer gave up.
    #[error("the figure could not be rendered as PNG: {0}")]
    Render(String),
    /// There is nothing to draw.
    #[error("there is nothing to draw: {0}")]
    Empty(String),
    /// There is more to draw than can be told apart.
    #[error("too much for one figure: {0}")]
    Crowded(String),
}

/// A figure, or none where there is nothing to draw, which is no fault.
pub(crate) fn unless_empty(drawn: Result<Figure, Error>) -> Result<Option<Figure>, Error> {
    match drawn {
        Ok(figure) => Ok(Some(figure)),
        Err(Error::Empty(_)) => Ok(None),
        Err(error) => Err(error),
    }
}

/// What something is drawn in. Each ink has a colour of its own, also in grey, and its own dash.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ink {
    /// Text, axes and the main curve's frame.
    Text,
    /// Side text.
    Faint,
    /// Grid lines.
    Grid,
    /// The main curve: solid.
    First,
    /// A second curve: dashed.
    Second,
    /// A third curve: dotted.
    Third,
    /// A fourth curve: long dash and dot.
    Fourth,
    /// A fifth curve: short dashes.
    Fifth,
    /// A sixth curve: long dashes far apart.
    Sixth,
    /// Something that needs attention: missing bands.
    Caution,
    /// A filled band around a curve.
    Tint,
    /// What was not measured: hatched.
    Hatch,
    /// Half of a tile: hatched more boldly.
    BoldHatch,
    /// Paper.
    Paper,
}

impl Ink {
    /// Red, green and blue. Distances in lightness keep them apart in grey; blue-green, orange and
    /// violet keep them apart for every common colour vision (checked in `tests/suite/figures.rs`).
    fn rgb(self) -> (u8, u8, u8) {
        match self {
            Self::Text => (0x1b, 0x26, 0x2c),
            Self::Faint => (0x54, 0x61, 0x66),
            Self::Grid => (0xd5, 0xdc, 0xda),
            Self::First => (0x0f, 0x4c, 0x5c),
            Self::Second => (0xc4, 0x6a, 0x1b),
            Self::Third => (0x8d, 0x7c, 0xb4),
            Self::Fourth => (0x7a, 0x1f, 0x4b),
            Self::Fifth => (0x5f, 0x86, 0x2a),
            Self::Sixth => (0x2c, 0x6c, 0xb8),
            Self::Caution => (0x9a, 0x34, 0x12),
            Self::Tint => (0xdc, 0xe9, 0xe8),
            Self::Hatch => (0xee, 0xf1, 0xf0),
            Self::BoldHatch => (0xed, 0xf0, 0xef),
            Self::Paper => (0xff, 0xff, 0xff),
        }
    }

    fn color(self) -> RGBColor {
        let (r, g, b) = self.rgb();
        RGBColor(r, g, b)
    }

    fn hex(self) -> String {
        let (r, g, b) = self.rgb();
        format!("#{r:02X}{g:02X}{b:02X}")
    }
}

/// Where text stands against its point.
#[derive(Clone, Copy, Debug)]
pub(super) enum Anchor {
    /// Starts there.
    Start,
    /// Is centred there.
    Middle,
    /// Ends there.
    End,
}

/// One surface while it is drawn on. Positions are in pixels from the upper left.
pub(super) struct Canvas<'a, 'b> {
    area: &'b DrawingArea<SVGBackend<'a>, Shift>,
    /// What a pointer that rests on a mark is told, as SVG that the plotting library cannot write.
    told: &'b RefCell<String>,
}

/// The dash of each ink that has one, as the rest of an attribute; dots are round.
const DASHES: [(Ink, &str); 5] = [
    (Ink::Second, "60 26\""),
    (Ink::Third, "4 24\" stroke-linecap=\"round\""),
    (Ink::Fourth, "130 30 14 30\""),
    (Ink::Fifth, "28 16\""),
    (Ink::Sixth, "150 60\""),
];

/// Size of a heading, and how far it keeps from both edges, in pixels.
const TITLE_SIZE: f64 = 14.0;
const TITLE_EDGE: f64 = 14.0;

fn fine(value: f64) -> i32 {
    (value * FINE).round() as i32
}

/// Points in fine pixels.
fn fine_points(points: &[(f64, f64)]) -> Vec<(i32, i32)> {
    points.iter().map(|&(x, y)| (fine(x), fine(y))).collect()
}

fn drawn<E: std::fmt::Display>(result: Result<(), E>) -> Result<(), Error> {
    result.map_err(|error| Error::Draw(error.to_string()))
}

impl Canvas<'_, '_> {
    pub(super) fn line(&self, points: &[(f64, f64)], ink: Ink, width: f64) -> Result<(), Error> {
        if points.len() < 2 {
            return Ok(());
        }
        let style = ink.color().stroke_width((width * FINE).round() as u32);
        drawn(self.area.draw(&PathElement::new(fine_points(points), style)))
    }

    pub(super) fn polygon(&self, points: &[(f64, f64)], ink: Ink) -> Result<(), Error> {
        drawn(self.area.draw(&Polygon::new(fine_points(points), ink.color().filled())))
    }

    pub(super) fn fill(&self, from: (f64, f64), to: (f64, f64), ink: Ink) -> Result<(), Error> {
        let corners = [(fine(from.0), fine(from.1)), (fine(to.0), fine(to.1))];
        drawn(self.area.draw(&Rectangle::new(corners, ink.color().filled())))
    }

    pub(super) fn outline(
        &self,
        from: (f64, f64),
        to: (f64, f64),
        ink: Ink,
        width: f64,
    ) -> Result<(), Error> {
        let corners = [from, (to.0, from.1), to, (from.0, to.1), from, (to.0, from.1)];
        self.line(&corners, ink, width)
    }

    pub(super) fn disc(&self, at: (f64, f64), radius: f64, ink: Ink) -> Result<(), Error> {
        let at = (fine(at.0), fine(at.1));
        drawn(self.area.draw(&Circle::new(at, fine(radius), ink.color().filled())))
    }

    /// A ring with paper inside.
    pub(super) fn ring(&self, at: (f64, f64), radius: f64, ink: Ink) -> Result<(), Error> {
        self.disc(at, radius, ink)?;
        self.disc(at, radius - 1.3, Ink::Paper)
    }

    /// A cross of two strokes.
    pub(super) fn cross(&self, at: (f64, f64), reach: f64, ink: Ink) -> Result<(), Error> {
        let (x, y) = at;
        self.line(&[(x - reach, y - reach), (x + reach, y + reach)], ink, 1.5)?;
        self.line(&[(x - reach, y + reach), (x + reach, y - reach)], ink, 1.5)
    }

    /// A small filled triangle that points to the right.
    pub(super) fn pointer(&self, at: (f64, f64), reach: f64, ink: Ink) -> Result<(), Error> {
        let (x, y) = at;
        self.polygon(&[(x - reach, y - reach), (x + reach, y), (x - reach, y + reach)], ink)
    }

    /// A square standing on its corner, with paper inside.
    pub(super) fn diamond(&self, at: (f64, f64), reach: f64, ink: Ink) -> Result<(), Error> {
        let (x, y) = at;
        let corners = [(x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)];
        self.polygon(&corners, Ink::Paper)?;
        self.line(&[corners[0], corners[1], corners[2], corners[3], corners[0]], ink, 1.2)
    }

    /// A filled area that lets what lies behind it shine through.
    pub(super) fn veil(&self, points: &[(f64, f64)], ink: Ink) -> Result<(), Error> {
        drawn(self.area.draw(&Polygon::new(fine_points(points), ink.color().mix(0.22).filled())))
    }

    /// Tells a pointer that rests around a place what stands there.
    pub(super) fn tell(&self, at: (f64, f64), reach: (f64, f64), text: &str) {
        self.told.borrow_mut().push_str(&format!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"none\" \
             pointer-events=\"all\"><title>{}</title></rect>\n",
            fine(at.0 - reach.0),
            fine(at.1 - reach.1),
            fine(2.0 * reach.0),
            fine(2.0 * reach.1),
            escape(text)
        ));
    }

    /// The heading, cut to the width.
    fn title(&self, title: &str, width: f64) -> Result<(), Error> {
        let most = ((width - 2.0 * TITLE_EDGE) / text_width("n", TITLE_SIZE)).floor() as usize;
        self.text(&cut(title, most), (TITLE_EDGE, 18.0), TITLE_SIZE, Ink::Text, Anchor::Start)
    }

    pub(super) fn text(
        &self,
        text: &str,
        at: (f64, f64),
        size: f64,
        ink: Ink,
        anchor: Anchor,
    ) -> Result<(), Error> {
        self.write(text, at, size, ink, anchor, FontTransform::None)
    }

    /// Text that reads upwards.
    pub(super) fn upright(
        &self,
        text: &str,
        at: (f64, f64),
        size: f64,
        ink: Ink,
        anchor: Anchor,
    ) -> Result<(), Error> {
        self.write(text, at, size, ink, anchor, FontTransform::Rotate270)
    }

    fn write(
        &self,
        text: &str,
        at: (f64, f64),
        size: f64,
        ink: Ink,
        anchor: Anchor,
        turn: FontTransform,
    ) -> Result<(), Error> {
        let horizontal = match anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        let color = ink.color();
        let style = TextStyle::from(("sans-serif", size * FINE * FONT_FACTOR).into_font())
            .transform(turn)
            .color(&color)
            .pos(Pos::new(horizontal, VPos::Center));
        drawn(self.area.draw(&Text::new(printable(text), (fine(at.0), fine(at.1)), style)))
    }
}

/// Draws a figure under its heading: `id` keeps the names inside one page apart.
pub(super) fn draw(
    id: &str,
    size: (f64, f64),
    title: &str,
    description: &str,
    paint: impl FnOnce(&Canvas<'_, '_>) -> Result<(), Error>,
) -> Result<Figure, Error> {
    let mut svg = String::new();
    let told = RefCell::new(String::new());
    {
        let area = SVGBackend::with_string(&mut svg, (fine(size.0) as u32, fine(size.1) as u32))
            .into_drawing_area();
        drawn(area.fill(&WHITE))?;
        let canvas = Canvas { area: &area, told: &told };
        canvas.title(title, size.0)?;
        paint(&canvas)?;
        drawn(area.present())?;
    }
    let id: String = id.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
    let (width, height) = (size.0.round() as u32, size.1.round() as u32);
    // A size in millimetres is no whole number of pixels.
    let exact = |side: f64| format!("{}", (side * 100.0).round() / 100.0);
    let body = svg.split_once(">\n").map_or("", |(_, body)| body);
    let body = body.trim_end().strip_suffix("</svg>").unwrap_or(body);
    let body = body
        .replace("font-family=\"sans-serif\"", &format!("font-family=\"{FAMILIES}\""))
        .replace(" opacity=\"1\"", "")
        .replace(&fill_of(Ink::Hatch), &format!("fill=\"url(#{id}-hatch)\""))
        .replace(&fill_of(Ink::BoldHatch), &format!("fill=\"url(#{id}-bold)\""))
        .replace("<polyline fill=\"none\"", "<polyline fill=\"none\" stroke-linejoin=\"round\"");
    let body = DASHES.iter().fold(body, |body, (ink, dash)| {
        let stroke = format!("stroke=\"{}\"", ink.hex());
        body.replace(&stroke, &format!("{stroke} stroke-dasharray=\"{dash}"))
    });
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" height=\"{}\" \
         viewBox=\"0 0 {} {}\" role=\"img\" aria-labelledby=\"{id}-title {id}-desc\">\n\
         <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-desc\">{}</desc>\n\
         <defs>\n{}{}</defs>\n{body}{told}</svg>\n",
        exact(size.0),
        exact(size.1),
        fine(size.0),
        fine(size.1),
        escape(title),
        escape(description),
        hatch(&format!("{id}-hatch"), Ink::Hatch, Ink::Grid, 70),
        hatch(&format!("{id}-bold"), Ink::Paper, Ink::First, 60),
        told = told.into_inner(),
    );
    Ok(Figure {
        svg,
        title: title.to_owned(),
        description: description.to_owned(),
        size: (width, height),
    })
}

fn fill_of(ink: Ink) -> String {
    format!("fill=\"{}\"", ink.hex())
}

/// A pattern of rising strokes.
fn hatch(id: &str, ground: Ink, stroke: Ink, pitch: u32) -> String {
    format!(
        "<pattern id=\"{id}\" width=\"{pitch}\" height=\"{pitch}\" \
         patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
         <rect width=\"{pitch}\" height=\"{pitch}\" fill=\"{}\"/>\
         <line x1=\"0\" y1=\"0\" x2=\"0\" y2=\"{pitch}\" stroke=\"{}\" stroke-width=\"{}\"/>\
         </pattern>\n",
        ground.hex(),
        stroke.hex(),
        pitch / 2
    )
}

/// Leaves out what XML cannot hold; the plotting library escapes the rest.
fn printable(text: &str) -> String {
    text.chars().map(|c| if xml_forbids(c) { ' ' } else { c }).collect()
}

/// Escapes text for XML and leaves out what XML cannot hold.
pub(super) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            other if xml_forbids(other) => out.push(' '),
            other => out.push(other),
        }
    }
    out
}

/// How wide a text is drawn, roughly, in pixels: the mean advance of the shipped font.
pub(super) fn text_width(text: &str, size: f64) -> f64 {
    /// Mean advance of a letter in ems, measured over English words in the shipped font.
    const MEAN_ADVANCE: f64 = 0.54;
    text.chars().count() as f64 * size * MEAN_ADVANCE
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leaves_out_what_xml_cannot_hold() {
        assert_eq!(escape("a\u{fffe}<b>\u{1b}\u{ffff}"), "a &lt;b&gt;  ");
        assert_eq!(printable("a\u{fffe}b\u{0}"), "a b ");
        assert_eq!(escape("\u{1fffe}"), "\u{1fffe}", "beyond the first plane XML allows it");
    }
}
