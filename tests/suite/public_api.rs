//! What the library promises: every public path with its kind and signature, kept in `tests/public_api.txt`.
//!
//! A change of it is a change for every program that uses the library, so that it is renewed by hand
//! (`BANDLORE_RENEW_API=1`) and read as a user would. That every type in a signature can be named is for the
//! compiler, by the lint in `src/lib.rs`.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use syn::visit::{self, Visit};

use crate::source_tree::{Definition, Module, ModulePath, Target, Tree, is_for_tests};

const RENEW: &str = "BANDLORE_RENEW_API";

/// A page that holds more is no page but a heap; common practice, no source.
const MOST_NAMES: usize = 25;

/// Enums that a program may match without a last arm, and structs that it may put together field by field, each with
/// the reason. What is added to one of them is a change that every such program is to be stopped by.
const CLOSED: &[(&str, &str)] = &[
    (
        "ageing::comparison::ComparedFace",
        "whoever missed one would compare with the wrong face or session",
    ),
    ("optics::Correction", "what was done to a spectrum is said in full, or not at all"),
    ("optics::Element", "one bounce is an index and an angle"),
    ("prepare::Polynomial", "a width and an order are all of it"),
    ("prepare::Stop", "how often, and how close"),
    ("read::Column", "a column has a name or a number"),
    ("spectrum::MeasurementMode", "whoever missed one would read the bands in the wrong windows"),
    ("spectrum::Ordinate", "whoever missed one would take its values for absorbance"),
    ("spectrum::PointFlag", "whoever missed one would take a point for measured"),
    (
        "tables::look_alikes::Predicate",
        "the kinds of question are closed, or no table could be checked",
    ),
    ("tables::look_alikes::Reading", "a window and the two feet of its baseline"),
    ("tables::look_alikes::Verdict", "yes, no, or not testable"),
    ("tables::Window", "two ends"),
];

/// One page of the documentation: the names on it, and where each is declared.
struct Page {
    path: ModulePath,
    names: BTreeMap<String, Vec<(Target, Option<String>)>>,
}

fn is_public(visibility: &syn::Visibility) -> bool {
    matches!(visibility, syn::Visibility::Public(_))
}

/// Whether an attribute of this name stands there.
fn has(attributes: &[syn::Attribute], name: &str) -> bool {
    attributes.iter().any(|a| a.path().is_ident(name))
}

fn visibility_of(item: &syn::Item) -> &syn::Visibility {
    match item {
        syn::Item::Const(of) => &of.vis,
        syn::Item::Enum(of) => &of.vis,
        syn::Item::Fn(of) => &of.vis,
        syn::Item::Static(of) => &of.vis,
        syn::Item::Struct(of) => &of.vis,
        syn::Item::Trait(of) => &of.vis,
        syn::Item::Type(of) => &of.vis,
        _ => &syn::Visibility::Inherited,
    }
}

fn pages(tree: &Tree) -> Vec<Page> {
    let mut all = Vec::new();
    let mut open = vec![ModulePath::new()];
    while let Some(path) = open.pop() {
        let module = &tree.modules[&path];
        let mut names: BTreeMap<String, Vec<_>> = BTreeMap::new();
        for (name, items) in &module.items {
            if items.iter().any(|item| is_public(visibility_of(item))) {
                let target = Target::Item((path.clone(), name.clone()));
                names.entry(name.clone()).or_default().push((target, module.feature.clone()));
            }
        }
        for (name, import) in &module.imports {
            if is_public(&import.visibility) {
                assert_ne!(name, "*", "{}: a glob hides what is public", module.file);
                let target = tree
                    .resolve(&path, &import.path)
                    .unwrap_or_else(|| panic!("{}: {name} leads nowhere", module.file));
                names.entry(name.clone()).or_default().push((target, import.feature.clone()));
            }
        }
        for (below, inner) in &tree.modules {
            if below.len() == path.len() + 1
                && below.starts_with(&path)
                && is_public(&inner.visibility)
            {
                let name = below.last().expect("a name").clone();
                let target = Target::Module(below.clone());
                names.entry(name).or_default().push((target, inner.feature.clone()));
                open.push(below.clone());
            }
        }
        all.push(Page { path, names });
    }
    all.sort_by(|a, b| a.path.cmp(&b.path));
    all
}

