use super::super::asdf::{Place, decode};
use super::*;

/// A header from 400 to 499 in steps of 1, and ten data lines of ten points each.
fn header(labels: &[(&str, &str)]) -> Header {
    let mut header = Header::default();
    for (label, value) in [("FIRSTX", "400"), ("LASTX", "499"), ("NPOINTS", "100")] {
        header.take(label, label, value, 1).expect("taken");
    }
    for (label, value) in labels {
        header.take(label, label, value, 2).expect("taken");
    }
    header
}

fn lines() -> Vec<String> {
    (0..10).map(|k| format!("{}.0{}", 400 + 10 * k, " 5".repeat(10))).collect()
}

fn packed(lines: &[String]) -> Packed {
    let start = Place { offset: 0, line: 1 };
    decode(lines.join("\n").as_bytes(), start, 0, 10_000).expect("decodes").0
}

fn axis(labels: &[(&str, &str)], lines: &[String]) -> Result<Axis, Located> {
    checked(&header(labels), &packed(lines), 1)
}

fn ids(axis: &Axis) -> Vec<&str> {
    axis.warnings.iter().map(|w| w.id.as_str()).collect()
}

#[test]
fn follows_the_header_where_the_lines_agree() {
    let axis = axis(&[("DELTAX", "1")], &lines()).expect("placed");
    assert_eq!(axis.abscissas, (400..500).map(f64::from).collect::<Vec<_>>());
    assert!(axis.warnings.is_empty());
}

#[test]
fn follows_the_header_where_the_last_abscissa_is_one_step_too_far() {
    let axis = axis(&[("LASTX", "500")], &lines()).expect("placed");
    assert_eq!(axis.abscissas[99], 500.0);
    assert_eq!(ids(&axis), ["jcamp-x-check"]);
    assert!(axis.warnings[0].text.starts_with("line 10: line starts at 490, expected 490.9"));
}

#[test]
fn counts_the_points_itself() {
    let axis = axis(&[("NPOINTS", "97")], &lines()).expect("placed");
    assert_eq!(axis.abscissas.len(), 100);
    assert_eq!(ids(&axis), ["jcamp-npoints"]);
    assert_eq!(
        axis.warnings[0].text,
        "line 2: ##NPOINTS= says 97, file holds 100 up to ##LASTX=; all were read"
    );
}

#[test]
fn leaves_a_gap_where_a_line_is_missing() {
    let mut longer: Vec<String> = lines();
    longer.extend((10..40).map(|k| format!("{}.0{}", 400 + 10 * k, " 5".repeat(10))));
    longer.remove(3);
    let axis = axis(&[("LASTX", "799"), ("NPOINTS", "400")], &longer).expect("placed");
    assert_eq!(axis.abscissas.len(), 390);
    assert_eq!((axis.abscissas[29], axis.abscissas[30]), (429.0, 440.0));
    assert_eq!((axis.gaps, axis.blurred.len()), (vec![3], 0));
    assert_eq!(
        axis.warnings[0].text,
        "line 4: line starts at 440, expected 430; 10 points are missing before this line and \
         were left as a gap"
    );
}

#[test]
fn refuses_a_line_whose_abscissa_no_axis_reaches() {
    let mut longer: Vec<String> = lines();
    longer.extend((10..40).map(|k| format!("{}.0{}", 400 + 10 * k, " 5".repeat(10))));
    let labels = [("LASTX", "799"), ("NPOINTS", "400")];
    let damaged = |abscissa: &str, lines: &[String]| {
        let mut lines = lines.to_vec();
        let last = lines.len() - 20;
        lines[last] = format!("{abscissa}{}", " 5".repeat(10));
        axis(&labels, &lines).expect_err("no axis reaches it")
    };
    let located = damaged("1444444444444444444444444", &longer);
    assert_eq!(located.line, 21);
    assert_eq!(
        located.error,
        Error::BeyondAxis { found: 1_444_444_444_444_444_444_444_444.0, expected: 600.0 }
    );
    assert_eq!(
        located.error.to_string(),
        "line starts at 1.44e24, expected 600; no spectrum goes on so far, so that \
         the number is damaged: export the spectrum again"
    );
    // As many as a spectrum may hold can be told, one more cannot.
    let missing = |located: Located| match located.error {
        Error::PointsMissing { missing, .. } => Some(missing),
        _ => None,
    };
    assert_eq!(missing(damaged("4000600", &longer)), Some(4_000_000));
    assert_eq!(missing(damaged("4000601", &longer)), None);
    // Behind a gap that is one, what is missing adds up.
    longer.remove(3);
    assert_eq!(missing(damaged("4000600", &longer)), Some(4_000_010));
    let located = damaged("4000601", &longer);
    assert_eq!(located.line, 20);
    assert_eq!(located.error, Error::BeyondAxis { found: 4_000_601.0, expected: 600.0 });
}

#[test]
fn blurs_a_line_that_lost_points_inside() {
    let mut longer: Vec<String> = lines();
    longer.extend((10..40).map(|k| format!("{}.0{}", 400 + 10 * k, " 5".repeat(10))));
    longer[3].truncate(5 + 2 * 7);
    let axis = axis(&[("LASTX", "799"), ("NPOINTS", "400")], &longer).expect("placed");
    assert_eq!((axis.gaps, axis.blurred), (vec![4], vec![4]));
}

