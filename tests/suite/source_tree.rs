//! The library's modules as they are written: what each declares, imports and hands on, and where a path leads.
//!
//! Read with `syn`, so that no nightly compiler is needed. `cli` and `main` belong to the program, a tree of its
//! own; code under `#[cfg(test)]` stays out of both.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// A module's path from the crate's root: `read::jcamp` is `["read", "jcamp"]`.
pub(crate) type ModulePath = Vec<String>;

/// Where something is declared: its module, and its name there.
pub(crate) type Definition = (ModulePath, String);

/// An import, or a name handed on.
pub(crate) struct Import {
    /// The path as written, `self` and `super` included.
    pub(crate) path: Vec<String>,
    pub(crate) visibility: syn::Visibility,
    /// The feature without which it is not there.
    pub(crate) feature: Option<String>,
}

/// One module, whether a file or inside one.
pub(crate) struct Module {
    /// Its file, from `src`.
    pub(crate) file: String,
    pub(crate) visibility: syn::Visibility,
    /// Whether it opens with a sentence of its own.
    pub(crate) documentation: String,
    /// What is declared here, functions and types of one name beside each other.
    pub(crate) items: BTreeMap<String, Vec<syn::Item>>,
    pub(crate) blocks: Vec<syn::ItemImpl>,
    /// All code outside tests, but modules and imports.
    pub(crate) code: Vec<syn::Item>,
    /// What it imports and hands on, as written.
    pub(crate) uses: Vec<syn::ItemUse>,
    pub(crate) imports: BTreeMap<String, Import>,
    pub(crate) feature: Option<String>,
}

/// All modules of the library, or of the program.
pub(crate) struct Tree {
    pub(crate) modules: BTreeMap<ModulePath, Module>,
}

/// Where a path leads.
#[derive(Debug, PartialEq)]
pub(crate) enum Target {
    Item(Definition),
    Module(ModulePath),
}

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// Whether an item is there in tests only.
pub(crate) fn is_for_tests(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|a| {
        a.path().is_ident("cfg")
            && a.parse_args::<syn::Ident>().is_ok_and(|condition| condition == "test")
    })
}

/// The feature that an item asks for.
pub(crate) fn feature_of(attributes: &[syn::Attribute]) -> Option<String> {
    attributes.iter().filter(|a| a.path().is_ident("cfg")).find_map(|a| {
        let syn::Meta::NameValue(pair) = a.parse_args::<syn::Meta>().ok()? else { return None };
        pair.path.is_ident("feature").then(|| string_of(&pair.value))?
    })
}

fn string_of(value: &syn::Expr) -> Option<String> {
    match value {
        syn::Expr::Lit(syn::ExprLit { lit: syn::Lit::Str(text), .. }) => Some(text.value()),
        _ => None,
    }
}

/// The file that `#[path = "..."]` names.
fn path_of(attributes: &[syn::Attribute]) -> Option<String> {
    attributes.iter().filter(|a| a.path().is_ident("path")).find_map(|a| {
        let syn::Meta::NameValue(pair) = &a.meta else { return None };
        string_of(&pair.value)
    })
}

/// The lines of documentation among attributes.
fn documentation_of(attributes: &[syn::Attribute]) -> String {
    let lines = attributes.iter().filter(|a| a.path().is_ident("doc")).filter_map(|a| {
        let syn::Meta::NameValue(pair) = &a.meta else { return None };
        string_of(&pair.value)
    });
    lines.collect::<Vec<_>>().join("\n")
}

impl Tree {
    /// Reads the library from `lib.rs` on, module by module.
    pub(crate) fn read() -> Self {
        Self::from_root("lib.rs")
    }

    /// Reads what a root of `src` declares, `lib.rs` or `main.rs`.
    pub(crate) fn from_root(file: &str) -> Self {
        let mut tree = Self { modules: BTreeMap::new() };
        let root = syn::parse_file(&text(Path::new(file))).expect("valid Rust");
        let public = syn::Visibility::Public(syn::token::Pub::default());
        tree.add(Vec::new(), Path::new(file), public, None, &root.attrs, &root.items);
        tree
    }