/// Signatures as text. A form that it does not know is a fault, never left out.
mod signature {
    pub(super) fn of_type(of: &syn::Type) -> String {
        match of {
            syn::Type::Path(path) => {
                assert!(path.qself.is_none(), "a qualified path in a signature");
                of_path(&path.path)
            }
            syn::Type::Reference(to) => {
                let lifetime = to.lifetime.as_ref().map(|l| format!("{l} ")).unwrap_or_default();
                let mutable = if to.mutability.is_some() { "mut " } else { "" };
                format!("&{lifetime}{mutable}{}", of_type(&to.elem))
            }
            syn::Type::Slice(of) => format!("[{}]", of_type(&of.elem)),
            syn::Type::Array(of) => format!("[{}; {}]", of_type(&of.elem), of_length(&of.len)),
            syn::Type::Tuple(of) => {
                format!("({})", of.elems.iter().map(of_type).collect::<Vec<_>>().join(", "))
            }
            syn::Type::ImplTrait(of) => format!("impl {}", of_bounds(&of.bounds)),
            syn::Type::TraitObject(of) => format!("dyn {}", of_bounds(&of.bounds)),
            syn::Type::Paren(of) => format!("({})", of_type(&of.elem)),
            _ => panic!("a type in a signature that the list cannot say"),
        }
    }

    fn of_length(of: &syn::Expr) -> String {
        match of {
            syn::Expr::Lit(syn::ExprLit { lit: syn::Lit::Int(number), .. }) => number.to_string(),
            syn::Expr::Path(path) => of_path(&path.path),
            _ => panic!("a length in a signature that the list cannot say"),
        }
    }

    pub(super) fn of_path(path: &syn::Path) -> String {
        let segments = path.segments.iter().map(|segment| {
            let arguments = match &segment.arguments {
                syn::PathArguments::None => String::new(),
                syn::PathArguments::AngleBracketed(given) => {
                    let given: Vec<String> = given.args.iter().map(of_argument).collect();
                    format!("<{}>", given.join(", "))
                }
                syn::PathArguments::Parenthesized(given) => {
                    let inputs: Vec<String> =
                        given.inputs.iter().map(|input| of_type(&input.ty)).collect();
                    format!("({}){}", inputs.join(", "), of_output(&given.output))
                }
            };
            format!("{}{arguments}", segment.ident)
        });
        segments.collect::<Vec<_>>().join("::")
    }

    fn of_argument(argument: &syn::GenericArgument) -> String {
        match argument {
            syn::GenericArgument::Lifetime(lifetime) => lifetime.to_string(),
            syn::GenericArgument::Type(of) => of_type(of),
            syn::GenericArgument::AssocType(of) => format!("{} = {}", of.ident, of_type(&of.ty)),
            _ => panic!("an argument in a signature that the list cannot say"),
        }
    }

    fn of_bounds<P>(bounds: &syn::punctuated::Punctuated<syn::TypeParamBound, P>) -> String {
        let bounds = bounds.iter().map(|bound| match bound {
            syn::TypeParamBound::Trait(of) => {
                let maybe = if of.maybe.is_some() { "?" } else { "" };
                format!("{maybe}{}", of_path(&of.path))
            }
            syn::TypeParamBound::Lifetime(lifetime) => lifetime.to_string(),
            syn::TypeParamBound::PreciseCapture(of) => {
                let held = of.params.iter().map(|held| match held {
                    syn::CapturedParam::Lifetime(lifetime) => lifetime.to_string(),
                    syn::CapturedParam::Ident(name) => name.to_string(),
                    _ => panic!("a capture in a signature that the list cannot say"),
                });
                format!("use<{}>", held.collect::<Vec<_>>().join(", "))
            }
            _ => panic!("a bound in a signature that the list cannot say"),
        });
        bounds.collect::<Vec<_>>().join(" + ")
    }

