//! Moves labels apart so that none covers another.

/// Returns places at least `gap` apart and inside `low..=high`, as near to the wished ones as can
/// be, in the order of `wished` (which must ascend).
///
/// Where they cannot all fit, the gap is made smaller.
pub(super) fn spread(wished: &[f64], gap: f64, low: f64, high: f64) -> Vec<f64> {
    let count = wished.len();
    if count == 0 {
        return Vec::new();
    }
    let gap = if count > 1 { gap.min((high - low) / (count - 1) as f64) } else { gap };
    // Pool neighbours that are too close into blocks around their mean (least squares under order).
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for (i, &wish) in wished.iter().enumerate() {
        blocks.push((wish - gap * i as f64, 1));
        while let [.., before, last] = blocks.as_slice() {
            if before.0 <= last.0 {
                break;
            }
            let total = before.1 + last.1;
            let mean = (before.0 * before.1 as f64 + last.0 * last.1 as f64) / total as f64;
            blocks.truncate(blocks.len() - 2);
            blocks.push((mean, total));
        }
    }
    let most = high - gap * (count - 1) as f64;
    blocks
        .into_iter()
        .flat_map(|(mean, n)| std::iter::repeat_n(mean.clamp(low, most.max(low)), n))
        .enumerate()
        .map(|(i, base)| base + gap * i as f64)
        .collect()
}

/// Cuts a label to a length at a natural break, with an ellipsis. What stands in brackets goes, and what follows
/// them stays: "an ester (…) or oxidation" is not an ester.
pub(super) fn shorten(text: &str, most: usize) -> String {
    let mut depth = 0_usize;
    let mut outside = String::new();
    for letter in text.split(';').next().unwrap_or_default().chars() {
        match letter {
            '(' => {
                depth += 1;
                outside.truncate(outside.trim_end().len());
            }
            ')' => depth = depth.saturating_sub(1),
            _ if depth == 0 => outside.push(letter),
            _ => {}
        }
    }
    let text = outside.trim();
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let cut: String = text.chars().take(most.saturating_sub(1)).collect();
    let cut = cut.rsplit_once(' ').map_or(cut.as_str(), |(head, _)| head);
    format!("{}…", cut.trim_end_matches([',', ':', '-', ' ']))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keeps_places_that_are_free_and_parts_those_that_are_not() {
        assert_eq!(spread(&[10.0, 50.0], 12.0, 0.0, 100.0), [10.0, 50.0]);
        assert_eq!(spread(&[50.0, 50.0], 12.0, 0.0, 100.0), [44.0, 56.0]);
        assert_eq!(spread(&[99.0, 99.0, 99.0], 10.0, 0.0, 100.0), [80.0, 90.0, 100.0]);
        let many = spread(&vec![5.0; 40], 12.0, 0.0, 100.0);
        assert!(many.windows(2).all(|w| w[1] >= w[0]));
        assert!(many.iter().all(|x| (-1e-9..=100.0 + 1e-9).contains(x)));
        assert!(spread(&[], 1.0, 0.0, 1.0).is_empty());
    }

    #[test]
    fn shortens_at_a_natural_break() {
        assert_eq!(shorten("C–Cl stretch (several conformers)", 30), "C–Cl stretch");
        let either =
            "C=O of an ester (as in wax) or of oxidation: the band alone does not tell which";
        assert_eq!(shorten(either, 34), "C=O of an ester or of oxidation…");
        assert_eq!(shorten(either, 28), "C=O of an ester or of…");
        assert_eq!(shorten("asymmetric stretch of the ester carbonyl", 22), "asymmetric stretch…");
    }
}
