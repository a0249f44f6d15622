//! Bytes as a manifest: TOML, or one of its CSV sheets beside sound ones; the first byte picks.
#![no_main]

use std::path::PathBuf;
use std::sync::LazyLock;

use bandlore::object::{open_manifest, record::Manifest};
use libfuzzer_sys::fuzz_target;

const SHEETS: [(&str, &str); 8] = [
    ("object.csv", "field,value\ntitle,Lamp\nid,L1\n"),
    ("parts.csv", "id,name\nshade,Shade\n"),
    ("spectra.csv", "file,part,face\nshade.csv,shade,exposed\n"),
    ("neighbours.csv", "part,neighbour,relation\n"),
    ("candidates.csv", "id,name\n"),
    ("colours.csv", "part,face,L,a,b\n"),
    ("measurement.csv", "field,value\nmode,atr\n"),
    ("next-examination.csv", "field,value\ndate,2027\n"),
];

static FOLDER: LazyLock<PathBuf> = LazyLock::new(|| {
    let root =
        if cfg!(target_os = "linux") { PathBuf::from("/dev/shm") } else { std::env::temp_dir() };
    let folder = root.join(format!("bandlore-fuzz-manifest-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    for (name, text) in SHEETS {
        std::fs::write(folder.join(name), text).expect("written");
    }
    std::fs::write(folder.join("shade.csv"), "4000,1\n").expect("written");
    folder
});

fuzz_target!(|data: &[u8]| {
    let Some((&choice, bytes)) = data.split_first() else { return };
    let choice = usize::from(choice);
    if choice >= SHEETS.len() {
        if let Ok(text) = std::str::from_utf8(bytes)
            && let Err(error) = Manifest::from_toml(text, "object.toml")
        {
            assert!(!error.to_string().is_empty());
        }
        return;
    }
    let (name, sound) = SHEETS[choice];
    let path = FOLDER.join(name);
    std::fs::write(&path, bytes).expect("written");
    if let Err(error) = open_manifest(&FOLDER) {
        assert!(!error.to_string().is_empty());
    }
    std::fs::write(&path, sound).expect("written");
});