    fn of_output(output: &syn::ReturnType) -> String {
        match output {
            syn::ReturnType::Default => String::new(),
            syn::ReturnType::Type(_, of) => format!(" -> {}", of_type(of)),
        }
    }

    pub(super) fn of_generics(generics: &syn::Generics) -> String {
        if generics.params.is_empty() {
            return String::new();
        }
        let parameters = generics.params.iter().map(|parameter| match parameter {
            syn::GenericParam::Lifetime(of) => of.lifetime.to_string(),
            syn::GenericParam::Type(of) if of.bounds.is_empty() => of.ident.to_string(),
            syn::GenericParam::Type(of) => format!("{}: {}", of.ident, of_bounds(&of.bounds)),
            syn::GenericParam::Const(of) => format!("const {}: {}", of.ident, of_type(&of.ty)),
        });
        format!("<{}>", parameters.collect::<Vec<_>>().join(", "))
    }

    pub(super) fn of_function(of: &syn::Signature) -> String {
        let inputs = of.inputs.iter().map(|input| match input {
            syn::FnArg::Receiver(receiver) => match &receiver.kind {
                syn::ReceiverKind::Value => "self".to_owned(),
                syn::ReceiverKind::Reference(_, _, Some(_)) => "&mut self".to_owned(),
                syn::ReceiverKind::Reference(..) => "&self".to_owned(),
                syn::ReceiverKind::Typed(_, of) => format!("self: {}", of_type(of)),
                _ => panic!("a receiver in a signature that the list cannot say"),
            },
            syn::FnArg::Typed(typed) => {
                let name = match &*typed.pat {
                    syn::Pat::Ident(name) => name.ident.to_string(),
                    _ => "_".to_owned(),
                };
                format!("{name}: {}", of_type(&typed.ty))
            }
        });
        let constant = if of.constness.is_some() { "const " } else { "" };
        let bounds = of.generics.where_clause.as_ref().map_or(String::new(), |clause| {
            let each = clause.predicates.iter().map(|predicate| match predicate {
                syn::WherePredicate::Type(of) => {
                    format!("{}: {}", of_type(&of.bounded_ty), of_bounds(&of.bounds))
                }
                _ => panic!("a condition in a signature that the list cannot say"),
            });
            format!(" where {}", each.collect::<Vec<_>>().join(", "))
        });
        format!(
            "{constant}fn {}{}({}){}{bounds}",
            of.ident,
            of_generics(&of.generics),
            inputs.collect::<Vec<_>>().join(", "),
            of_output(&of.output)
        )
    }
}

/// Everything said of one definition, line by line: itself, then what it holds.
struct Entry<'a> {
    tree: &'a Tree,
    definition: &'a Definition,
    module: &'a Module,
}

