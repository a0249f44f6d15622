//! The files that a command reads, none of which it may write over.

use std::path::{Path, PathBuf};

use bandlore::io::is_same_file;

use super::Failure;

/// Everything that one run reads.
#[derive(Debug, Default)]
pub struct Kept(Vec<PathBuf>);

impl Kept {
    /// Adds files; `-` is whatever file standard input was opened on.
    pub fn with<P: Into<PathBuf>>(mut self, files: impl IntoIterator<Item = P>) -> Self {
        let place = |file: PathBuf| match file.as_os_str() == "-" {
            true => PathBuf::from("/dev/stdin"),
            false => file,
        };
        self.0.extend(files.into_iter().map(|file| place(file.into())));
        self
    }

    /// Adds the files that stand in a folder, such as a table's.
    pub fn with_folder(self, folder: Option<&Path>) -> Self {
        let entries = folder.and_then(|folder| std::fs::read_dir(folder).ok());
        let files = entries.into_iter().flatten().filter_map(Result::ok);
        self.with(files.map(|entry| entry.path()))
    }

    /// Refuses outputs that are one of the files, by name or through a link, and two of one name.
    ///
    /// Call it before anything is written.
    pub fn keep_from<'a>(
        &self,
        outputs: impl IntoIterator<Item = &'a PathBuf>,
    ) -> Result<(), Failure> {
        let mut earlier: Vec<&Path> = Vec::new();
        for output in outputs {
            // What is not there yet is no file that could be lost.
            let is_there = output.exists();
            let read = self.0.iter().filter(|_| is_there).find(|file| is_same_file(file, output));
            if let Some(read) = read {
                return Err(Failure::usage(format!(
                    "{}: is the same file as {}, which is read; write to another name, what was \
                     measured or recorded must stay",
                    output.display(),
                    read.display()
                )));
            }
            let twice = |other: &&Path| **other == *output || is_same_file(other, output);
            if let Some(other) = earlier.iter().copied().find(twice) {
                return Err(Failure::usage(format!(
                    "{}: is the same file as {}, which is written too; give each a name of its own",
                    output.display(),
                    other.display()
                )));
            }
            earlier.push(output);
        }
        Ok(())
    }
}
