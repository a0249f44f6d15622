//! What a user may set about an answer.

/// Candidates listed in a ranking where nothing else is asked for.
const DEFAULT_TOP: usize = 5;

/// Settings of a judgement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct JudgeSettings {
    /// How many candidates the ranking lists.
    pub top: usize,
}

impl Default for JudgeSettings {
    fn default() -> Self {
        Self { top: DEFAULT_TOP }
    }
}
