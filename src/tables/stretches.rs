//! Stretches of the axis that a judgement asks for by what they are: C–Cl and what covers it, esters, water, grease.
//!
//! Each row of `stretches.csv` has a role. What is asked is found by its role once, when the table is read.

use super::fault::Fault;
use super::rules::Window;
use super::sheet::{Located, Record, Row};
use super::sourcing::Sourcing;
use super::words::words;
use StretchRole as Role;

words! {
    /// What a row of `stretches.csv` is.
    StretchRole {
        /// All C–Cl stretches of vinyl chloride units.
        CarbonChlorine = "c-cl",
        /// The one whose height is read.
        CarbonChlorineRead = "c-cl-read",
        /// What must be measured for a baseline on both sides of it.
        BothSides = "c-cl-both-sides",
        /// The same for one on the upper side alone.
        OneSide = "c-cl-one-side",
        /// Where the first of the three bands is highest.
        First = "c-cl-first",
        /// Where it is looked for.
        FirstSought = "c-cl-first-sought",
        /// The second.
        Long = "c-cl-long",
        /// The valley before the third.
        Valley = "c-cl-valley",
        /// The third.
        Upper = "c-cl-upper",
        /// Its flanks.
        UpperFlank = "c-cl-upper-flank",
        /// Where the baseline stands below all three.
        Below = "c-cl-below",
        /// The same above them.
        Above = "c-cl-above",
        /// Outside the first, where the curve must have fallen.
        Fallen = "c-cl-fallen",
        /// A band of a coat that may lie over a part unnamed.
        Coat = "c-cl-coat",
        /// A band of what absorbs where C–Cl does.
        Other = "c-cl-other",
        /// The carbonyl of an ester.
        EsterCarbonyl = "ester-carbonyl",
        /// The baseline under it.
        EsterBaseline = "ester-baseline",
        /// What must be measured to look for it.
        EsterMeasured = "ester-measured",
        /// The C–O stretch that goes with it.
        EsterPartner = "ester-partner",
        /// Where the libration of water begins to rise.
        WaterFoot = "water-foot",
        /// The libration.
        WaterLibration = "water-libration",
        /// The top of water's stretch.
        WaterStretch = "water-stretch",
        /// Beside it.
        WaterStretchBeside = "water-stretch-beside",
        /// The top of water's bend.
        WaterBend = "water-bend",
        /// Beside it.
        WaterBendBeside = "water-bend-beside",
        /// The stretch of a film of water, whole.
        FilmStretch = "water-film-stretch",
        /// Its bend.
        FilmBend = "water-film-bend",
        /// Its libration.
        FilmLibration = "water-film-libration",
        /// All stretches of O–H.
        Hydroxyl = "hydroxyl",
        /// The carbonyls of oxidation.
        OxidationCarbonyl = "oxidation-carbonyl",
        /// The C–O of oxidation.
        OxidationSingleBond = "oxidation-single-bond",
        /// The long chains of skin grease.
        GreaseChain = "grease-chain",
        /// Its ester between single bonds.
        GreaseEster = "grease-ester",
        /// Its carbonyls.
        GreaseCarbonyl = "grease-carbonyl",
    }
}

/// How many rows a role has.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Count {
    One,
    Two,
    /// At least one.
    Some,
}

impl StretchRole {
    const fn count(self) -> Count {
        match self {
            Self::WaterStretchBeside | Self::WaterBendBeside => Count::Two,
            Self::UpperFlank
            | Self::Coat
            | Self::Other
            | Self::EsterPartner
            | Self::OxidationSingleBond
            | Self::GreaseChain
            | Self::GreaseEster
            | Self::GreaseCarbonyl => Count::Some,
            _ => Count::One,
        }
    }

