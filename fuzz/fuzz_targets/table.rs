//! Bytes in the place of one file of the open table; the first byte picks the file.
#![no_main]

use std::path::PathBuf;
use std::sync::LazyLock;

use bandlore::Tables;
use libfuzzer_sys::fuzz_target;

/// The table as shipped, written out once into memory's own folder.
static FOLDER: LazyLock<(PathBuf, Vec<(PathBuf, Vec<u8>)>)> = LazyLock::new(|| {
    let root =
        if cfg!(target_os = "linux") { PathBuf::from("/dev/shm") } else { std::env::temp_dir() };
    let folder = root.join(format!("bandlore-fuzz-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let mut files = Tables::built_in().export(&folder).expect("exported");
    files.sort();
    let kept = files.into_iter().map(|path| {
        let bytes = std::fs::read(&path).expect("written before");
        (path, bytes)
    });
    (folder, kept.collect())
});

fuzz_target!(|data: &[u8]| {
    let Some((&choice, bytes)) = data.split_first() else { return };
    let (folder, files) = &*FOLDER;
    let (path, sound) = &files[usize::from(choice) % files.len()];
    std::fs::write(path, bytes).expect("written");
    match Tables::load(folder) {
        Ok(tables) => assert!(!tables.version().contains('\n')),
        Err(error) => assert!(!error.to_string().is_empty()),
    }
    std::fs::write(path, sound).expect("written");
});
