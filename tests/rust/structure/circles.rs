//! Circles of imports: modules that lead back to themselves, re-exports followed to where a name is defined.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use support::{read, sources};

use crate::files_under;

type Names = Vec<String>;

/// Code without comments, and without the tests at its end.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]").next().unwrap_or(text);
    let plain = |line: &str| line.split("//").next().unwrap_or(line).to_owned();
    text.lines().map(plain).collect::<Vec<_>>().join("\n")
}

/// The paths of a tree `a::{b, c::{d, e}}`.
fn expand(tree: &str, before: &[String]) -> Vec<Names> {
    let tree = tree.trim();
    let words = |path: &str| -> Names {
        path.split("::").map(|word| word.split(" as ").next().unwrap_or(word).trim().to_owned()).collect()
    };
    let Some(group) = tree.strip_suffix('}') else {
        return vec![[before, &words(tree)].concat()];
    };
    let (path, group) = group.split_once('{').expect("an opening brace");
    let path = path.trim_end_matches("::");
    let before = if path.is_empty() { before.to_vec() } else { [before, &words(path)].concat() };
    let (mut depth, mut parts) = (0, vec![String::new()]);
    for c in group.chars() {
        depth += i32::from(c == '{') - i32::from(c == '}');
        match parts.last_mut() {
            Some(part) if c != ',' || depth > 0 => part.push(c),
            _ => parts.push(String::new()),
        }
    }
    parts.iter().filter(|part| !part.trim().is_empty()).flat_map(|part| expand(part, &before)).collect()
}

/// (whether it is a re-export, paths) of every `use`, and what is left of the code.
fn uses(code: &str) -> (Vec<(bool, Vec<Names>)>, String) {
    let (mut found, mut rest, mut lines) = (Vec::new(), String::new(), code.lines());
    while let Some(line) = lines.next() {
        let plain = line.trim_start();
        let public = plain.starts_with("pub");
        let after =
            if public { plain.split_once(" use ").map(|(_, tree)| tree) } else { plain.strip_prefix("use ") };
        let Some(first) = after.filter(|_| !plain.contains(" fn ")) else {
            rest.push_str(line);
            rest.push('\n');
            continue;
        };
        let mut tree = first.to_owned();
        while !tree.contains(';') {
            tree.push_str(lines.next().expect("the end of a use"));
        }
        found.push((public, expand(tree.split(';').next().unwrap_or(""), &[])));
    }
    (found, rest)
}

/// A path from the root of the crate.
fn absolute(path: &[String], here: &[String]) -> Names {
    match path.first().map(String::as_str) {
        Some("crate") => path[1..].to_vec(),
        Some("super") => absolute_in(&path[1..], &here[..here.len().saturating_sub(1)]),
        Some("self") => absolute_in(&path[1..], here),
        _ => absolute_in(path, here),
    }
}

fn absolute_in(path: &[String], here: &[String]) -> Names {
    if path.first().is_some_and(|word| word == "super") {
        absolute(path, here)
    } else {
        [here, path].concat()
    }
}

/// Paths from `crate` or `super` in code that is no `use`.
fn inline(code: &str) -> Vec<Names> {
    let is_word = |c: char| c.is_alphanumeric() || c == '_';
    let starts = ["crate::", "super::"].into_iter().flat_map(|start| code.match_indices(start));
    let paths = starts.filter(|(at, _)| !code[..*at].ends_with(|c: char| is_word(c) || c == ':'));
    paths
        .map(|(at, _)| {
            let end = code[at..].find(|c: char| !is_word(c) && c != ':').map_or(code.len(), |end| at + end);
            code[at..end].split("::").filter(|word| !word.is_empty()).map(str::to_owned).collect()
        })
        .collect()
}

struct Crate {
    modules: BTreeSet<Names>,
    exports: BTreeMap<Names, Names>,
}

impl Crate {
    /// The module in which a path is defined.
    fn resolve(&self, path: &[String]) -> Names {
        for length in 1..=path.len() {
            let start = &path[..length];
            if let Some(to) = self.exports.get(start).filter(|_| !self.modules.contains(start)) {
                return self.resolve(&[to, &path[length..]].concat());
            }
        }
        (0..=path.len())
            .rev()
            .map(|k| path[..k].to_vec())
            .find(|start| self.modules.contains(start))
            .unwrap_or_default()
    }
}

