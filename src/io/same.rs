//! Whether two paths lead to one file, and whether a path leads out of its folder.

use std::fs::{self, Metadata};
use std::path::Path;

/// Returns whether two paths lead to one and the same regular file, through links of either kind too.
///
/// Neither is opened. Paths to nothing, to folders and to devices are the same as no other.
#[must_use]
pub fn is_same_file(one: &Path, other: &Path) -> bool {
    let about = |path: &Path| fs::metadata(path).ok().filter(Metadata::is_file);
    match (about(one), about(other)) {
        (Some(about_one), Some(about_other)) => same(one, &about_one, other, &about_other),
        _ => false,
    }
}

#[cfg(unix)]
fn same(_: &Path, about_one: &Metadata, _: &Path, about_other: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (about_one.dev(), about_one.ino()) == (about_other.dev(), about_other.ino())
}

/// Elsewhere the system tells links of the second kind only for a file that is opened.
#[cfg(not(unix))]
fn same(one: &Path, _: &Metadata, other: &Path, _: &Metadata) -> bool {
    matches!((one.canonicalize(), other.canonicalize()), (Ok(one), Ok(other)) if one == other)
}

/// Returns whether a path below `folder` leads out of it through a link.
///
/// A path to nothing leads nowhere.
#[must_use]
pub fn leads_out(path: &Path, folder: &Path) -> bool {
    match (path.canonicalize(), folder.canonicalize()) {
        (Ok(path), Ok(folder)) => !path.starts_with(folder),
        _ => false,
    }
}

#[cfg(test)]
#[cfg(unix)]
mod tests {
    use std::os::unix::fs::symlink;

    use super::*;

    #[test]
    fn links_of_both_kinds_lead_to_one_file() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = |name: &str| folder.path().join(name);
        fs::write(path("a.csv"), b"1").expect("written");
        fs::write(path("b.csv"), b"1").expect("written");
        fs::hard_link(path("a.csv"), path("hard.csv")).expect("linked");
        symlink(path("a.csv"), path("soft.csv")).expect("linked");
        for other in ["a.csv", "hard.csv", "soft.csv"] {
            assert!(is_same_file(&path("a.csv"), &path(other)), "{other}");
        }
        for other in ["b.csv", "none.csv"] {
            assert!(!is_same_file(&path("a.csv"), &path(other)), "{other}");
        }
        assert!(!is_same_file(&path("none.csv"), &path("none.csv")));
        assert!(!is_same_file(Path::new("/dev/null"), Path::new("/dev/null")));
    }

    #[test]
    fn a_link_may_lead_out_of_its_folder() {
        let outer = tempfile::tempdir().expect("a folder");
        let inner = outer.path().join("references");
        fs::create_dir(&inner).expect("a folder");
        fs::write(outer.path().join("other.csv"), b"1").expect("written");
        fs::write(inner.join("own.csv"), b"1").expect("written");
        symlink("../other.csv", inner.join("out.csv")).expect("linked");
        symlink("own.csv", inner.join("in.csv")).expect("linked");
        assert!(leads_out(&inner.join("out.csv"), &inner));
        assert!(!leads_out(&inner.join("in.csv"), &inner));
        assert!(!leads_out(&inner.join("none.csv"), &inner));
    }
}