impl Entry<'_> {
    /// Each line begins with what follows the path, `" struct"` or `"::name: f64"`.
    fn lines(&self) -> Vec<String> {
        let mut lines = Vec::new();
        for item in &self.module.items[&self.definition.1] {
            if !is_public(visibility_of(item)) {
                continue;
            }
            match item {
                syn::Item::Const(of) => {
                    lines.push(format!(" const: {}", signature::of_type(&of.ty)));
                }
                syn::Item::Static(of) => {
                    lines.push(format!(" static: {}", signature::of_type(&of.ty)));
                }
                syn::Item::Type(of) => {
                    lines.push(format!(" type = {}", signature::of_type(&of.ty)))
                }
                syn::Item::Fn(of) => lines.push(format!(" {}", signature::of_function(&of.sig))),
                syn::Item::Struct(of) => self.of_struct(of, &mut lines),
                syn::Item::Enum(of) => self.of_enum(of, &mut lines),
                syn::Item::Trait(of) => {
                    lines.push(format!(" trait{}", signature::of_generics(&of.generics)));
                    for inner in &of.items {
                        if let syn::TraitItem::Fn(function) = inner {
                            let with = signature::of_function(&function.sig);
                            let given = if function.default.is_some() { " { given }" } else { "" };
                            lines.push(format!("::{} {with}{given}", function.sig.ident));
                        }
                    }
                }
                _ => panic!("{}: a public item that the list cannot say", self.module.file),
            }
        }
        self.of_blocks(&mut lines);
        lines
    }

    fn head(&self, kind: &str, generics: &syn::Generics, attributes: &[syn::Attribute]) -> String {
        let mut derived: Vec<String> = Vec::new();
        for attribute in attributes.iter().filter(|a| a.path().is_ident("derive")) {
            let _ = attribute.parse_nested_meta(|meta| {
                derived.extend(meta.path.segments.last().map(|s| s.ident.to_string()));
                Ok(())
            });
        }
        derived.sort();
        let grows = if has(attributes, "non_exhaustive") { ", non-exhaustive" } else { "" };
        let derived =
            if derived.is_empty() { String::new() } else { format!(": {}", derived.join(" + ")) };
        format!(" {kind}{}{grows}{derived}", signature::of_generics(generics))
    }

    fn of_struct(&self, of: &syn::ItemStruct, lines: &mut Vec<String>) {
        lines.push(self.head("struct", &of.generics, &of.attrs));
        for (index, field) in of.fields.iter().enumerate() {
            if is_public(&field.vis) {
                let name = field.ident.as_ref().map_or(index.to_string(), ToString::to_string);
                lines.push(format!("::{name}: {}", signature::of_type(&field.ty)));
            }
        }
    }

    fn of_enum(&self, of: &syn::ItemEnum, lines: &mut Vec<String>) {
        lines.push(self.head("enum", &of.generics, &of.attrs));
        for variant in &of.variants {
            let fields = variant.fields.iter().map(|field| {
                let of = signature::of_type(&field.ty);
                field.ident.as_ref().map_or(of.clone(), |name| format!("{name}: {of}"))
            });
            let fields = fields.collect::<Vec<_>>().join(", ");
            let fields = match variant.fields {
                syn::Fields::Unit => String::new(),
                syn::Fields::Named(_) => format!(" {{ {fields} }}"),
                syn::Fields::Unnamed(_) => format!("({fields})"),
            };
            lines.push(format!("::{}{fields}", variant.ident));
        }
    }

    /// Whether a trait can be named outside: one of ours that is not public is no promise.
    fn is_promised(&self, from: &ModulePath, of_trait: &syn::Path) -> bool {
        let named: Vec<String> = of_trait.segments.iter().map(|s| s.ident.to_string()).collect();
        let Some(Target::Item((module, name))) = self.tree.resolve(from, &named) else {
            return true;
        };
        let items = &self.tree.modules[&module].items[&name];
        items.iter().any(|item| is_public(visibility_of(item)))
    }

    /// What blocks anywhere in the library add to the type: public functions, and traits.
    fn of_blocks(&self, lines: &mut Vec<String>) {
        for (path, module) in &self.tree.modules {
            for block in &module.blocks {
                let syn::Type::Path(of) = &*block.self_ty else { continue };
                let named: Vec<String> =
                    of.path.segments.iter().map(|s| s.ident.to_string()).collect();
                let Some(Target::Item(target)) = self.tree.resolve(path, &named) else { continue };
                if target != *self.definition {
                    continue;
                }
                if let Some((of_trait, _)) = &block.trait_ {
                    if self.is_promised(path, of_trait) {
                        lines.push(format!(": {}", signature::of_path(of_trait)));
                    }
                    continue;
                }
                for inner in &block.items {
                    match inner {
                        syn::ImplItem::Fn(of) if is_public(&of.vis) && !is_for_tests(&of.attrs) => {
                            let with = signature::of_function(&of.sig);
                            lines.push(format!("::{} {with}", of.sig.ident));
                        }
                        syn::ImplItem::Const(of) if is_public(&of.vis) => {
                            lines.push(format!("::{}: {}", of.ident, signature::of_type(&of.ty)));
                        }
                        _ => {}
                    }
                }
            }
        }
    }
}

