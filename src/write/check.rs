//! Checks of a written DXF that know nothing of how it was written.

use std::collections::{BTreeMap, BTreeSet};

/// Codes that hold a handle of something else.
const POINTERS: [i32; 7] = [320, 330, 331, 340, 350, 360, 390];
/// Sections in the order the format wants.
const SECTIONS: [&str; 6] = ["HEADER", "CLASSES", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS"];
/// Tables every drawing has.
const TABLES: [&str; 9] = ["VPORT", "LTYPE", "LAYER", "STYLE", "VIEW", "UCS", "APPID", "DIMSTYLE", "BLOCK_RECORD"];

/// A group starting with code 0: its kind, section and tags.
struct Record<'a> {
    section: &'a str,
    kind: &'a str,
    tags: Vec<(i32, &'a str)>,
}

impl<'a> Record<'a> {
    fn first(&self, code: i32) -> Option<&'a str> {
        self.tags.iter().find(|(c, _)| *c == code).map(|(_, value)| *value)
    }

    fn handle(&self) -> Option<u64> {
        let code = if self.kind == "DIMSTYLE" { 105 } else { 5 };
        self.first(code).and_then(|text| u64::from_str_radix(text, 16).ok())
    }
}

/// What is wrong with a DXF file of ours; nothing when it is fine.
///
/// Sections and tables are all there and in order; every handle is unique and below the seed; every pointer resolves; layers, line
/// types, styles, blocks and applications that are named exist; attributes follow their insert and end with SEQEND; every entity
/// but a text on paper carries an item id.
#[must_use]
pub fn check_invariants(dxf: &[u8]) -> Vec<String> {
    let Ok(text) = std::str::from_utf8(dxf) else { return vec!["the file is not text".into()] };
    if !text.is_ascii() {
        return vec!["the file is not ASCII".into()];
    }
    let (records, mut wrong) = records_of(text);
    check_order(&records, &mut wrong);
    check_handles(&records, &mut wrong);
    check_names(&records, &mut wrong);
    check_inserts(&records, &mut wrong);
    check_ids(&records, &mut wrong);
    wrong
}

fn records_of(text: &str) -> (Vec<Record<'_>>, Vec<String>) {
    let lines: Vec<&str> = text.lines().collect();
    let mut records: Vec<Record> = Vec::new();
    let mut wrong = Vec::new();
    let mut section = "";
    for (i, pair) in lines.chunks(2).enumerate() {
        let [code, value] = pair else {
            wrong.push("a group code has no value".into());
            break;
        };
        let Ok(code) = code.trim().parse::<i32>() else {
            wrong.push(format!("line {}: '{code}' is not a group code", 2 * i + 1));
            continue;
        };
        if code == 0 {
            if *value == "ENDSEC" {
                section = "";
            }
            records.push(Record { section, kind: value, tags: Vec::new() });
            continue;
        }
        let Some(record) = records.last_mut() else {
            wrong.push(format!("code {code} before the first section"));
            continue;
        };
        if record.kind == "SECTION" && code == 2 {
            section = value;
        }
        record.tags.push((code, value));
    }
    (records, wrong)
}

fn check_order(records: &[Record], wrong: &mut Vec<String>) {
    let named =
        |kind: &str| -> Vec<&str> { records.iter().filter(|r| r.kind == kind).filter_map(|r| r.first(2)).collect() };
    for (kind, expected) in [("SECTION", &SECTIONS[..]), ("TABLE", &TABLES[..])] {
        let found = named(kind);
        if found != expected {
            wrong.push(format!("{kind}s are {found:?}, not {expected:?}"));
        }
    }
    if records.last().is_none_or(|r| r.kind != "EOF") {
        wrong.push("the file does not end with EOF".into());
    }
}

fn check_handles(records: &[Record], wrong: &mut Vec<String>) {
    let seed = records
        .iter()
        .find(|r| r.first(2) == Some("HEADER"))
        .and_then(|r| r.tags.windows(2).find(|w| w[0] == (9, "$HANDSEED")))
        .and_then(|w| u64::from_str_radix(w[1].1, 16).ok())
        .unwrap_or(0);
    let mut seen = BTreeSet::from([0]);
    let body = || records.iter().filter(|r| !matches!(r.section, "HEADER" | "CLASSES" | ""));
    for record in body() {
        match record.handle() {
            None if matches!(record.kind, "ENDTAB" | "ENDSEC" | "SECTION") => {}
            None => wrong.push(format!("a {} has no handle", record.kind)),
            Some(handle) => {
                if !seen.insert(handle) {
                    wrong.push(format!("handle {handle:X} of a {} is not its own", record.kind));
                }
                if handle >= seed {
                    wrong.push(format!("handle {handle:X} is not below the seed {seed:X}"));
                }
            }
        }
    }
    for record in body() {
        for (code, value) in record.tags.iter().filter(|(code, _)| POINTERS.contains(code)) {
            if !u64::from_str_radix(value, 16).is_ok_and(|target| seen.contains(&target)) {
                wrong.push(format!("pointer {code} = {value} of a {} leads nowhere", record.kind));
            }
        }
    }
}

