//! Parquet: one spectrum a row and one column a wavenumber, read a portion of the rows at a time.

use std::collections::VecDeque;

use parquet::basic::{Encoding, Type};
use parquet::column::page::{Page, PageMetadata, PageReader};
use parquet::column::reader::{ColumnReader, get_column_reader};
use parquet::errors::ParquetError;
use parquet::file::metadata::ColumnChunkMetaData;
use parquet::file::reader::{ChunkReader, FileReader, SerializedFileReader};

use super::finish::{finish, signs_of};
use super::found::{Found, MOST_POINTS};
use super::number::Notation;
use super::ordinate::{Inferred, infer_together};
use super::source::Source;
use super::two_column::WEIGHED_TOGETHER;
use super::wide::{LEAST_AXIS, abscissa, blank_at_ends, measured, names};
use super::words;
use super::{Column, Error, Fault, ReadOptions, Spectra};
use crate::spectrum::{Ordinate, Spectrum};

/// The first and the last bytes of every such file.
pub(super) const MAGIC: &[u8; 4] = b"PAR1";

/// Names are written as programs write numbers.
const POINT: Notation = Notation { decimal: b'.', thousands: None };

/// Rows read at once of every column.
const ROWS_AT_ONCE: usize = 64;

/// Bytes that one group of rows may take when unpacked: more is not flat memory.
const LARGEST_GROUP_BYTES: i64 = 1 << 30;

/// Reads the spectra of a file that is open.
pub(super) fn read<F: ChunkReader + 'static>(
    file: F,
    source: Source,
    options: ReadOptions,
) -> Spectra {
    let name = source.file.clone();
    match Table::open(file, source, options) {
        Ok(table) => Spectra::lazy(table),
        Err(fault) => Spectra::one(Err(Error::whole(&name, fault))),
    }
}

struct Table<F: ChunkReader + 'static> {
    reader: SerializedFileReader<F>,
    source: Source,
    options: ReadOptions,
    /// Place and abscissa of each column of ordinates.
    axis: Vec<(usize, f64)>,
    /// Place of the column that names the spectra.
    label: Option<usize>,
    ordinate: Option<Ordinate>,
    /// The next group of rows.
    group: usize,
    /// What is left of the group that is being read.
    columns: Option<Columns>,
    rows: VecDeque<Row>,
    /// Rows met so far.
    block: usize,
    agreed: Option<Inferred>,
    broken: bool,
}

/// The columns of one group of rows.
struct Columns {
    ordinates: Vec<ColumnReader>,
    label: Option<ColumnReader>,
    left: usize,
}

/// The pages of a column, less those at which the crate would stop the program.
struct Pages {
    pages: Box<dyn PageReader>,
    has_dictionary: bool,
}

impl PageReader for Pages {
    fn get_next_page(&mut self) -> Result<Option<Page>, ParquetError> {
        let page = self.pages.get_next_page()?;
        #[allow(deprecated, reason = "older files say it so")]
        match page.as_ref().map(Page::encoding) {
            Some(Encoding::BYTE_STREAM_SPLIT) => {
                // Its decoder does not ask whether the page is as long as it says.
                return Err(ParquetError::NYI(format!("{NOT_BUILT_IN}BYTE_STREAM_SPLIT")));
            }
            Some(Encoding::RLE_DICTIONARY | Encoding::PLAIN_DICTIONARY)
                if !self.has_dictionary && page.as_ref().is_some_and(Page::is_data_page) =>
            {
                return Err(ParquetError::General("a dictionary is missing".to_owned()));
            }
            _ => {}
        }
        self.has_dictionary |= page.as_ref().is_some_and(Page::is_dictionary_page);
        Ok(page)
    }

    fn peek_next_page(&mut self) -> Result<Option<PageMetadata>, ParquetError> {
        self.pages.peek_next_page()
    }

    fn skip_next_page(&mut self) -> Result<(), ParquetError> {
        self.pages.skip_next_page()
    }
}

impl Iterator for Pages {
    type Item = Result<Page, ParquetError>;

    fn next(&mut self) -> Option<Self::Item> {
        self.get_next_page().transpose()
    }
}

struct Row {
    values: Vec<f64>,
    label: Option<String>,
}