#[test]
fn refuses_too_many_missing_and_doubled_points() {
    let mut short = lines();
    short.remove(3);
    let located = axis(&[], &short).expect_err("one of ten lines");
    assert_eq!(located.line, 4);
    assert!(matches!(located.error, Error::PointsMissing { missing: 10, all: 100, .. }));

    let mut doubled = lines();
    doubled.insert(4, doubled[3].clone());
    let located = axis(&[], &doubled).expect_err("doubled");
    assert_eq!(located.line, 5);
    assert_eq!(located.error, Error::Backwards { found: 430.0, expected: 440.0 });
}

#[test]
fn reads_what_is_there_where_the_end_is_missing_and_a_second_label_says_so() {
    let mut cut = lines();
    cut.truncate(8);
    let cut_axis = axis(&[("DELTAX", "1.0")], &cut).expect("placed");
    assert_eq!(cut_axis.abscissas.last(), Some(&479.0));
    assert_eq!(ids(&cut_axis), ["jcamp-end-missing"]);
    let by_points = axis(&[], &cut).expect("placed by NPOINTS");
    assert_eq!(ids(&by_points), ["jcamp-end-missing"]);

    let located = axis(&[("LASTX", "900"), ("NPOINTS", "100")], &lines()).expect_err("damaged");
    assert_eq!(located.error, Error::LastDisagrees { found: 499.0, stated: 900.0 });
}

#[test]
fn refuses_a_factor_that_moves_the_lines_off_the_header() {
    let located = axis(&[("XFACTOR", "2")], &lines()).expect_err("moved");
    assert_eq!(located.error, Error::FirstDisagrees { found: 800.0, stated: 400.0 });
    let located = axis(&[("FIRSTX", "499"), ("LASTX", "400")], &lines()).expect_err("swapped");
    assert_eq!(located.error, Error::FirstDisagrees { found: 400.0, stated: 499.0 });
    let located = axis(&[("LASTX", "400")], &lines()).expect_err("no range");
    assert_eq!(located.error, Error::NoRange { found: 400.0 });
}

#[test]
fn doubts_a_step_that_is_not_the_distance_of_the_points() {
    let axis = axis(&[("DELTAX", "2")], &lines()).expect("placed");
    assert_eq!(ids(&axis), ["jcamp-deltax"]);
    assert_eq!(axis.abscissas[99], 499.0);
}

#[test]
fn takes_the_ends_from_the_lines_where_the_header_leaves_them_out() {
    let mut header = Header::default();
    header.take("NPOINTS", "NPOINTS", "100", 1).expect("taken");
    let axis = checked(&header, &packed(&lines()), 1).expect("placed");
    assert_eq!((axis.abscissas[0], axis.abscissas[99]), (400.0, 499.0));
    let one_line = packed(&lines()[..1]);
    let located = checked(&header, &one_line, 1).expect_err("no step");
    assert_eq!(located.error, Error::MissingLabel { label: "LASTX" });
}

#[test]
fn says_that_an_axis_may_be_stretched_where_its_labels_part_by_more_than_rounding() {
    // 400 points a unit apart: three digits of DELTAX may be off by 0.4 at the end of the axis.
    let rows: Vec<String> =
        (0..40).map(|k| format!("{}.0{}", 400 + 10 * k, " 5".repeat(10))).collect();
    let placed = |delta_x: &str, last_x: &str| {
        let labels = [("LASTX", last_x), ("NPOINTS", "400"), ("DELTAX", delta_x)];
        axis(&labels, &rows).expect("placed")
    };
    for delta_x in ["1", "1.00", "1.001", "0.999", "1.004"] {
        assert!(ids(&placed(delta_x, "799")).is_empty(), "{delta_x}");
    }
    // A common slip, one step too far, is no stretch.
    assert_eq!(ids(&placed("1.000", "800")), ["jcamp-x-check"]);
    let stretched = placed("1.008", "799");
    assert_eq!(ids(&stretched), ["jcamp-axis-stretched"]);
    assert_eq!(
        stretched.warnings[0].text,
        "line 2: by ##DELTAX= 1.008 the axis would end 3.2 from where ##LASTX= puts it; ##FIRSTX= \
         and ##LASTX= were used, and one of them may stretch it"
    );
    assert_eq!(stretched.abscissas[399], 799.0);
}

#[test]
fn of_three_lines_the_damaged_one_is_blamed() {
    let labels = [("LASTX", "429"), ("NPOINTS", "30"), ("DELTAX", "1")];
    let without_step = [("LASTX", "429"), ("NPOINTS", "30")];
    let points = " 5".repeat(10);
    // The sound axis is 400, 410, 420, on lines 1 to 3.
    for (starts, blamed) in [
        (["400", "410", "920"], 2),
        (["400", "410", "405"], 2),
        (["400", "410", "4200"], 2),
        (["400", "401", "420"], 1),
        (["400", "470", "420"], 1),
    ] {
        let rows = starts.map(|start| format!("{start}{points}"));
        let lines = axis(&labels, &["400", "410", "420"].map(|start| format!("{start}{points}")));
        assert!(lines.expect("sound").warnings.is_empty());
        let line = axis(&labels, &rows).expect_err("damaged").line;
        assert_eq!(line, 1 + blamed, "{starts:?}");
        if blamed == 2 {
            assert_eq!(axis(&without_step, &rows).expect_err("damaged").line, line, "{starts:?}");
        }
    }
}