/// The circles of a crate, each as its modules in order.
fn circles(src: &Path) -> Vec<Names> {
    let mut texts: BTreeMap<Names, String> = BTreeMap::new();
    for file in files_under(src) {
        let relative = file.strip_prefix(src).expect("below src").with_extension("");
        let mut names: Names = relative.iter().map(|part| part.to_string_lossy().into_owned()).collect();
        if names.last().is_some_and(|last| ["mod", "lib"].contains(&last.as_str())) {
            names.pop();
        }
        texts.insert(names, code(&read(&file)));
    }
    let mut of = Crate { modules: texts.keys().cloned().collect(), exports: BTreeMap::new() };
    for (module, text) in &texts {
        for path in uses(text).0.into_iter().filter(|(public, _)| *public).flat_map(|(_, paths)| paths) {
            let name = [module.as_slice(), &path[path.len() - 1..]].concat();
            let to = absolute(&path, module);
            // `pub use name;` gives out a macro of the module itself: it is defined here.
            if to != name {
                of.exports.insert(name, to);
            }
        }
    }
    let leads_to = |module: &Names, text: &String| -> BTreeSet<Names> {
        let (uses, rest) = uses(text);
        let own = uses.into_iter().filter(|(public, _)| !public).flat_map(|(_, paths)| paths);
        let within = own.filter(|path| ["crate", "super", "self"].contains(&path[0].as_str()));
        let found = within.chain(inline(&rest)).map(|path| of.resolve(&absolute(&path, module)));
        found.filter(|to| to != module && !to.is_empty()).collect()
    };
    let graph: BTreeMap<&Names, BTreeSet<Names>> =
        texts.iter().map(|(module, text)| (module, leads_to(module, text))).collect();
    let reached = |from: &Names| {
        let (mut seen, mut open) = (BTreeSet::new(), vec![from]);
        while let Some(module) = open.pop() {
            open.extend(graph[module].iter().filter(|to| seen.insert((*to).clone())));
        }
        seen
    };
    let reach: BTreeMap<&Names, BTreeSet<Names>> =
        texts.keys().map(|module| (module, reached(module))).collect();
    let mutual = |module: &Names| -> Names {
        let back = reach[module].iter().filter(|other| reach[*other].contains(module));
        back.map(|other| other.join("::")).collect()
    };
    let all: BTreeSet<Names> = texts.keys().map(mutual).filter(|circle| !circle.is_empty()).collect();
    all.into_iter().collect()
}

#[test]
fn no_module_leads_back_to_itself() {
    for name in ["bathkin-numerics", "bathkin-statistics", "bathkin", "bathkin-fit", "bathkin-python"] {
        assert_eq!(circles(&sources(name)), Vec::<Names>::new(), "circles of imports in {name}");
    }
}

/// The circles of a crate of these (file, text).
fn circles_of(name: &str, files: &[(&str, &str)]) -> Vec<Names> {
    let folder = std::env::temp_dir().join(format!("circles-{name}-{}", std::process::id()));
    for (file, text) in files {
        let path = folder.join(file);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        std::fs::write(path, text).expect("a file");
    }
    let found = circles(&folder);
    std::fs::remove_dir_all(&folder).expect("removed");
    found
}

#[test]
fn a_circle_through_a_re_export_is_found() {
    let files = [
        ("lib.rs", "pub mod low;\npub mod high;\nmod apart;\n"),
        ("low/mod.rs", "mod inner;\npub use inner::Inner;\n"),
        ("low/inner.rs", "// use crate::apart::Apart;\npub struct Inner(crate::high::High);\n"),
        ("high.rs", "use crate::{low::{Inner as In}};\npub struct High(In);\n"),
        ("apart.rs", "use crate::high::High;\n"),
    ];
    assert_eq!(circles_of("re-export", &files), [["high", "low::inner"]]);
}

/// A macro has no path but the one its own module re-exports it by.
#[test]
fn a_macro_given_out_by_its_own_module_is_defined_there() {
    let files = [
        ("lib.rs", "mod made;\nmod user;\n"),
        ("made.rs", "macro_rules! made { () => { crate::user::User } }\npub(crate) use made;\n"),
        ("user.rs", "use crate::made::made;\npub struct User;\n"),
    ];
    assert_eq!(circles_of("macro", &files), [["made", "user"]]);
}

#[test]
fn no_path_goes_up_twice() {
    for name in ["bathkin-numerics", "bathkin-statistics", "bathkin", "bathkin-fit", "bathkin-python"] {
        for file in files_under(&sources(name)) {
            assert!(!code(&read(&file)).contains("super::super"), "{} uses super::super", file.display());
        }
    }
}
