//! The closed lists of words that a cell of the table may hold.
//!
//! **In:** a word in a cell of the table.
//!
//! **Out:** the value that it stands for; a word that is none is a fault that lists the allowed ones.
//!
//! ```
//! use bandlore::tables::words::{Status, Strength};
//!
//! assert_eq!(Status::Memory.as_str(), "memory");
//! assert!(Strength::Weak.to_string() == "weak");
//! ```

/// A cell that takes one of a fixed list of words.
pub(crate) trait Word: Sized + Copy + 'static {
    /// Every value, in the table's order.
    const ALL: &'static [Self];

    /// Every allowed word, in the order in which a fault lists them.
    const WORDS: &'static [&'static str];

    /// Returns the value that a word stands for.
    fn from_word(word: &str) -> Option<Self>;
}

/// Declares an enum, the word of each variant, and the way back.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$of:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[derive(serde::Serialize, serde::Deserialize)]
        #[non_exhaustive]
        pub enum $name {
            $($(#[$of])* #[serde(rename = $word)] $variant,)+
        }

        impl $name {
            /// Every value, in the table's order.
            #[allow(dead_code)] // Not every list of words is walked.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// Returns the word that stands in the table.
            #[must_use]
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
        }

        impl crate::tables::words::Word for $name {
            const ALL: &'static [Self] = $name::ALL;
            const WORDS: &'static [&'static str] = &[$($word),+];

            fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.pad(self.as_str())
            }
        }
    };
}
pub(crate) use words;

words! {
    /// What kind of publication a row rests on.
    SourceClass {
        /// A published standard or pharmacopoeia.
        Standard = "standard",
        /// A journal article, or a handbook of a scholarly publisher.
        PeerReviewed = "peer-reviewed",
        /// Measured spectra or optical constants that anybody can fetch.
        MeasuredData = "measured-data",
        /// A museum, laboratory or authority publishing under its own name.
        Institution = "institution",
        /// A maker, dealer or trade page; also common practice without a source.
        TradeNote = "trade-note",
        /// A copy, excerpt or citing passage; the original was not read.
        SecondaryCopy = "secondary-copy",
    }
}

impl SourceClass {
    /// Returns whether a report may print the source as a source.
    ///
    /// Trade notes and secondary copies appear as "unverified secondary" instead.
    #[must_use]
    pub const fn is_printable(self) -> bool {
        !matches!(self, Self::TradeNote | Self::SecondaryCopy)
    }
}

words! {
    /// How far the figure of a row was checked.
    Status {
        /// Read in the named source, or computed from the named measured data.
        Verified = "verified",
        /// Recalled from the named source, which was not opened again.
        Memory = "memory",
        /// Arithmetic of this project from stated figures.
        Computed = "computed",
        /// What the trade holds; no source.
        CommonPractice = "common-practice",
    }
}

words! {
    /// What a measured shape was made from.
    ShapeOrigin {
        /// The mean of measured spectra.
        Spectra = "spectra",
        /// Refractive index and extinction, through the Fresnel equations.
        OpticalConstants = "optical-constants",
    }
}

words! {
    /// What a material of the table is.
    MaterialKind {
        /// A polymer: competes to be the answer.
        Polymer = "polymer",
        /// A fibre: competes to be the answer.
        Fibre = "fibre",
        /// An additive or plasticiser: explains what a polymer leaves over.
        Additive = "additive",
        /// A filler or mineral.
        Mineral = "mineral",
        /// A residue of handling.
        Residue = "residue",
        /// Bands of one conformation of a polymer; never an answer.
        Conformer = "conformer",
        /// Something the instrument or the air puts there; never an answer.
        Artefact = "artefact",
    }
}

words! {
    /// What a material does beside absorbing, as far as an answer asks for it.
    MaterialRole {
        /// May hold a plasticiser, which is then looked for.
        MayBePlasticised = "may-be-plasticised",
        /// Softens a polymer: it goes to the plasticiser finding, not to the components.
        Plasticiser = "plasticiser",
        /// Lies on a surface rather than in a polymer.
        LiesOn = "lies-on",
        /// Smells of vinegar as it ages.
        SmellsOfVinegar = "smells-of-vinegar",
    }
}

words! {
    /// How strong a band is within its own material's spectrum.
    Strength {
        /// Among the strongest.
        VeryStrong = "very-strong",
        /// Strong.
        Strong = "strong",
        /// Medium.
        Medium = "medium",
        /// Weak.
        Weak = "weak",
    }
}

words! {
    /// How wide a band is.
    BandWidth {
        /// Roughly below 15 cm⁻¹ at half height.
        Sharp = "sharp",
        /// In between.
        Medium = "medium",
        /// Roughly above 30 cm⁻¹ at half height.
        Broad = "broad",
    }
}

words! {
    /// What a band is worth as evidence.
    BandRole {
        /// The material cannot be named without it where it was measured.
        Required = "required",
        /// Tells the material from many others.
        Diagnostic = "diagnostic",
        /// Goes with the material.
        Supporting = "supporting",
        /// Common to a family; never evidence alone.
        Shared = "shared",
    }
}

words! {
    /// Where a band's transmission window comes from.
    TransmissionBasis {
        /// The maximum of k in measured optical constants.
        OpticalConstants = "optical-constants",
        /// Estimated: strong bands sit lower in ATR by an amount that grows with strength.
        ShiftRule = "shift-rule",
        /// The ATR window: weak and medium bands do not move by more than their window.
        Unshifted = "unshifted",
    }
}