    fn add(
        &mut self,
        path: ModulePath,
        file: &Path,
        visibility: syn::Visibility,
        feature: Option<String>,
        attributes: &[syn::Attribute],
        items: &[syn::Item],
    ) {
        let mut module = Module {
            file: file.display().to_string(),
            visibility,
            documentation: documentation_of(attributes),
            items: BTreeMap::new(),
            blocks: Vec::new(),
            code: Vec::new(),
            uses: Vec::new(),
            imports: BTreeMap::new(),
            feature,
        };
        let mut below = Vec::new();
        for item in items {
            if !matches!(item, syn::Item::Mod(_) | syn::Item::Use(_))
                && !is_for_tests(attributes_of(item))
            {
                module.code.push(item.clone());
            }
            match item {
                syn::Item::Mod(inner) if !is_for_tests(&inner.attrs) => below.push(inner.clone()),
                syn::Item::Use(of) if !is_for_tests(&of.attrs) => {
                    let feature = feature_of(&of.attrs);
                    imports(&mut Vec::new(), &of.tree, &mut |name, path| {
                        let import = Import {
                            path: path.to_vec(),
                            visibility: of.vis.clone(),
                            feature: feature.clone(),
                        };
                        module.imports.insert(name.to_owned(), import);
                    });
                    module.uses.push(of.clone());
                }
                syn::Item::Impl(block) if !is_for_tests(&block.attrs) => {
                    module.blocks.push(block.clone());
                }
                syn::Item::Macro(of) => {
                    // The one macro that declares something public: the closed words of the table.
                    if of.mac.path.is_ident("words") {
                        for made in words(&of.mac) {
                            module
                                .items
                                .entry(made.ident.to_string())
                                .or_default()
                                .push(syn::Item::Enum(made));
                        }
                    }
                }
                other => {
                    if let Some(name) = name_of(other)
                        && !is_for_tests(attributes_of(other))
                    {
                        module.items.entry(name).or_default().push(other.clone());
                    }
                }
            }
        }
        self.modules.insert(path.clone(), module);
        for inner in below {
            let mut inner_path = path.clone();
            inner_path.push(inner.ident.to_string());
            let feature = feature_of(&inner.attrs);
            if let Some((_, items)) = &inner.content {
                self.add(inner_path, file, inner.vis, feature, &inner.attrs, items);
                continue;
            }
            if let Some(elsewhere) = path_of(&inner.attrs) {
                if self.modules.contains_key(&inner_path) {
                    // Two files for one name, as features choose: the second goes by its own.
                    inner_path.pop();
                    inner_path.push(elsewhere.replace(".rs", ""));
                }
                let file = file.parent().expect("a folder").join(elsewhere);
                let parsed = syn::parse_file(&text(&file)).expect("valid Rust");
                self.add(inner_path, &file, inner.vis, feature, &parsed.attrs, &parsed.items);
                continue;
            }
            let folder: PathBuf = inner_path.iter().collect();
            let as_file = folder.with_extension("rs");
            let file =
                if source().join(&as_file).exists() { as_file } else { folder.join("mod.rs") };
            let parsed = syn::parse_file(&text(&file)).expect("valid Rust");
            if !is_for_tests(&parsed.attrs) {
                self.add(inner_path, &file, inner.vis, feature, &parsed.attrs, &parsed.items);
            }
        }
    }

    /// Where a path leads that is written in a module; `None` for what is not ours. What a module hands on leads to
    /// where it is declared, and a path beyond an item (`Type::function`) to the item.
    pub(crate) fn resolve(&self, module: &[String], path: &[String]) -> Option<Target> {
        self.resolve_seen(module, path, &mut BTreeSet::new())
    }

    fn resolve_seen(
        &self,
        module: &[String],
        path: &[String],
        seen: &mut BTreeSet<Definition>,
    ) -> Option<Target> {
        let mut at: ModulePath = module.to_vec();
        let mut rest = path;
        loop {
            match rest.first().map(String::as_str) {
                Some("crate") => at.clear(),
                Some("super") => {
                    at.pop()?;
                }
                Some("self") => {}
                _ => break,
            }
            rest = &rest[1..];
        }
        let Some((name, beyond)) = rest.split_first() else { return Some(Target::Module(at)) };
        let here = self.modules.get(&at)?;
        let mut child = at.clone();
        child.push(name.clone());
        // A module and a function may share a name; what stands before `::` is the module.
        if !beyond.is_empty() && self.modules.contains_key(&child) {
            return self.resolve_seen(&child, beyond, seen);
        }
        if here.items.contains_key(name) {
            return Some(Target::Item((at, name.clone())));
        }
        if let Some(import) = here.imports.get(name) {
            if !seen.insert((at.clone(), name.clone())) {
                return None;
            }
            return match self.resolve_seen(&at, &import.path, seen)? {
                Target::Module(found) if !beyond.is_empty() => {
                    self.resolve_seen(&found, beyond, seen)
                }
                found => Some(found),
            };
        }
        if self.modules.contains_key(&child) {
            return Some(Target::Module(child));
        }
        None
    }
}

