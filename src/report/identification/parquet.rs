//! Parquet: typed columns for sets too large for a spreadsheet, written in groups of rows as they come.

use std::io::{self, Write};
use std::sync::{Arc, Mutex, PoisonError};

use parquet::basic::Compression;
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int32Type};
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::parser::parse_message_type;

use super::{IdentificationEntry, IdentificationWriter, Stamp, WriteOptions, answer, csv};
use crate::judge::{BandState, Identification};
use crate::report::rounding::rounded;
use crate::report::{codes, words};

/// Rows of one group: some 8 MB before they are packed, so that memory stays flat however many follow.
const ROWS_OF_A_GROUP: usize = 8192;

/// What a column holds of a spectrum.
enum Holds {
    /// A text; absent where there is none.
    Text(fn(&IdentificationEntry) -> Option<&str>),
    /// A whole number.
    Whole(fn(&IdentificationEntry) -> usize),
    /// A number; absent where it was not measured.
    Number(fn(&IdentificationEntry) -> Option<f64>),
    /// Texts, none or many.
    Texts(fn(&IdentificationEntry) -> Vec<String>),
    /// Numbers, none or many.
    Numbers(fn(&IdentificationEntry) -> Vec<f64>),
    /// What the sheet's column at this place has, in its words; absent where that is blank.
    OfSheet(usize),
}
use Holds::{Number, Numbers, OfSheet, Text, Texts, Whole};

/// A column: its name, and what it holds.
type Column = (&'static str, Holds);

/// The columns that are more than the words of the sheet, in order. Names and places are kept: scripts rely on them.
const TYPED: [Column; 26] = [
    ("file", Text(|entry| Some(&entry.file))),
    ("block", Whole(|entry| entry.block)),
    ("title", Text(|entry| entry.title.as_deref())),
    ("sha256", Text(|entry| Some(entry.sha256.as_str()).filter(|sha256| !sha256.is_empty()))),
    ("outcome", Text(|entry| Some(codes::outcome(found(entry)?.outcome)))),
    ("material", Text(|entry| found(entry)?.material.as_deref())),
    ("candidates", Texts(|entry| found(entry).map_or_else(Vec::new, |f| f.candidates.clone()))),
    ("class", Text(|entry| Some(&found(entry)?.class.as_ref()?.id))),
    (
        "components",
        Texts(|entry| {
            found(entry).into_iter().flat_map(|f| &f.components).map(|c| c.id.clone()).collect()
        }),
    ),
    ("sentence", Text(|entry| Some(&found(entry)?.sentence))),
    ("chlorine_bands", Text(|entry| Some(codes::chlorine_bands(found(entry)?.chlorine.bands)))),
    (
        "chlorine_by_identity",
        Text(|entry| Some(codes::chlorine_by_identity(found(entry)?.chlorine.by_identity))),
    ),
    ("chlorine_why", Text(|entry| Some(&found(entry)?.chlorine.why))),
    ("score", Number(|entry| Some(rounded(found(entry)?.ranking.first()?.score, 4)))),
    ("shape", Text(|entry| Some(&found(entry)?.shape.as_ref()?.shape))),
    (
        "shape_similarity",
        Number(|entry| Some(rounded(found(entry)?.shape.as_ref()?.similarity, 4))),
    ),
    ("bands_met_cm1", Numbers(|entry| bands(entry, BandState::Met))),
    ("bands_missing_cm1", Numbers(|entry| bands(entry, BandState::Missing))),
    ("bands_untestable_cm1", Numbers(|entry| bands(entry, BandState::Untestable))),
    ("ordinate", Text(|entry| entry.ordinate.map(|(ordinate, _)| words::ordinate(ordinate)))),
    ("low_cm1", Number(|entry| entry.range_cm1.map(|(low, _)| low))),
    ("high_cm1", Number(|entry| entry.range_cm1.map(|(_, high)| high))),
    ("warnings", Texts(|entry| entry.warnings.iter().map(|w| w.text.clone()).collect())),
    ("error", Text(|entry| entry.error.as_deref())),
    (
        "unexplained_cm1",
        Numbers(|entry| {
            found(entry).into_iter().flat_map(|f| &f.unexplained).map(|(place, _)| *place).collect()
        }),
    ),
    ("cautions", Texts(|entry| answer::cautions(entry).map(words::finding_words).collect())),
];

/// All columns: behind the typed ones those of the sheet that none of them stands for, so that what is added there is
/// here too.
fn columns() -> Vec<Column> {
    let stem = |name: &'static str| name.strip_suffix("_cm1").unwrap_or(name);
    // Of the tool and the table the file itself says it.
    let stands =
        |name| name == "tool_and_table" || TYPED.iter().any(|(typed, _)| stem(typed) == stem(name));
    let sheet = csv::columns().into_iter().enumerate().filter(|(_, (name, _))| !stands(name));
    TYPED.into_iter().chain(sheet.map(|(at, (name, _))| (name, OfSheet(at)))).collect()
}

fn found(entry: &IdentificationEntry) -> Option<&Identification> {
    entry.identification.as_ref()
}

/// Where the bands of the first material shown are expected that are in a state.
fn bands(entry: &IdentificationEntry, state: BandState) -> Vec<f64> {
    let shown = entry.evidence(0);
    let bands = shown.first().map_or(&[][..], |(_, bands)| bands);
    bands.iter().filter(|b| b.state == state).map(|b| b.expected_cm1).collect()
}

/// The values of one column that are not packed yet, and for each place whether there is one and whether it begins a
/// row.
#[derive(Default)]
struct Held {
    texts: Vec<ByteArray>,
    wholes: Vec<i32>,
    numbers: Vec<f64>,
    defined: Vec<i16>,
    repeated: Vec<i16>,
}

impl Held {
    fn add(&mut self, holds: &Holds, row: &csv::Row<'_>) {
        let entry = row.1;
        match holds {
            Text(of) => self.text(of(entry)),
            OfSheet(at) => {
                let value = csv::columns().get(*at).map(|(_, of)| of(row)).unwrap_or_default();
                let digits = value.digits();
                let words = digits.as_deref().unwrap_or(value.words());
                self.text(Some(words).filter(|words| !words.is_empty()));
            }
            Whole(of) => self.wholes.push(i32::try_from(of(entry)).unwrap_or(i32::MAX)),
            Number(of) => {
                let number = of(entry);
                self.defined.push(i16::from(number.is_some()));
                self.numbers.extend(number);
            }
            Texts(of) => {
                let texts = of(entry);
                self.place(texts.len());
                self.texts.extend(texts.into_iter().map(|text| ByteArray::from(text.into_bytes())));
            }
            Numbers(of) => {
                let numbers = of(entry);
                self.place(numbers.len());
                self.numbers.extend(numbers);
            }
        }
    }

    fn text(&mut self, text: Option<&str>) {
        self.defined.push(i16::from(text.is_some()));
        self.texts.extend(text.map(|text| ByteArray::from(text.as_bytes().to_vec())));
    }

    /// Notes the places of a list: an empty one takes a place without a value.
    fn place(&mut self, count: usize) {
        self.defined.extend(std::iter::repeat_n(i16::from(count > 0), count.max(1)));
        self.repeated.extend((0..count.max(1)).map(|i| i16::from(i > 0)));
    }

    /// Writes the column.
    fn write(
        &self,
        holds: &Holds,
        column: &mut SerializedColumnWriter<'_>,
    ) -> parquet::errors::Result<usize> {
        let repeated = matches!(holds, Texts(_) | Numbers(_)).then_some(&self.repeated[..]);
        let defined = Some(&self.defined[..]);
        match holds {
            Text(_) | Texts(_) | OfSheet(_) => {
                column.typed::<ByteArrayType>().write_batch(&self.texts, defined, repeated)
            }
            Whole(_) => column.typed::<Int32Type>().write_batch(&self.wholes, None, None),
            Number(_) | Numbers(_) => {
                column.typed::<DoubleType>().write_batch(&self.numbers, defined, repeated)
            }
        }
    }
}

/// Writes one row a spectrum; the tool's and the table's version stand in the file's own metadata.
pub struct ParquetWriter {
    /// Made when writing begins.
    file: Option<SerializedFileWriter<Shared>>,
    packed: Shared,
    /// Rows that are not packed yet.
    rows: usize,
    columns: Vec<Column>,
    held: Vec<Held>,
}

impl std::fmt::Debug for ParquetWriter {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("ParquetWriter").field("rows", &self.rows).finish_non_exhaustive()
    }
}