fn written(path: &[String]) -> String {
    std::iter::once("bandlore")
        .chain(path.iter().map(String::as_str))
        .collect::<Vec<_>>()
        .join("::")
}

/// Every public definition, and the path under which its particulars are listed: the longest.
fn homes(pages: &[Page]) -> BTreeMap<Definition, ModulePath> {
    let mut homes: BTreeMap<Definition, ModulePath> = BTreeMap::new();
    for page in pages {
        for (name, targets) in &page.names {
            for (target, _) in targets {
                let Target::Item(definition) = target else { continue };
                let path: ModulePath = page.path.iter().chain([name]).cloned().collect();
                let known = homes.entry(definition.clone()).or_insert_with(|| path.clone());
                if path.len() > known.len() {
                    *known = path;
                }
            }
        }
    }
    homes
}

fn listing(tree: &Tree) -> String {
    let pages = pages(tree);
    let homes = homes(&pages);
    let mut lines = Vec::new();
    for page in &pages {
        for (name, targets) in &page.names {
            let path: ModulePath = page.path.iter().chain([name]).cloned().collect();
            for (target, feature) in targets {
                let needs = feature.as_ref().map(|f| format!(" [{f}]")).unwrap_or_default();
                match target {
                    Target::Module(_) => lines.push(format!("{} mod{needs}", written(&path))),
                    Target::Item(definition) if homes[definition] != path => {
                        lines.push(format!("{} = {}", written(&path), written(&homes[definition])));
                    }
                    Target::Item(definition) => {
                        let module = &tree.modules[&definition.0];
                        let entry = Entry { tree, definition, module };
                        for line in entry.lines() {
                            lines.push(format!("{}{line}{needs}", written(&path)));
                        }
                    }
                }
            }
        }
    }
    lines.sort();
    lines.dedup();
    lines.join("\n") + "\n"
}

