//! The invented object: what each spot is made of, and how badly it was measured.

use std::fmt::Write as _;

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rustfft::num_complex::Complex64;

use super::materials::{
    CALCITE, CELLULOSE_ACETATE, Material, ORTHO_PHTHALATE, PC, PCT, PDMS, PET_AMORPHOUS,
    PET_ORIENTED, PMMA, PVC, TALC, TEREPHTHALATE,
};
use super::optics::{Layer, absorbance};

/// Seed of the demo; another one makes another object.
const SEED: u64 = 1971;

/// Lowest wavenumber of the diamond crystal and its detector, in cm⁻¹.
const LOWEST_CM1: f64 = 399.2;

/// Spacing of the points in cm⁻¹, as an instrument at 4 cm⁻¹ resolution writes them.
const SPACING_CM1: f64 = 1.9285;

/// Highest wavenumber in cm⁻¹.
const HIGHEST_CM1: f64 = 4000.0;

/// Standard deviation of the noise in absorbance where the detector is at its best.
const NOISE: f64 = 1.2e-4;

/// Water-vapour lines, wavenumber in cm⁻¹ and relative height (recalled from line lists).
const VAPOUR: &[(f64, f64)] = &[
    (1507.1, 0.5),
    (1540.3, 0.6),
    (1558.5, 0.9),
    (1576.2, 0.5),
    (1616.7, 0.6),
    (1635.7, 0.7),
    (1653.3, 1.0),
    (1684.8, 0.8),
    (1699.9, 0.7),
    (1717.4, 0.7),
    (1734.6, 0.6),
    (1772.7, 0.5),
    (1792.7, 0.5),
    (1844.2, 0.4),
    (1869.4, 0.4),
    (3675.1, 0.4),
    (3711.1, 0.4),
    (3735.0, 0.6),
    (3749.4, 0.6),
    (3801.3, 0.6),
    (3816.1, 0.6),
    (3837.9, 0.7),
    (3853.9, 0.8),
    (3870.2, 0.4),
];

/// Oxidation of PVC in light: carbonyls and bonded hydroxyl, at the ranges of the marker table.
const PVC_OXIDATION: &[(f64, f64, f64)] = &[
    (1715.0, 34.0, 0.30),
    (1738.0, 30.0, 0.24),
    (1782.0, 26.0, 0.07),
    (3250.0, 260.0, 1.3),
    (3440.0, 240.0, 2.4),
];

/// Oxidation of the side chain of polycarbonate: acids, ketones and hydroxyl, no photo-Fries product.
const PC_OXIDATION: &[(f64, f64, f64)] =
    &[(1713.0, 30.0, 0.42), (1731.0, 26.0, 0.26), (3250.0, 240.0, 1.2), (3470.0, 260.0, 3.0)];

