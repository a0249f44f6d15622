//! The direction of imports is a test, not a promise.
//!
//! Every file under `src` is parsed, and every path in it (inside macros too) is resolved to the
//! folder of ours, or to the outside crate, that it reaches. What the table below does not allow
//! fails. Code under `#[cfg(test)]`, whole files too, is free.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use syn::visit::{self, Visit};

/// One row a folder: what it may import of ours, and from outside.
const LAYERS: &[(&str, &str, &str)] = &[
    ("spectrum", "", "ndarray serde thiserror"),
    ("linalg", "", "nalgebra ndarray ndarray_linalg thiserror"),
    ("io", "", "sha2 thiserror"),
    ("optics", "spectrum", "rustfft serde thiserror"),
    ("read", "spectrum io", "encoding_rs parquet thiserror"),
    ("tables", "spectrum io", "csv serde sha2 strsim thiserror toml"),
    ("fitness", "spectrum linalg tables optics", "ndarray rustfft serde statrs thiserror"),
    ("prepare", "spectrum linalg fitness", "ndarray rustfft serde thiserror"),
    ("peaks", "spectrum prepare", "serde thiserror"),
    (
        "matching",
        "peaks prepare tables spectrum fitness linalg optics read io",
        // A digest tells damaged rows of the kept references.
        "csv ndarray rustfft serde sha2 thiserror",
    ),
    ("judge", "matching fitness tables peaks prepare spectrum optics", "serde"),
    (
        "ageing",
        "judge matching tables spectrum linalg fitness optics peaks prepare",
        "csv ndarray serde statrs thiserror",
    ),
    (
        "object",
        "judge ageing fitness tables read io spectrum matching optics",
        // A manifest's sheets may be UTF-16, as spreadsheets write them.
        "csv encoding_rs serde thiserror toml",
    ),
    (
        "report",
        "spectrum fitness judge ageing object tables peaks optics matching",
        "csv docx_rs krilla krilla_svg maud parquet plotters quick_xml resvg rust_xlsxwriter serde serde_json thiserror zip",
    ),
    (
        "pipeline",
        "ageing error fitness io judge linalg matching object optics peaks prepare read report spectrum tables",
        "serde thiserror",
    ),
    (
        "error",
        "ageing fitness io judge linalg matching object optics peaks prepare read report spectrum tables",
        "thiserror",
    ),
];

/// What the program may use: the library's public names, and these.
const PROGRAM_OUTSIDE: &str = "bandlore clap clap_complete clap_mangen ctrlc glob indicatif jiff rayon serde serde_json signal_hook terminal_size";

/// Crates of Cargo.toml, as paths spell them.
fn outside_crates() -> BTreeSet<String> {
    let manifest = fs::read_to_string(root().join("Cargo.toml")).expect("Cargo.toml");
    let table: toml::Table = manifest.parse().expect("valid TOML");
    let mut names: BTreeSet<String> = ["dependencies", "dev-dependencies"]
        .iter()
        .filter_map(|key| table.get(*key)?.as_table())
        .flat_map(|t| t.keys().map(|k| k.replace('-', "_")))
        .collect();
    names.insert("bandlore".to_owned());
    names
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// One file's place in the tree of modules, and what it was seen to reach.
struct Reader<'a> {
    module: Vec<String>,
    folders: &'a BTreeSet<String>,
    crates: &'a BTreeSet<String>,
    reached: BTreeSet<String>,
    calls: BTreeSet<String>,
}

