//! The JSON Schemas as types for TypeScript.

use std::fmt::Write as _;
use std::io;

use crossread_core::schema::Published;
use serde_json::{Map, Value};

/// What a schema may have beside what is turned into types: words, and limits of values.
const PASSED_OVER: [&str; 13] = [
    "$id",
    "$schema",
    "title",
    "description",
    "format",
    "minimum",
    "maximum",
    "exclusiveMinimum",
    "minLength",
    "maxLength",
    "minItems",
    "maxItems",
    "pattern",
];

/// The types of one schema: the document first, by its own name, then its parts.
///
/// # Errors
/// If the schema has what this cannot turn into a type: nothing is passed over unknown.
pub fn types(schema: Published) -> io::Result<String> {
    let root: Value = serde_json::from_str(&schema.to_json()?)?;
    let mut text = format!(
        "// Made from schemas/{0}.json by `cargo regenerate`.\n// A value that you do not know means: \
         do not release.\n",
        schema.name
    );
    let name = match schema.name {
        "fault" => "FaultReport".to_owned(),
        other => capital(other),
    };
    declare(&mut text, &name, &root)?;
    for (name, part) in root.get("$defs").and_then(Value::as_object).into_iter().flatten() {
        declare(&mut text, name, part)?;
    }
    Ok(text)
}

fn capital(word: &str) -> String {
    let (first, rest) = word.split_at_checked(1).unwrap_or(("", word));
    format!("{}{rest}", first.to_uppercase())
}

fn unknown(name: &str, part: &Value) -> io::Error {
    io::Error::other(format!("no type for {name}: {part}"))
}

fn declare(text: &mut String, name: &str, part: &Value) -> io::Result<()> {
    text.push('\n');
    said(text, "", part);
    let of = of(name, part, "")?;
    let _ = match of.strip_prefix('{') {
        Some(_) => writeln!(text, "export interface {name} {of}"),
        None => writeln!(
            text,
            "export type {name} ={}{of};",
            if of.starts_with('\n') { "" } else { " " }
        ),
    };
    Ok(())
}

/// The description as a comment.
fn said(text: &mut String, indent: &str, part: &Value) {
    let words = part.get("description").and_then(Value::as_str).unwrap_or_default();
    let mut lines = words.lines().map(|words| words.replace("*/", "* /"));
    let Some(first) = lines.next() else { return };
    let _ = write!(text, "{indent}/** {first}");
    for words in lines {
        let _ = write!(text, "\n{}", format!("{indent} * {words}").trim_end());
    }
    text.push_str(" */\n");
}

/// The type of a schema.
fn of(name: &str, part: &Value, indent: &str) -> io::Result<String> {
    let fields = part.as_object().ok_or_else(|| unknown(name, part))?;
    let known = ["type", "properties", "required", "additionalProperties", "items", "$defs"];
    let known = |key: &str| {
        PASSED_OVER.contains(&key)
            || known.contains(&key)
            || ["const", "$ref", "oneOf", "anyOf"].contains(&key)
    };
    if !fields.keys().all(|key| known(key)) {
        return Err(unknown(name, part));
    }
    if let Some(value) = fields.get("const") {
        return Ok(value.to_string());
    }
    if let Some(of) = fields.get("$ref").and_then(Value::as_str) {
        let of = of.strip_prefix("#/$defs/").ok_or_else(|| unknown(name, part))?;
        return Ok(of.to_owned());
    }
    for key in ["oneOf", "anyOf"] {
        if let Some(parts) = fields.get(key).and_then(Value::as_array) {
            return union(name, parts, indent);
        }
    }
    let one = |kind: &Value| match kind.as_str() {
        Some("string") => Ok("string".to_owned()),
        Some("integer" | "number") => Ok("number".to_owned()),
        Some("boolean") => Ok("boolean".to_owned()),
        Some("null") => Ok("null".to_owned()),
        Some("array") => {
            let items = fields.get("items").ok_or_else(|| unknown(name, part))?;
            Ok(format!("ReadonlyArray<{}>", of(name, items, indent)?))
        }
        Some("object") => object(name, fields, indent),
        Some(_) | None => Err(unknown(name, part)),
    };
    match fields.get("type") {
        Some(Value::Array(kinds)) => {
            Ok(kinds.iter().map(one).collect::<io::Result<Vec<_>>>()?.join(" | "))
        }
        Some(kind) => one(kind),
        None => Err(unknown(name, part)),
    }
}

fn union(name: &str, parts: &[Value], indent: &str) -> io::Result<String> {
    let mut text = String::new();
    for part in parts {
        text.push('\n');
        said(&mut text, &format!("{indent}  "), part);
        let _ = write!(text, "{indent}  | {}", of(name, part, indent)?);
    }
    Ok(text)
}

fn object(name: &str, fields: &Map<String, Value>, indent: &str) -> io::Result<String> {
    let inner = format!("{indent}  ");
    let mut text = "{\n".to_owned();
    let required: Vec<_> =
        fields.get("required").and_then(Value::as_array).into_iter().flatten().collect();
    for (key, part) in fields.get("properties").and_then(Value::as_object).into_iter().flatten() {
        said(&mut text, &inner, part);
        let mark = if required.iter().any(|of| of.as_str() == Some(key)) { "" } else { "?" };
        let of = of(name, part, &inner)?;
        let blank = if of.starts_with('\n') { "" } else { " " };
        let _ = writeln!(text, "{inner}readonly {}{mark}:{blank}{of};", written(key));
    }
    if let Some(values) = fields.get("additionalProperties").filter(|values| values.is_object()) {
        let _ = writeln!(text, "{inner}readonly [key: string]: {};", of(name, values, &inner)?);
    }
    text.push_str(indent);
    text.push('}');
    Ok(text)
}

/// A key, quoted if it is no name.
fn written(key: &str) -> String {
    let name = key.chars().all(|letter| letter.is_ascii_alphanumeric() || letter == '_');
    if name { key.to_owned() } else { Value::from(key).to_string() }
}
