//! Parquet: typed columns for sets too large for a spreadsheet, written in groups of rows as they come.

use std::io::{self, Write};
use std::sync::{Arc, Mutex, PoisonError};

use parquet::basic::Compression;
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int32Type};
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::parser::parse_message_type;

use super::{IdentificationEntry, IdentificationWriter, Stamp, WriteOptions};
use crate::judge::BandState;
use crate::report::rounding::rounded;
use crate::report::{codes, words};

/// Rows of one group: some 8 MB before they are packed, so that memory stays flat however many follow.
const ROWS_OF_A_GROUP: usize = 8192;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// A text; absent where there is none.
    Text,
    /// A whole number.
    Whole,
    /// A number; absent where it was not measured.
    Number,
    /// Texts, none or many.
    Texts,
    /// Numbers, none or many.
    Numbers,
}

/// The columns, in order. Names are kept: scripts rely on them.
const COLUMNS: [(&str, Kind); 24] = [
    ("file", Kind::Text),
    ("block", Kind::Whole),
    ("title", Kind::Text),
    ("sha256", Kind::Text),
    ("outcome", Kind::Text),
    ("material", Kind::Text),
    ("candidates", Kind::Texts),
    ("class", Kind::Text),
    ("components", Kind::Texts),
    ("sentence", Kind::Text),
    ("chlorine_bands", Kind::Text),
    ("chlorine_by_identity", Kind::Text),
    ("chlorine_why", Kind::Text),
    ("score", Kind::Number),
    ("shape", Kind::Text),
    ("shape_similarity", Kind::Number),
    ("bands_met_cm1", Kind::Numbers),
    ("bands_missing_cm1", Kind::Numbers),
    ("bands_untestable_cm1", Kind::Numbers),
    ("ordinate", Kind::Text),
    ("low_cm1", Kind::Number),
    ("high_cm1", Kind::Number),
    ("warnings", Kind::Texts),
    ("error", Kind::Text),
];

/// One cell of a row.
enum Cell {
    Text(Option<String>),
    Whole(i32),
    Number(Option<f64>),
    Texts(Vec<String>),
    Numbers(Vec<f64>),
}

/// Writes one row a spectrum; the tool's and the table's version stand in the file's own metadata.
pub struct ParquetWriter {
    /// Made when writing begins.
    file: Option<SerializedFileWriter<Shared>>,
    packed: Shared,
    rows: Vec<[Cell; COLUMNS.len()]>,
}

impl std::fmt::Debug for ParquetWriter {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("ParquetWriter").field("rows", &self.rows.len()).finish_non_exhaustive()
    }
}

impl ParquetWriter {
    /// Creates the writer; no option changes it.
    #[must_use]
    pub fn new(_options: &WriteOptions) -> Self {
        Self { file: None, packed: Shared::default(), rows: Vec::new() }
    }

    /// Packs the rows held as one group, and hands on what is packed.
    fn group(&mut self, out: &mut dyn Write) -> io::Result<()> {
        if let Some(file) = self.file.as_mut().filter(|_| !self.rows.is_empty()) {
            let mut group = file.next_row_group().map_err(io::Error::other)?;
            let mut at = 0;
            while let Some(mut column) = group.next_column().map_err(io::Error::other)? {
                column_of(&self.rows, at, &mut column).map_err(io::Error::other)?;
                column.close().map_err(io::Error::other)?;
                at += 1;
            }
            group.close().map_err(io::Error::other)?;
            self.rows.clear();
        }
        out.write_all(&self.packed.take())
    }
}

impl IdentificationWriter for ParquetWriter {
    fn begin(&mut self, stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        let entry = |key: &str, value: &str| KeyValue::new(key.to_owned(), value.to_owned());
        let properties = WriterProperties::builder()
            .set_compression(Compression::SNAPPY)
            .set_created_by(stamp.tool.clone())
            .set_key_value_metadata(Some(vec![
                entry("tool", &stamp.tool),
                entry("table_version", &stamp.table_version),
                entry("table_sha256", &stamp.table_sha256),
            ]))
            .build();
        let schema = parse_message_type(&schema()).map_err(io::Error::other)?;
        let file =
            SerializedFileWriter::new(self.packed.clone(), Arc::new(schema), Arc::new(properties));
        self.file = Some(file.map_err(io::Error::other)?);
        out.write_all(&self.packed.take())
    }

    fn entry(
        &mut self,
        _stamp: &Stamp,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        self.rows.push(cells(entry));
        if self.rows.len() < ROWS_OF_A_GROUP { Ok(()) } else { self.group(out) }
    }

    fn end(&mut self, _stamp: &Stamp, out: &mut dyn Write) -> io::Result<()> {
        self.group(out)?;
        if let Some(mut file) = self.file.take() {
            file.finish().map_err(io::Error::other)?;
        }
        out.write_all(&self.packed.take())
    }
}

/// The packed bytes that were not handed on yet.
#[derive(Clone, Default)]
struct Shared(Arc<Mutex<Vec<u8>>>);

