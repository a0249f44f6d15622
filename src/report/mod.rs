//! Report values and their writers: one trait a kind of report, one file a format.

mod ageing;
mod check;
mod depth;
mod figure;
mod finding_json;
mod identification;
mod object;
#[cfg(feature = "plot")]
mod plot;
#[cfg(feature = "xlsx")]
mod spreadsheet;
mod style;
mod text_tools;
mod words;

pub use ageing::{
    AgeingEntry, ageing_csv, ageing_json, ageing_json_lines, ageing_markdown, ageing_text,
    comparison_csv, comparison_json, comparison_json_lines, comparison_markdown, comparison_text,
};
#[cfg(feature = "xlsx")]
pub use check::CheckXlsxWriter;
pub(crate) use check::film_sentence;
pub use check::{
    CheckCsvWriter, CheckEntry, CheckJsonLinesWriter, CheckJsonWriter, CheckMarkdownWriter,
    CheckOptions, CheckTextWriter, CheckWriter, film_verdict,
};
pub use depth::{depth_csv, depth_json, depth_markdown, depth_text};
pub use figure::Figure;
#[cfg(feature = "parquet")]
pub use identification::ParquetWriter;
#[cfg(feature = "xlsx")]
pub use identification::XlsxWriter;
pub use identification::{
    CsvWriter, IdentificationEntry, IdentificationWriter, JsonLinesWriter, JsonWriter,
    MarkdownWriter, Stamp, TextWriter, WriteOptions, write_identifications,
};
#[cfg(feature = "docx")]
pub use object::DocxWriter;
#[cfg(feature = "xlsx")]
pub use object::ObjectXlsxWriter;
#[cfg(feature = "plot")]
pub use object::draw_object_figures;
pub use object::{
    FigureKind, FigurePlace, HtmlWriter, LeaveOut, Length, ObjectCsvWriter, ObjectJsonWriter,
    ObjectMarkdownWriter, ObjectReport, ObjectWriter, PlacedFigure, object_text,
};
#[cfg(feature = "plot")]
pub use plot::{
    Arrangement, CurvesFigure, Error as FigureError, FaceCurve, FacesFigure, IntervalRow,
    IntervalsFigure, LabelledSpectra, MapGroup, MapPart, ShownBands, SpectrumFigure, View,
    bands_behind, draw_chlorine_map, draw_curves, draw_faces, draw_intervals, draw_spectrum,
    shape_behind,
};
#[cfg(feature = "xlsx")]
pub use spreadsheet::spreadsheet_of_csv;
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
