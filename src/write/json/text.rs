//! JSON values become bytes: rounded, so that they are the same everywhere, and never with a number lost.

use super::project_model::ProjectJson;
use crate::error::{Error, Result};
use serde::Serialize;
use serde_json::Value;

/// Parts of one kept of every length and coordinate: 6 decimals, even in metres far below anything built.
const PARTS: f64 = 1e6;
/// Parts of one kept inside a `plane`: 12 decimals, as its slopes are multiplied by coordinates of up to a million units.
const PLANE_PARTS: f64 = 1e12;

/// A value as indented JSON with a line break at its end.
///
/// Numbers are rounded to 6 decimals (12 inside a `plane`), and negative zero is written as zero.
///
/// # Errors
/// `json-not-finite` when a number is infinite or not a number: JSON has no way to write it, and leaving it out unseen
/// would lose it.
pub fn json_bytes<T: Serialize>(value: &T) -> Result<Vec<u8>> {
    let failed =
        |why: &serde_json::Error| Error::unreadable("json-output", format!("the JSON cannot be written: {why}"));
    let mut tree = serde_json::to_value(value).map_err(|why| failed(&why))?;
    settle(&mut tree, PARTS, &mut String::new())?;
    let mut bytes = serde_json::to_vec_pretty(&tree).map_err(|why| failed(&why))?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// The JSON Schema of `N.json`, as it stands in `samples/result.schema.json`.
///
/// # Errors
/// As [`json_bytes`].
pub fn project_schema() -> Result<Vec<u8>> {
    json_bytes(&schemars::schema_for!(ProjectJson))
}

/// Rounds every number below `value`; `path` says where it stands. Absent values are left out by the types, so a null can
/// only be a number that is not finite.
fn settle(value: &mut Value, parts: f64, path: &mut String) -> Result<()> {
    let length = path.len();
    match value {
        Value::Null => {
            return Err(Error::unreadable("json-not-finite", format!("the number at {path} is not finite"))
                .with_hint("this is a fault of the program; please report it with the drawing"));
        }
        Value::Number(number) if number.is_f64() => {
            *value = number.as_f64().map_or(Value::Null, |x| Value::from(round(x, parts)));
        }
        Value::Array(items) => {
            for (i, item) in items.iter_mut().enumerate() {
                path.push_str(&format!("[{i}]"));
                settle(item, parts, path)?;
                path.truncate(length);
            }
        }
        Value::Object(fields) => {
            for (key, item) in fields.iter_mut() {
                path.push('.');
                path.push_str(key);
                settle(item, if key == "plane" { PLANE_PARTS } else { parts }, path)?;
                path.truncate(length);
            }
        }
        Value::Number(_) | Value::Bool(_) | Value::String(_) => {}
    }
    Ok(())
}

/// Half away from zero; never negative zero. A number too large for that many decimals stays as it is.
fn round(x: f64, parts: f64) -> f64 {
    let scaled = x * parts;
    if scaled.abs() < 9e15 { scaled.round() / parts + 0.0 } else { x }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn numbers_are_rounded_and_never_minus_zero() {
        let numbers = BTreeMap::from([("a", vec![0.1 + 0.2, -1e-9, 4e5 + 1e-8]), ("plane", vec![0.123_456_789_012_4])]);
        let text = String::from_utf8(json_bytes(&numbers).unwrap()).unwrap();
        let squeezed: String = text.split_whitespace().collect();
        assert_eq!(squeezed, r#"{"a":[0.3,0.0,400000.0],"plane":[0.123456789012]}"#);
    }

    #[test]
    fn a_number_that_is_not_finite_is_refused_with_its_place() {
        let error = json_bytes(&BTreeMap::from([("edges", vec![1.0, f64::INFINITY])])).unwrap_err();
        assert_eq!(error.code, "json-not-finite");
        assert!(error.message.contains(".edges[1]"), "{error}");
    }
}
