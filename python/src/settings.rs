//! What a caller may set, with the defaults of the program.

use std::path::PathBuf;

use bandlore::{
    Examiner, ReadOptions, References, Spectrum, Tables,
    judge::JudgeSettings,
    optics::Element,
    pipeline::Corrections,
    read::Column,
    read_path,
    report::identification::{Stamp, WriteOptions},
    spectrum::{MeasurementMode, Ordinate},
};
use pyo3::prelude::*;

use crate::fault::Fault;

/// Settings of one call; the Python side fills in every key.
#[derive(Clone, Debug, FromPyObject)]
#[pyo3(from_item_all)]
pub struct Settings {
    pub ordinate: Option<String>,
    pub mode: Option<String>,
    pub column: Option<String>,
    pub block: Option<usize>,
    pub bands: Option<PathBuf>,
    pub crystal: String,
    pub angle: String,
    pub top: usize,
    pub keep_fringes: bool,
    pub scale_correction: Option<f64>,
    pub vapour: Option<PathBuf>,
    pub references: Option<PathBuf>,
    pub cache: Option<PathBuf>,
    pub material: Option<String>,
    pub film: bool,
    /// Whether a spectrum that cannot be read is an answer of its own, or ends the call.
    pub keep_errors: bool,
}

/// The table that was chosen: the built-in one, or one of the user's own.
#[derive(Debug)]
pub enum Chosen {
    BuiltIn(&'static Tables),
    Loaded(Box<Tables>),
}

impl std::ops::Deref for Chosen {
    type Target = Tables;

    fn deref(&self) -> &Tables {
        match self {
            Self::BuiltIn(tables) => tables,
            Self::Loaded(tables) => tables,
        }
    }
}

impl Settings {
    /// Returns how files are to be read; a column given as a number counts from 1.
    pub fn options(&self) -> Result<ReadOptions, Fault> {
        let column = self.column.as_ref().map(|text| match text.parse() {
            Ok(number) => Column::Number(number),
            Err(_) => Column::Name(text.clone()),
        });
        Ok(ReadOptions::default()
            .with_ordinate(self.ordinate.as_deref().map(ordinate).transpose()?)
            .with_mode(self.mode.as_deref().map(mode).transpose()?)
            .with_column(column)
            .with_block(self.block))
    }

    /// Returns the table to judge by.
    pub fn tables(&self) -> Result<Chosen, Fault> {
        match &self.bands {
            None => Ok(Chosen::BuiltIn(Tables::built_in())),
            Some(folder) => Tables::load(folder)
                .map(|tables| Chosen::Loaded(Box::new(tables)))
                .map_err(|error| Fault::table(folder, &error)),
        }
    }

    /// Returns the corrections asked for; the vapour spectrum is read here.
    pub fn corrections(&self) -> Result<Corrections, Fault> {
        let mut corrections = Corrections::default();
        if let Some(factor) = self.scale_correction {
            corrections = corrections.with_scale(factor).map_err(|e| Fault::from(&e))?;
        }
        if let Some(path) = &self.vapour {
            let mut spectra = read_path(path, &ReadOptions::default());
            let first = spectra.next();
            let vapour: Spectrum = match (first, spectra.next()) {
                (Some(spectrum), None) => spectrum.map_err(|error| Fault::from(&error))?,
                (None, _) => {
                    return Err(Fault::usage(format!("{}: holds no spectrum", path.display())));
                }
                (Some(_), Some(_)) => {
                    return Err(Fault::usage(format!(
                        "{}: holds several spectra; give a file with the vapour alone",
                        path.display()
                    )));
                }
            };
            corrections = corrections.with_vapour(vapour);
        }
        Ok(corrections)
    }

    /// Returns the ATR element.
    pub fn element(&self) -> Result<Element, Fault> {
        Element::recorded(&self.crystal, &self.angle, Element::DIAMOND_45).map_err(Fault::usage)
    }

    /// Makes the table ready.
    pub fn examiner<'t>(&self, tables: &'t Tables) -> Result<Examiner<'t>, Fault> {
        let settings = JudgeSettings::default().with_top(self.top).with_element(self.element()?);
        let examiner =
            Examiner::new(tables).with_corrections(self.corrections()?).with_settings(settings);
        Ok(if self.keep_fringes { examiner.keeping_fringes() } else { examiner })
    }

    /// Reads the caller's own references, if a folder was named.
    pub fn references(&self) -> Result<Option<References>, Fault> {
        let read = |folder| {
            References::read(folder, self.cache.as_deref()).map_err(|error| Fault::from(&error))
        };
        self.references.as_deref().map(read).transpose()
    }

    /// Returns the id of the material asked for; refuses one that the table does not hold.
    pub fn material<'t>(&self, tables: &'t Tables) -> Result<Option<&'t str>, Fault> {
        let found = |word: &String| {
            let material = tables.find_material(word);
            material.map(|found| found.id.as_str()).ok_or_else(|| {
                let near: Vec<&str> =
                    tables.nearest_materials(word).into_iter().map(|m| m.id.as_str()).collect();
                let meant = match near.as_slice() {
                    [] => "give an id or a name of the table".to_owned(),
                    near => format!("did you mean {}?", near.join(", or ")),
                };
                Fault::usage(format!("no material \"{word}\" in the table; {meant}"))
            })
        };
        self.material.as_ref().map(found).transpose()
    }

    /// Returns what the library's writers need to know.
    pub fn write_options(&self) -> WriteOptions {
        WriteOptions::default().with_top(self.top)
    }
}

/// Returns what every result carries: tool, table and the materials' names.
pub fn stamp(tables: &Tables) -> Stamp {
    let mut stamp = Stamp::new(tables.version(), tables.sha256());
    stamp.material_names =
        tables.materials().iter().map(|m| (m.id.clone(), m.name.clone())).collect();
    stamp
}

/// Reads an ordinate as the library writes it.
pub fn ordinate(word: &str) -> Result<Ordinate, Fault> {
    Ok(match word {
        "absorbance" => Ordinate::Absorbance,
        "transmittance" => Ordinate::Transmittance,
        "percent-transmittance" => Ordinate::PercentTransmittance,
        "reflectance" => Ordinate::Reflectance,
        "percent-reflectance" => Ordinate::PercentReflectance,
        "relative-absorbance" => Ordinate::RelativeAbsorbance,
        _ => {
            return Err(Fault::usage(format!(
                "ordinate \"{word}\" is not known; give absorbance, transmittance, \
                 percent-transmittance, reflectance, percent-reflectance or relative-absorbance"
            )));
        }
    })
}

/// Reads a way of measuring as the library writes it.
pub fn mode(word: &str) -> Result<MeasurementMode, Fault> {
    Ok(match word {
        "atr" => MeasurementMode::Atr,
        "transmission" => MeasurementMode::Transmission,
        "reflection" => MeasurementMode::Reflection,
        _ => {
            return Err(Fault::usage(format!(
                "mode \"{word}\" is not known; give atr, transmission or reflection"
            )));
        }
    })
}
