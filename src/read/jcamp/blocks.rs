//! Which blocks a file holds: one, several in a row, or several inside link blocks.

use super::asdf::Place;
use super::error::{Error, Located};
use super::labels::{label_at, line_after, next_label, plain};

/// Link blocks inside each other past this are refused; real files have one, a file of files two.
pub(super) const MOST_LINK_DEPTH: usize = 8;

/// More blocks than this are refused: a file of the largest size would have 500 bytes for each.
pub(super) const MOST_BLOCKS: usize = 1_000_000;

/// Where one block of data stands in the text.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Block {
    /// Where its first label stands.
    pub(super) start: Place,
    /// The offset of the label that ends it, or of the end of the text.
    pub(super) end: usize,
    /// Whether an end label closes it.
    pub(super) closed: bool,
}

/// A block whose end was not seen yet.
struct Open {
    start: Place,
    link: bool,
}

/// Lists the data blocks of a file in file order; link blocks only hold them.
pub(super) fn outline(text: &str) -> Result<Vec<Block>, Located> {
    let mut blocks = Vec::new();
    let mut open: Vec<Open> = Vec::new();
    let mut place = next_label(text, Place { offset: 0, line: 1 });
    while let Some(label) = label_at(text, place) {
        if blocks.len() > MOST_BLOCKS {
            return Err(Located::new(place.line, Error::TooManyBlocks { most: MOST_BLOCKS }));
        }
        let after = line_after(text, place);
        // Only a few labels matter here, and most lines of a file belong to none of them.
        match label.key().as_str() {
            "TITLE" => {
                if let Some(top) = open.pop_if(|top| !top.link) {
                    let (start, end) = (top.start, place.offset);
                    blocks.push(Block { start, end, closed: false });
                }
                if open.len() > MOST_LINK_DEPTH {
                    let most = MOST_LINK_DEPTH;
                    return Err(Located::new(place.line, Error::TooDeep { most }));
                }
                open.push(Open { start: place, link: false });
            }
            "END" => {
                if let Some(top) = open.pop_if(|top| !top.link) {
                    let (start, end) = (top.start, place.offset);
                    blocks.push(Block { start, end, closed: true });
                } else {
                    open.pop();
                }
            }
            key => {
                if open.is_empty() && blocks.is_empty() {
                    // A file without a title is read as one block.
                    open.push(Open { start: place, link: false });
                }
                let links = || {
                    let value = &text[label.value.offset..after.offset];
                    plain(value).eq_ignore_ascii_case("LINK")
                };
                if (key == "BLOCKS" || (key == "DATATYPE" && links()))
                    && let Some(top) = open.last_mut()
                {
                    top.link = true;
                }
            }
        }
        place = next_label(text, after);
    }
    for left in open {
        if !left.link {
            blocks.push(Block { start: left.start, end: text.len(), closed: false });
        }
    }
    if blocks.is_empty() {
        return Err(Located::new(1, Error::NoTitle));
    }
    Ok(blocks)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> Vec<(usize, bool)> {
        outline(text).expect("blocks").iter().map(|b| (b.start.line, b.closed)).collect()
    }

    #[test]
    fn lists_blocks_in_a_row_and_inside_a_link() {
        assert_eq!(lines("##TITLE=a\n##END=\n##TITLE=b\n##END=\n"), [(1, true), (3, true)]);
        let link =
            "##TITLE=l\n##DATA TYPE= LINK $$ x\n##TITLE=a\n##END=\n##TITLE=b\n##END=\n##END=";
        assert_eq!(lines(link), [(3, true), (5, true)]);
    }

    #[test]
    fn ends_a_block_at_the_next_title_where_its_end_is_missing() {
        assert_eq!(
            lines("##TITLE=a\n##TITLE=b\n##END=\n##TITLE=c"),
            [(1, false), (2, true), (4, false)]
        );
    }

    #[test]
    fn reads_a_file_without_a_title_as_one_block() {
        assert_eq!(lines("##JCAMP-DX=4.24\n##XUNITS=1/CM\n##END="), [(1, true)]);
        assert_eq!(outline("no labels").expect_err("refused").error, Error::NoTitle);
    }

    #[test]
    fn refuses_links_nested_too_deep() {
        let level = "##TITLE=l\n##DATA TYPE=LINK\n";
        let deep = format!("{}##TITLE=a\n##END=\n", level.repeat(MOST_LINK_DEPTH));
        assert_eq!(lines(&deep).len(), 1);
        let too_deep = level.repeat(100_000);
        let located = outline(&too_deep).expect_err("refused");
        assert_eq!((located.line, located.error), (19, Error::TooDeep { most: MOST_LINK_DEPTH }));
    }
}