    /// The columns that are read beside the limits; the others of [`EXTRAS`] must be empty.
    const fn extras(self) -> &'static [&'static str] {
        match self {
            Self::CarbonChlorineRead
            | Self::WaterStretch
            | Self::FilmLibration
            | Self::OxidationCarbonyl => &["position_cm1"],
            Self::First | Self::FirstSought => &["transmission_low_cm1", "transmission_high_cm1"],
            Self::Long | Self::Upper | Self::WaterBend => &["position_cm1", "least", "most"],
            Self::Valley | Self::Fallen => &["most"],
            Self::Coat | Self::Other => &["set"],
            Self::WaterLibration => &["least"],
            Self::OxidationSingleBond
            | Self::GreaseChain
            | Self::GreaseEster
            | Self::GreaseCarbonyl => &["position_cm1", "height"],
            _ => &[],
        }
    }
}

/// Columns that some roles need and others leave empty.
const EXTRAS: [&str; 7] = [
    "set",
    "position_cm1",
    "transmission_low_cm1",
    "transmission_high_cm1",
    "least",
    "most",
    "height",
];

/// A band of a pattern stays below this beside the one it is measured by: a slip, such as per cent, would switch off
/// what the row asks; ours.
const HIGHEST_SHARE: f64 = 2.0;

/// A stretch as a judgement asks for it; what its role does not need is zero.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Stretch {
    /// Lower and upper end in cm⁻¹.
    pub(crate) cm1: (f64, f64),
    /// The same in transmission, where the role asks for it.
    pub(crate) transmission_cm1: (f64, f64),
    /// The place by which it is named in sentences, or where its band is highest, in cm⁻¹.
    pub(crate) position_cm1: f64,
    /// Least height, as a share of what the role says.
    pub(crate) least: f64,
    /// Greatest height, as above.
    pub(crate) most: f64,
    /// Height of a band that is drawn.
    pub(crate) height: f64,
    /// What absorbs there, in words.
    pub(crate) shows: String,
}

impl Stretch {
    /// Returns a band that is drawn, as place, full width at half height (both in cm⁻¹) and height.
    pub(crate) fn as_band(&self) -> (f64, f64, f64) {
        (self.position_cm1, self.cm1.1 - self.cm1.0, self.height)
    }
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct StretchRow {
    pub(super) id: String,
    pub(super) role: StretchRole,
    /// What the row belongs to, as it is printed, with all rows of the same words.
    pub(super) set: String,
    /// Ids of the materials meant.
    pub(super) materials: Vec<String>,
    pub(super) stretch: Stretch,
    pub(super) sourcing: Sourcing,
    pub(super) note: String,
}

impl Record for StretchRow {
    const FILE: &'static str = "stretches.csv";

    const HEADER: &'static str = "id,role,set,materials,position_cm1,low_cm1,high_cm1,transmission_low_cm1,\
         transmission_high_cm1,least,most,height,shows,source,source_class,status,note";

    fn from_row(row: &mut Row<'_>) -> Self {
        let role: Option<StretchRole> = row.known_word("role");
        let extras = role.map_or(&[][..], StretchRole::extras);
        if let Some(role) = role {
            for column in EXTRAS.iter().filter(|column| !extras.contains(column)) {
                if !row.is_empty(column) {
                    row.fault(column, format!("must be empty for the role {role}"));
                }
            }
        }
        let needs = |column: &str| extras.contains(&column);
        let position_cm1 = if needs("position_cm1") { row.wavenumber("position_cm1") } else { 0.0 };
        let limits = row.window("low_cm1", "high_cm1");
        if needs("position_cm1") && limits.is_beside(position_cm1) {
            let (low, high) = (limits.low_cm1, limits.high_cm1);
            row.fault("position_cm1", format!("{position_cm1} lies outside {low} to {high}"));
        }
        let transmission = if needs("transmission_low_cm1") {
            row.window("transmission_low_cm1", "transmission_high_cm1")
        } else {
            Window::new(0.0, 0.0)
        };
        let mut share =
            |column: &str| if needs(column) { row.share(column, HIGHEST_SHARE) } else { 0.0 };
        let (least, most, height) = (share("least"), share("most"), share("height"));
        if needs("least") && needs("most") && least >= most {
            row.fault("least", format!("{least} is not below most {most}"));
        }
        Self {
            id: row.required("id"),
            role: role.unwrap_or(StretchRole::ALL[0]),
            set: if needs("set") { row.required("set") } else { String::new() },
            materials: row.list("materials"),
            stretch: Stretch {
                cm1: (limits.low_cm1, limits.high_cm1),
                transmission_cm1: (transmission.low_cm1, transmission.high_cm1),
                position_cm1,
                least,
                most,
                height,
                shows: row.required("shows"),
            },
            sourcing: row.sourcing(),
            note: row.text("note"),
        }
    }
}

/// Bands that tell a substance together: all of them must be there.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct BandSet {
    /// The substance as it is printed.
    pub(crate) name: String,
    /// Where its bands stand, in cm⁻¹.
    pub(crate) bands_cm1: Vec<(f64, f64)>,
}

