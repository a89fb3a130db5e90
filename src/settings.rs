//! A settings text (TOML) becomes a typed value, with the line of every key kept for messages.
//!
//! Job file and catalogue are both read here. The keys a table may hold come from the JSON Schema of its type, so the
//! schema that is published and the messages a person sees cannot drift apart. No other file names the `toml` crate.

use crate::error::{Error, Result};
use crate::finding::Place;
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Where every key of a text stands. A path is written with dots, list positions counted from zero: `roof.edge.0.kind`.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Lines {
    entries: Vec<Entry>,
}

#[derive(Debug, Clone, PartialEq)]
struct Entry {
    path: String,
    key: Range<usize>,
    value: Range<usize>,
    line: usize,
}

impl Lines {
    /// The line of a key, from one; `None` when the text does not have it.
    #[must_use]
    pub fn of(&self, path: &str) -> Option<usize> {
        self.entries.iter().find(|e| e.path == path).map(|e| e.line)
    }

    /// The place of a key, or nowhere when the text does not have it.
    #[must_use]
    pub fn place(&self, path: &str) -> Place {
        self.of(path).map_or_else(Place::none, Place::line)
    }

    fn innermost(&self, at: &Range<usize>) -> Option<&Entry> {
        let holds = |span: &Range<usize>| span.start <= at.start && at.end <= span.end;
        self.entries
            .iter()
            .filter(|e| holds(&e.key) || holds(&e.value))
            .min_by_key(|e| (e.value.end - e.value.start, std::cmp::Reverse(e.path.len())))
    }
}

/// Reads a text whose keys are those of `schema`.
///
/// # Errors
/// - `settings-syntax`: the text is not TOML (a key given twice included);
/// - `unknown-key`: a key no table of this kind has;
/// - `missing-key`: a table lacks a key it must have;
/// - `wrong-value`: a value of the wrong type, without its unit, or a word that is not on the list.
pub fn read<T: DeserializeOwned>(text: &str, schema: &Value) -> Result<(T, Lines)> {
    let table = DeTable::parse(text).map_err(|e| syntax(text, &e))?;
    let mut walk = Walk { text, schema, lines: Lines::default(), unknown: Vec::new() };
    walk.table(table.get_ref(), schema, "");
    walk.unknown.sort_by_key(|(line, _)| *line);
    if let Some((_, error)) = walk.unknown.into_iter().next() {
        return Err(error);
    }
    let lines = walk.lines;
    match toml::from_str(text) {
        Ok(value) => Ok((value, lines)),
        Err(e) => Err(mistyped(text, schema, &lines, &e)),
    }
}

/// A key and its table as a person would look for it, with the position in a list counted from one.
#[must_use]
pub fn name_of(path: &str) -> String {
    let mut section = Vec::new();
    let mut position = None;
    let parts: Vec<&str> = path.split('.').collect();
    let (key, tables) = parts.split_last().unwrap_or((&"", &[]));
    // A quoted key may hold anything, a line break included.
    let key = key.escape_debug();
    for part in tables {
        match part.parse::<usize>() {
            Ok(at) => position = Some(at + 1),
            Err(_) => section.push(*part),
        }
    }
    match (section.is_empty(), position) {
        (true, _) => format!("`{key}`"),
        (false, None) => format!("`{key}` in [{}]", section.join(".")),
        (false, Some(at)) => format!("`{key}` in [[{}]] number {at}", section.join(".")),
    }
}

/// The word of `known` that is nearest to `word`, when it is near enough to be a slip of the pen.
#[must_use]
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let limit = (word.chars().count() / 2).clamp(1, 3);
    known
        .into_iter()
        .map(|candidate| (edit_distance(&word.to_lowercase(), candidate), candidate))
        .filter(|(distance, _)| *distance <= limit)
        .min()
        .map(|(_, candidate)| candidate)
}

/// "did you mean `x`?", or the whole list when nothing is near.
#[must_use]
pub fn suggestion<'a>(word: &str, known: impl IntoIterator<Item = &'a str> + Clone) -> String {
    match nearest(word, known.clone()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => {
            let list: Vec<String> = known.into_iter().map(|k| format!("`{k}`")).collect();
            format!("known here: {}", list.join(", "))
        }
    }
}

/// Letters to add, drop, change or swap with their neighbour to turn one word into the other.
fn edit_distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut rows: Vec<Vec<usize>> = vec![(0..=b.len()).collect()];
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let change = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = change.min(rows[i - 1][j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            row.push(best);
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}

struct Walk<'a> {
    text: &'a str,
    schema: &'a Value,
    lines: Lines,
    unknown: Vec<(usize, Error)>,
}

