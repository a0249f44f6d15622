//! The list of bands as plain text, 80 columns wide.

use std::fmt::Write as _;

use bandlore::{Band, MeasurementMode, Status, Tables};

/// Width that a listing keeps to: the width of a plain terminal.
const COLUMNS: usize = 80;

/// Where the second line of a band begins: under its material.
const INDENT: usize = 8;

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
        wrap(&mut text, &about);
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

/// Breaks a text at blanks under the indent.
fn wrap(out: &mut String, text: &str) {
    let mut used = 0;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if used == 0 || used + 1 + length > COLUMNS {
            if used > 0 {
                out.push('\n');
            }
            out.push_str(&" ".repeat(INDENT));
            used = INDENT + length;
        } else {
            out.push(' ');
            used += 1 + length;
        }
        out.push_str(word);
    }
    out.push('\n');
}