/// The C–Cl stretches of vinyl chloride units, and what may cover or mimic them.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct CarbonChlorine {
    /// Id of the polymer whose units they are.
    pub(crate) material: String,
    pub(crate) all: Stretch,
    pub(crate) read: Stretch,
    pub(crate) both_sides: Stretch,
    pub(crate) one_side: Stretch,
    pub(crate) first: Stretch,
    pub(crate) first_sought: Stretch,
    pub(crate) long: Stretch,
    pub(crate) valley: Stretch,
    pub(crate) upper: Stretch,
    pub(crate) upper_flanks: Vec<Stretch>,
    pub(crate) below: Stretch,
    pub(crate) above: Stretch,
    pub(crate) fallen: Stretch,
    /// Coats that may lie over a part unnamed.
    pub(crate) coats: Vec<BandSet>,
    /// What else absorbs there.
    pub(crate) others: Vec<BandSet>,
}

/// An ester's carbonyl and what goes with it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Ester {
    pub(crate) carbonyl: Stretch,
    pub(crate) baseline: Stretch,
    pub(crate) measured: Stretch,
    pub(crate) partners: Vec<Stretch>,
}

/// Adsorbed water by its three bands, and the parts of the spectrum of a film of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Water {
    pub(crate) foot: Stretch,
    pub(crate) libration: Stretch,
    pub(crate) stretch: Stretch,
    pub(crate) beside_stretch: [Stretch; 2],
    pub(crate) bend: Stretch,
    pub(crate) beside_bend: [Stretch; 2],
    pub(crate) film_stretch: Stretch,
    pub(crate) film_bend: Stretch,
    pub(crate) film_libration: Stretch,
}

/// What oxidation and skin grease add to a face.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct OnFaces {
    pub(crate) hydroxyl: Stretch,
    pub(crate) oxidation_carbonyl: Stretch,
    pub(crate) oxidation_single_bonds: Vec<Stretch>,
    pub(crate) grease_chain: Vec<Stretch>,
    pub(crate) grease_ester: Vec<Stretch>,
    pub(crate) grease_carbonyl: Vec<Stretch>,
}

/// All stretches, by what asks for them.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Stretches {
    pub(crate) carbon_chlorine: CarbonChlorine,
    pub(crate) ester: Ester,
    pub(crate) water: Water,
    pub(crate) on_faces: OnFaces,
}

/// Adds a fault for each role that has too few rows or too many.
pub(super) fn check_counts(rows: &[Located<StretchRow>], faults: &mut Vec<Fault>) {
    for role in StretchRole::ALL {
        let of_role = || rows.iter().filter(|row| row.value.role == *role);
        let found = of_role().count();
        let (fits, wanted) = match role.count() {
            Count::One => (found == 1, "one row"),
            Count::Two => (found == 2, "two rows"),
            Count::Some => (found > 0, "at least one row"),
        };
        if !fits {
            let last = of_role().next_back();
            faults.push(Fault {
                file: StretchRow::FILE.to_owned(),
                line: last.map(|row| row.line),
                id: last.map(|row| row.id.clone()).unwrap_or_default(),
                column: "role".to_owned(),
                what: format!("{wanted} of the role {role} is needed, found {found}"),
            });
        }
        if *role == StretchRole::CarbonChlorineRead {
            for row in of_role().filter(|row| row.value.materials.len() != 1) {
                let found = row.value.materials.len();
                let what =
                    format!("{found} materials; one is needed, whose C–Cl stretches these are");
                faults.push(row.fault("materials", what));
            }
        }
    }
}