fn check_names(records: &[Record], wrong: &mut Vec<String>) {
    let mut tables: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for record in records.iter().filter(|r| r.section == "TABLES") {
        if let (Some(name), false) = (record.first(2), record.kind == "TABLE")
            && !tables.entry(record.kind).or_default().insert(name.to_uppercase())
        {
            wrong.push(format!("{} {name} is there twice", record.kind));
        }
    }
    let exists = |table: &str, name: &str| tables.get(table).is_some_and(|t| t.contains(&name.to_uppercase()));
    let blocks: BTreeSet<String> =
        records.iter().filter(|r| r.kind == "BLOCK").filter_map(|r| r.first(2)).map(str::to_uppercase).collect();
    if tables.get("BLOCK_RECORD").cloned().unwrap_or_default() != blocks {
        wrong.push("blocks and block records differ".into());
    }
    for record in records.iter().filter(|r| matches!(r.section, "BLOCKS" | "ENTITIES")) {
        for (code, value) in &record.tags {
            let table = match (code, record.kind) {
                (8, _) => "LAYER",
                (6, _) => "LTYPE",
                (7, _) => "STYLE",
                (3, "DIMENSION") => "DIMSTYLE",
                (2, "INSERT" | "DIMENSION") => "BLOCK_RECORD",
                (1001, _) => "APPID",
                _ => continue,
            };
            if !exists(table, value) {
                wrong.push(format!("a {} names {table} {value}, which is not there", record.kind));
            }
        }
    }
}

fn check_inserts(records: &[Record], wrong: &mut Vec<String>) {
    let mut open = false;
    for record in records {
        match record.kind {
            "ATTRIB" if !open => wrong.push("an attribute follows no insert".into()),
            "SEQEND" if !open => wrong.push("a SEQEND ends nothing".into()),
            "ATTRIB" => {}
            "SEQEND" => open = false,
            _ if open => {
                wrong.push(format!("an insert's attributes end with a {} instead of SEQEND", record.kind));
                open = false;
            }
            _ => open = record.kind == "INSERT" && record.first(66) == Some("1"),
        }
    }
}

fn check_ids(records: &[Record], wrong: &mut Vec<String>) {
    // Texts on paper (67) are cells and notes and need no id; attributes and their end have their symbol's.
    let bare = |r: &&Record| {
        matches!(r.kind, "BLOCK" | "ENDBLK" | "SECTION" | "ENDSEC" | "ATTRIB" | "SEQEND")
            || (matches!(r.kind, "TEXT" | "MTEXT") && r.first(67) == Some("1"))
    };
    for record in records.iter().filter(|r| matches!(r.section, "BLOCKS" | "ENTITIES")).filter(|r| !bare(r)) {
        if record.first(1001) != Some("EAVESDRAFT") || record.first(1000).is_none_or(str::is_empty) {
            wrong.push(format!("a {} carries no item id", record.kind));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::{fixtures, sheets_dxf};

    /// Spoiling one thing at a time must be noticed: a check that sees nothing proves nothing.
    #[test]
    fn spoilt_files_are_noticed() {
        let good = String::from_utf8(sheets_dxf(&fixtures::set())).unwrap();
        assert_eq!(check_invariants(good.as_bytes()), Vec::<String>::new());
        for (from, to, complaint) in [
            ("\n2\nAPPID\n", "\n2\nOTHER\n", "TABLEs are"),
            ("\n8\nE-HEAT-ELEM\n", "\n8\nNO-SUCH\n", "names LAYER"),
            ("350\n", "350\nFFFF\n350\n", "leads nowhere"),
            ("\n0\nSEQEND\n", "\n0\nPOINT\n", "instead of SEQEND"),
            ("\n0\nLINE\n5\n", "\n0\nLINE\n5\n1\n5\n", "not its own"),
            ("1000\nE7\n", "1000\n\n", "no item id"),
            ("$HANDSEED\n5\n", "$HANDSEED\n5\n2\n5\n", "below the seed"),
            ("\n0\nEOF\n", "\n", "EOF"),
        ] {
            assert!(good.contains(from), "{from}");
            let wrong = check_invariants(good.replacen(from, to, 1).as_bytes());
            assert!(wrong.iter().any(|w| w.contains(complaint)), "{complaint}: {wrong:?}");
        }
    }
}
