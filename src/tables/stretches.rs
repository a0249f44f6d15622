//! Stretches of the axis that a judgement asks for by what they are: C–Cl and what covers it, esters, water, grease.
//!
//! Each row of `stretches.csv` has a role. What is asked is found by its role once, when the table is read.

use super::fault::Fault;
use super::rules::Window;
use super::sheet::{Located, Record, Row};
use super::sourcing::Sourcing;
use super::words::words;
use StretchRole as Role;

/// Lists the roles once, by what asks for them: field, how many rows, name, word, and the columns of [`EXTRAS`] it reads.
macro_rules! stretches {
    ($($(#[$of:meta])* $group:ident in $place:ident $(, $material:ident of $whose:ident)? {
        $($(#[$doc:meta])* $field:ident: $rows:ty = $role:ident $word:literal [$($extra:literal),*],)+
    })+) => {
        words! {
            /// What a row of `stretches.csv` is.
            StretchRole { $($($(#[$doc])* $role = $word,)+)+ }
        }

        impl StretchRole {
            const fn count(self) -> Count {
                match self { $($(Self::$role => <$rows as OfRole>::COUNT,)+)+ }
            }

            /// The columns that are read beside the limits; the others of [`EXTRAS`] must be empty.
            const fn extras(self) -> &'static [&'static str] {
                match self { $($(Self::$role => &[$($extra),*],)+)+ }
            }
        }

        $($(#[$of])*
        #[derive(Clone, Debug, Default, PartialEq)]
        pub(crate) struct $group {
            $(/// Id of the material meant.
            pub(crate) $material: String,)?
            $($(#[$doc])* pub(crate) $field: $rows,)+
        })+

        /// All stretches, by what asks for them.
        #[derive(Clone, Debug, Default, PartialEq)]
        pub(crate) struct Stretches {
            $(pub(crate) $place: $group,)+
        }

        /// Finds each stretch by its role, in the order of ids; rows that [`check_counts`] has passed.
        pub(super) fn by_role(rows: &[StretchRow]) -> Stretches {
            let of = |role| rows.iter().filter(move |row| row.role == role);
            Stretches {
                $($place: $group {
                    $($material: of(Role::$whose)
                        .find_map(|row| row.materials.first().cloned())
                        .unwrap_or_default(),)?
                    $($field: OfRole::of(of(Role::$role)),)+
                },)+
            }
        }
    };
}

stretches! {
    /// The C–Cl stretches of vinyl chloride units, and what may cover or mimic them.
    CarbonChlorine in carbon_chlorine, material of CarbonChlorineRead {
        /// All C–Cl stretches of vinyl chloride units.
        all: Stretch = CarbonChlorine "c-cl" [],
        /// The one whose height is read.
        read: Stretch = CarbonChlorineRead "c-cl-read" ["position_cm1"],
        /// What must be measured for a baseline on both sides of it.
        both_sides: Stretch = BothSides "c-cl-both-sides" [],
        /// The same for one on the upper side alone.
        one_side: Stretch = OneSide "c-cl-one-side" [],
        /// Where the first of the three bands is highest.
        first: Stretch = First "c-cl-first" ["transmission_low_cm1", "transmission_high_cm1"],
        /// Where it is looked for.
        first_sought: Stretch = FirstSought "c-cl-first-sought" ["transmission_low_cm1", "transmission_high_cm1"],
        /// The second.
        long: Stretch = Long "c-cl-long" ["position_cm1", "least", "most"],
        /// The valley before the third.
        valley: Stretch = Valley "c-cl-valley" ["most"],
        /// The third.
        upper: Stretch = Upper "c-cl-upper" ["position_cm1", "least", "most"],
        /// Its flanks.
        upper_flanks: Vec<Stretch> = UpperFlank "c-cl-upper-flank" [],
        /// Where the baseline stands below all three.
        below: Stretch = Below "c-cl-below" [],
        /// The same above them.
        above: Stretch = Above "c-cl-above" [],
        /// Outside the first, where the curve must have fallen.
        fallen: Stretch = Fallen "c-cl-fallen" ["most"],
        /// A band of a coat that may lie over a part unnamed.
        coats: Vec<BandSet> = Coat "c-cl-coat" ["set"],
        /// A band of what absorbs where C–Cl does.
        others: Vec<BandSet> = Other "c-cl-other" ["set"],
    }
    /// An ester's carbonyl and what goes with it.
    Ester in ester {
        /// The carbonyl of an ester.
        carbonyl: Stretch = EsterCarbonyl "ester-carbonyl" [],
        /// The baseline under it.
        baseline: Stretch = EsterBaseline "ester-baseline" [],
        /// What must be measured to look for it.
        measured: Stretch = EsterMeasured "ester-measured" [],
        /// The C–O stretch that goes with it.
        partners: Vec<Stretch> = EsterPartner "ester-partner" [],
    }
    /// Adsorbed water by its three bands, and the parts of the spectrum of a film of it.
    Water in water {
        /// Where the libration of water begins to rise.
        foot: Stretch = WaterFoot "water-foot" [],
        /// The libration.
        libration: Stretch = WaterLibration "water-libration" ["least"],
        /// The top of water's stretch.
        stretch: Stretch = WaterStretch "water-stretch" ["position_cm1"],
        /// Beside it.
        beside_stretch: [Stretch; 2] = WaterStretchBeside "water-stretch-beside" [],
        /// The top of water's bend.
        bend: Stretch = WaterBend "water-bend" ["position_cm1", "least", "most"],
        /// Beside it.
        beside_bend: [Stretch; 2] = WaterBendBeside "water-bend-beside" [],
        /// The stretch of a film of water, whole.
        film_stretch: Stretch = FilmStretch "water-film-stretch" [],
        /// Its bend.
        film_bend: Stretch = FilmBend "water-film-bend" [],
        /// Its libration.
        film_libration: Stretch = FilmLibration "water-film-libration" ["position_cm1"],
    }
    /// What oxidation and skin grease add to a face.
    OnFaces in on_faces {
        /// All stretches of O–H.
        hydroxyl: Stretch = Hydroxyl "hydroxyl" [],
        /// The carbonyls of oxidation.
        oxidation_carbonyl: Stretch = OxidationCarbonyl "oxidation-carbonyl" ["position_cm1"],
        /// The C–O of oxidation.
        oxidation_single_bonds: Vec<Stretch> = OxidationSingleBond "oxidation-single-bond" ["position_cm1", "height"],
        /// The long chains of skin grease.
        grease_chain: Vec<Stretch> = GreaseChain "grease-chain" ["position_cm1", "height"],
        /// Its ester between single bonds.
        grease_ester: Vec<Stretch> = GreaseEster "grease-ester" ["position_cm1", "height"],
        /// Its carbonyls.
        grease_carbonyl: Vec<Stretch> = GreaseCarbonyl "grease-carbonyl" ["position_cm1", "height"],
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

/// What the rows of a role become.
trait OfRole {
    /// How many rows there must be.
    const COUNT: Count;

    fn of<'a>(rows: impl Iterator<Item = &'a StretchRow>) -> Self;
}

impl OfRole for Stretch {
    const COUNT: Count = Count::One;

    fn of<'a>(mut rows: impl Iterator<Item = &'a StretchRow>) -> Self {
        rows.next().map(|row| row.stretch.clone()).unwrap_or_default()
    }
}

impl OfRole for [Stretch; 2] {
    const COUNT: Count = Count::Two;

    fn of<'a>(mut rows: impl Iterator<Item = &'a StretchRow>) -> Self {
        std::array::from_fn(|_| Stretch::of(rows.by_ref()))
    }
}

impl OfRole for Vec<Stretch> {
    const COUNT: Count = Count::Some;

    fn of<'a>(rows: impl Iterator<Item = &'a StretchRow>) -> Self {
        rows.map(|row| row.stretch.clone()).collect()
    }
}

impl OfRole for Vec<BandSet> {
    const COUNT: Count = Count::Some;

    fn of<'a>(rows: impl Iterator<Item = &'a StretchRow>) -> Self {
        let mut sets = Self::new();
        for row in rows {
            match sets.iter_mut().find(|set| set.name == row.set) {
                Some(set) => set.bands_cm1.push(row.stretch.cm1),
                None => {
                    sets.push(BandSet { name: row.set.clone(), bands_cm1: vec![row.stretch.cm1] });
                }
            }
        }
        sets
    }
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
            faults.push(Fault::new(
                StretchRow::FILE,
                last.map(|row| row.line),
                (last.map_or("", |row| row.id.as_str()), "role"),
                format!("{wanted} of the role {role} is needed, found {found}"),
            ));
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