impl<F: ChunkReader + 'static> Table<F> {
    fn open(file: F, source: Source, options: ReadOptions) -> Result<Self, Fault> {
        let length = file.len();
        let reader = SerializedFileReader::new(file).map_err(|error| unreadable(&error))?;
        let description = reader.metadata().file_metadata().schema_descr_ptr();
        let mut axis = Vec::new();
        let (mut named, mut first_text) = (None, None);
        let mut ordinate = None;
        for (place, column) in description.columns().iter().enumerate() {
            let heading = column.path().string();
            let is_flat = column.max_rep_level() == 0 && column.max_def_level() <= 1;
            let is_number = matches!(
                column.physical_type(),
                Type::INT32 | Type::INT64 | Type::FLOAT | Type::DOUBLE
            );
            match abscissa(&heading, POINT) {
                Some(value) if is_flat && is_number && value > 0.0 => axis.push((place, value)),
                _ if !is_flat => {}
                _ => {
                    let is_text = column.physical_type() == Type::BYTE_ARRAY;
                    if named.is_none() && names(&heading) {
                        named = Some(place);
                    }
                    if first_text.is_none() && is_text {
                        first_text = Some(place);
                    }
                    ordinate = ordinate.or_else(|| words::ordinate_in_text(&heading));
                }
            }
        }
        if axis.len() < LEAST_AXIS || axis.len() > MOST_POINTS {
            return Err(Fault::Parquet {
                what: format!(
                    "{} of its {} columns are named by a wavenumber and hold numbers, at least {LEAST_AXIS} are needed",
                    axis.len(),
                    description.num_columns()
                ),
            });
        }
        for group in reader.metadata().row_groups() {
            // Places and sizes that the file cannot hold are damaged ones; the crate would not ask.
            let packed = |column: &ColumnChunkMetaData| {
                let from = column.dictionary_page_offset().unwrap_or(column.data_page_offset());
                let from = u64::try_from(from.min(column.data_page_offset())).ok()?;
                let size = u64::try_from(column.compressed_size()).ok()?;
                from.checked_add(size).filter(|end| *end <= length)
            };
            if group.columns().iter().any(|column| packed(column).is_none()) {
                return Err(damaged("it names places beyond its end"));
            }
            if group.total_byte_size() > LARGEST_GROUP_BYTES {
                return Err(Fault::Parquet {
                    what: format!(
                        "a group of rows takes {} MiB, at most {} are read; write it in smaller groups of rows",
                        group.total_byte_size() >> 20,
                        LARGEST_GROUP_BYTES >> 20
                    ),
                });
            }
        }
        let mut table = Self {
            reader,
            source,
            options,
            axis,
            label: named.or(first_text),
            ordinate,
            group: 0,
            columns: None,
            rows: VecDeque::new(),
            block: 0,
            agreed: None,
            broken: false,
        };
        table.settle()?;
        Ok(table)
    }

    /// Checks that what was asked for is there, and weighs the first rows together.
    fn settle(&mut self) -> Result<(), Fault> {
        if let Some(Column::Number(_)) = self.options.column {
            let wanted = "by number".to_owned();
            let present = "none, one spectrum a row; pass --block or a label".to_owned();
            return Err(Fault::NoSuchColumn { wanted, present });
        }
        let present: i64 = self.reader.metadata().file_metadata().num_rows();
        let present =
            usize::try_from(present).map_err(|_| damaged("it counts its rows below zero"))?;
        if let Some(wanted) = self.options.block
            && (wanted == 0 || wanted > present)
        {
            return Err(Fault::NoSuchBlock { wanted, present });
        }
        while self.rows.len() < WEIGHED_TOGETHER && self.more()? {}
        let axis = self.abscissas();
        let signs: Vec<_> = self
            .rows
            .iter()
            .take(WEIGHED_TOGETHER)
            .filter_map(|row| signs_of(&axis, &row.values, None))
            .collect();
        if signs.is_empty() {
            return Err(Fault::TooFewRows { rows: 0, least: 1 });
        }
        self.agreed = infer_together(&signs);
        Ok(())
    }

    fn abscissas(&self) -> Vec<f64> {
        self.axis.iter().map(|(_, value)| *value).collect()
    }

    /// Reads the next portion of rows; says whether there was one.
    fn more(&mut self) -> Result<bool, Fault> {
        let fail = |error: ParquetError| unreadable(&error);
        loop {
            if self.columns.as_ref().is_some_and(|columns| columns.left > 0) {
                break;
            }
            if self.group >= self.reader.num_row_groups() {
                self.columns = None;
                return Ok(false);
            }
            let group = self.reader.get_row_group(self.group).map_err(fail)?;
            let open = |place: usize| -> Result<ColumnReader, Fault> {
                let pages = group.get_column_page_reader(place).map_err(fail)?;
                let column = group.metadata().column(place).column_descr_ptr();
                Ok(get_column_reader(column, Box::new(Pages { pages, has_dictionary: false })))
            };
            self.columns = Some(Columns {
                ordinates: self
                    .axis
                    .iter()
                    .map(|(place, _)| open(*place))
                    .collect::<Result<_, _>>()?,
                label: self.label.map(open).transpose()?,
                left: usize::try_from(group.metadata().num_rows())
                    .map_err(|_| damaged("it counts its rows below zero"))?,
            });
            self.group += 1;
        }
        let Some(columns) = &mut self.columns else { return Ok(false) };
        let count = columns.left.min(ROWS_AT_ONCE);
        columns.left -= count;
        let labels = columns.label.as_mut().map(|column| texts(column, count)).transpose()?;
        let mut labels = labels.unwrap_or_default().into_iter();
        let mut rows: Vec<Row> = (0..count)
            .map(|_| Row {
                values: Vec::with_capacity(self.axis.len()),
                label: labels.next().flatten(),
            })
            .collect();
        for column in &mut columns.ordinates {
            for (row, value) in rows.iter_mut().zip(numbers(column, count)?) {
                row.values.push(value);
            }
        }
        self.rows.extend(rows);
        Ok(true)
    }

    fn spectrum(&self, row: Row) -> Result<Spectrum, Error> {
        let (start, end) = measured(&row.values);
        let mut provenance = self.source.provenance(self.block);
        provenance.title = Some(row.label.unwrap_or_else(|| format!("row {}", self.block)));
        let mut warnings = self.source.warnings.clone();
        warnings.extend(blank_at_ends(row.values.len() - (end - start)));
        let found = Found {
            abscissas: self.abscissas().get(start..end).unwrap_or_default().to_vec(),
            ordinates: row.values.get(start..end).unwrap_or_default().to_vec(),
            ordinate: self.ordinate,
            provenance,
            warnings,
            agreed: self.agreed,
            ..Found::default()
        };
        finish(found, &self.options).map_err(|error| match error {
            // As of a sheet: the row, counted from 1.
            Error::Content { file, line: None, fault } => {
                Error::Content { file, line: Some(self.block), fault }
            }
            other => other,
        })
    }
}

