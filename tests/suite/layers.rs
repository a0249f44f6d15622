//! The direction of imports is a test, not a promise.
//!
//! Every file under `src` is parsed, and every path in it (inside macros too) is resolved to the
//! folder of ours, or to the outside crate, that it reaches. What the table below does not allow
//! fails. Code under `#[cfg(test)]`, whole files too, is free.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use syn::visit::{self, Visit};

use crate::source_tree::{ModulePath, Tree, imports, is_for_tests, paths_in};

/// One row a folder: what it may import of ours, and from outside.
const LAYERS: &[(&str, &str, &str)] = &[
    ("spectrum", "", "serde thiserror"),
    ("linalg", "", "nalgebra ndarray ndarray_linalg thiserror"),
    ("io", "", "sha2 tempfile thiserror"),
    ("parallel", "", "rayon"),
    ("quote", "", ""),
    ("statistics", "", "statrs"),
    ("optics", "spectrum", "rustfft serde thiserror"),
    ("read", "spectrum io quote", "encoding_rs parquet thiserror"),
    ("tables", "spectrum io quote", "csv serde strsim thiserror toml"),
    ("fitness", "spectrum linalg statistics", "ndarray rustfft serde statrs thiserror"),
    ("prepare", "spectrum linalg fitness", "ndarray thiserror"),
    ("peaks", "prepare spectrum statistics", ""),
    (
        "matching",
        // A question is asked only where the data resolve it.
        "fitness peaks prepare tables spectrum linalg",
        // A digest tells damaged rows of the kept references.
        "ndarray rustfft serde sha2",
    ),
    ("judge", "matching fitness tables peaks prepare spectrum optics", "serde"),
    (
        "ageing",
        "tables spectrum linalg fitness optics statistics",
        "ndarray serde statrs thiserror",
    ),
    (
        "object",
        // A first manifest has a row for each spectrum of a file.
        "judge ageing fitness tables io read spectrum optics quote",
        // A manifest's sheets may be UTF-16, as spreadsheets write them.
        "csv encoding_rs serde thiserror toml",
    ),
    (
        "report",
        "spectrum fitness judge ageing object tables optics matching parallel quote",
        "csv docx_rs krilla krilla_svg maud parquet plotters quick_xml resvg rust_xlsxwriter serde serde_json thiserror zip",
    ),
    (
        "pipeline",
        "ageing error fitness io judge matching object optics parallel peaks prepare quote read report spectrum tables",
        "",
    ),
    ("error", "io linalg object prepare read spectrum tables", "thiserror"),
];

/// What the program may use: the library's public names, and these.
const PROGRAM_OUTSIDE: &str = "bandlore clap clap_complete clap_mangen ctrlc glob indicatif jiff rayon serde serde_json signal_hook terminal_size";

/// Crates of Cargo.toml, as paths spell them.
fn outside_crates() -> BTreeSet<String> {
    let manifest = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml"))
        .expect("Cargo.toml");
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

/// One module's place in the tree, and what it was seen to reach.
struct Reader<'a> {
    module: ModulePath,
    crates: &'a BTreeSet<String>,
    reached: BTreeSet<String>,
    /// Paths that are not ours, macros with `!`, methods with a dot before them.
    calls: BTreeSet<String>,
}

impl<'a> Reader<'a> {
    fn new(module: ModulePath, crates: &'a BTreeSet<String>) -> Self {
        Self { module, crates, reached: BTreeSet::new(), calls: BTreeSet::new() }
    }

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
            }
            self.calls.insert(segments.join("::"));
            return;
        };
        if let Some(folder) = absolute.first() {
            let is_ours = folder == "cli" || LAYERS.iter().any(|(name, ..)| name == folder);
            let kind = if is_ours { "ours" } else { "root" };
            self.reached.insert(format!("{kind}:{folder}"));
        }
    }

    fn note_tokens(&mut self, tokens: &str) {
        paths_in(tokens, &mut |path| {
            if path.len() > 1 {
                self.note(&path);
            }
        });
    }
}

impl<'ast> Visit<'ast> for Reader<'_> {
    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        if is_for_tests(&item.attrs) {
            return;
        }
        imports(&mut Vec::new(), &item.tree, &mut |name, path| {
            self.note(path);
            if path.last().is_some_and(|last| last != name) {
                // By another name, or by all its names, a module is reached unseen.
                self.calls.insert(format!("{} as {name}", path.join("::")));
            }
        });
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
            // And functions, in quotes.
            self.note_tokens(&list.tokens.to_string().replace('"', " "));
        }
    }

    fn visit_macro(&mut self, item: &'ast syn::Macro) {
        let name = item.path.segments.last().map(|s| s.ident.to_string()).unwrap_or_default();
        self.calls.insert(format!("{name}!"));
        let tokens = item.tokens.to_string();
        self.note_tokens(&tokens);
        let words = tokens.replace(" .", ".").replace(". ", ".");
        for word in words.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == '.')) {
            self.calls.extend(word.split('.').skip(1).map(|method| format!(".{method}")));
        }
        visit::visit_macro(self, item);
    }
}

