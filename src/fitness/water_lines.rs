//! Lines of water vapour with their strengths: the only list of them.

/// Position in cm⁻¹ and strength as a share of the strongest, of the lines of the bend (1408–1870) and
/// of the stretch (3600–3910) that matter at 2 cm⁻¹ and more.
///
/// Source: HITRAN2020 (Gordon et al. 2022, JQSRT 277:107949). From 1540 to 1870 the positions are
/// differences of its energy levels, and the strengths are those of a rigid rotor corrected on 142 of
/// its lines: good to 25 %.
pub const WATER_LINES: [(f64, f64); 80] = [
    (1419.5, 0.37),
    (1436.8, 0.39),
    (1456.9, 0.63),
    (1464.9, 0.33),
    (1472.1, 0.40),
    (1473.5, 0.39),
    (1496.2, 0.56),
    (1505.6, 0.73),
    (1507.1, 0.74),
    (1521.2, 0.40),
    (1521.3, 0.32),
    (1525.5, 0.31),
    (1539.1, 0.92),
    (1540.3, 0.72),
    (1542.2, 0.38),
    (1554.4, 0.51),
    (1558.5, 0.83),
    (1560.3, 0.83),
    (1569.8, 0.36),
    (1576.2, 0.98),
    (1616.7, 1.00),
    (1623.6, 0.38),
    (1635.7, 0.89),
    (1646.0, 0.74),
    (1652.4, 0.73),
    (1653.3, 0.82),
    (1654.5, 0.46),
    (1662.8, 0.39),
    (1675.5, 0.34),
    (1683.2, 0.40),
    (1684.8, 0.86),
    (1695.9, 0.73),
    (1699.9, 0.68),
    (1717.4, 0.48),
    (1733.4, 0.31),
    (1734.7, 0.43),
    (1739.8, 0.37),
    (1772.7, 0.60),
    (1792.7, 0.38),
    (1844.2, 0.33),
    (3609.2, 0.23),
    (3619.6, 0.30),
    (3628.3, 0.40),
    (3629.6, 0.37),
    (3649.3, 0.57),
    (3656.3, 0.39),
    (3668.8, 0.24),
    (3670.8, 0.70),
    (3675.0, 0.33),
    (3676.0, 0.65),
    (3688.5, 0.83),
    (3691.3, 0.24),
    (3709.4, 0.25),
    (3712.2, 0.54),
    (3732.1, 0.47),
    (3736.7, 0.32),
    (3743.9, 0.22),
    (3744.5, 0.40),
    (3744.7, 0.64),
    (3749.3, 0.63),
    (3749.6, 0.28),
    (3752.2, 0.84),
    (3769.9, 0.28),
    (3801.4, 0.83),
    (3807.0, 0.57),
    (3816.1, 0.83),
    (3820.7, 0.32),
    (3821.8, 0.38),
    (3831.7, 0.25),
    (3835.0, 0.27),
    (3837.9, 0.88),
    (3852.1, 0.70),
    (3854.0, 0.46),
    (3854.1, 0.24),
    (3854.4, 0.69),
    (3865.1, 0.34),
    (3870.1, 0.51),
    (3885.7, 0.32),
    (3891.3, 0.32),
    (3904.2, 0.24),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// The published list itself, to three places.
    #[test]
    fn the_lines_are_those_of_the_published_list() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../shared/facts/vapour-lines.csv");
        let Ok(text) = std::fs::read_to_string(path) else {
            println!("skipped: the list of lines is not beside this repository");
            return;
        };
        let published: Vec<(f64, f64)> = text
            .lines()
            .skip(1)
            .filter_map(|line| {
                let cells: Vec<&str> = line.splitn(4, ',').collect();
                (cells[2] == "H2O").then(|| {
                    let number = |i: usize| cells[i].parse::<f64>().expect("a number");
                    (number(0), number(1))
                })
            })
            .collect();
        assert_eq!(published.len(), WATER_LINES.len());
        for (ours, theirs) in WATER_LINES.iter().zip(&published) {
            assert!((ours.0 - theirs.0).abs() <= 0.051, "{ours:?} {theirs:?}");
            assert!((ours.1 - theirs.1).abs() <= 1e-9, "{ours:?} {theirs:?}");
        }
    }
}
