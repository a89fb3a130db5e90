//! The walls of the program: which folder may use which, and which file alone names a foreign crate.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Folders and top-level files of `src`, each with what it may use. Every one may use itself and the leaves
/// `error`, `finding`, `geometry`, `index`, `terms`, `threads` and `units`.
const ALLOWED: &[(&str, &[&str])] = &[
    ("index", &[]),
    ("geometry", &[]),
    ("finding", &[]),
    ("error", &[]),
    ("skeleton", &[]),
    ("terms", &[]),
    ("threads", &[]),
    // Pure physics in the units of its published formulas; `checks` and `pipeline` give it numbers.
    ("thermal", &[]),
    ("units", &[]),
    ("settings", &[]),
    ("catalog", &["settings"]),
    ("electrical", &["catalog"]),
    ("job", &["catalog", "roof", "import", "settings"]),
    ("import", &["job"]),
    ("plan", &["import", "job"]),
    ("roof", &["import", "plan", "job", "skeleton"]),
    ("zones", &["import", "roof", "job", "plan"]),
    ("courses", &["roof", "zones", "job", "catalog", "electrical"]),
    ("wiring", &["import", "roof", "zones", "courses", "job", "catalog", "electrical"]),
    ("checks", &["zones", "courses", "wiring", "job", "catalog", "electrical", "thermal"]),
    ("takeoff", &["courses", "wiring", "checks", "job", "catalog", "electrical"]),
    // Forms for the site and what comes back on them: read after the layout, which they may change only through the job.
    ("field", &["import", "roof", "zones", "courses", "wiring", "checks", "takeoff", "job"]),
    (
        "pipeline",
        &[
            "import",
            "plan",
            "roof",
            "zones",
            "courses",
            "wiring",
            "checks",
            "takeoff",
            "job",
            "sheet",
            "field",
            "thermal",
            // The power of element at the air of each hour of a season.
            "electrical",
        ],
    ),
    (
        "sheet",
        &[
            "import",
            "plan",
            "roof",
            "zones",
            "courses",
            "wiring",
            "checks",
            "takeoff",
            "job",
            "catalog",
            "electrical",
            "field",
            "thermal",
        ],
    ),
    (
        "write",
        &[
            "import", "plan", "roof", "zones", "courses", "wiring", "checks", "takeoff", "job", "pipeline", "sheet",
            "field", "thermal",
        ],
    ),
    ("cli", &["import", "roof", "job", "catalog", "pipeline", "sheet", "write", "field", "thermal"]),
    ("lib", &[]),
    ("main", &["cli"]),
];

const LEAVES: &[&str] = &["error", "finding", "geometry", "index", "terms", "threads", "units"];

/// Foreign crates and the one file (or folder) that names each. serde, schemars and serde_json derive or print everywhere.
const FOREIGN: &[(&str, &str)] = &[
    ("clap", "src/cli/"),
    ("csv", "src/field/table.rs"),
    ("encoding_rs", "src/import/code_page.rs"),
    ("memchr", "src/import/group.rs"),
    ("geo", "src/geometry/"),
    ("geo_types", "src/geometry/"),
    ("krilla", "src/write/pdf.rs"),
    ("libm", "src/geometry/trig.rs"),
    ("robust", "src/geometry/predicates.rs"),
    ("rstar", "src/geometry/spatial.rs"),
    ("rust_xlsxwriter", "src/write/xlsx.rs"),
    ("svg", "src/write/svg.rs"),
    ("toml", "src/settings.rs"),
    ("ttf_parser", "src/sheet/text.rs"),
];