/// What lies under the crystal at one spot.
struct Sample {
    /// Volume shares of materials; what is missing to 1 is air.
    mixture: Vec<(&'static Material, f64)>,
    /// Oscillators of products of ageing, and their share.
    products: (&'static [(f64, f64, f64)], f64),
    /// Air between crystal and sample, in µm.
    gap_um: f64,
    /// A coat over the sample, and its thickness in µm.
    coat: Option<(&'static Material, f64)>,
}

impl Sample {
    fn of(mixture: &[(&'static Material, f64)]) -> Self {
        Self { mixture: mixture.to_vec(), products: (&[], 0.0), gap_um: 0.0, coat: None }
    }

    fn aged(mut self, products: &'static [(f64, f64, f64)], share: f64) -> Self {
        self.products = (products, share);
        self
    }

    fn with_gap(mut self, gap_um: f64) -> Self {
        self.gap_um = gap_um;
        self
    }

    fn coated(mut self, coat: &'static Material, thickness_um: f64) -> Self {
        self.coat = Some((coat, thickness_um));
        self
    }

    /// The permittivity at one wavenumber: shares of the materials, added up.
    fn permittivity(&self, wavenumber_cm1: f64) -> Complex64 {
        let mut total = Complex64::new(0.0, 0.0);
        let mut share_left = 1.0;
        for (material, share) in &self.mixture {
            total += permittivity(material, wavenumber_cm1) * share;
            share_left -= share;
        }
        total + share_left + oscillators(self.products.0, wavenumber_cm1) * self.products.1
    }
}

fn permittivity(material: &Material, wavenumber_cm1: f64) -> Complex64 {
    oscillators(material.oscillators, wavenumber_cm1) + material.background
}

fn oscillators(oscillators: &[(f64, f64, f64)], v: f64) -> Complex64 {
    oscillators
        .iter()
        .map(|&(centre, width, strength)| {
            Complex64::new(strength * 1e4, 0.0)
                / Complex64::new(centre * centre - v * v, -width * v)
        })
        .sum()
}

/// One spot of the demo.
pub struct Spot {
    pub part: &'static str,
    pub face: &'static str,
    pub spot: char,
    pub file: String,
    pub sampling: &'static str,
    pub crystal: &'static str,
    pub detector: &'static str,
    pub sample_kept: &'static str,
    pub pressure: &'static str,
    sample: Sample,
    lowest_cm1: f64,
    jcamp: bool,
}

/// Adds the spots of one face: `count` of them, each made by `make` from a factor near 1.
struct Builder {
    spots: Vec<Spot>,
    random: ChaCha8Rng,
}

impl Builder {
    fn face(
        &mut self,
        part: &'static str,
        face: &'static str,
        count: usize,
        make: impl Fn(f64) -> Sample,
    ) -> &mut [Spot] {
        let start = self.spots.len();
        for spot in ('a'..='z').take(count) {
            // Spots of one face differ by some 8 %, and no two are pressed alike.
            let factor = 1.0 + 0.08 * self.normal();
            let mut sample = make(factor);
            sample.gap_um += 0.012 * self.random.random::<f64>();
            let name = face.replace(' ', "-");
            let file = if count == 1 {
                format!("spectra/{part}-{name}.csv")
            } else {
                format!("spectra/{part}-{name}-{spot}.csv")
            };
            self.spots.push(Spot {
                part,
                face,
                spot,
                file,
                sampling: "in situ",
                crystal: "diamond, one reflection",
                detector: "DTGS",
                sample_kept: "",
                pressure: "light, torque screw at its first stop",
                sample,
                lowest_cm1: LOWEST_CM1,
                jcamp: false,
            });
        }
        &mut self.spots[start..]
    }

    /// A standard normal number (Box and Muller).
    fn normal(&mut self) -> f64 {
        let u: f64 = 1.0 - self.random.random::<f64>();
        let v: f64 = self.random.random();
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

/// Every spot of the object and of the candidate sheets.
pub fn spots() -> Vec<Spot> {
    let mut b = Builder { spots: Vec::new(), random: ChaCha8Rng::seed_from_u64(SEED) };
    for (part, exposed, reverse, count) in [
        ("V01", 0.60, 0.27, 5),
        ("V02", 0.50, 0.22, 5),
        ("V03", 0.75, 0.32, 5),
        ("V04", 0.0, 0.0, 3),
        ("V05", 0.0, 0.0, 3),
        ("V06", 0.0, 0.0, 3),
    ] {
        for (face, share) in [("exposed", exposed), ("reverse", reverse), ("covered", 0.0)] {
            let made = b.face(part, face, count, |f| {
                Sample::of(&[(&PVC, 1.0)]).aged(PVC_OXIDATION, share * f)
            });
            if part == "V03" {
                for spot in made {
                    spot.sampling = "detached fragment";
                    spot.sample_kept = "labelled tube, object file";
                    spot.pressure = "light, fragment only; no clamping on the object";
                }
            }
        }
    }
    for (part, outside) in [("T1", 0.20), ("T2", 0.22)] {
        for (face, share) in [("outside", outside), ("bore", 0.32)] {
            for spot in b.face(part, face, 5, |f| {
                let share = share * (1.0 + 0.4 * (f - 1.0));
                Sample::of(&[(&PVC, 1.0 - share), (&ORTHO_PHTHALATE, share)])
            }) {
                spot.jcamp = true;
            }
        }
    }
    for spot in b.face("T3", "outside", 3, |f| {
        let share = 0.30 * (1.0 + 0.4 * (f - 1.0));
        Sample::of(&[(&PVC, 1.0 - share), (&TEREPHTHALATE, share)])
    }) {
        spot.jcamp = true;
    }
    for (part, exposed) in [("F1", 0.8), ("F2", 0.6)] {
        for (face, share) in [("exposed", exposed), ("covered", 0.0)] {
            b.face(part, face, 5, |f| Sample::of(&[(&PC, 1.0)]).aged(PC_OXIDATION, share * f));
        }
    }
    b.face("F3", "exposed", 3, |f| Sample::of(&[(&PC, 1.0)]).coated(&PDMS, 0.25 * f));
    b.face("F3", "reverse", 3, |_| Sample::of(&[(&PC, 1.0)]));
    for face in ["exposed", "covered"] {
        for spot in b.face("D1", face, 5, |_| Sample::of(&[(&PMMA, 1.0)])) {
            spot.jcamp = true;
        }
    }
    b.face("L1", "exposed", 3, |_| Sample::of(&[(&CELLULOSE_ACETATE, 1.0)]));
    b.face("S1", "exposed", 1, |_| Sample::of(&[(&PET_ORIENTED, 1.0)]));
    for (face, count) in [("face a", 3), ("face b", 3), ("cut edge", 1)] {
        b.face("N1", face, count, |_| petg());
    }
    for face in ["face a", "face b"] {
        b.face("N2a", face, 3, |_| Sample::of(&[(&PET_AMORPHOUS, 1.0)]));
        b.face("N2b", face, 3, |_| Sample::of(&[(&PET_ORIENTED, 1.0)]));
    }
    for spot in b.face("B1", "exposed", 1, |_| Sample::of(&[(&PVC, 1.0)])) {
        spot.lowest_cm1 = 650.0;
        spot.crystal = "zinc selenide, one reflection";
        spot.detector = "lithium tantalate";
    }
    b.face("B2", "exposed", 1, |_| Sample::of(&[(&PVC, 1.0)]).with_gap(6.0));
    b.face("B3", "exposed", 1, |_| Sample::of(&[(&CALCITE, 0.40), (&TALC, 0.12)]));
    b.face("G1", "exposed", 5, |_| Sample::of(&[(&PVC, 1.0)]));
    for spot in b.face("G1", "covered", 5, |_| Sample::of(&[(&PVC, 1.0)]).with_gap(0.2)) {
        spot.pressure = "hardly any: the bracket left no room for the foot";
    }
    for spot in &mut b.spots {
        if spot.jcamp {
            spot.file = spot.file.replace(".csv", ".dx");
        }
    }
    b.spots
}

/// PETG: about a third of the glycol exchanged.
fn petg() -> Sample {
    Sample::of(&[(&PET_AMORPHOUS, 0.73), (&PCT, 0.27)])
}

/// Every file of spectra: the name below the folder of the demo, and its text.
pub fn files() -> Vec<(String, String)> {
    let mut files: Vec<(String, String)> = spots()
        .iter()
        .enumerate()
        .map(|(i, spot)| {
            let points = measure(&spot.sample, spot.lowest_cm1, i as u64 + 1);
            let title = format!("{} {} {}", spot.part, spot.face, spot.spot);
            let text = if spot.jcamp { jcamp(&title, &points) } else { csv(&title, &points) };
            (spot.file.clone(), text)
        })
        .collect();
    let reference = measure(&petg(), LOWEST_CM1, 9001);
    files.push((
        "spectra/reference-petg.csv".to_owned(),
        csv("off-cut that its (invented) maker vouches for as PETG", &reference),
    ));
    files.push(("uv-visible/V04.csv".to_owned(), uv_visible("vane V04", 352.0, 0.84)));
    files.push(("uv-visible/N1.csv".to_owned(), uv_visible("sheet N1", 372.0, 0.89)));
    files.push(("uv-visible/N2a.csv".to_owned(), uv_visible("sheet N2a", 318.0, 0.87)));
    files.push(("uv-visible/N2b.csv".to_owned(), uv_visible("sheet N2b", 316.0, 0.86)));
    files
}

/// Measures a sample as a tired instrument would: noise, vapour, carbon dioxide, a sloping baseline.
fn measure(sample: &Sample, lowest_cm1: f64, number: u64) -> Vec<(f64, f64)> {
    let mut b = Builder { spots: Vec::new(), random: ChaCha8Rng::seed_from_u64(SEED) };
    b.random.set_stream(number);
    let vapour = 2.5e-4 * b.normal().clamp(-1.5, 1.5);
    let carbon_dioxide = 8e-4 * b.normal().clamp(-1.5, 1.5);
    let offset = 0.002 * b.random.random::<f64>();
    let slope = 0.003 * b.random.random::<f64>();
    let air = Complex64::new(1.0, 0.0);
    // Counted in whole steps from the top, so that every file stands on the same grid.
    let count = ((HIGHEST_CM1 - lowest_cm1) / SPACING_CM1) as usize + 1;
    (0..count)
        .map(|i| {
            let v = HIGHEST_CM1 - SPACING_CM1 * i as f64;
            let mut layers = vec![Layer { permittivity: air, thickness_um: sample.gap_um }];
            if let Some((coat, thickness_um)) = sample.coat {
                layers.push(Layer { permittivity: permittivity(coat, v), thickness_um });
            }
            let mut a = absorbance(v, &layers, sample.permittivity(v));
            a += offset + slope * (HIGHEST_CM1 - v) / HIGHEST_CM1;
            a += vapour * VAPOUR.iter().map(|&(at, h)| h * bell(v, at, 2.4)).sum::<f64>();
            a += carbon_dioxide
                * (bell(v, 2361.0, 9.0) + 0.9 * bell(v, 2340.0, 11.0) + 0.6 * bell(v, 667.4, 2.4));
            (v, a + NOISE * noise_factor(v, lowest_cm1) * b.normal())
        })
        .collect()
}

/// How much more noise than at best: diamond's own bands, and the end of the detector.
fn noise_factor(v: f64, lowest_cm1: f64) -> f64 {
    let diamond = 4.0 * bell(v, 2050.0, 160.0);
    let end = ((lowest_cm1 + 120.0 - v) / 40.0).max(0.0);
    1.0 + diamond + end
}

fn bell(v: f64, at: f64, width: f64) -> f64 {
    (-((v - at) / width).powi(2)).exp()
}

fn csv(title: &str, points: &[(f64, f64)]) -> String {
    let mut text = format!("# invented demo data: {title}\nwavenumber (cm-1),absorbance\n");
    for (v, a) in points {
        let _ = writeln!(text, "{v:.4},{a:.5}");
    }
    text
}

/// JCAMP-DX 4.24, ordinates as plain numbers, eight a line.
fn jcamp(title: &str, points: &[(f64, f64)]) -> String {
    const YFACTOR: f64 = 1e-5;
    let (first, last) = (points[0], points[points.len() - 1]);
    let ordinate = |a: f64| (a / YFACTOR).round() as i64;
    let mut text = format!(
        "##TITLE= invented demo data: {title}\n##JCAMP-DX= 4.24\n##DATA TYPE= INFRARED SPECTRUM\n\
         ##ORIGIN= invented, made by examples/make_tide_clock\n##OWNER= nobody\n\
         ##XUNITS= 1/CM\n##YUNITS= ABSORBANCE\n##XFACTOR= 1.0\n##YFACTOR= {YFACTOR}\n\
         ##FIRSTX= {:.4}\n##LASTX= {:.4}\n##NPOINTS= {}\n##DELTAX= {:.4}\n##FIRSTY= {:.5}\n\
         ##XYDATA= (X++(Y..Y))\n",
        first.0,
        last.0,
        points.len(),
        -SPACING_CM1,
        ordinate(first.1) as f64 * YFACTOR,
    );
    for chunk in points.chunks(8) {
        let _ = write!(text, "{:.4}", chunk[0].0);
        for (_, a) in chunk {
            let _ = write!(text, " {}", ordinate(*a));
        }
        text.push('\n');
    }
    text.push_str("##END=\n");
    text
}

/// A UV-visible transmittance curve in percent: opaque below `edge_nm`, `plateau` far above.
fn uv_visible(of: &str, edge_nm: f64, plateau: f64) -> String {
    let mut text = format!("# invented demo data: {of}, 3 mm\nwavelength (nm),transmittance (%)\n");
    for nm in (300..=800).step_by(2) {
        let rise = 1.0 / (1.0 + (-(f64::from(nm) - edge_nm) / 5.0).exp());
        let _ = writeln!(text, "{nm},{:.2}", 100.0 * plateau * rise);
    }
    text
}
