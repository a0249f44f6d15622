use super::super::asdf::{Place, decode};
use super::*;

/// Forty lines in difference form, each checked by the next; ordinates 0 to 399.
fn lines() -> Vec<String> {
    let mut lines: Vec<String> =
        (0..40).map(|k| format!("{} {}{}", 400 + 10 * k, 10 * k, "J".repeat(10))).collect();
    lines.push("800 400".to_owned());
    lines
}

fn checked(lines: &[String]) -> (Packed, Result<LineChecks, Located>) {
    let start = Place { offset: 0, line: 1 };
    let (packed, _) = decode(lines.join("\n").as_bytes(), start, 0, 10_000).expect("decodes");
    let checks = check_lines(&packed, &Axis::default());
    (packed, checks)
}

#[test]
fn says_nothing_where_every_check_holds() {
    let (packed, warnings) = checked(&lines());
    assert_eq!((packed.checks, warnings.expect("fine").warnings.len()), (40, 0));
}

#[test]
fn keeps_the_values_of_a_small_miss() {
    let mut off = lines();
    off[7] = format!("470 71{}", "J".repeat(10));
    let (_, warnings) = checked(&off);
    let checks = warnings.expect("read");
    assert!(checks.left_out.is_empty());
    assert_eq!(
        checks.warnings[0].text,
        "line 8: starts with 71, but the line before ends with 70; 2 of 40 such checks fail, on \
         lines 8, 9; all values were read as they stand"
    );
}

#[test]
fn leaves_out_a_line_whose_differences_were_changed() {
    let mut off = lines();
    off[7] = format!("470 70{}R", "J".repeat(9));
    let (_, warnings) = checked(&off);
    let checks = warnings.expect("read");
    assert_eq!(checks.left_out, std::slice::from_ref(&(71..81)));
    assert_eq!(
        checks.warnings[0].text,
        "line 9: starts with 80, but the line before ends with 88; the values of line 8 are wrong \
         and were left out"
    );
}

#[test]
fn leaves_out_a_line_whose_first_ordinate_was_changed() {
    let mut off = lines();
    off[7] = format!("470 270{}", "J".repeat(10));
    let (_, warnings) = checked(&off);
    let checks = warnings.expect("read");
    assert_eq!(checks.left_out, std::slice::from_ref(&(71..81)));
    assert!(checks.warnings[0].text.ends_with("the values of line 8 are wrong and were left out"));
}

#[test]
fn keeps_the_values_where_the_closing_check_alone_fails() {
    let mut off = lines();
    off[40] = "800 0".to_owned();
    let (_, warnings) = checked(&off);
    let checks = warnings.expect("read");
    assert!(checks.left_out.is_empty());
    assert_eq!(
        checks.warnings[0].text,
        "line 41: starts with 0, but the line before ends with 400; all values were read as they \
         stand"
    );
}

#[test]
fn refuses_more_than_one_line_in_twenty_changed() {
    let mut off = lines();
    for k in [3, 7, 11] {
        off[k] = format!("{} {}{}R", 400 + 10 * k, 10 * k, "J".repeat(9));
    }
    let (_, warnings) = checked(&off);
    let located = warnings.expect_err("too many");
    assert_eq!((located.line, located.error), (5, Error::ChecksFailed { failed: 3, checks: 40 }));
}

#[test]
fn doubts_header_values_that_the_data_do_not_bear_out() {
    let mut header = Header::default();
    for (label, value, line) in
        [("YFACTOR", "0.0001", 3), ("FIRSTY", "0.5", 4), ("MAXY", "79.17", 5), ("MINY", "0.1", 6)]
    {
        header.take(label, label, value, line).expect("taken");
    }
    let warnings = check_header(&header, &[0.5, 0.7917, 0.1]);
    assert_eq!(
        warnings[0].text,
        "line 5: ##MAXY= says 79.17, the data 0.7917; the data were read with ##YFACTOR= as it \
         stands"
    );
    header.take("MAXY", "MAXY", "0.79", 5).expect("taken");
    assert!(check_header(&header, &[0.5, 0.7917, 0.1]).is_empty());
}
