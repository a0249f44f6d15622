//! Report values and their writers: one trait a kind of report, one file a format.
//!
//! **In:** what the stages found.
//!
//! **Out:** text, Markdown, CSV, JSON, workbooks, documents and figures, one module a kind of report. Nothing is judged here.
//!
//! ```
//! # use std::path::Path;
//! #
//! # use bandlore::{ReadOptions, read_path};
//! #
//! # let file = Path::new("sample-spectra/two-column/comma-with-headings.csv"); // invented
//! # let spectrum = read_path(file, &ReadOptions::default()).next().ok_or("no spectrum")??;
//! use bandlore::report::Style;
//! use bandlore::report::identification::WriteOptions;
//!
//! // Plain text unless a terminal is asked for.
//! assert_eq!(WriteOptions::default().style, Style::Plain);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod ageing;
pub mod check;
mod codes;
pub mod depth;
mod document;
mod figure;
mod findings;
mod forms;
pub mod identification;
mod json_array;
pub mod object;
#[cfg(feature = "plot")]
pub mod plot;
mod rounding;
mod shared_forms;
mod sheet;
mod style;
mod text_tools;
mod words;
#[cfg(feature = "xlsx")]
mod workbook;

pub use document::{Document, PageFrame};
pub use figure::Figure;
pub use sheet::Sheet;
pub use style::Style;

/// Keeps the committed schemas equal to the serialised types.
#[cfg(test)]
mod schema {
    use schemars::JsonSchema;
    use schemars::generate::SchemaSettings;

    /// Set to anything to write the schemas anew instead of comparing them.
    const RENEW: &str = "BANDLORE_RENEW_SCHEMA";

    /// Compares `schema/v1/NAME` with the schema of a type, or renews it where asked.
    pub(crate) fn assert_committed<T: JsonSchema>(name: &str, title: &str) {
        let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
        let mut schema = generator.into_root_schema_for::<T>();
        schema.insert("title".to_owned(), title.into());
        let mut text = serde_json::to_string_pretty(&schema).expect("schema is JSON");
        text.push('\n');
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/v1").join(name);
        if std::env::var_os(RENEW).is_some() {
            std::fs::create_dir_all(path.parent().expect("has a folder")).expect("folder");
            std::fs::write(&path, &text).expect("writable");
        }
        let committed = std::fs::read_to_string(&path).unwrap_or_default();
        assert_eq!(committed, text, "{} is not current; set {RENEW} to renew it", path.display());
    }
}