fn text(file: &Path) -> String {
    fs::read_to_string(source().join(file)).unwrap_or_else(|e| panic!("{}: {e}", file.display()))
}

/// Calls with each path, of one name too, in the tokens of a macro or an attribute; texts in quotes are left out.
pub(crate) fn paths_in(tokens: &str, found: &mut impl FnMut(Vec<String>)) {
    // Tokens print with blanks around `::`; joined up again they are paths.
    let text = tokens.replace(" :: ", "::").replace(":: ", "::").replace(" ::", "::");
    let mut in_quotes = false;
    for piece in text.split('"') {
        if !in_quotes {
            for word in piece.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == ':')) {
                let segments = word.split("::").filter(|s| !s.is_empty() && !s.contains(':'));
                let segments: Vec<String> = segments.map(str::to_owned).collect();
                if !segments.is_empty() {
                    found(segments);
                }
            }
        }
        // A quote inside quotes is written with a stroke before it.
        if !(in_quotes && piece.ends_with('\\')) {
            in_quotes = !in_quotes;
        }
    }
}

/// Calls with each name that a `use` brings in, and the path that it comes from. A glob brings `*`.
pub(crate) fn imports(
    before: &mut Vec<String>,
    tree: &syn::UseTree,
    found: &mut impl FnMut(&str, &[String]),
) {
    match tree {
        syn::UseTree::Path(path) => {
            before.push(path.ident.to_string());
            imports(before, &path.tree, found);
            before.pop();
        }
        syn::UseTree::Name(name) if name.ident == "self" => {
            let last = before.last().cloned().unwrap_or_default();
            found(&last, before);
        }
        syn::UseTree::Name(name) => {
            before.push(name.ident.to_string());
            found(&name.ident.to_string(), before);
            before.pop();
        }
        syn::UseTree::Rename(name) => {
            before.push(name.ident.to_string());
            found(&name.rename.to_string(), before);
            before.pop();
        }
        syn::UseTree::Glob(_) => found("*", before),
        syn::UseTree::Group(group) => {
            for item in &group.items {
                imports(before, item, found);
            }
        }
    }
}

fn name_of(item: &syn::Item) -> Option<String> {
    Some(match item {
        syn::Item::Const(of) => of.ident.to_string(),
        syn::Item::Enum(of) => of.ident.to_string(),
        syn::Item::Fn(of) => of.sig.ident.to_string(),
        syn::Item::Static(of) => of.ident.to_string(),
        syn::Item::Struct(of) => of.ident.to_string(),
        syn::Item::Trait(of) => of.ident.to_string(),
        syn::Item::Type(of) => of.ident.to_string(),
        _ => return None,
    })
}

fn attributes_of(item: &syn::Item) -> &[syn::Attribute] {
    match item {
        syn::Item::Const(of) => &of.attrs,
        syn::Item::Enum(of) => &of.attrs,
        syn::Item::Fn(of) => &of.attrs,
        syn::Item::Impl(of) => &of.attrs,
        syn::Item::Macro(of) => &of.attrs,
        syn::Item::Static(of) => &of.attrs,
        syn::Item::Struct(of) => &of.attrs,
        syn::Item::Trait(of) => &of.attrs,
        syn::Item::Type(of) => &of.attrs,
        _ => &[],
    }
}

/// What `words! { /// about Name { Variant = "word" } }` declares.
fn words(of: &syn::Macro) -> Vec<syn::ItemEnum> {
    let read = |input: syn::parse::ParseStream<'_>| {
        syn::Attribute::parse_outer(input)?;
        let name: syn::Ident = input.parse()?;
        let body;
        syn::braced!(body in input);
        let mut variants = Vec::new();
        while !body.is_empty() {
            syn::Attribute::parse_outer(&body)?;
            variants.push(body.parse::<syn::Ident>()?.to_string());
            body.parse::<syn::Token![=]>()?;
            body.parse::<syn::LitStr>()?;
            body.parse::<Option<syn::Token![,]>>()?;
        }
        Ok((name, variants))
    };
    let (name, variants) = of.parse_body_with(read).expect("a list of words");
    // What the macro adds to each stands in its own text.
    let grows = text(Path::new("tables/words.rs")).contains("#[non_exhaustive]");
    let attribute = if grows { "#[non_exhaustive] " } else { "" };
    let written = format!(
        "{attribute}#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)] pub enum {name} {{ {} }}",
        variants.join(", ")
    );
    vec![syn::parse_str(&written).expect("an enum")]
}
