//! Turns the scoreboard's printed figures into the README's section on how often the program is right.

use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Below this many spectra a material is called hardly tested.
const HARDLY_TESTED: usize = 20;

/// The chance left outside the interval on either side, for 95 % in all.
const OUTSIDE: f64 = 0.025;

/// Kinds of the scoreboard that are no materials.
const NO_MATERIALS: [&str; 2] = ["out-of-table", "unfit"];

/// The figures as printed.
pub struct Figures<'a> {
    text: &'a str,
}

/// One line a material.
struct Material<'a> {
    ids: &'a str,
    n: usize,
    right: usize,
    outright: usize,
    wrong: usize,
}

impl<'a> Figures<'a> {
    pub fn new(text: &'a str) -> Self {
        Self { text }
    }

    /// Returns what stands behind the first line that begins so.
    fn after(&self, start: &str) -> &'a str {
        self.text
            .lines()
            .find_map(|line| line.trim().strip_prefix(start))
            .unwrap_or_else(|| panic!("the scoreboard prints no line \"{start}\""))
            .trim()
    }

    /// Returns the two counts of a line such as `350/357 = 98.0 %`.
    fn counts(&self, start: &str) -> (usize, usize) {
        let first = self.after(start).split_whitespace().next().expect("a figure");
        let (part, whole) = first.split_once('/').expect("part/whole");
        (part.parse().expect("a count"), whole.parse().expect("a count"))
    }

    /// Returns the chlorine answers of one kind of spectrum.
    fn chlorine(&self, kind: &str) -> BTreeMap<&'a str, usize> {
        self.text
            .lines()
            .filter_map(|line| line.trim().strip_prefix(kind)?.trim().split_once(' '))
            .map(|(answer, count)| (answer, count.trim().parse().expect("a count")))
            .collect()
    }

    fn materials(&self) -> Vec<Material<'a>> {
        let count = |words: &[&str], name: &str| -> usize {
            let at = words.iter().position(|word| *word == name).expect("a column");
            words.get(at + 1).expect("a figure").parse().expect("a count")
        };
        self.text
            .lines()
            .skip_while(|line| !line.starts_with("by material"))
            .skip(1)
            .take_while(|line| !line.trim().is_empty())
            .map(|line| line.split_whitespace().collect::<Vec<_>>())
            .filter(|words| !NO_MATERIALS.contains(&words[0]))
            .map(|words| Material {
                ids: words[0],
                n: count(&words, "n"),
                right: count(&words, "right"),
                outright: count(&words, "outright"),
                wrong: count(&words, "wrong"),
            })
            .collect()
    }

    /// Returns the section in Markdown.
    pub fn section(&self) -> String {
        let mut page = String::new();
        self.all(&mut page).expect("text");
        self.by_material(&mut page).expect("text");
        page
    }

    fn all(&self, page: &mut String) -> std::fmt::Result {
        let spectra: usize =
            self.after("spectra").split_whitespace().next().expect("n").parse().expect("n");
        let (right, n) = self.counts("in-table: right");
        let (outright, _) = self.counts("in-table: identified outright and right");
        let (wrong, _) = self.counts("in-table: WRONG");
        let (missed, _) = self.counts("in-table: said not-in-table");
        let (named, out) = self.counts("out-of-table: named all the same");
        let (unfit_named, unfit) = self.counts("unfit: named all the same");
        let mixtures = self.after("labelled mixtures: true component named");
        let (true_component, labelled) = self.counts("labelled mixtures: true component named");
        let none_true: usize =
            mixtures.rsplit(' ').next().expect("a count").parse().expect("a count");
        let free = self.chlorine("C-Cl measured, chlorine no:");
        let bearing = self.chlorine("C-Cl measured, chlorine yes:");
        let short = self.chlorine("C-Cl not measured, chlorine yes:");
        let of = |map: &BTreeMap<&str, usize>, key: &str| map.get(key).copied().unwrap_or(0);
        let (free_n, bearing_n) = (free.values().sum::<usize>(), bearing.values().sum::<usize>());
        let short_n = short.values().sum::<usize>();
        writeln!(
            page,
            "Measured spectra from open data sets, labelled by their publishers: {spectra}, of which {n} are of\n\
             materials in the table, {out} of materials that are not, {unfit} unfit to be judged, and {} mixtures. \"Right\"\n\
             counts an identification, or a narrowing to two to four look-alikes that holds the true one. In\n\
             brackets the 95 % interval (exact binomial).\n",
            spectra - n - out - unfit
        )?;
        writeln!(page, "| | |\n|---|---|")?;
        writeln!(page, "| right | {} |", share(right, n))?;
        writeln!(page, "| identified outright and right | {} |", share(outright, n))?;
        let over = self.after("macro average over");
        let narrowed = self.after("narrowed sets:");
        let (materials, macro_right) = over.split_once(" materials: right ").expect("a mean");
        let (sets, mean_size) = narrowed.split_once(", mean size ").expect("a mean");
        writeln!(page, "| right, mean over {materials} kinds of material | {macro_right} |")?;
        writeln!(page, "| narrowed, and to how many on average | {sets}, {mean_size} |")?;
        writeln!(page, "| **wrong** | **{}** |", share(wrong, n))?;
        writeln!(page, "| in the table, said not to be | {} |", share(missed, n))?;
        writeln!(page, "| not in the table, named all the same | {} |", share(named, out))?;
        writeln!(page, "| unfit, named all the same | {unfit_named} of {unfit} |")?;
        writeln!(
            page,
            "| labelled mixtures: a true component named | {true_component} of {labelled}; in {none_true} others only untrue ones |"
        )?;
        writeln!(
            page,
            "| chlorine-free and measured below 580 cm⁻¹ | \"not detected\" {} of {free_n}, the rest \"cannot tell\"; shown as containing chlorine: {} |",
            of(&free, "not-detected"),
            of(&free, "present")
        )?;
        writeln!(
            page,
            "| chlorine-bearing | shown {} of {bearing_n} where C–Cl was measured; \"not detected\": {} of {} |\n",
            of(&bearing, "present"),
            of(&bearing, "not-detected") + of(&short, "not-detected"),
            bearing_n + short_n
        )
    }

    fn by_material(&self, page: &mut String) -> std::fmt::Result {
        writeln!(
            page,
            "| material | n | right (95 %) | outright | wrong | |\n|---|--:|--:|--:|--:|---|"
        )?;
        for m in self.materials() {
            let (low, high) = interval(m.right, m.n);
            writeln!(
                page,
                "| {} | {} | {} ({:.0}–{:.0} %) | {} | {} | {} |",
                m.ids.replace('|', " or "),
                m.n,
                m.right,
                100.0 * low,
                100.0 * high,
                m.outright,
                m.wrong,
                if m.n < HARDLY_TESTED { "hardly tested" } else { "" }
            )?;
        }
        Ok(())
    }
}