/// What one module was seen to reach.
struct Seen {
    folder: String,
    file: String,
    reached: BTreeSet<String>,
    calls: BTreeSet<String>,
}

/// All modules of the library and of the program.
fn read_all() -> Vec<Seen> {
    let crates = outside_crates();
    let mut all = Vec::new();
    // The program's front file is one of its folder.
    for (root, front) in [("lib.rs", "lib"), ("main.rs", "cli")] {
        for (path, module) in Tree::from_root(root).modules {
            let folder = path.first().map_or(front, String::as_str).to_owned();
            let mut reader = Reader::new(path, &crates);
            for of in &module.uses {
                reader.visit_item_use(of);
            }
            for item in &module.code {
                reader.visit_item(item);
            }
            let Reader { reached, calls, .. } = reader;
            all.push(Seen { folder, file: module.file, reached, calls });
        }
    }
    all
}

/// From a folder to one of ours (`ours:`), to a name of the front page (`root:`) or to a crate (`outside:`).
type Edge = (String, String);

/// What is reached against the table, given with one file that does so, and what is allowed and not used: it would
/// let a layer be reached unseen.
fn faults(used: &BTreeMap<Edge, String>) -> Vec<String> {
    let program = ("cli", "", PROGRAM_OUTSIDE);
    let mut unused = BTreeSet::new();
    for (from, ours, outside) in LAYERS.iter().chain([&program]) {
        let ours = ours.split_whitespace().map(|to| format!("ours:{to}"));
        let outside = outside.split_whitespace().map(|to| format!("outside:{to}"));
        unused.extend(ours.chain(outside).map(|to| ((*from).to_owned(), to)));
    }
    let mut faults = Vec::new();
    for (edge, file) in used {
        let (from, to) = edge;
        // The front page hands on what the folders hold.
        let front = from == "lib" && !to.starts_with("outside:");
        if !unused.remove(edge) && *to != format!("ours:{from}") && !front {
            faults.push(format!("{file}: {from} may not reach {to}"));
        }
    }
    let unused = unused.into_iter();
    faults.extend(
        unused.map(|(from, to)| format!("{from} does not reach {to}: take it off the table")),
    );
    faults
}

fn used() -> BTreeMap<Edge, String> {
    let edges = |seen: Seen| {
        let Seen { folder, file, reached, .. } = seen;
        reached.into_iter().map(move |to| ((folder.clone(), to), file.clone()))
    };
    read_all().into_iter().flat_map(edges).collect()
}