/// All source files but those that are compiled for tests only.
fn sources() -> Vec<(PathBuf, String)> {
    fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
        let mut entries: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
        entries.sort();
        for path in entries {
            if path.is_dir() {
                walk(&path, found);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push(path);
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    walk(&root.join("src"), &mut found);
    assert!(found.len() > 40, "the walk found only {} files", found.len());
    let texts: Vec<(PathBuf, String)> =
        found.into_iter().map(|path| (path.clone(), std::fs::read_to_string(path).unwrap())).collect();
    let test_only: BTreeSet<PathBuf> = texts.iter().flat_map(|(path, text)| test_modules(path, text)).collect();
    texts
        .into_iter()
        .filter(|(path, _)| !test_only.contains(path))
        .map(|(path, text)| (path.strip_prefix(root).unwrap().to_owned(), text))
        .collect()
}

/// Files of modules that a file declares under `#[cfg(test)]`.
fn test_modules(path: &Path, text: &str) -> Vec<PathBuf> {
    let folder = path.parent().unwrap();
    text.split("#[cfg(test)]\n")
        .skip(1)
        .filter_map(|after| {
            let line = after.lines().next()?.trim();
            let name = line.strip_prefix("pub(crate) ").unwrap_or(line).strip_prefix("mod ")?.strip_suffix(';')?;
            Some(folder.join(format!("{name}.rs")))
        })
        .collect()
}

/// The folder of `src` a file belongs to, or its own name for a top-level file.
fn module_of(path: &Path) -> String {
    path.components().nth(1).unwrap().as_os_str().to_string_lossy().trim_end_matches(".rs").to_owned()
}

/// Code without comments and without its test module, which may use fixtures of any stage.
fn production_code(text: &str) -> String {
    let text = text.split("#[cfg(test)]\nmod tests").next().unwrap();
    text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

#[test]
fn folders_use_only_what_the_table_allows() {
    let allowed: BTreeMap<&str, BTreeSet<&str>> =
        ALLOWED.iter().map(|(who, what)| (*who, what.iter().chain(LEAVES).copied().collect())).collect();
    let mut wrong = Vec::new();
    for (path, text) in sources() {
        let module = module_of(&path);
        let may = allowed.get(module.as_str()).unwrap_or_else(|| panic!("{module} is not in the table"));
        for piece in production_code(&text).split("crate::").skip(1) {
            let target: String = piece.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            if !target.is_empty() && target != module && !may.contains(target.as_str()) {
                wrong.push(format!("{} uses crate::{target}", path.display()));
            }
        }
    }
    wrong.dedup();
    assert!(wrong.is_empty(), "imports against the table:\n{}", wrong.join("\n"));
}

#[test]
fn a_foreign_crate_is_named_in_one_place() {
    let mut wrong = Vec::new();
    for (path, text) in sources() {
        let code = production_code(&text);
        for (name, home) in FOREIGN {
            let named = code.contains(&format!("{name}::")) && {
                // `svg::` as our own module path or a longer word is no use of the crate.
                code.match_indices(&format!("{name}::")).any(|(at, _)| {
                    let before = code[..at].chars().next_back().unwrap_or(' ');
                    !before.is_alphanumeric() && before != '_' && before != ':'
                })
            };
            let in_home = path.to_string_lossy().replace('\\', "/").starts_with(home);
            let own_module = code.contains(&format!("mod {name};"));
            if named && !in_home && !own_module {
                wrong.push(format!("{} names {name}, whose home is {home}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_source_file_is_longer_than_600_lines() {
    let long: Vec<String> = sources()
        .iter()
        .filter(|(_, text)| text.lines().count() > 600)
        .map(|(path, text)| format!("{}: {}", path.display(), text.lines().count()))
        .collect();
    assert!(long.is_empty(), "split these: {}", long.join(", "));
}

/// Every finding and error code in the source is explained in DEVELOPERS.md.
#[test]
fn every_code_is_in_the_developers_guide() {
    let guide = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md")).unwrap();
    let mut missing = BTreeSet::new();
    let mut count = 0;
    for (_, text) in sources() {
        let code = production_code(&text);
        for opening in ["Error::usage(", "Error::refused(", "Error::unreadable("] {
            for piece in code.split(opening).skip(1) {
                count += check_word(piece, &guide, &mut missing);
            }
        }
        for piece in code.split("Finding::new(").skip(1) {
            // The code follows the severity.
            if let Some((_, after)) = piece.split_once(',') {
                count += check_word(after, &guide, &mut missing);
            }
        }
    }
    assert!(count > 30, "only {count} codes found: the search is broken");
    assert!(missing.is_empty(), "not explained in DEVELOPERS.md: {missing:?}");
}

/// Looks at a string literal at the start of `text`; 1 when there is one.
fn check_word(text: &str, guide: &str, missing: &mut BTreeSet<String>) -> usize {
    let Some(word) = text.trim_start().strip_prefix('"').and_then(|rest| rest.split('"').next()) else { return 0 };
    if !guide.contains(&format!("`{word}`")) {
        missing.insert(word.to_owned());
    }
    1
}