/// Adds a fault for each stretch that does not reach around what is read within it.
pub(super) fn check_reach(rows: &[Located<StretchRow>], faults: &mut Vec<Fault>) {
    const OUTER_AND_INNER: [(Role, Role); 5] = [
        (Role::BothSides, Role::CarbonChlorineRead),
        (Role::OneSide, Role::CarbonChlorineRead),
        (Role::FirstSought, Role::First),
        (Role::EsterBaseline, Role::EsterCarbonyl),
        (Role::EsterMeasured, Role::EsterCarbonyl),
    ];
    let of = |role: Role| rows.iter().find(|row| row.value.role == role);
    for (outer, inner) in OUTER_AND_INNER {
        let (Some(outer), Some(inner)) = (of(outer), of(inner)) else { continue };
        let (around, within) = (outer.value.stretch.cm1, inner.value.stretch.cm1);
        if around.0 > within.0 || within.1 > around.1 {
            let what = format!(
                "{} to {} does not reach around {} to {}, the role {}",
                around.0, around.1, within.0, within.1, inner.value.role
            );
            faults.push(outer.fault("low_cm1", what));
        }
    }
}

/// Finds each stretch by its role, in the order of ids; rows that [`check_counts`] has passed.
pub(super) fn by_role(rows: &[StretchRow]) -> Stretches {
    let all = |role: StretchRole| -> Vec<Stretch> {
        rows.iter().filter(|row| row.role == role).map(|row| row.stretch.clone()).collect()
    };
    let one = |role: StretchRole| all(role).into_iter().next().unwrap_or_default();
    let two = |role: StretchRole| {
        let mut rows = all(role).into_iter();
        std::array::from_fn(|_| rows.next().unwrap_or_default())
    };
    let sets = |role: StretchRole| {
        let mut sets: Vec<BandSet> = Vec::new();
        for row in rows.iter().filter(|row| row.role == role) {
            match sets.iter_mut().find(|set| set.name == row.set) {
                Some(set) => set.bands_cm1.push(row.stretch.cm1),
                None => {
                    sets.push(BandSet { name: row.set.clone(), bands_cm1: vec![row.stretch.cm1] });
                }
            }
        }
        sets
    };
    let read = rows.iter().find(|row| row.role == Role::CarbonChlorineRead);
    Stretches {
        carbon_chlorine: CarbonChlorine {
            material: read.and_then(|row| row.materials.first().cloned()).unwrap_or_default(),
            all: one(Role::CarbonChlorine),
            read: one(Role::CarbonChlorineRead),
            both_sides: one(Role::BothSides),
            one_side: one(Role::OneSide),
            first: one(Role::First),
            first_sought: one(Role::FirstSought),
            long: one(Role::Long),
            valley: one(Role::Valley),
            upper: one(Role::Upper),
            upper_flanks: all(Role::UpperFlank),
            below: one(Role::Below),
            above: one(Role::Above),
            fallen: one(Role::Fallen),
            coats: sets(Role::Coat),
            others: sets(Role::Other),
        },
        ester: Ester {
            carbonyl: one(Role::EsterCarbonyl),
            baseline: one(Role::EsterBaseline),
            measured: one(Role::EsterMeasured),
            partners: all(Role::EsterPartner),
        },
        water: Water {
            foot: one(Role::WaterFoot),
            libration: one(Role::WaterLibration),
            stretch: one(Role::WaterStretch),
            beside_stretch: two(Role::WaterStretchBeside),
            bend: one(Role::WaterBend),
            beside_bend: two(Role::WaterBendBeside),
            film_stretch: one(Role::FilmStretch),
            film_bend: one(Role::FilmBend),
            film_libration: one(Role::FilmLibration),
        },
        on_faces: OnFaces {
            hydroxyl: one(Role::Hydroxyl),
            oxidation_carbonyl: one(Role::OxidationCarbonyl),
            oxidation_single_bonds: all(Role::OxidationSingleBond),
            grease_chain: all(Role::GreaseChain),
            grease_ester: all(Role::GreaseEster),
            grease_carbonyl: all(Role::GreaseCarbonyl),
        },
    }
}