impl Walk<'_> {
    fn table(&mut self, table: &DeTable<'_>, schema: &Value, path: &str) {
        let schema = resolve(self.schema, schema);
        let known = keys(schema);
        for (key, value) in table {
            let name: &str = key.get_ref();
            let path = if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") };
            let line = line_at(self.text, key.span().start);
            self.lines.entries.push(Entry { path: path.clone(), key: key.span(), value: value.span(), line });
            match schema.get("properties").and_then(|p| p.get(name)) {
                Some(inner) => self.value(value, &inner.clone(), &path),
                None => self.unknown.push((line, unknown_key(self.schema, &path, name, &known).at(Place::line(line)))),
            }
        }
    }

    fn value(&mut self, value: &Spanned<DeValue<'_>>, schema: &Value, path: &str) {
        match value.get_ref() {
            DeValue::Table(table) => self.table(table, schema, path),
            DeValue::Array(items) => {
                let item_schema = resolve(self.schema, schema).get("items").cloned().unwrap_or(Value::Null);
                if resolve(self.schema, &item_schema).get("properties").is_none() {
                    return;
                }
                for (at, item) in items.iter().enumerate() {
                    let path = format!("{path}.{at}");
                    let line = line_at(self.text, item.span().start);
                    self.lines.entries.push(Entry { path: path.clone(), key: item.span(), value: item.span(), line });
                    self.value(item, &item_schema, &path);
                }
            }
            _ => {}
        }
    }
}

/// Follows references and the non-null branch of an optional value.
fn resolve<'a>(root: &'a Value, node: &'a Value) -> &'a Value {
    let mut node = node;
    loop {
        if let Some(reference) = node.get("$ref").and_then(Value::as_str) {
            match root.pointer(reference.trim_start_matches('#')) {
                Some(target) => node = target,
                None => return node,
            }
        } else if let Some(branches) = node.get("anyOf").and_then(Value::as_array) {
            let real = |b: &&Value| b.get("type").and_then(Value::as_str) != Some("null");
            match branches.iter().find(real) {
                Some(branch) => node = branch,
                None => return node,
            }
        } else {
            return node;
        }
    }
}

/// The keys a table may hold, in the order of its type.
fn keys(schema: &Value) -> Vec<String> {
    schema.get("properties").and_then(Value::as_object).map(|p| p.keys().cloned().collect()).unwrap_or_default()
}

/// The schema of the value at a path; list positions are skipped.
fn schema_at<'a>(root: &'a Value, path: &str) -> Option<&'a Value> {
    path.split('.').try_fold(root, |node, part| {
        let node = resolve(root, node);
        if part.parse::<usize>().is_ok() {
            Some(node.get("items").unwrap_or(node))
        } else {
            node.get("properties")?.get(part)
        }
    })
}

/// What a key is for, from its schema; list positions in the path are skipped.
#[must_use]
pub fn description<'a>(schema: &'a Value, path: &str) -> Option<&'a str> {
    schema_at(schema, path)?.get("description").and_then(Value::as_str)
}

/// The keys of the table at a path, or of the tables in the list there; empty for a plain value.
#[must_use]
pub fn keys_at(schema: &Value, path: &str) -> Vec<String> {
    let Some(node) = schema_at(schema, path) else { return Vec::new() };
    keys(resolve(schema, node))
}

fn unknown_key(root: &Value, path: &str, name: &str, known: &[String]) -> Error {
    let message = format!("unknown key {}", name_of(path));
    let list = || known.iter().map(String::as_str);
    let elsewhere = keys(root).into_iter().find(|section| {
        schema_at(root, &format!("{section}.{name}")).is_some() && !path.starts_with(&format!("{section}."))
    });
    let hint = match (nearest(name, list()), elsewhere) {
        (None, Some(section)) => format!("`{name}` belongs in [{section}]"),
        _ => suggestion(name, list()),
    };
    Error::usage("unknown-key", message).with_hint(hint)
}

fn syntax(text: &str, error: &toml::de::Error) -> Error {
    let line = error.span().map_or(1, |span| line_at(text, span.start));
    let message = first_line(error.message());
    let hint = if message.contains("duplicate key") {
        "a key may stand only once in its table: remove one of the two"
    } else {
        "write `key = value`, text in double quotes, tables as [name] and list entries as [[name]]"
    };
    Error::usage("settings-syntax", message).at(Place::line(line)).with_hint(hint)
}

/// Turns serde's message into one that names the key, its table and what would be right.
fn mistyped(text: &str, root: &Value, lines: &Lines, error: &toml::de::Error) -> Error {
    let span = error.span().unwrap_or(0..0);
    let entry = lines.innermost(&span);
    let line = line_at(text, span.start);
    let (message, own_hint) = match error.message().split_once("\nhint: ") {
        Some((message, hint)) => (message.to_owned(), Some(hint.to_owned())),
        None => (plain_words(&first_line(error.message())), None),
    };
    if let Some(field) = message.strip_prefix("missing field ") {
        let table = entry.map_or_else(String::new, |e| format!(" in {}", table_name(&e.path)));
        return Error::usage("missing-key", format!("missing key {field}{table}"))
            .at(Place::line(line))
            .with_hint(format!("add {field} with its value"));
    }
    let what = entry.map_or_else(|| "a value".to_owned(), |e| name_of(&e.path));
    let hint = own_hint
        .or_else(|| word_hint(&message))
        .or_else(|| expected(root, entry?))
        .unwrap_or_else(|| "see the schema of this file in the samples".to_owned());
    Error::usage("wrong-value", format!("{what}: {message}")).at(Place::line(line)).with_hint(hint)
}

