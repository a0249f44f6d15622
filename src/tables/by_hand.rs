//! A CSV sheet that a user writes for a run: read as those of the table are, and refused in the same words.

use super::fault::Faults;
use super::sheet::{Row, Sheet};

/// Rows read at most: no sheet made by hand has more.
const MOST_ROWS: usize = 100_000;

/// What is asked of a sheet.
#[derive(Clone, Copy)]
pub(crate) struct Asked {
    /// The columns that it must have; the first tells rows apart in faults.
    pub(crate) columns: &'static [&'static str],
    /// Those that it may have.
    pub(crate) optional: &'static [&'static str],
    /// Whether its writer may add columns, lines that begin with #, and capitals to headings.
    pub(crate) loose: bool,
}

/// Reads every row of a sheet, or says what is wrong with each.
///
/// # Errors
///
/// Bytes that are no CSV in UTF-8, columns missing or unknown, rows to which a fault is added, and no row at all.
pub(crate) fn read_by_hand<T>(
    bytes: &[u8],
    file: &str,
    asked: Asked,
    mut from_row: impl FnMut(&mut Row<'_>) -> T,
) -> Result<Vec<T>, Faults> {
    let Asked { columns, optional, loose } = asked;
    let sheet = Sheet {
        file,
        columns: [columns, optional].concat(),
        required: columns.len(),
        loose,
        bytes,
    };
    let (mut rows, mut faults) = (Vec::new(), Vec::new());
    let mut too_many = None;
    sheet.each_row(&mut faults, |row| {
        if rows.len() < MOST_ROWS {
            rows.push(from_row(row));
        } else {
            too_many.get_or_insert(row.line);
        }
    });
    if too_many.is_some() {
        sheet.fault(
            &mut faults,
            too_many,
            "",
            format!("more than {MOST_ROWS} rows; split the sheet"),
        );
    } else if rows.is_empty() && faults.is_empty() {
        sheet.fault(&mut faults, None, "", "no rows under the heading; add them".to_owned());
    }
    if faults.is_empty() { Ok(rows) } else { Err(Faults::in_order(faults)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DOSES: Asked = Asked { columns: &["file", "dose"], optional: &[], loose: true };

    fn read(bytes: &[u8], asked: Asked) -> Result<Vec<(String, f64)>, String> {
        read_by_hand(bytes, "a.csv", asked, |row| (row.required("file"), row.number("dose")))
            .map_err(|faults| faults.to_string())
    }

    #[test]
    fn reads_semicolons_with_decimal_commas_and_passes_over_notes() {
        let text = "\u{feff}Dose;File;shelf\n# of May\n1,5;x.csv;3\n\n# note\n";
        assert_eq!(read(text.as_bytes(), DOSES), Ok(vec![("x.csv".to_owned(), 1.5)]));
    }

    #[test]
    fn names_file_line_and_column_of_every_fault() {
        let told = read(b"file,dose\nx.csv,lots\n,\"1,5\"\n", DOSES).expect_err("bad");
        assert_eq!(
            told,
            "a.csv:2 (x.csv): column dose: \"lots\" is not a number\n\
             a.csv:3: column file: empty\n\
             a.csv:3: column dose: \"1,5\" is not a number; decimal commas are read where semicolons or tabs part \
             the cells"
        );
    }

    #[test]
    fn refuses_bytes_columns_and_an_empty_sheet() {
        let told = |text: &[u8]| read(text, DOSES).expect_err("bad");
        assert!(told(b"file,dose\n\xff").starts_with("a.csv:2: not UTF-8"));
        assert_eq!(told(b"file,dose\n"), "a.csv: no rows under the heading; add them");
        assert_eq!(
            told(b"file,hours\nx,1\n"),
            "a.csv:1: column \"dose\" is missing; found: file, hours; name the columns as in --help"
        );
        let strict = Asked { loose: false, ..DOSES };
        let unknown = read(b"file,dose,colour\nx,1,red\n", strict).expect_err("bad");
        assert_eq!(unknown, "a.csv:1: unknown column \"colour\"; known: file, dose");
        let wide = read(b"file,dose\nx,1,5\n", DOSES).expect_err("bad");
        assert!(wide.starts_with("a.csv:2 (x): 3 cells under 2 columns"), "{wide}");
        let long = "file,dose\n".to_owned() + &"x,1\n".repeat(MOST_ROWS + 1);
        assert_eq!(told(long.as_bytes()), "a.csv:100002: more than 100000 rows; split the sheet");
    }
}