fn share(part: usize, whole: usize) -> String {
    let (low, high) = interval(part, whole);
    let share = 100.0 * part as f64 / whole as f64;
    format!("{part} of {whole}, {share:.1} % ({:.1}–{:.1} %)", 100.0 * low, 100.0 * high)
}

/// The exact binomial interval (Clopper & Pearson 1934, Biometrika 26:404; formula from memory), by
/// bisection of the binomial sum.
fn interval(part: usize, whole: usize) -> (f64, f64) {
    // Chance of at least `least` among `whole`, which grows with p.
    let at_least =
        |least: usize, p: f64| -> f64 { (least..=whole).map(|k| term(k, whole, p)).sum() };
    let solve = |least: usize, chance: f64| -> f64 {
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if at_least(least, middle) < chance { low = middle } else { high = middle }
        }
        low
    };
    let low = if part == 0 { 0.0 } else { solve(part, OUTSIDE) };
    let high = if part == whole { 1.0 } else { solve(part + 1, 1.0 - OUTSIDE) };
    (low, high)
}

fn term(k: usize, n: usize, p: f64) -> f64 {
    let ways: f64 = (1..=k).map(|i| ((n - k + i) as f64 / i as f64).ln()).sum();
    let power = |base: f64, times: usize| if times == 0 { 0.0 } else { times as f64 * base.ln() };
    (ways + power(p, k) + power(1.0 - p, n - k)).exp()
}

#[test]
fn the_interval_is_the_published_one() {
    // No failure in n trials leaves 1 − 0.025^(1/n) above it; closed form.
    let (low, high) = interval(0, 10);
    assert!(low == 0.0 && (high - (1.0 - 0.025_f64.powf(0.1))).abs() < 1e-9);
    // 5 of 10: 0.187 to 0.813 (tabulated in many texts; from memory).
    let (low, high) = interval(5, 10);
    assert!((low - 0.1871).abs() < 1e-4 && (high - 0.8129).abs() < 1e-4, "{low} {high}");
}
