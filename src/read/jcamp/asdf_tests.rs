use super::*;

fn start() -> Place {
    Place { offset: 0, line: 1 }
}

fn ordinates(text: &str) -> Vec<f64> {
    let (packed, place) = decode(text.as_bytes(), start(), 0, 1000).expect("decodes");
    assert_eq!(place.offset, text.len());
    assert!(packed.failed.is_empty());
    packed.ordinates
}

fn refused(text: &str) -> (usize, Error) {
    let located = decode(text.as_bytes(), start(), 0, 1000).expect_err("refused");
    (located.line, located.error)
}

#[test]
fn reads_the_standards_ten_values_in_every_form() {
    // The worked example of McDonald & Wilks 1988, Appl. Spectrosc. 42, 151, quoted from memory:
    // ten ordinates from 1000 cm-1 on, one line in each form.
    let expected = [1.0, 2.0, 3.0, 3.0, 2.0, 1.0, 0.0, -1.0, -2.0, -3.0];
    for line in [
        "1000 1 2 3 3 2 1 0 -1 -2 -3",
        "1000+1+2+3+3+2+1+0-1-2-3",
        "1000ABCCBA@abc",
        "1000ABCTBA@abc",
        "1000AJJ%jjjjjj",
        "1000AJT%jX",
    ] {
        assert_eq!(ordinates(line), expected, "{line}");
    }
}

#[test]
fn tells_an_exponent_from_a_packed_five() {
    let (packed, _) = decode(b"544.813E883p27", start(), 0, 10).expect("decodes");
    assert_eq!(packed.lines[0].abscissa, 544.813);
    assert_eq!(packed.ordinates, [5883.0, 5156.0]);
    assert_eq!(ordinates("400 1.1093e-02 1.5E+01 2.5E01"), [0.011_093, 15.0, 25.0]);
    assert_eq!(ordinates("400 12E3"), [12.0, 53.0]);
    let (packed, _) = decode(b"4.0E+02 7", start(), 0, 10).expect("decodes");
    assert_eq!(packed.lines[0].abscissa, 400.0);
}

#[test]
fn repeats_by_counts_of_several_digits_and_after_the_first_ordinate() {
    assert_eq!(ordinates("1AS2"), vec![1.0; 12]);
    assert_eq!(ordinates("1AT%U"), [1.0, 1.0, 1.0, 1.0, 1.0]);
    // The first ordinate of the second line is a check; its count adds the rest.
    assert_eq!(ordinates("1AJ\n2BU"), [1.0, 2.0, 2.0, 2.0]);
}

#[test]
fn drops_a_check_only_after_a_difference() {
    assert_eq!(ordinates("1AJ\n2BJ\n3C"), [1.0, 2.0, 3.0]);
    assert_eq!(ordinates("1AB\n3BC"), [1.0, 2.0, 2.0, 3.0]);
}

#[test]
fn reports_a_failed_check_and_goes_on_from_the_value_in_full() {
    let (packed, _) = decode(b"1AJ\n2EJ", start(), 0, 10).expect("decodes");
    assert_eq!(packed.ordinates, [1.0, 2.0, 6.0]);
    assert_eq!(packed.checks, 1);
    assert_eq!(packed.failed, [FailedCheck { line: 2, found: 5.0, expected: 2.0 }]);
}

#[test]
fn keeps_the_abscissa_of_each_line() {
    let (packed, _) = decode(b"400.5AJJ\r\n401.25CK\r402.5 7\n", start(), 0, 10).expect("decodes");
    let lines: Vec<_> =
        packed.lines.iter().map(|l| (l.abscissa, l.line, l.index, l.repeats)).collect();
    // The third line has its own check, since the second ended with a difference.
    assert_eq!(lines, [(400.5, 1, 0, false), (401.25, 2, 2, true), (402.5, 3, 3, true)]);
    assert_eq!(packed.abscissa_decimals, 2);
}

#[test]
fn stops_at_a_label_and_skips_comments() {
    let text = b"$$ note\n1AB $$ more E5\n\n  ##END=";
    let (packed, place) = decode(text, start(), 0, 10).expect("decodes");
    assert_eq!(packed.ordinates, [1.0, 2.0]);
    assert_eq!(place, Place { offset: 26, line: 4 });
}

#[test]
fn reads_a_missing_ordinate_as_no_number() {
    let values = ordinates("1 5 ? 7");
    assert!(values[1].is_nan());
    assert_eq!((values[0], values[2]), (5.0, 7.0));
}

#[test]
fn refuses_what_is_no_ordinate() {
    let found = "!5".to_owned();
    assert_eq!(refused("1AB\n2A!5"), (2, Error::BadOrdinate { found }));
    assert_eq!(refused("AB"), (1, Error::NoAbscissa { found: "AB".to_owned() }));
    assert_eq!(refused("1J"), (1, Error::NothingBefore { found: "J".to_owned() }));
    assert_eq!(refused("1T"), (1, Error::NothingBefore { found: "T".to_owned() }));
    assert_eq!(refused("1A 2,5"), (1, Error::Comma { found: ",5".to_owned() }));
    let long = format!("A{}", "9".repeat(60));
    assert!(matches!(refused(&format!("1{long}")), (1, Error::TooManyDigits { .. })));
}

#[test]
fn makes_no_more_points_than_allowed() {
    assert_eq!(refused("1AS999999999"), (1, Error::TooManyPoints { most: 1000 }));
    assert_eq!(refused("1AJS999999999"), (1, Error::TooManyPoints { most: 1000 }));
    let many = format!("1{}", " 5".repeat(1001));
    assert_eq!(refused(&many), (1, Error::TooManyPoints { most: 1000 }));
}

#[test]
fn rounds_every_number_as_the_standard_library_does() {
    for text in ["0.069749", "1.562513256924999705E-01", "-12345678.87654321", ".5", "7.", "+3e-7"]
    {
        let number = affn(text.as_bytes(), 0, Exponent::Always).expect("a number");
        assert_eq!(number.value, text.parse::<f64>().expect("parses"), "{text}");
        assert_eq!(number.end, text.len());
    }
    assert_eq!(affn(b"-", 0, Exponent::Always), None);
    assert_eq!(affn(b"1e999", 0, Exponent::Always), None);
}
