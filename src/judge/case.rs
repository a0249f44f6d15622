//! One spectrum with all its fits and accounts: what every step of the judgement asks.

use super::chlorine_places::{Rises, rises};
use super::likeness::Likeness;
use crate::fitness::Fitness;
use crate::matching::{
    Account, Entry, Fit, Matcher, Observed, Scene, accounts, fits, hide_minerals, on_shape_grid,
};
use crate::optics::Element;
use crate::peaks::Peaks;
use crate::prepare::Prepared;
use crate::spectrum::Spectrum;
use crate::tables::{Material, MaterialKind, Tables};

/// Everything that is known of one spectrum before an answer is chosen.
#[derive(Debug)]
pub(super) struct Case<'a> {
    pub(super) observed: Observed<'a>,
    pub(super) tables: &'a Tables,
    pub(super) matcher: &'a Matcher,
    /// The element that it was measured on, where that is known.
    pub(super) element: Option<Element>,
    pub(super) fits: Vec<Fit>,
    /// Best first.
    pub(super) accounts: Vec<Account>,
    /// The shapes that the whole curve resembles.
    pub(super) likeness: Likeness<'a>,
    /// How far the curve rises where poly(vinyl chloride) would.
    pub(super) rises: Rises,
}

impl<'a> Case<'a> {
    pub(super) fn new(
        spectrum: &'a Spectrum,
        prepared: &'a Prepared,
        peaks: &'a Peaks,
        fitness: &Fitness,
        tables: &'a Tables,
        matcher: &'a Matcher,
    ) -> Self {
        let observed = Observed::new(spectrum, prepared, peaks).with_ripple(fitness.ripple());
        let scene = Scene::new(spectrum, prepared, observed.peaks());
        let fits = fits(matcher.entries(), scene);
        let accounts = accounts(&fits, matcher, observed.peaks());
        let mut curve = on_shape_grid(spectrum, prepared);
        let rises = rises(&curve);
        hide_minerals(&mut curve, &fits, matcher.entries());
        let likeness = Likeness::new(matcher.shapes().compare(&curve), tables.shapes());
        Self { observed, tables, matcher, element: None, fits, accounts, likeness, rises }
    }

    /// Returns the spectrum as a material is matched with it.
    pub(super) const fn scene(&self) -> Scene<'_> {
        Scene::new(self.observed.measured(), self.observed.prepared(), self.observed.peaks())
    }

    pub(super) fn entry(&self, fit: &Fit) -> Option<&'a Entry> {
        self.matcher.entries().get(fit.entry)
    }

    pub(super) fn material(&self, fit: &Fit) -> Option<&'a Material> {
        self.tables.materials().get(self.entry(fit)?.material)
    }

    /// Returns the fit of an account's body with its material.
    pub(super) fn body(&self, account: &Account) -> Option<(&Fit, &'a Material)> {
        let fit = self.fits.get(account.body)?;
        Some((fit, self.material(fit)?))
    }

    pub(super) fn account_of(&self, id: &str) -> Option<&Account> {
        self.accounts
            .iter()
            .find(|account| self.body(account).is_some_and(|(_, material)| material.id == id))
    }

    /// Returns the accounts of polymers and fibres, best first.
    pub(super) fn bodies(&self) -> impl Iterator<Item = (&Account, &Fit, &'a Material)> {
        self.accounts.iter().filter_map(|account| {
            let (fit, material) = self.body(account)?;
            material.is_body().then_some((account, fit, material))
        })
    }

    /// Returns the accounts of additives and minerals standing alone, best first.
    pub(super) fn others(&self) -> impl Iterator<Item = (&Account, &Fit, &'a Material)> {
        self.accounts.iter().filter_map(|account| {
            let (fit, material) = self.body(account)?;
            let alone = matches!(
                material.kind,
                MaterialKind::Additive | MaterialKind::Mineral | MaterialKind::Residue
            );
            alone.then_some((account, fit, material))
        })
    }
}