words! {
    /// Which measurements a rule or marker may be asked of.
    MeasuredBy {
        /// Either.
        Any = "any",
        /// Attenuated total reflection alone.
        Atr = "atr",
        /// Transmission alone.
        Transmission = "transmission",
    }
}

words! {
    /// What the answer of a rule does.
    Effect {
        /// The subject cannot be named unless the rule says yes; "not testable" caps the answer.
        Require = "require",
        /// The subject cannot be named when the rule says yes.
        Exclude = "exclude",
        /// Yes speaks for the subject over every material of `against`.
        Prefer = "prefer",
        /// Yes leaves subject and `against` not told apart.
        Narrow = "narrow",
        /// Yes takes the bands of `targets` out of the subject's evidence.
        DropBand = "drop-band",
        /// Yes makes each material of `targets` a component beside the subject.
        Component = "component",
        /// Yes is said beside the answer and changes nothing.
        Warn = "warn",
    }
}

words! {
    /// Whether one question of a rule must be answered yes, or counts towards a number.
    Part {
        /// Must be yes.
        All = "all",
        /// Counts towards the rule's `least_some`.
        Some = "some",
    }
}

words! {
    /// How the value of a marker is read.
    MeasureKind {
        /// Trapezoid area above the baseline, in cm⁻¹.
        Area = "area",
        /// Mean height above the baseline over the limits, which may be very narrow.
        MeanHeight = "mean-height",
        /// Highest point above the baseline.
        Maximum = "maximum",
        /// Depth of the second-derivative minimum.
        SecondDerivative = "second-derivative",
    }
}

words! {
    /// What a marker is for.
    MarkerRole {
        /// Named beforehand and tested.
        Primary = "primary",
        /// Shown, not tested.
        Exploratory = "exploratory",
        /// Says how much of a component is there; not ageing.
        Composition = "composition",
        /// A band that does not change with ageing, used to fit the contact; has no reference.
        Contact = "contact",
    }
}

words! {
    /// Which way a marker moves with ageing.
    Direction {
        /// Grows.
        Up = "up",
        /// Falls.
        Down = "down",
        /// Either, or not settled.
        Either = "either",
    }
}

words! {
    /// Who set the limits of a marker.
    LimitsFrom {
        /// Limits read in a publication.
        Published = "published",
        /// The band pair is published; the limits are this project's.
        PairPublished = "pair-published",
        /// This project's.
        Ours = "ours",
    }
}

words! {
    /// What a confounder does to a marker.
    ConfounderEffect {
        /// The marker is refused.
        Refuse = "refuse",
        /// The marker is given with a caution.
        Caution = "caution",
        /// There is nothing to follow on this spectrum: the marker is refused, but against a face
        /// that does carry its subject the reading counts as nothing left.
        NothingToFollow = "nothing-to-follow",
    }
}

words! {
    /// What a confounder is, where more follows from it than its effect on the marker.
    ConfounderRole {
        /// It disturbs the reference band alone: a second reference mends it.
        ReferenceBand = "reference-band",
        /// Adsorbed water: its libration must rise too, where that was measured.
        AdsorbedWater = "adsorbed-water",
        /// A filler's sharp hydroxyls, for which lines of water vapour may be taken.
        SharpHydroxyl = "sharp-hydroxyl",
        /// An absorber or a cap layer: on one face alone, the faces are not the same material.
        Cap = "cap",
    }
}

words! {
    /// A route of ageing.
    RouteKind {
        /// Oxidation under light that has passed window glass.
        OxidationBehindGlass = "oxidation-behind-glass",
        /// Light of short wavelength.
        ShortWaveLight = "short-wave-light",
        /// Heat.
        Heat = "heat",
        /// Hydrolysis.
        Hydrolysis = "hydrolysis",
        /// Plasticiser loss.
        PlasticiserLoss = "plasticiser-loss",
        /// Acid consuming chalk.
        AcidOnChalk = "acid-on-chalk",
    }
}

words! {
    /// What a care note is about.
    CareTopic {
        /// What the material gives off.
        GivesOff = "gives-off",
        /// What it does to neighbours.
        Neighbours = "neighbours",
        /// How it is kept and handled.
        Storage = "storage",
        /// What to think of when a part is remade in it.
        Replacement = "replacement",
    }
}

words! {
    /// What stands beside a part.
    NeighbourKind {
        /// Copper, brass, bronze.
        CopperAlloy = "copper-alloy",
        /// Silver.
        Silver = "silver",
        /// Lead.
        Lead = "lead",
        /// Iron and steel.
        Iron = "iron",
        /// Cotton, linen, viscose.
        CellulosicTextile = "cellulosic-textile",
        /// Silk or wool.
        SilkOrWool = "silk-or-wool",
        /// Leather.
        Leather = "leather",
        /// Paper and board.
        Paper = "paper",
        /// Shell, chalk, limestone, marble.
        Calcareous = "calcareous",
        /// Another plastic part, or paint.
        Plastic = "plastic",
    }
}

words! {
    /// How near a neighbour stands.
    NeighbourRelation {
        /// Touching.
        Touching = "touching",
        /// In the same case or box.
        SameEnclosure = "same-enclosure",
        /// In the same room.
        SameRoom = "same-room",
    }
}

words! {
    /// What passes from a part to its neighbour.
    Hazard {
        /// Acid vapour.
        Acid = "acid",
        /// Migrating plasticiser.
        Plasticiser = "plasticiser",
        /// Print or dye passing over.
        Offset = "offset",
        /// Sulphur gases.
        Sulphur = "sulphur",
    }
}
