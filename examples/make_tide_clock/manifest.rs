//! The manifest of the invented object: written by hand, its rows of spectra listed from the spots.

use std::fmt::Write as _;

use super::world;

/// Returns the whole manifest.
pub fn text() -> String {
    let mut text = HEAD.to_owned();
    for spot in world::spots() {
        let _ = write!(
            text,
            "\n[[spectrum]]\nfile = \"{}\"\npart = \"{}\"\nface = \"{}\"\nspot = \"{}\"\n",
            spot.file, spot.part, spot.face, spot.spot
        );
        for (field, value, default) in [
            ("sampling", spot.sampling, "in situ"),
            ("crystal", spot.crystal, "diamond, one reflection"),
            ("detector", spot.detector, "DTGS"),
            ("pressure", spot.pressure, "light, torque screw at its first stop"),
            ("sample_kept", spot.sample_kept, ""),
        ] {
            if value != default {
                let _ = writeln!(text, "{field} = \"{value}\"");
            }
        }
    }
    text
}

const HEAD: &str = r#"# Invented demo data. No such object, town or person exists.
# Made by `cargo run --example make_tide_clock`; see README.md beside this file.
# A field that is left out or blank is printed as "not recorded".

[object]
title = "The Tide Clock"
id = "TC-1971 (invented)"
date_made = "1971"
place = "waiting hall of the Port Ellery ferry terminal (invented)"
dimensions = "3.1 m across"
description = "wall clock sculpture: clear plastic vanes behind a curved front, brass pinions, a painted silk dial cloth behind"
history = "stopped since 1994; lit from seaward windows on one side; a storm let water in"
permission = "given for in-situ measurement and for loose fragments (invented)"
examiner = "invented examiner"
examined = "2026-03-10 to 2026-03-12"
smallest_radius_mm = 900
double_curvature = "no"
note = "invented demo data: no such object exists"

# How every spectrum was taken, where its own row does not say otherwise.
[measurement]
sampling = "in situ"
surface = "dusted with a soft brush, not wiped"
mark_left = "none seen under a hand lens"
pressure = "light, torque screw at its first stop"
instrument = "invented spectrometer"
crystal = "diamond, one reflection"
angle = "45°"
detector = "DTGS"
resolution = "4 cm⁻¹"
scans = "64"
background_age = "less than 15 min"
temperature = "19 °C"
humidity = "48 %"
operator = "invented operator"
date = "2026-03-11"

[[part]]
id = "V01"
name = "vane 1"
group = "vanes"
seen.discolouration = "yellow on the lit side"
seen.crazes = "none"
seen.cracks = "none"

[[part]]
id = "V02"
name = "vane 2"
group = "vanes"
seen.discolouration = "slightly yellow"
seen.cracks = "none"

[[part]]
id = "V03"
name = "vane 3"
group = "vanes"
seen.discolouration = "yellow"
seen.cracks = "split from rim to hub; fragment kept"
note = "split: nothing is clamped here, a detached fragment was measured"

[[part]]
id = "V04"
name = "vane 4"
group = "vanes"
uv_visible = "uv-visible/V04.csv"
seen.discolouration = "none"

[[part]]
id = "V05"
name = "vane 5"
group = "vanes"
seen.discolouration = "none"

[[part]]
id = "V06"
name = "vane 6"
group = "vanes"
seen.discolouration = "none"

[[part]]
id = "T1"
name = "tube 1"
group = "tubes"
seen.texture = "slightly tacky outside"

[[part]]
id = "T2"
name = "tube 2"
group = "tubes"

[[part]]
id = "T3"
name = "tube 3, renewed"
group = "tubes"

[[part]]
id = "F1"
name = "front panel 1"
group = "front"
seen.discolouration = "faintly yellow"

[[part]]
id = "F2"
name = "front panel 2"
group = "front"

[[part]]
id = "F3"
name = "front panel 3, replaced"
group = "front"

[[part]]
id = "D1"
name = "dial"
seen.discolouration = "yellower than under its rim"

[[part]]
id = "L1"
name = "lens over the date"
said_to_be = "acrylic"

[[part]]
id = "S1"
name = "shim behind the dial"

[[part]]
id = "B1"
name = "blind spot, vane 6 at the hub"
note = "only a hand-held instrument reaches here; it stops at 650 cm⁻¹"

[[part]]
id = "B2"
name = "poor contact, vane 5 at the rim"

[[part]]
id = "B3"
name = "deposit on the front"
seen.bloom = "grey dust"

[[part]]
id = "G1"
name = "gap pair: one new strip, pressed well and badly"

[[neighbour]]
name = "brass pinions"
material = "copper alloy"
beside = ["V02", "V03"]
relation = "touching"
seen = "tarnish"

[[neighbour]]
name = "painted silk dial cloth"
material = "silk or wool"
relation = "same enclosure"
seen = "no change"

[[neighbour]]
name = "tube 1 leaning on front panel 1"
part = "T1"
beside = ["F1"]
relation = "touching"

[[colour]]
part = "D1"
face = "exposed"
l = 91.2
a = -0.9
b = 7.4
instrument = "invented colorimeter, D65, 10°"
backing = "white tile"
date = "2026-03-12"

[[colour]]
part = "D1"
face = "covered"
l = 92.6
a = -0.3
b = 2.1
instrument = "invented colorimeter, D65, 10°"
backing = "white tile"
date = "2026-03-12"

# The sheets offered for remaking the vanes. A reference that somebody vouches for may settle PETG
# against PET: add  reference = "spectra/reference-petg.csv",  reference_material = "PETG"  and
# reference_vouched_by = "…"  to N1 to see that.
[[candidate]]
id = "N1"
replaces = ["V01", "V02", "V03", "V04", "V05", "V06"]
name = "sheet N1"
claimed = "PETG"
maker = "invented maker"
grade = "invented UV grade"
batch = "0001"
process = "extruded"
thickness_mm = 3.0
thickness_tolerance_mm = 0.15
uv_side = "printed on the masking film"
masking_film = "polyethylene, removed on the day"
data_sheet_date = "2025-11"
off_cut = "200 mm strip, object file"
uv_visible = "uv-visible/N1.csv"

[[candidate]]
id = "N2a"
replaces = ["V01", "V02", "V03", "V04", "V05", "V06"]
name = "sheet N2a"
claimed = "PETG"
maker = "invented dealer"
process = "extruded"
thickness_mm = 3.0
thickness_tolerance_mm = 0.3
uv_visible = "uv-visible/N2a.csv"

[[candidate]]
id = "N2b"
replaces = ["V01", "V02", "V03", "V04", "V05", "V06"]
name = "film N2b"
claimed = "PETG"
maker = "invented dealer"
thickness_mm = 0.35
uv_visible = "uv-visible/N2b.csv"

# Filled by the conservator; the tool computes nothing here.
[next_examination]
date = "2027-03"
who = "invented examiner"
spots = "the same spots on V01 to V03, F1, F2 and D1"
settings = "as above, with the same check film"
brought_forward_by = "a new crack, a vinegar or sharp smell, fresh tarnish, water on the object"
"#;