#[test]
fn imports_point_one_way() {
    let faults = faults(&used());
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn an_edge_too_many_and_one_that_is_not_used_are_both_told() {
    let mut used = used();
    let edge = |from: &str, to: &str| (from.to_owned(), to.to_owned());
    assert!(used.remove(&edge("read", "outside:parquet")).is_some());
    assert!(used.remove(&edge("matching", "ours:peaks")).is_some());
    used.insert(edge("read", "ours:judge"), "read/two_column.rs".to_owned());
    used.insert(edge("judge", "root:Spectrum"), "judge/input.rs".to_owned());
    used.insert(edge("lib", "outside:csv"), "lib.rs".to_owned());
    assert_eq!(
        faults(&used),
        [
            "judge/input.rs: judge may not reach root:Spectrum",
            "lib.rs: lib may not reach outside:csv",
            "read/two_column.rs: read may not reach ours:judge",
            "matching does not reach ours:peaks: take it off the table",
            "read does not reach outside:parquet: take it off the table",
        ]
    );
}

#[test]
fn only_the_program_prints_and_exits() {
    let printing =
        ["print!", "println!", "eprint!", "eprintln!", "dbg!", "todo!", "unimplemented!"];
    let mut faults = Vec::new();
    for Seen { folder, file, calls, .. } in read_all() {
        for call in &calls {
            let prints = printing.contains(&call.as_str()) || call.contains("process::exit");
            let unfinished = ["dbg!", "todo!", "unimplemented!"].contains(&call.as_str());
            if (prints && folder != "cli") || unfinished {
                faults.push(format!("{file}: {call}"));
            }
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

/// Ways of asking the disk that need no name of the file system's module. The program may, for its list of inputs:
/// names and sizes are looked up, nothing is opened.
const ASKING: [&str; 10] = [
    "canonicalize",
    "exists",
    "is_dir",
    "is_file",
    "is_symlink",
    "metadata",
    "read_dir",
    "read_link",
    "symlink_metadata",
    "try_exists",
];

/// Methods of those names that ask no disk: file, call, what it asks.
const ASKS_NO_DISK: &[(&str, &str, &str)] = &[
    ("read/parquet.rs", ".metadata", "a table in memory"),
    ("report/document/docx/mend.rs", ".is_dir", "an entry of an archive in memory"),
];

/// Whether a call asks the disk or opens a file, where its folder may not.
fn touches_files(folder: &str, call: &str) -> bool {
    let segments: Vec<&str> = call.split([':', '.']).filter(|s| !s.is_empty()).collect();
    let [.., last] = segments[..] else { return false };
    let asks = ASKING.contains(&last) && call != last;
    let in_fs = segments.iter().any(|s| *s == "fs" || s.starts_with("fs as "));
    let opens = segments.contains(&"OpenOptions")
        || last == "from_path"
        || matches!(segments[..], [.., "File", "open" | "create" | "create_new" | "options"]);
    match folder {
        "io" => false,
        "cli" => opens || (in_fs && !asks && last != "fs"),
        _ => opens || in_fs || asks,
    }
}

#[test]
fn only_io_touches_files() {
    let mut faults = Vec::new();
    let mut used = BTreeSet::new();
    for Seen { folder, file, calls, .. } in read_all() {
        for call in calls.iter().filter(|call| touches_files(&folder, call)) {
            match ASKS_NO_DISK.iter().position(|of| (of.0, of.1) == (&file, call)) {
                Some(place) => used.extend([place]),
                None => faults.push(format!("{file}: {call}")),
            }
        }
    }
    for (place, (file, call, _)) in ASKS_NO_DISK.iter().enumerate() {
        if !used.contains(&place) {
            faults.push(format!("{file} has no {call}: take it off the list"));
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

fn read_text<'a>(text: &str, module: &[&str], crates: &'a BTreeSet<String>) -> Reader<'a> {
    let mut reader = Reader::new(module.iter().map(|s| (*s).to_owned()).collect(), crates);
    reader.visit_file(&syn::parse_file(text).expect("valid Rust"));
    reader
}

#[test]
fn a_qualified_path_inside_a_macro_or_an_attribute_is_seen() {
    let crates = ["csv".to_owned()].into();
    let text = "#[derive(csv::X)] #[serde(with = \"crate::tables::words\")] struct A; fn f() { html! { (crate::judge::Outcome::Mixed) } super::super::judge::go(); csv::Reader::new(x); }";
    let found = read_text(text, &["read", "jcamp"], &crates).reached;
    assert_eq!(
        found.iter().map(String::as_str).collect::<Vec<_>>(),
        ["ours:judge", "ours:tables", "outside:csv"]
    );
}

#[test]
fn a_question_to_the_disk_is_seen_however_it_is_written() {
    let crates = ["csv".to_owned()].into();
    let touched = |folder: &str, text: &str| {
        let calls = read_text(text, &[folder], &crates).calls;
        calls.iter().any(|call| touches_files(folder, call))
    };
    for asking in [
        "fn f() { path.is_file() }",
        "fn f() { paths.iter().any(|p| p.as_path().is_dir()) }",
        "fn f() { paths.retain(Path::exists) }",
        "fn f() { std::path::Path::canonicalize(&p) }",
        "fn f() { assert!(path.metadata().is_ok()) }",
        "fn f() { matches!(paths.map(Path::read_dir), Ok(_)) }",
        "fn f() { fs::metadata(p) }",
    ] {
        assert!(touched("object", asking), "{asking}");
        assert!(!touched("cli", asking) && !touched("io", asking), "{asking}");
    }
    for opening in [
        "use std::fs as disk;",
        "use std::fs::*;",
        "use std::fs::{read_dir, read};",
        "fn f() { std::fs::read(p) }",
        "fn f() { print!(\"{}\", File::open(p)) }",
        "fn f() { csv::Reader::from_path(p) }",
    ] {
        assert!(touched("object", opening) && touched("cli", opening), "{opening}");
        assert!(!touched("io", opening), "{opening}");
    }
    for asks_nothing in
        ["fn f() { crate::io::is_file(p); self.exists; is_there(p) }", "use super::fs;"]
    {
        assert!(!touched("object", asks_nothing), "{asks_nothing}");
    }
}
