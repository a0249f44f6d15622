//! Which paths a manifest may name: files below its own folder, and nothing else.

use crate::quote::in_marks;

/// Returns why a path is refused, or `None` where it stays below the manifest's folder.
///
/// The rule is the same on every system, so that a manifest does not change its meaning when it is
/// carried to another: no absolute path, no drive letter, no backslash, no step upwards.
pub(super) fn refused(path: &str) -> Option<&'static str> {
    if path.starts_with('/') || path.starts_with('~') {
        return Some("is an absolute path");
    }
    if path.contains('\\') {
        return Some("holds a backslash");
    }
    if path.contains(':') {
        return Some("holds a colon, as a drive or an address does");
    }
    if path.split('/').any(|step| step == "..") {
        return Some("leads out of the manifest's folder");
    }
    if path.split('/').any(|step| step.is_empty() || step == ".") {
        return Some("holds an empty step");
    }
    None
}

/// What is said of a path that is refused.
pub(super) fn unusable_path(path: &str, why: &str) -> String {
    format!("file {} {why}; copy it beside the manifest and write its name", in_marks(path))
}

#[cfg(test)]
mod tests {
    use super::refused;

    #[test]
    fn keeps_to_the_folder_of_the_manifest() {
        for good in ["a.csv", "day 1/a.csv", "a..b.csv", "é.csv"] {
            assert_eq!(refused(good), None, "{good}");
        }
        for bad in [
            "/etc/passwd",
            "../a.csv",
            "a/../../b.csv",
            "a/..",
            "C:/a.csv",
            "C:\\a.csv",
            "..\\a.csv",
            "\\\\server\\a.csv",
            "~/a.csv",
            "file:///etc/passwd",
            "a//b.csv",
            "./a.csv",
        ] {
            assert!(refused(bad).is_some(), "{bad}");
        }
    }
}
