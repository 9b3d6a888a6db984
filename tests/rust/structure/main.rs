//! Where a line may live: imports run one way, and the numerics know no chemistry.

mod circles;

use std::path::{Path, PathBuf};

use support::{read, sources};

/// Rooms of the core, lowest first, each with those it may use beside itself.
const ROOMS: [(&str, &[&str]); 9] = [
    ("document", &[]),
    ("solution", &[]),
    ("surface", &["solution"]),
    ("deposit", &["solution", "surface"]),
    ("tank", &["solution", "surface", "deposit"]),
    ("life", &["solution", "surface", "deposit", "tank"]),
    ("model", &["document", "solution", "surface", "deposit", "tank", "life"]),
    ("recipe", &["document", "solution", "surface", "deposit", "tank", "life", "model"]),
    ("study", &["document", "solution", "surface", "deposit", "tank", "life", "model", "recipe"]),
];
/// What every room may use.
const COMMON: [&str; 8] = ["constants", "scalar", "error", "flag", "named", "remark", "source", "stop"];

fn files_under(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    let mut files: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry").path())
        .flat_map(|path| if path.is_dir() { files_under(&path) } else { vec![path] })
        .filter(|path| path.extension().is_some_and(|extension| extension == "rs" || extension == "py"))
        .collect();
    files.sort();
    files
}

/// What a source text names right after `crate::`, comments left out.
fn named_from_root(text: &str) -> Vec<String> {
    let code: String = text
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .flat_map(|line| [line, "\n"])
        .collect();
    let mut names = Vec::new();
    for after in code.split("crate::").skip(1) {
        let group = after.strip_prefix('{').map(|rest| {
            let mut depth = 1;
            let end = rest.find(|c| {
                depth += i32::from(c == '{') - i32::from(c == '}');
                depth == 0
            });
            &rest[..end.unwrap_or(rest.len())]
        });
        let word = |part: &str| -> String {
            part.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
        };
        match group {
            // Names inside an inner group belong to the name before it.
            Some(group) => {
                let mut depth = 0;
                let outer: String = group
                    .chars()
                    .filter(|c| {
                        depth += i32::from(*c == '{') - i32::from(*c == '}');
                        depth == 0
                    })
                    .collect();
                names.extend(outer.split(',').map(word).filter(|name| !name.is_empty()));
            }
            None => names.push(word(after)),
        }
    }
    names
}

/// Names a module may not use.
fn offences(module: &str, text: &str) -> Vec<String> {
    let below = ROOMS.iter().find(|(room, _)| *room == module).map_or(&[][..], |(_, below)| below);
    let allowed = |name: &str| {
        name == module
            || below.contains(&name)
            || COMMON.contains(&name)
            || ["Error", "Flag", "Place", "Stop"].contains(&name)
    };
    named_from_root(text).into_iter().filter(|name| !allowed(name)).collect()
}

#[test]
fn the_core_imports_downwards_only() {
    let src = sources("bathkin");
    let mut seen = 0;
    for file in files_under(&src) {
        let relative = file.strip_prefix(&src).expect("below src");
        let first = relative.components().next().expect("a part").as_os_str().to_string_lossy();
        let module = first.trim_end_matches(".rs");
        if module == "lib" {
            continue;
        }
        assert!(
            ROOMS.iter().any(|(room, _)| *room == module) || COMMON.contains(&module),
            "{module} has no place in the import order"
        );
        let found = offences(module, &read(&file));
        assert!(found.is_empty(), "{} uses {found:?}, which {module} may not", relative.display());
        seen += 1;
    }
    assert!(seen > ROOMS.len(), "the sources of the core were read");
}

#[test]
fn study_alone_uses_statistics() {
    let src = sources("bathkin");
    let others = |file: &PathBuf| !file.starts_with(src.join("study"));
    let found: Vec<PathBuf> = files_under(&src)
        .into_iter()
        .filter(others)
        .filter(|file| read(file).contains("bathkin_statistics"))
        .collect();
    assert_eq!(found, Vec::<PathBuf>::new());
}

#[test]
fn an_upward_import_would_be_found() {
    assert_eq!(offences("solution", "use crate::tank::Tank;\nuse crate::error::Result;"), ["tank"]);
    assert_eq!(
        offences("surface", "use crate::{error::Result, life::{Life, Limit}, solution::ph};"),
        ["life"]
    );
    assert_eq!(offences("deposit", "fn f() -> crate::study::Bath {}"), ["study"]);
    assert_eq!(offences("tank", "use crate::Recipe;"), ["Recipe"]);
    assert!(offences("life", "/// See [`crate::recipe`].\nuse crate::tank::Tank;").is_empty());
}

#[test]
fn numerics_and_statistics_know_no_chemistry() {
    for (name, least) in [("bathkin-numerics", 3), ("bathkin-statistics", 20)] {
        let files = files_under(&sources(name));
        assert!(files.len() > least, "the sources of {name} were read");
        for file in files {
            // The project's own name stands in the examples of the documentation.
            let source = read(&file);
            let text = source.to_lowercase().replace("bathkin", "");
            for word in ["nickel", "bath", "plating", "electrolyte", "copper", "mol_l", "recipe"] {
                assert!(!text.contains(word), "{} says '{word}'", file.display());
            }
            assert!(!source.contains("use bathkin::"), "{} uses the core", file.display());
        }
    }
}

/// One idea a file: what is longer has two. Results that `make results` writes are as long as they are.
#[test]
fn no_file_is_longer_than_a_reader_keeps_in_mind() {
    const MOST: usize = 400;
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let files: Vec<PathBuf> =
        ["crates", "python", "tests", "benches"].iter().flat_map(|of| files_under(&top.join(of))).collect();
    assert!(files.len() > 600, "the files were found: {}", files.len());
    for file in files {
        let text = read(&file);
        let written = text.starts_with("\"\"\"") && text.contains("Written by `make results`");
        let lines = text.lines().count();
        assert!(written || lines <= MOST, "{}: {lines} lines, at most {MOST}: part it", file.display());
    }
}