/// For "`raek` is not on the list: `eave`, `rake`": the nearest word of the list.
fn word_hint(message: &str) -> Option<String> {
    let (word, rest) = message.strip_prefix('`')?.split_once("` is not on the list")?;
    let known: Vec<&str> = rest.split('`').skip(1).step_by(2).collect();
    Some(suggestion(word, known.iter().copied()))
}

/// What a value at this place looks like, from the schema.
fn expected(root: &Value, entry: &Entry) -> Option<String> {
    let node = schema_at(root, &entry.path)?;
    let inner = resolve(root, node);
    let words = words_of(inner);
    let words = if words.is_empty() {
        // A type of our own says in its description how it is written; a key's own description says what it is for.
        let own = inner.get("description").and_then(Value::as_str).filter(|_| !std::ptr::eq(node, inner));
        own.filter(|_| inner.get("properties").is_none()).or_else(|| plain_type(inner))?.to_owned()
    } else {
        format!("one of {}", words.join(", "))
    };
    Some(format!("write {words}"))
}

/// The words a value of a closed list may be, in quotes.
fn words_of(schema: &Value) -> Vec<String> {
    let plain = schema.get("enum").and_then(Value::as_array).into_iter().flatten();
    let branches = schema.get("oneOf").and_then(Value::as_array).into_iter().flatten();
    let described = branches.filter_map(|b| b.get("const"));
    plain.chain(described).map(Value::to_string).collect()
}

fn plain_type(schema: &Value) -> Option<&'static str> {
    let kind = schema.get("type")?;
    let kind = kind.as_str().or_else(|| kind.as_array()?.iter().filter_map(Value::as_str).find(|k| *k != "null"))?;
    Some(match kind {
        "string" => "a text in double quotes",
        "number" => "a number without quotes, such as 240.0",
        "integer" => "a whole number without quotes",
        "boolean" => "true or false",
        "array" => "a list in square brackets",
        _ => "a table",
    })
}

fn table_name(path: &str) -> String {
    let named = name_of(&format!("{path}.x"));
    named.split_once(" in ").map_or(named.clone(), |(_, table)| table.to_owned())
}

/// Rust's type names in everyday words.
fn plain_words(message: &str) -> String {
    if let Some((word, list)) = message.strip_prefix("unknown variant ").and_then(|m| m.split_once(", expected ")) {
        return format!("{word} is not on the list: {}", list.trim_start_matches("one of "));
    }
    let words = [
        ("invalid type: ", "found "),
        ("invalid value: ", "found "),
        ("invalid length ", "found a list of "),
        ("expected f64", "expected a number"),
        ("expected u32", "expected a whole number from 0"),
        ("expected a string", "expected text"),
        ("expected an array of length", "expected a list of"),
        ("expected a sequence", "expected a list"),
        ("floating point", "number"),
        ("integer `", "whole number `"),
        ("string \"", "text \""),
    ];
    let text = words.iter().fold(message.to_owned(), |text, (from, to)| text.replace(from, to));
    match text.split_once("expected struct ") {
        Some((before, _)) => format!("{before}expected a table"),
        None => text,
    }
}

fn first_line(message: &str) -> String {
    message.lines().next().unwrap_or("not readable").to_owned()
}

/// The line, from one, on which a byte offset lies.
fn line_at(text: &str, offset: usize) -> usize {
    1 + text.as_bytes()[..offset.min(text.len())].iter().filter(|b| **b == b'\n').count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_pen_finds_its_word() {
        for (typed, meant) in [("ovrhang", "overhang"), ("Overhang", "overhang"), ("cut_stpe", "cut_step")] {
            assert_eq!(nearest(typed, ["reach", "overhang", "cut_step"]), Some(meant));
        }
        assert_eq!(nearest("gutter", ["reach", "overhang"]), None);
    }

    /// Worked by hand: a swap is one step, so is each letter added, dropped or changed.
    #[test]
    fn edit_distances_by_hand() {
        for (a, b, steps) in
            [("", "abc", 3), ("raek", "rake", 1), ("eave", "eaves", 1), ("hip", "rip", 1), ("kitten", "sitting", 3)]
        {
            assert_eq!(edit_distance(a, b), steps, "{a} {b}");
        }
    }

    #[test]
    fn keys_are_named_with_their_table() {
        assert_eq!(name_of("roof.overhang"), "`overhang` in [roof]");
        assert_eq!(name_of("roof.edge.1.kind"), "`kind` in [[roof.edge]] number 2");
        assert_eq!(name_of("name"), "`name`");
    }

    #[test]
    fn lines_count_from_one() {
        assert_eq!(["a", "a\nb"].map(|t| line_at(t, t.len())), [1, 2]);
    }
}