impl Shared {
    fn take(&self) -> Vec<u8> {
        std::mem::take(&mut self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Write for Shared {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// The schema in the notation of the format.
fn schema() -> String {
    let list = |name: &str, of: &str| {
        format!("required group {name} (LIST) {{ repeated group list {{ required {of}; }} }}")
    };
    let columns: Vec<String> = COLUMNS
        .iter()
        .map(|(name, kind)| match kind {
            Kind::Text => format!("optional binary {name} (STRING);"),
            Kind::Whole => format!("required int32 {name};"),
            Kind::Number => format!("optional double {name};"),
            Kind::Texts => list(name, "binary element (STRING)"),
            Kind::Numbers => list(name, "double element"),
        })
        .collect();
    format!("message spectra {{ {} }}", columns.join(" "))
}

/// Writes one column of the rows: values, and for each place whether there is one and whether it begins a row.
fn column_of(
    rows: &[[Cell; COLUMNS.len()]],
    at: usize,
    column: &mut SerializedColumnWriter<'_>,
) -> parquet::errors::Result<usize> {
    let (mut texts, mut wholes, mut numbers) = (Vec::new(), Vec::new(), Vec::new());
    let (mut defined, mut repeated) = (Vec::new(), Vec::new());
    let bytes = |text: &str| ByteArray::from(text.as_bytes().to_vec());
    for row in rows {
        match &row[at] {
            Cell::Text(text) => {
                defined.push(i16::from(text.is_some()));
                texts.extend(text.as_deref().map(bytes));
            }
            Cell::Whole(number) => wholes.push(*number),
            Cell::Number(number) => {
                defined.push(i16::from(number.is_some()));
                numbers.extend(*number);
            }
            Cell::Texts(many) => {
                place(many.len(), &mut defined, &mut repeated);
                texts.extend(many.iter().map(|text| bytes(text)));
            }
            Cell::Numbers(many) => {
                place(many.len(), &mut defined, &mut repeated);
                numbers.extend_from_slice(many);
            }
        }
    }
    let kind = COLUMNS[at].1;
    let repeated = matches!(kind, Kind::Texts | Kind::Numbers).then_some(&repeated[..]);
    match kind {
        Kind::Text | Kind::Texts => {
            column.typed::<ByteArrayType>().write_batch(&texts, Some(&defined), repeated)
        }
        Kind::Whole => column.typed::<Int32Type>().write_batch(&wholes, None, None),
        Kind::Number | Kind::Numbers => {
            column.typed::<DoubleType>().write_batch(&numbers, Some(&defined), repeated)
        }
    }
}

/// Notes the places of a list: an empty one takes a place without a value.
fn place(count: usize, defined: &mut Vec<i16>, repeated: &mut Vec<i16>) {
    defined.extend(std::iter::repeat_n(i16::from(count > 0), count.max(1)));
    repeated.extend((0..count.max(1)).map(|i| i16::from(i > 0)));
}

fn cells(entry: &IdentificationEntry) -> [Cell; COLUMNS.len()] {
    let found = entry.identification.as_ref();
    let text = |text: Option<&str>| Cell::Text(text.map(str::to_owned));
    let bands = |state: BandState| {
        let shown = entry.evidence(0);
        let bands = shown.first().map_or(&[][..], |(_, bands)| bands);
        Cell::Numbers(bands.iter().filter(|b| b.state == state).map(|b| b.expected_cm1).collect())
    };
    let shape = found.and_then(|found| found.shape.as_ref());
    let components = found.into_iter().flat_map(|found| &found.components);
    let chlorine = found.map(|found| &found.chlorine);
    [
        text(Some(&entry.file)),
        Cell::Whole(i32::try_from(entry.block).unwrap_or(i32::MAX)),
        text(entry.title.as_deref()),
        text(Some(entry.sha256.as_str()).filter(|sha256| !sha256.is_empty())),
        text(found.map(|found| codes::outcome(found.outcome))),
        text(found.and_then(|found| found.material.as_deref())),
        Cell::Texts(found.map(|found| found.candidates.clone()).unwrap_or_default()),
        text(found.and_then(|found| found.class.as_ref()).map(|class| class.id.as_str())),
        Cell::Texts(components.map(|component| component.id.clone()).collect()),
        text(found.map(|found| found.sentence.as_str())),
        text(chlorine.map(|chlorine| codes::chlorine_bands(chlorine.bands))),
        text(chlorine.map(|chlorine| codes::chlorine_by_identity(chlorine.by_identity))),
        text(chlorine.map(|chlorine| chlorine.why.as_str())),
        Cell::Number(
            found.and_then(|found| found.ranking.first()).map(|best| rounded(best.score, 4)),
        ),
        text(shape.map(|shape| shape.shape.as_str())),
        Cell::Number(shape.map(|shape| rounded(shape.similarity, 4))),
        bands(BandState::Met),
        bands(BandState::Missing),
        bands(BandState::Untestable),
        text(entry.ordinate.map(|(ordinate, _)| words::ordinate(ordinate))),
        Cell::Number(entry.range_cm1.map(|(low, _)| low)),
        Cell::Number(entry.range_cm1.map(|(_, high)| high)),
        Cell::Texts(entry.warnings.iter().map(|warning| warning.text.clone()).collect()),
        text(entry.error.as_deref()),
    ]
}