impl ParquetWriter {
    /// Creates the writer; no option changes it.
    #[must_use]
    pub fn new(_options: &WriteOptions) -> Self {
        let columns = columns();
        let held = columns.iter().map(|_| Held::default()).collect();
        Self { file: None, packed: Shared::default(), rows: 0, columns, held }
    }

    /// Packs the rows held as one group, and hands on what is packed.
    fn group(&mut self, out: &mut dyn Write) -> io::Result<()> {
        if let Some(file) = self.file.as_mut().filter(|_| self.rows > 0) {
            let mut group = file.next_row_group().map_err(io::Error::other)?;
            let mut columns = self.columns.iter().zip(&mut self.held);
            while let Some(mut column) = group.next_column().map_err(io::Error::other)? {
                if let Some(((_, holds), held)) = columns.next() {
                    let held = std::mem::take(held);
                    held.write(holds, &mut column).map_err(io::Error::other)?;
                }
                column.close().map_err(io::Error::other)?;
            }
            group.close().map_err(io::Error::other)?;
            self.rows = 0;
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
        let schema = parse_message_type(&schema(&self.columns)).map_err(io::Error::other)?;
        let file =
            SerializedFileWriter::new(self.packed.clone(), Arc::new(schema), Arc::new(properties));
        self.file = Some(file.map_err(io::Error::other)?);
        out.write_all(&self.packed.take())
    }

    fn entry(
        &mut self,
        stamp: &Stamp,
        entry: &IdentificationEntry,
        out: &mut dyn Write,
    ) -> io::Result<()> {
        for ((_, holds), held) in self.columns.iter().zip(&mut self.held) {
            held.add(holds, &(stamp, entry));
        }
        self.rows += 1;
        if self.rows < ROWS_OF_A_GROUP { Ok(()) } else { self.group(out) }
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
fn schema(columns: &[Column]) -> String {
    let list = |name: &str, of: &str| {
        format!("required group {name} (LIST) {{ repeated group list {{ required {of}; }} }}")
    };
    let columns: Vec<String> = columns
        .iter()
        .map(|(name, holds)| match holds {
            Text(_) | OfSheet(_) => format!("optional binary {name} (STRING);"),
            Whole(_) => format!("required int32 {name};"),
            Number(_) => format!("optional double {name};"),
            Texts(_) => list(name, "binary element (STRING)"),
            Numbers(_) => list(name, "double element"),
        })
        .collect();
    format!("message spectra {{ {} }}", columns.join(" "))
}
