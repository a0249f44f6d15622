//! Seeded faces of an invented PVC: Gaussian bands, spot-to-spot spread, gaps, drift and noise.

use bandlore::{
    Spectrum, Tables,
    ageing::{
        Specimen,
        comparison::{CompareInput, ComparedFace, Comparison, Composition, Spot, compare},
    },
    optics::Element,
    spectrum::SpectrumParts,
    tables::look_alikes::{Predicate, Verdict},
};

/// Small, seeded and reproducible everywhere: SplitMix64 with Box and Muller's transform.
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5EED)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    pub fn uniform(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.next() >> 11) as f64 / (1_u64 << 53) as f64)
    }

    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.uniform(1e-12, 1.0).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform(0.0, 1.0)).cos()
    }
}

/// Position, full width at half height, height; invented, of the size of a rigid PVC's.
const STEADY: [(f64, f64, f64); 8] = [
    (2970.0, 30.0, 0.05),
    (2912.0, 40.0, 0.12),
    (1427.0, 18.0, 0.12),
    (1331.0, 18.0, 0.09),
    (1254.0, 24.0, 0.14),
    (962.0, 25.0, 0.10),
    (690.0, 30.0, 0.20),
    (613.0, 30.0, 0.25),
];
/// Two overlapping carbonyls: the ageing product.
const CARBONYL: [(f64, f64, f64); 2] = [(1722.0, 26.0, 0.030), (1752.0, 20.0, 0.012)];
const HYDROXYL: (f64, f64, f64) = (3350.0, 150.0, 0.02);

/// Only stretches that a PVC marker, a contact band or the noise needs, every 4 cm⁻¹.
pub fn axis(step: f64) -> Vec<f64> {
    let mut axis = Vec::new();
    let mut v = 560.0;
    while v <= 3700.0 {
        axis.push(v);
        v += step;
    }
    axis
}

pub struct Material {
    pub axis: Vec<f64>,
    steady: Vec<f64>,
    carbonyl: Vec<f64>,
    hydroxyl: Vec<f64>,
    losses: Vec<f64>,
}

impl Material {
    pub fn new(step: f64) -> Self {
        let axis = axis(step);
        let sum = |bands: &[(f64, f64, f64)]| -> Vec<f64> {
            axis.iter().map(|v| bands.iter().map(|b| gaussian(*b, *v)).sum()).collect()
        };
        let crystal = Element::DIAMOND_45;
        Self {
            steady: sum(&STEADY),
            carbonyl: sum(&CARBONYL),
            hydroxyl: sum(&[HYDROXYL]),
            losses: axis.iter().map(|v| crystal.loss_per_um(*v).expect("reflected")).collect(),
            axis,
        }
    }

    /// One spot.
    pub fn spot(&self, what: &SpotTruth, random: &mut Random) -> Spectrum {
        let (offset, slope) = (random.uniform(0.0, 0.02), random.uniform(-3e-6, 3e-6));
        let values = (0..self.axis.len())
            .map(|i| {
                let clean = self.steady[i]
                    + what.carbonyl * self.carbonyl[i]
                    + what.hydroxyl * self.hydroxyl[i];
                let noise = if what.noise > 0.0 { what.noise * random.normal() } else { 0.0 };
                clean * what.scale * (-what.gap_um * self.losses[i]).exp()
                    + offset
                    + slope * self.axis[i]
                    + noise
            })
            .collect();
        Spectrum::new(SpectrumParts::new(self.axis.clone(), values)).expect("valid")
    }
}

fn gaussian((position, fwhm, height): (f64, f64, f64), v: f64) -> f64 {
    height * (-4.0 * std::f64::consts::LN_2 * ((v - position) / fwhm).powi(2)).exp()
}

pub struct SpotTruth {
    pub carbonyl: f64,
    pub hydroxyl: f64,
    pub scale: f64,
    pub gap_um: f64,
    pub noise: f64,
}

/// One face: the level of its products, their relative spread, its gap.
pub struct FaceTruth {
    pub level: f64,
    pub spread: f64,
    pub gap_um: f64,
    pub noise: f64,
    pub n: usize,
}

pub fn face(material: &Material, truth: &FaceTruth, random: &mut Random) -> Vec<Spectrum> {
    (0..truth.n)
        .map(|_| {
            let spot = SpotTruth {
                carbonyl: truth.level * (truth.spread * random.normal()).exp(),
                hydroxyl: truth.level * (truth.spread * random.normal()).exp(),
                scale: random.uniform(0.9, 1.1),
                gap_um: (truth.gap_um + 0.02 * random.normal()).max(0.0),
                noise: truth.noise,
            };
            material.spot(&spot, random)
        })
        .collect()
}

/// A rigid PVC where nothing disturbs: of all questions only "little ester carbonyl" is a yes.
pub fn nothing(question: &Predicate) -> Verdict {
    match question {
        Predicate::Ratio { most: Some(_), least: None, .. } => Verdict::Yes,
        _ => Verdict::No,
    }
}

pub fn compared(material: &str, exposed: &[Spectrum], covered: &[Spectrum]) -> Comparison {
    compared_as((material, exposed), (material, covered))
}

/// The same of faces that are each of a material; the markers are those of the first.
pub fn compared_as(
    (material, exposed): (&str, &[Spectrum]),
    (other, covered): (&str, &[Spectrum]),
) -> Comparison {
    let spots: Vec<Spot<'_>> = exposed
        .iter()
        .map(|s| (ComparedFace::Exposed, material, s))
        .chain(covered.iter().map(|s| (ComparedFace::Covered, other, s)))
        .map(|(face, material, spectrum)| {
            Spot::new(face, Specimen::new(spectrum, &[], Element::DIAMOND_45, &nothing))
                .with_composition(Composition::default().with_material(material.to_owned()))
        })
        .collect();
    let input = CompareInput::new(&spots, Element::DIAMOND_45, Tables::built_in());
    compare(&input.with_material(material))
}