#[test]
fn what_is_public_is_what_is_kept() {
    let found = listing(&Tree::read());
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/public_api.txt");
    if std::env::var_os(RENEW).is_some() {
        fs::write(&path, &found).expect("writable");
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    let (was, is): (BTreeSet<&str>, BTreeSet<&str>) =
        (kept.lines().collect(), found.lines().collect());
    let gone = was.difference(&is).map(|line| format!("- {line}"));
    let new = is.difference(&was).map(|line| format!("+ {line}"));
    let differs: Vec<String> = gone.chain(new).collect();
    assert!(
        kept == found,
        "tests/public_api.txt is not current; set {RENEW}=1 to renew it, and say in CHANGELOG.md what changes:\n{}",
        differs.join("\n")
    );
}

#[test]
fn no_page_holds_more_names_than_a_reader_takes_in() {
    let tree = Tree::read();
    let pages = pages(&tree);
    assert!(pages.len() > 14, "only {} pages were found", pages.len());
    let mut faults = Vec::new();
    for page in &pages {
        if page.names.len() > MOST_NAMES {
            let names = page.names.len();
            faults.push(format!("{}: {names} names, at most {MOST_NAMES}", written(&page.path)));
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn every_page_says_what_goes_in_and_comes_out_and_shows_it() {
    let tree = Tree::read();
    let mut faults = Vec::new();
    for page in pages(&tree) {
        let said = &tree.modules[&page.path].documentation;
        for needed in ["In:", "Out:", "```"] {
            // The front page has its own order.
            if !page.path.is_empty() && !said.contains(needed) {
                faults.push(format!("{}: its page lacks {needed}", written(&page.path)));
            }
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn what_may_grow_says_so() {
    let tree = Tree::read();
    let homes = homes(&pages(&tree));
    let mut faults = Vec::new();
    let mut closed = BTreeSet::new();
    let (mut enums, mut structs) = (0, 0);
    for ((module, name), path) in &homes {
        for item in &tree.modules[module].items[name] {
            let attributes = match item {
                syn::Item::Enum(of) => {
                    enums += 1;
                    &of.attrs
                }
                // One without a public field is put together and taken apart by the library alone.
                syn::Item::Struct(of) if of.fields.iter().any(|field| is_public(&field.vis)) => {
                    structs += 1;
                    &of.attrs
                }
                _ => continue,
            };
            let path = path.join("::");
            let may_not = CLOSED.iter().any(|(known, _)| *known == path);
            let grows = has(attributes, "non_exhaustive");
            if may_not {
                closed.insert(path.clone());
            }
            if grows == may_not {
                faults.push(format!(
                    "{path}: {}",
                    if grows {
                        "is listed as closed"
                    } else {
                        "is neither #[non_exhaustive] nor listed as closed"
                    }
                ));
            }
        }
    }
    for (known, _) in CLOSED {
        if !closed.contains(*known) {
            faults.push(format!(
                "{known} is listed as closed, and is no public enum or struct with public fields"
            ));
        }
    }
    assert!(enums > 40, "only {enums} enums were found");
    assert!(structs > 140, "only {structs} structs with public fields were found");
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

/// Collects the first segment of every path.
struct FirstSegments(BTreeSet<String>);

impl<'ast> Visit<'ast> for FirstSegments {
    fn visit_path(&mut self, path: &'ast syn::Path) {
        self.0.extend(path.segments.first().map(|s| s.ident.to_string()));
        visit::visit_path(self, path);
    }

    fn visit_block(&mut self, _: &'ast syn::Block) {}
}

/// Crates whose types stand in no signature, for their versions would be ours.
const KEPT_INSIDE: [&str; 1] = ["serde_json"];

#[test]
fn no_signature_holds_a_type_of_the_json_library() {
    let tree = Tree::read();
    let homes = homes(&pages(&tree));
    let mut faults = Vec::new();
    let mut checked = 0;
    for ((path, name), home) in &homes {
        let mut seen: Vec<(&ModulePath, FirstSegments)> = Vec::new();
        let mut note = |path, visit: &dyn Fn(&mut FirstSegments)| {
            let mut segments = FirstSegments(BTreeSet::new());
            visit(&mut segments);
            seen.push((path, segments));
        };
        for item in &tree.modules[path].items[name] {
            match item {
                syn::Item::Fn(of) => note(path, &|s| s.visit_signature(&of.sig)),
                syn::Item::Struct(of) => {
                    for field in of.fields.iter().filter(|field| is_public(&field.vis)) {
                        note(path, &|s| s.visit_type(&field.ty));
                    }
                }
                syn::Item::Enum(of) => {
                    of.variants.iter().for_each(|v| note(path, &|s| s.visit_fields(&v.fields)));
                }
                syn::Item::Trait(of) => note(path, &|s| s.visit_item_trait(of)),
                _ => {}
            }
        }
        for (of, module) in &tree.modules {
            for block in &module.blocks {
                let syn::Type::Path(named) = &*block.self_ty else { continue };
                let named: Vec<String> =
                    named.path.segments.iter().map(|s| s.ident.to_string()).collect();
                if tree.resolve(of, &named) != Some(Target::Item((path.clone(), name.clone()))) {
                    continue;
                }
                if let Some((of_trait, _)) = &block.trait_ {
                    note(of, &|s| s.visit_path(of_trait));
                }
                for inner in &block.items {
                    if let syn::ImplItem::Fn(function) = inner
                        && is_public(&function.vis)
                    {
                        note(of, &|s| s.visit_signature(&function.sig));
                    }
                }
            }
        }
        for (module, FirstSegments(firsts)) in seen {
            checked += 1;
            for first in firsts {
                let imported = tree.modules[module].imports.get(&first);
                let from = imported.and_then(|import| import.path.first()).unwrap_or(&first);
                if KEPT_INSIDE.contains(&from.as_str()) {
                    faults.push(format!("{}: {from} in a signature", home.join("::")));
                }
            }
        }
    }
    assert!(checked > 300, "only {checked} signatures were read");
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}
