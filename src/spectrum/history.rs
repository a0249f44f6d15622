//! What was done to a spectrum, in order, so that a report can repeat it.

use serde::{Deserialize, Serialize};

/// One step applied to a spectrum, with its settings as text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[non_exhaustive]
pub struct Step {
    /// What was done, as a verb phrase: "smooth", "subtract baseline".
    pub name: String,
    /// The settings used, in the order they are best read.
    pub settings: Vec<(String, String)>,
}

impl Step {
    /// Creates a step without settings.
    #[must_use]
    pub fn new(name: &str) -> Self {
        Self { name: name.to_owned(), settings: Vec::new() }
    }

    /// Adds a setting and returns the step.
    #[must_use]
    pub fn with(mut self, setting: &str, value: impl ToString) -> Self {
        self.settings.push((setting.to_owned(), value.to_string()));
        self
    }
}

impl std::fmt::Display for Step {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.name)?;
        for (i, (setting, value)) in self.settings.iter().enumerate() {
            write!(f, "{} {setting} {value}", if i == 0 { ":" } else { "," })?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_as_a_line_of_text() {
        let step = Step::new("smooth").with("window", 11).with("order", 3);
        assert_eq!(step.to_string(), "smooth: window 11, order 3");
        assert_eq!(Step::new("reverse").to_string(), "reverse");
    }
}