impl Reader<'_> {
    fn note(&mut self, segments: &[String]) {
        let Some(first) = segments.first() else { return };
        let mut absolute: Vec<String> = match first.as_str() {
            "crate" => Vec::new(),
            "self" | "super" => self.module.clone(),
            name if self.crates.contains(name) => {
                self.reached.insert(format!("outside:{name}"));
                return;
            }
            "std" => {
                self.calls.insert(segments.join("::"));
                return;
            }
            _ => {
                self.calls.insert(segments.join("::"));
                return;
            }
        };
        for segment in segments {
            match segment.as_str() {
                "crate" | "self" => {}
                "super" => {
                    absolute.pop();
                }
                name => absolute.push(name.to_owned()),
            }
        }
        if let Some(folder) = absolute.first() {
            let kind = if self.folders.contains(folder) { "ours" } else { "root" };
            self.reached.insert(format!("{kind}:{folder}"));
        }
    }

    fn note_tokens(&mut self, tokens: &str) {
        // Tokens print with blanks around `::`; joined up again they are paths.
        let text = tokens.replace(" :: ", "::").replace(":: ", "::").replace(" ::", "::");
        for word in text.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == ':')) {
            if word.contains("::") {
                let segments: Vec<String> =
                    word.split("::").filter(|s| !s.is_empty()).map(str::to_owned).collect();
                if segments.len() > 1 {
                    self.note(&segments);
                }
            }
        }
    }

    fn note_use(&mut self, before: &mut Vec<String>, tree: &syn::UseTree) {
        match tree {
            syn::UseTree::Path(path) => {
                before.push(path.ident.to_string());
                self.note_use(before, &path.tree);
                before.pop();
            }
            syn::UseTree::Name(name) => {
                before.push(name.ident.to_string());
                self.note(before);
                before.pop();
            }
            syn::UseTree::Rename(name) => {
                before.push(name.ident.to_string());
                self.note(before);
                before.pop();
            }
            syn::UseTree::Glob(_) => self.note(before),
            syn::UseTree::Group(group) => {
                for item in &group.items {
                    self.note_use(before, item);
                }
            }
        }
    }
}

fn is_for_tests(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|a| {
        a.path().is_ident("cfg")
            && a.parse_args::<syn::Ident>().is_ok_and(|condition| condition == "test")
    })
}

impl<'ast> Visit<'ast> for Reader<'_> {
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        if is_for_tests(&item.attrs) {
            return;
        }
        if item.content.is_some() {
            self.module.push(item.ident.to_string());
            visit::visit_item_mod(self, item);
            self.module.pop();
        }
    }

    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        if !is_for_tests(&item.attrs) {
            self.note_use(&mut Vec::new(), &item.tree);
        }
    }

    fn visit_item_fn(&mut self, item: &'ast syn::ItemFn) {
        if !is_for_tests(&item.attrs) {
            visit::visit_item_fn(self, item);
        }
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        let segments: Vec<String> = path.segments.iter().map(|s| s.ident.to_string()).collect();
        if segments.len() > 1 {
            self.note(&segments);
        }
        visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, item: &'ast syn::Macro) {
        let name = item.path.segments.last().map(|s| s.ident.to_string()).unwrap_or_default();
        self.calls.insert(format!("{name}!"));
        self.note_tokens(&item.tokens.to_string());
        visit::visit_macro(self, item);
    }
}

