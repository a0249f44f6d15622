//! The direction of imports is a test, not a promise.
//!
//! Every file under `src` is parsed, and every path in it (inside macros too) is resolved to the
//! folder of ours, or to the outside crate, that it reaches. What the table below does not allow
//! fails. Code under `#[cfg(test)]`, whole files too, is free.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use syn::visit::{self, Visit};

use crate::source_tree::is_for_tests;

/// One row a folder: what it may import of ours, and from outside.
const LAYERS: &[(&str, &str, &str)] = &[
    ("spectrum", "", "serde thiserror"),
    ("linalg", "", "nalgebra ndarray ndarray_linalg thiserror"),
    ("io", "", "sha2 thiserror"),
    ("optics", "spectrum", "rustfft serde thiserror"),
    ("read", "spectrum io", "encoding_rs parquet thiserror"),
    ("tables", "spectrum io", "csv serde strsim thiserror toml"),
    ("fitness", "spectrum linalg", "ndarray rustfft serde statrs thiserror"),
    ("prepare", "spectrum linalg fitness", "ndarray serde thiserror"),
    ("peaks", "prepare spectrum", ""),
    (
        "matching",
        "peaks prepare tables spectrum linalg",
        // A digest tells damaged rows of the kept references.
        "csv ndarray rustfft serde sha2 thiserror",
    ),
    ("judge", "matching fitness tables peaks prepare spectrum optics", "serde"),
    ("ageing", "tables spectrum linalg fitness optics", "csv ndarray serde statrs thiserror"),
    (
        "object",
        "judge ageing fitness tables io spectrum optics",
        // A manifest's sheets may be UTF-16, as spreadsheets write them.
        "csv encoding_rs serde thiserror toml",
    ),
    (
        "report",
        "spectrum fitness judge ageing object tables optics matching",
        "csv docx_rs krilla krilla_svg maud parquet plotters quick_xml resvg rust_xlsxwriter serde serde_json thiserror zip",
    ),
    (
        "pipeline",
        "ageing error fitness io judge matching object optics peaks prepare read report spectrum tables",
        "",
    ),
    ("error", "io linalg matching object prepare read spectrum", "thiserror"),
];

/// What the program may use: the library's public names, and these.
const PROGRAM_OUTSIDE: &str = "bandlore clap clap_complete clap_mangen ctrlc glob indicatif jiff rayon serde serde_json signal_hook terminal_size";

/// Crates of Cargo.toml, as paths spell them.
fn outside_crates() -> BTreeSet<String> {
    let manifest = fs::read_to_string(root().join("Cargo.toml")).expect("Cargo.toml");
    let table: toml::Table = manifest.parse().expect("valid TOML");
    let for_systems = table.get("target").and_then(toml::Value::as_table);
    let for_systems = for_systems.into_iter().flat_map(|of| of.values());
    let of_all = ["dependencies", "dev-dependencies"].iter().filter_map(|key| table.get(*key));
    let mut names: BTreeSet<String> = of_all
        .chain(for_systems.filter_map(|system| system.get("dependencies")))
        .filter_map(toml::Value::as_table)
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
    /// Turns a path as written into one from the root of the crate; `None` for what is not ours.
    fn absolute(&self, segments: &[String]) -> Option<Vec<String>> {
        let mut absolute: Vec<String> = match segments.first()?.as_str() {
            "crate" => Vec::new(),
            "self" | "super" => self.module.clone(),
            // A child of this very module.
            _ => return None,
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
        Some(absolute)
    }

    fn note(&mut self, segments: &[String]) {
        let Some(first) = segments.first() else { return };
        let Some(absolute) = self.absolute(segments) else {
            if self.crates.contains(first) {
                self.reached.insert(format!("outside:{first}"));
            } else {
                self.calls.insert(segments.join("::"));
            }
            return;
        };
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

    fn visit_expr_method_call(&mut self, call: &'ast syn::ExprMethodCall) {
        self.calls.insert(format!(".{}", call.method));
        visit::visit_expr_method_call(self, call);
    }

    fn visit_attribute(&mut self, attribute: &'ast syn::Attribute) {
        // Derives name crates too.
        if let syn::Meta::List(list) = &attribute.meta
            && !list.path.is_ident("cfg_attr")
        {
            self.note_tokens(&list.tokens.to_string());
        }
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

/// What one file was seen to reach.
struct Seen {
    folder: String,
    file: String,
    reached: BTreeSet<String>,
    calls: BTreeSet<String>,
}

fn read_all() -> Vec<Seen> {
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
        let Reader { reached, calls, .. } = reader;
        let file = relative.display().to_string();
        all.push(Seen { folder, file, reached, calls });
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
    let mut used: BTreeSet<(String, String)> = BTreeSet::new();
    for Seen { folder, file, reached, .. } in read_all() {
        checked += 1;
        for target in &reached {
            used.insert((folder.clone(), target.clone()));
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
    // What is allowed and not used would let a layer be reached unseen.
    for (layer, (ours, outside)) in &allowed {
        let edges = ours.iter().map(|name| format!("ours:{name}"));
        for edge in edges.chain(outside.iter().map(|name| format!("outside:{name}"))) {
            if !used.contains(&((*layer).to_owned(), edge.clone())) {
                faults.push(format!(
                    "{layer} does not reach {edge}: take it off the table of layers"
                ));
            }
        }
    }
    for name in &program {
        let edge = format!("outside:{name}");
        if !["cli", "main"].iter().any(|of| used.contains(&((*of).to_owned(), edge.clone()))) {
            faults.push(format!("the program does not reach {edge}"));
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
    for Seen { folder, file, calls, .. } in read_all() {
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

/// Ways of asking the disk that need no name of the file system's module. The program may, for its arguments.
const ASKING: [&str; 8] = [
    ".canonicalize",
    ".exists",
    ".is_file",
    ".is_symlink",
    ".read_dir",
    ".read_link",
    ".symlink_metadata",
    ".try_exists",
];

#[test]
fn only_io_touches_files() {
    let mut faults = Vec::new();
    for Seen { folder, file, calls, .. } in read_all() {
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
            let asks = ASKING.contains(&call.as_str()) && folder != "cli";
            if (touches && !lists) || asks {
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
