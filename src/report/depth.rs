//! Penetration depths as text, a table, JSON and a page.
//!
//! **In:** [`Depths`], one for each crystal and angle.
//!
//! **Out:** text, a table, JSON or a page.
//!
//! ```
//! use bandlore::optics::{Depths, Element};
//! use bandlore::report::depth::depth_sheet;
//!
//! let depths = Depths::new("diamond", Element::DIAMOND_45, 1.5, &[1000.0, 1700.0])?;
//! assert_eq!(depth_sheet(&[depths]).csv()?.lines().count(), 3);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use std::io;

use super::document::{Cell, Document, Kind, PageFrame, Table, Tone};
use super::forms::forms;
use super::rounding::rounded;
use super::sheet::{Column, Decimals, Sheet, Value};
use super::style::Style;
use crate::optics::Depths;

/// The value of `schema` in each object.
const SCHEMA: &str = "bandlore/depth/v1";

/// What the figures are; printed with them, since depths are easily read as "all that counts".
const MEANING: &str = "Depth at which the field of the evanescent wave has fallen to 1/e (Harrick 1967): \
     λ / (2π n₁ √(sin²θ − (n₂/n₁)²)). What lies deeper still counts, though less and less. The index \
     of a real sample changes across its strong bands, and the depth with it.";

forms! {
    /// One element's depths.
    struct Entry<'a>(d: &'a Depths) {
        /// Always `bandlore/depth/v1`.
        schema: &'static str = SCHEMA,
        /// Name and version of the tool.
        tool: &'static str = concat!("bandlore ", env!("CARGO_PKG_VERSION")),
        /// The crystal's name, or its index where it has none.
        crystal: &'a str = &d.crystal,
        /// Refractive index of the crystal.
        crystal_index: f64 = d.element.crystal_index,
        /// Where that index comes from; `memory` where it was not read anywhere.
        index_source: &'static str = d.index_source,
        /// Angle of incidence from the normal, in degrees.
        angle_deg: f64 = d.element.angle_deg,
        /// Refractive index of the sample.
        sample_index: f64 = d.sample_index,
        /// Angle past which reflection is total, in degrees.
        critical_angle_deg: f64 = rounded(d.critical_angle_deg, 4),
        /// Sample index at which total reflection ends.
        critical_index: f64 = rounded(d.critical_index, 4),
        /// The depths, in the order asked for.
        depths: Vec<Depth> = d.depths.iter().map(Depth::new).collect(),
    }

    struct Depth(at: &(f64, f64)) {
        /// Wavenumber in cm⁻¹.
        wavenumber_cm1: f64 = at.0,
        /// Depth in µm.
        depth_um: f64 = rounded(at.1, 6),
    }
}

/// Writes a JSON array, an object an element.
///
/// # Errors
///
/// Only values that JSON cannot hold, which finite depths are not.
pub fn depth_json(all: &[Depths]) -> io::Result<String> {
    let list: Vec<Entry<'_>> = all.iter().map(Entry::new).collect();
    Ok(serde_json::to_string_pretty(&list)? + "\n")
}

/// Returns one row an element and wavenumber.
#[must_use]
pub fn depth_sheet(all: &[Depths]) -> Sheet {
    let columns: [Column<(&Depths, f64, f64)>; 9] = [
        ("crystal", |(d, ..)| d.crystal.as_str().into()),
        ("crystal_index", |(d, ..)| d.element.crystal_index.into()),
        ("index_source", |(d, ..)| d.index_source.into()),
        ("angle_deg", |(d, ..)| d.element.angle_deg.into()),
        ("sample_index", |(d, ..)| d.sample_index.into()),
        ("critical_angle_deg", |(d, ..)| Value::Number(d.critical_angle_deg, Decimals::Fixed(4))),
        ("critical_index", |(d, ..)| Value::Number(d.critical_index, Decimals::Fixed(4))),
        ("wavenumber_cm1", |(_, wavenumber_cm1, _)| (*wavenumber_cm1).into()),
        ("depth_um", |(.., depth_um)| Value::Number(*depth_um, Decimals::Fixed(6))),
    ];
    let rows = all.iter().flat_map(|d| d.depths.iter().map(move |&(at, depth)| (d, at, depth)));
    Sheet::new("Depths", &columns, rows)
}

/// Composes the page: a table with a column an element, and what limits each.
#[must_use]
pub fn depth_document(all: &[Depths], frame: &PageFrame<'_>) -> Document {
    let kind = "How deep an ATR element looks into a sample";
    let mut page = Document::of_run("Penetration depths", kind, "depths", frame);
    page.heading(2, "Depths", "found");
    depths(&mut page, all);
    page.how(frame);
    page
}

/// Writes text that fits the width.
#[must_use]
pub fn depth_text(all: &[Depths], width: usize) -> String {
    let mut page = Document::default();
    depths(&mut page, all);
    page.text_in(width, Style::Plain)
}

fn depths(page: &mut Document, all: &[Depths]) {
    page.ids = all.iter().map(|d| d.crystal.clone()).collect();
    page.text(MEANING, Tone::Plain);
    let heads: Vec<String> = all.iter().map(|d| format!("{} / µm", d.crystal)).collect();
    let mut columns = vec![("Wavenumber / cm⁻¹", Kind::Number, 20)];
    columns.extend(heads.iter().map(|head| (head.as_str(), Kind::Number, 20)));
    let mut table = Table::new("Penetration depth by wavenumber and element", &columns);
    for (i, (wavenumber, _)) in all.first().map_or(&[][..], |d| &d.depths).iter().enumerate() {
        let mut row: Vec<Cell> = vec![wavenumber.to_string().into()];
        row.extend(all.iter().map(|d| {
            let depth = d.depths.get(i).map(|(_, depth)| format!("{depth:.3}"));
            Cell::from(depth.unwrap_or_default())
        }));
        table.rows.push(row);
    }
    page.table(table);
    let limits = all.iter().map(|d| format!("{}: {}", d.crystal, limits(d)));
    page.list(limits.chain(notes(all)).collect(), false);
}

fn limits(d: &Depths) -> String {
    format!(
        "index {} ({}), {}° in a sample of index {}; total reflection past {:.2}°, or up to a sample \
         index of {:.3}",
        d.element.crystal_index,
        d.index_source,
        d.element.angle_deg,
        d.sample_index,
        d.critical_angle_deg,
        d.critical_index
    )
}

/// Says where a crystal lets little through at a wavenumber asked for.
fn notes(all: &[Depths]) -> impl Iterator<Item = String> {
    all.iter().filter_map(|d| {
        let least = d.least_cm1?;
        let below = d.depths.iter().any(|(at, _)| *at < least);
        below.then(|| {
            format!(
                "{}: lets little through below about {least:.0} cm⁻¹ (sources differ by 100 to 150); \
                 look at where your own spectra end",
                d.crystal
            )
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::schema::assert_committed;

    #[test]
    fn committed_schema_is_current() {
        assert_committed::<Vec<Entry<'static>>>("depth.json", "Penetration depths, version 1");
    }
}