impl<F: ChunkReader + 'static> Iterator for Table<F> {
    type Item = Result<Spectrum, Error>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            if self.broken {
                return None;
            }
            let Some(row) = self.rows.pop_front() else {
                match self.more() {
                    Ok(true) => continue,
                    Ok(false) => return None,
                    Err(fault) => {
                        self.broken = true;
                        return Some(Err(Error::whole(&self.source.file, fault)));
                    }
                }
            };
            self.block += 1;
            if self.options.ask_for(self.block, row.label.as_deref()) {
                return Some(self.spectrum(row));
            }
        }
    }
}

/// Reads the next numbers of a column; NaN where the file holds none.
fn numbers(column: &mut ColumnReader, count: usize) -> Result<Vec<f64>, Fault> {
    macro_rules! read {
        ($reader:expr, $as:expr) => {{
            let (mut defined, mut values) = (Vec::new(), Vec::new());
            let (rows, _, _) = $reader
                .read_records(count, Some(&mut defined), None, &mut values)
                .map_err(|error| unreadable(&error))?;
            placed(rows, count, &defined, values.into_iter().map($as), f64::NAN)
        }};
    }
    #[allow(clippy::cast_precision_loss, reason = "counts of a detector are below 2^53")]
    match column {
        ColumnReader::Int32ColumnReader(reader) => read!(reader, f64::from),
        ColumnReader::Int64ColumnReader(reader) => read!(reader, |value| value as f64),
        ColumnReader::FloatColumnReader(reader) => read!(reader, f64::from),
        ColumnReader::DoubleColumnReader(reader) => read!(reader, |value| value),
        _ => Err(damaged("a column changes its type")),
    }
}

/// Reads the next labels of a column: texts, or numbers that count the spectra.
fn texts(column: &mut ColumnReader, count: usize) -> Result<Vec<Option<String>>, Fault> {
    /// Longer labels are cut.
    const LONGEST: usize = 200;
    if let ColumnReader::ByteArrayColumnReader(reader) = column {
        let (mut defined, mut values) = (Vec::new(), Vec::new());
        let (rows, _, _) = reader
            .read_records(count, Some(&mut defined), None, &mut values)
            .map_err(|error| unreadable(&error))?;
        let text = |bytes: parquet::data_type::ByteArray| {
            Some(String::from_utf8_lossy(bytes.data()).chars().take(LONGEST).collect())
        };
        return placed(rows, count, &defined, values.into_iter().map(text), None);
    }
    match numbers(column, count) {
        Ok(numbers) => {
            Ok(numbers.into_iter().map(|n| n.is_finite().then(|| n.to_string())).collect())
        }
        // Dates and the like name nothing.
        Err(_) => Ok(vec![None; count]),
    }
}

/// Puts values where the file holds one; without levels every row does.
fn placed<T: Clone>(
    rows: usize,
    count: usize,
    defined: &[i16],
    mut values: impl ExactSizeIterator<Item = T>,
    none: T,
) -> Result<Vec<T>, Fault> {
    let whole = defined.is_empty() && values.len() == count;
    if rows != count || (!whole && defined.len() != count) {
        return Err(damaged("a column ends before the others"));
    }
    let is_there = |i: usize| whole || defined.get(i).is_some_and(|level| *level > 0);
    Ok((0..count)
        .map(
            |i| {
                if is_there(i) {
                    values.next().unwrap_or_else(|| none.clone())
                } else {
                    none.clone()
                }
            },
        )
        .collect())
}

/// How the crate says that it was built without something.
const NOT_BUILT_IN: &str = "Disabled feature at compile time: ";

fn unreadable(error: &ParquetError) -> Fault {
    let said = error.to_string();
    // What the crate leaves out it names as a feature of its own.
    match said.rsplit_once(NOT_BUILT_IN) {
        Some((_, packing)) => Fault::Parquet {
            what: format!("packed by {packing}, which is not read: write it with snappy or gzip"),
        },
        None => damaged(&said),
    }
}

fn damaged(what: &str) -> Fault {
    Fault::Parquet { what: format!("damaged ({what}); write it again") }
}
