//! The list of bands as plain text, 80 columns wide.

use std::fmt::Write as _;

use bandlore::{
    Tables,
    spectrum::MeasurementMode,
    tables::{
        Band, Material,
        words::{MaterialKind, Status},
    },
};

/// Width that a listing keeps to: the width of a plain terminal.
const COLUMNS: usize = 80;

/// Where the second line of a band begins: under its material.
const INDENT: usize = 8;

/// Where a material's name begins: under it the rest of what it is called.
const NAME: usize = 10;

/// How often each material was named, or one that it is not told from, in spectra of laboratories that the
/// built-in table had not seen; written by `tests/suite/left_out.rs`.
const OTHER_LABORATORIES: &str = include_str!("../../../../docs/other-laboratories.csv");

/// Returns how many spectra of a material were named rightly, of how many, laboratories left out.
fn in_other_laboratories(id: &str) -> Option<(usize, usize)> {
    let rows = OTHER_LABORATORIES.lines().skip(1);
    let mut all = (0, 0);
    for row in rows {
        let mut cells = row.split(',');
        if !cells.next()?.split(' ').any(|known| known == id) {
            continue;
        }
        let n: usize = cells.next()?.parse().ok()?;
        let right: usize = cells.next()?.parse().ok()?;
        all = (all.0 + right, all.1 + n);
    }
    (all.1 > 0).then_some(all)
}

/// Writes every material with its symbol, its name, what else it is called and whether it carries
/// chlorine; those that are known but never named come last.
pub fn materials(tables: &Tables) -> String {
    let (named, excluded): (Vec<&Material>, Vec<&Material>) =
        tables.materials().iter().partition(|material| material.nameable);
    let mut text = format!("{} materials can be named\n", named.len());
    let is_base = |m: &&&Material| matches!(m.kind, MaterialKind::Polymer | MaterialKind::Fibre);
    for (heading, are_bases) in
        [("Polymers and fibres", true), ("Additives, minerals, residues", false)]
    {
        let _ = writeln!(text, "\n{heading}");
        for material in named.iter().filter(|material| is_base(material) == are_bases) {
            entry(&mut text, material, tables);
        }
    }
    text.push_str("\nClasses, where no member can be named\n");
    for class in tables.classes() {
        let members = class.members.join(", ");
        let _ = write!(text, "  ");
        wrap(&mut text, &format!("{}: {members}", class.name), NAME, 2);
    }
    text.push_str("\nKnown so that nothing else is named in their place\n");
    for material in excluded {
        entry(&mut text, material, tables);
    }
    let digest: String = tables.sha256().chars().take(12).collect();
    let _ = writeln!(
        text,
        "\n[shape]: a measured curve stands behind the name. [chlorine]: carries chlorine.\n\
         [39 of 40]: named rightly, alone or among its look-alikes, in so many spectra of\n\
         laboratories that the table had not seen.\n\
         Where an id is asked for, any of these names does, in any letter case.\n\
         Bands of one: bandlore bands PMMA; all: --all; what absorbs where: --near 1730.\n\
         Table {}, SHA-256 {digest}…",
        tables.version()
    );
    text
}

/// One material: symbol, name, chlorine, other names.
fn entry(out: &mut String, material: &Material, tables: &Tables) {
    let mut about = material.name.clone();
    if material.chlorine {
        about.push_str(" [chlorine]");
    }
    if tables.shapes().iter().any(|shape| shape.materials.contains(&material.id)) {
        about.push_str(" [shape]");
    }
    // Of another table nothing was measured.
    if tables.sha256() == Tables::built_in().sha256()
        && let Some((right, n)) = in_other_laboratories(&material.id)
    {
        let _ = write!(about, " [{right} of {n}]");
    }
    if !material.also_called.is_empty() {
        let _ = write!(about, "; also {}", material.also_called.join(", "));
    }
    let id = format!("  {:<width$}", material.id, width = NAME - 3);
    // A long symbol has its own line, so that the names stay in one column.
    if id.chars().count() >= NAME {
        let _ = writeln!(out, "{id}");
        wrap(out, &about, NAME, 0);
    } else {
        let _ = write!(out, "{id} ");
        wrap(out, &about, NAME, NAME);
    }
}

/// Writes a title, two lines a band, and what the words of the status mean.
pub fn list(tables: &Tables, bands: &[&Band], title: &str, mode: MeasurementMode) -> String {
    let mut text = format!("{title}\n");
    if !bands.is_empty() {
        let _ = writeln!(
            text,
            "\n{:>6}  {:<27} {:<9} {:<11} {:<10} status",
            "cm⁻¹", "material", "window", "strength", "role"
        );
    }
    for band in bands {
        let window = band.window(mode);
        let _ = writeln!(
            text,
            "{:>6}  {:<27} {:<9} {:<11} {:<10} {}",
            band.position_cm1,
            band.material,
            format!("{}–{}", window.low_cm1, window.high_cm1),
            band.strength,
            band.role,
            band.sourcing.status
        );
        let mut about = band.assignment.clone();
        if !band.mode.is_empty() {
            let _ = write!(about, " ({})", band.mode);
        }
        if !band.note.is_empty() {
            let _ = write!(about, "; {}", band.note);
        }
        wrap(&mut text, &about, INDENT, 0);
    }
    foot(&mut text, tables, bands);
    text
}

fn foot(text: &mut String, tables: &Tables, bands: &[&Band]) {
    text.push('\n');
    if bands.iter().any(|band| band.sourcing.status == Status::Memory) {
        text.push_str("memory: recalled from the named source, not opened again; about ±3 cm⁻¹.\n");
    }
    let digest: String = tables.sha256().chars().take(12).collect();
    let _ = writeln!(text, "Table {}, SHA-256 {digest}…; sources: --format csv", tables.version());
}

/// Breaks a text at blanks under the indent; so many columns of its first line are taken.
fn wrap(out: &mut String, text: &str, indent: usize, taken: usize) {
    let mut used = taken;
    let mut first = taken > 0;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if !first && (used == 0 || used + 1 + length > COLUMNS) {
            if used > 0 {
                out.push('\n');
            }
            out.push_str(&" ".repeat(indent));
            used = indent + length;
        } else {
            if !first {
                out.push(' ');
                used += 1;
            }
            used += length;
            first = false;
        }
        out.push_str(word);
    }
    out.push('\n');
}
