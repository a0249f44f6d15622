//! No two files of the library need each other, over however many others.
//!
//! A file reaches another where a path in it, imported or written out, inside macros and derives too, leads to
//! what is declared there. Three things are decided so:
//!
//! - A name that a `mod.rs` hands on (`pub use`, `pub(crate) use`) leads to the file that declares it: a sibling
//!   that imports it from `super` reaches the sibling, not the `mod.rs`. Handing on is no need either, unless the
//!   `mod.rs` uses the name itself.
//! - That a `mod.rs` declares its modules is no need: it is where they stand.
//! - Calls of methods lead nowhere, for they name no file; the type that they are called on was named before.
//!
//! So what several files of a folder share belongs into a file of its own, and `mod.rs` holds either what is
//! built on the others or what they are built on.

use std::collections::{BTreeMap, BTreeSet};

use syn::visit::{self, Visit};

use crate::source_tree::{Module, ModulePath, Target, Tree, imports, is_for_tests, paths_in};

/// Circles that are still to be broken, each by the files that are in it.
const STILL_TO_BREAK: &[&[&str]] = &[];

/// Every path in a module's code, and every name in its macros.
struct Paths(BTreeSet<Vec<String>>);

impl Paths {
    fn note_tokens(&mut self, tokens: &str) {
        paths_in(tokens, &mut |path| self.0.extend([path]));
    }
}

impl<'ast> Visit<'ast> for Paths {
    fn visit_path(&mut self, path: &'ast syn::Path) {
        self.0.insert(path.segments.iter().map(|s| s.ident.to_string()).collect());
        visit::visit_path(self, path);
    }

    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        imports(&mut Vec::new(), &item.tree, &mut |_, path| self.0.extend([path.to_vec()]));
    }

    fn visit_item_mod(&mut self, _: &'ast syn::ItemMod) {}

    fn visit_impl_item_fn(&mut self, item: &'ast syn::ImplItemFn) {
        if !is_for_tests(&item.attrs) {
            visit::visit_impl_item_fn(self, item);
        }
    }

    fn visit_attribute(&mut self, attribute: &'ast syn::Attribute) {
        // Derives and the functions that serde calls by name.
        if let syn::Meta::List(list) = &attribute.meta
            && !list.path.is_ident("cfg_attr")
        {
            self.note_tokens(&list.tokens.to_string().replace('"', " "));
        }
    }

    fn visit_macro(&mut self, item: &'ast syn::Macro) {
        visit::visit_macro(self, item);
        self.note_tokens(&item.tokens.to_string());
    }
}

/// The files that a module's code reaches.
fn reached(tree: &Tree, path: &ModulePath, module: &Module) -> BTreeSet<String> {
    let mut paths = Paths(BTreeSet::new());
    for item in &module.code {
        paths.visit_item(item);
    }
    for import in module.imports.values() {
        // What is handed on is no need; what is imported is one, or the compiler would say that nobody uses it.
        if matches!(import.visibility, syn::Visibility::Inherited) {
            paths.0.insert(import.path.clone());
        }
    }
    let mut files = BTreeSet::new();
    for written in &paths.0 {
        if let Some(Target::Item((of, _))) = tree.resolve(path, written) {
            files.insert(tree.modules[&of].file.clone());
        }
    }
    files.remove(&module.file);
    files
}

fn edges(tree: &Tree) -> BTreeMap<String, BTreeSet<String>> {
    let mut edges: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (path, module) in &tree.modules {
        edges.entry(module.file.clone()).or_default().extend(reached(tree, path, module));
    }
    for (file, to) in &mut edges {
        to.remove(file);
    }
    edges
}

/// All files that one leads to, over any number of others.
fn all_from<'a>(edges: &'a BTreeMap<String, BTreeSet<String>>, file: &str) -> BTreeSet<&'a str> {
    let mut found = BTreeSet::new();
    let mut open: Vec<&str> = edges[file].iter().map(String::as_str).collect();
    while let Some(next) = open.pop() {
        if found.insert(next) {
            open.extend(edges[next].iter().map(String::as_str));
        }
    }
    found
}

/// Sets of files each of which leads to every other of its set.
fn circles(edges: &BTreeMap<String, BTreeSet<String>>) -> BTreeSet<Vec<String>> {
    let from: BTreeMap<&str, BTreeSet<&str>> =
        edges.keys().map(|file| (file.as_str(), all_from(edges, file))).collect();
    let mut circles = BTreeSet::new();
    for (file, reached) in &from {
        if reached.contains(file) {
            let circle = reached.iter().filter(|other| from[*other].contains(file));
            circles.insert(circle.map(|file| (*file).to_owned()).collect());
        }
    }
    circles
}

#[test]
fn no_files_need_each_other() {
    let tree = Tree::read();
    let edges = edges(&tree);
    assert!(edges.values().filter(|to| !to.is_empty()).count() > 200, "too few files reach others");
    let known: BTreeSet<Vec<String>> = STILL_TO_BREAK
        .iter()
        .map(|circle| circle.iter().map(|file| (*file).to_owned()).collect())
        .collect();
    let found = circles(&edges);
    let mut faults = Vec::new();
    for circle in found.difference(&known) {
        faults.push(format!("a circle of {} files:", circle.len()));
        for file in circle {
            let within = edges[file].iter().filter(|to| circle.contains(to));
            faults.push(format!("  {file} -> {}", within.cloned().collect::<Vec<_>>().join(", ")));
        }
    }
    for circle in known.difference(&found) {
        faults.push(format!(
            "is no circle of its own any more, take it off the list: {}",
            circle.join(", ")
        ));
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn a_circle_over_three_files_is_found() {
    let written = [("a", "b"), ("b", "c"), ("c", "a"), ("d", "a")];
    let mut edges: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (from, to) in written {
        edges.entry(from.to_owned()).or_default().insert(to.to_owned());
    }
    let found: Vec<Vec<String>> = circles(&edges).into_iter().collect();
    assert_eq!(found, [["a", "b", "c"]]);
}

#[test]
fn what_is_handed_on_leads_to_where_it_is_declared() {
    let tree = Tree::read();
    let word = |text: &str| text.split("::").map(str::to_owned).collect::<Vec<String>>();
    let target = tree.resolve(&word("judge"), &word("crate::tables::Tables"));
    assert_eq!(target, Some(Target::Item((word("tables"), "Tables".to_owned()))));
    let handed_on = tree.resolve(&word("judge"), &word("crate::matching::Matcher::new"));
    assert_eq!(handed_on, Some(Target::Item((word("matching::matcher"), "Matcher".to_owned()))));
    assert_eq!(tree.resolve(&word("judge"), &word("serde_json::Value")), None);
}