fn source_files(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).expect("src").map(|e| e.expect("entry").path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            source_files(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

/// Returns the module path of a file: `read/jcamp/mod.rs` is read::jcamp.
fn module_of(relative: &Path) -> Vec<String> {
    let mut parts: Vec<String> =
        relative.with_extension("").iter().map(|p| p.to_string_lossy().into_owned()).collect();
    if parts.last().is_some_and(|last| ["mod", "lib", "main"].contains(&last.as_str())) {
        parts.pop();
    }
    parts
}

fn read_all() -> Vec<(String, String, BTreeSet<String>, BTreeSet<String>)> {
    let source = root().join("src");
    let mut files = Vec::new();
    source_files(&source, &mut files);
    let mut folders: BTreeSet<String> =
        LAYERS.iter().map(|(name, ..)| (*name).to_owned()).collect();
    folders.insert("cli".to_owned());
    let crates = outside_crates();
    let mut all = Vec::new();
    for file in files {
        let relative = file.strip_prefix(&source).expect("under src");
        let text = fs::read_to_string(&file).expect("readable");
        let parsed = syn::parse_file(&text).expect("valid Rust");
        if is_for_tests(&parsed.attrs) {
            continue;
        }
        let module = module_of(relative);
        let folder = if relative == Path::new("main.rs") {
            "main".to_owned()
        } else {
            module.first().cloned().unwrap_or_else(|| "lib".to_owned())
        };
        let mut reader = Reader {
            module,
            folders: &folders,
            crates: &crates,
            reached: BTreeSet::new(),
            calls: BTreeSet::new(),
        };
        reader.visit_file(&parsed);
        all.push((folder, relative.display().to_string(), reader.reached, reader.calls));
    }
    all
}

#[test]
fn imports_point_one_way() {
    let allowed: BTreeMap<&str, (BTreeSet<&str>, BTreeSet<&str>)> = LAYERS
        .iter()
        .map(|(name, ours, outside)| {
            (*name, (ours.split_whitespace().collect(), outside.split_whitespace().collect()))
        })
        .collect();
    let program: BTreeSet<&str> = PROGRAM_OUTSIDE.split_whitespace().collect();
    let mut faults = Vec::new();
    let mut checked = 0;
    for (folder, file, reached, _) in read_all() {
        checked += 1;
        for target in &reached {
            let (kind, name) = target.split_once(':').expect("kind:name");
            let fine = match folder.as_str() {
                "lib" => kind != "outside",
                "main" | "cli" => match kind {
                    "ours" => name == "cli",
                    "outside" => program.contains(name),
                    _ => true,
                },
                layer => match allowed.get(layer) {
                    None => {
                        faults
                            .push(format!("{file}: folder {layer} is not in the table of layers"));
                        break;
                    }
                    Some((ours, outside)) => match kind {
                        "ours" => name == layer || ours.contains(name),
                        "outside" => outside.contains(name),
                        // `crate::Name`: the front page re-exports from everywhere, so it hides the direction.
                        _ => false,
                    },
                },
            };
            if !fine {
                faults.push(format!("{file}: {folder} may not reach {target}"));
            }
        }
    }
    assert!(checked > 20, "only {checked} files were read");
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn only_the_program_prints_and_exits() {
    let printing =
        ["print!", "println!", "eprint!", "eprintln!", "dbg!", "todo!", "unimplemented!"];
    let mut faults = Vec::new();
    for (folder, file, _, calls) in read_all() {
        let program = folder == "cli" || folder == "main";
        for call in &calls {
            let prints = printing.contains(&call.as_str()) || call.contains("process::exit");
            let unfinished = ["dbg!", "todo!", "unimplemented!"].contains(&call.as_str());
            if (prints && !program) || unfinished {
                faults.push(format!("{file}: {call}"));
            }
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn only_io_touches_files() {
    let mut faults = Vec::new();
    for (folder, file, _, calls) in read_all() {
        if folder == "io" {
            continue;
        }
        for call in &calls {
            // Names and sizes are looked up to make the list of inputs; nothing is opened.
            let lists = folder == "cli" && (call.contains("read_dir") || call.contains("metadata"));
            let touches = call.starts_with("fs::")
                || call.starts_with("std::fs::")
                || ["open", "create", "create_new", "options"]
                    .iter()
                    .any(|way| *call == format!("File::{way}"))
                || call.contains("OpenOptions");
            if touches && !lists {
                faults.push(format!("{file}: {call}"));
            }
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn a_qualified_path_inside_a_macro_is_seen() {
    let folders: BTreeSet<String> = ["judge".to_owned(), "read".to_owned()].into();
    let crates: BTreeSet<String> = ["csv".to_owned()].into();
    let text = "fn f() { html! { (crate::judge::Outcome::Mixed) } super::super::judge::go(); csv::Reader::from_path(x); }";
    let parsed = syn::parse_file(text).expect("valid Rust");
    let mut reader = Reader {
        module: vec!["read".to_owned(), "jcamp".to_owned()],
        folders: &folders,
        crates: &crates,
        reached: BTreeSet::new(),
        calls: BTreeSet::new(),
    };
    reader.visit_file(&parsed);
    let found: Vec<&str> = reader.reached.iter().map(String::as_str).collect();
    assert_eq!(found, ["ours:judge", "outside:csv"]);
}
