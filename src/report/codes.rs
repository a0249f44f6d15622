//! The fixed words by which other programs know a value: in JSON, in CSV and in typed columns alike.
//!
//! They belong to version 1 of the formats and never change; what people read stands in `words.rs`.

use crate::ageing::{ChangeCall, ChangeScale, MarkerState, MaterialFrom};
use crate::fitness::ScaleFault;
use crate::judge::{BandState, ChlorineBands, ChlorineByIdentity, Outcome, Relation};
use crate::object::{ChlorineList, ClaimOutcome, Topic};
use crate::spectrum::{MeasurementMode, Ordinate};
use crate::tables::Verdict;

/// One function a type: its values with their words. A value without one does not compile.
macro_rules! codes {
    ($($(#[$about:meta])* $name:ident($type:ident) { $($value:ident = $code:literal,)+ })+) => {$(
        $(#[$about])*
        pub(crate) const fn $name(value: $type) -> &'static str {
            match value {
                $($type::$value => $code,)+
            }
        }
    )+};
}
pub(super) use codes;

codes! {
    outcome(Outcome) {
        Identified = "identified",
        Narrowed = "narrowed",
        Mixed = "mixed",
        Classed = "classed",
        NotInTable = "not-in-table",
        NotEnoughSignal = "not-enough-signal",
    }
    relation(Relation) {
        Main = "main",
        Blend = "blend",
        CoatingOver = "coating-over",
        DepositOn = "deposit-on",
        Within = "within",
        NotToldApart = "not-told-apart",
    }
    chlorine_bands(ChlorineBands) {
        Present = "present",
        NotDetected = "not-detected",
        CannotTell = "cannot-tell",
    }
    chlorine_by_identity(ChlorineByIdentity) {
        Yes = "yes",
        No = "no",
        Open = "open",
    }
    chlorine_list(ChlorineList) {
        Shown = "shown",
        ImpliedOrNotExcluded = "implied-or-not-excluded",
        NoneDetected = "none-detected",
    }
    band_state(BandState) {
        Met = "met",
        Missing = "missing",
        Untestable = "untestable",
    }
    verdict(Verdict) {
        Yes = "yes",
        No = "no",
        NotTestable = "not-testable",
    }
    ordinate(Ordinate) {
        Absorbance = "absorbance",
        Transmittance = "transmittance",
        PercentTransmittance = "percent-transmittance",
        Reflectance = "reflectance",
        PercentReflectance = "percent-reflectance",
        RelativeAbsorbance = "relative-absorbance",
    }
    mode(MeasurementMode) {
        Atr = "atr",
        Transmission = "transmission",
        Reflection = "reflection",
    }
    scale_fault(ScaleFault) {
        None = "none",
        Scale = "scale",
        Shift = "shift",
        Both = "both",
    }
    marker_state(MarkerState) {
        Measured = "measured",
        BelowDetection = "below-detection",
        Refused = "refused",
    }
    change_call(ChangeCall) {
        Changed = "changed",
        NoChangeShown = "no-change-shown",
        TooBlind = "too-blind",
        Exploratory = "exploratory",
        NotTested = "not-tested",
        Refused = "refused",
    }
    change_scale(ChangeScale) {
        Ratio = "ratio",
        Difference = "difference",
    }
    material_from(MaterialFrom) {
        Identified = "identified",
        Given = "given",
        Unknown = "unknown",
    }
    topic(Topic) {
        Chlorine = "chlorine",
        Records = "records",
        Ageing = "ageing",
        Replacement = "replacement",
        Action = "action",
        Limits = "limits",
    }
    claim(ClaimOutcome) {
        AsClaimed = "as-claimed",
        ThisFaceAgrees = "this-face-agrees",
        ConsistentNotExcluded = "consistent-not-excluded",
        NotAsClaimed = "not-as-claimed",
        CannotTell = "cannot-tell",
    }
}
