//! How two interpretations of one worksheet differ.

use serde::Serialize;
use serde_json::Value;

/// One difference between two interpretations.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Difference {
    /// The donor; left out if it is about the whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub donor: Option<String>,
    /// What differs.
    pub what: String,
    /// In the first.
    pub first: String,
    /// In the second.
    pub second: String,
}

/// The differences between two interpretations, as JSON documents, so that one of an older engine
/// can be compared too. Hashes and the engine's version alone are no difference of the answer, and
/// are named as such.
///
/// ```standalone_crate
/// # use crossread_journal::differences;
/// # use serde_json::Value;
/// let first = include_str!("../../../examples/clean-run/interpretation.json");
/// let first: Value = serde_json::from_str(first)?;
/// assert!(differences(&first, &first).is_empty());
/// let mut second = first.clone();
/// second["pairs"][0]["verdict"] = "incomplete".into();
/// let found = differences(&first, &second);
/// assert_eq!((found[0].donor.as_deref(), found[0].what.as_str()), (Some("D-081"), "verdict"));
/// assert_eq!((found[0].first.as_str(), found[0].second.as_str()), ("compatible", "incomplete"));
/// # Ok::<_, serde_json::Error>(())
/// ```
pub fn differences(first: &Value, second: &Value) -> Vec<Difference> {
    let mut found = Vec::new();
    let mut compare = |donor: Option<&str>, what: &str, first: String, second: String| {
        if first != second {
            let donor = donor.map(str::to_owned);
            found.push(Difference { donor, what: what.to_owned(), first, second });
        }
    };
    compare(None, "engine", said(first, "/engine"), said(second, "/engine"));
    for what in ["id", "version", "sha256"] {
        let of = |document: &Value| said(document, &format!("/protocol/{what}"));
        compare(None, &format!("protocol {what}"), of(first), of(second));
    }
    let donor = |pair: &Value| said(pair, "/donor");
    for pair in pairs(first) {
        let name = donor(pair);
        let Some(other) = pairs(second).find(|other| donor(other) == name) else {
            compare(Some(&name), "donor", "there".to_owned(), "not there".to_owned());
            continue;
        };
        for what in ["verdict", "releasable", "valid_until", "headline"] {
            compare(
                Some(&name),
                what,
                said(pair, &format!("/{what}")),
                said(other, &format!("/{what}")),
            );
        }
        let findings = |pair: &Value| -> Vec<String> {
            let all = pair.get("findings").and_then(Value::as_array).into_iter().flatten();
            all.map(|f| format!("{} ({})", said(f, "/slug"), said(f, "/effect"))).collect()
        };
        let (had, has) = (findings(pair), findings(other));
        let only = |these: &[String], others: &[String]| {
            let only: Vec<_> = these.iter().filter(|one| !others.contains(one)).cloned().collect();
            only.join(", ")
        };
        compare(Some(&name), "findings", only(&had, &has), only(&has, &had));
    }
    for pair in pairs(second) {
        let name = donor(pair);
        if !pairs(first).any(|other| donor(other) == name) {
            compare(Some(&name), "donor", "not there".to_owned(), "there".to_owned());
        }
    }
    found
}

/// The pairs of an interpretation.
pub(crate) fn pairs(interpretation: &Value) -> impl Iterator<Item = &Value> {
    interpretation.get("pairs").and_then(Value::as_array).into_iter().flatten()
}

/// The text at a place, empty if there is none.
pub(crate) fn text_at<'v>(value: &'v Value, pointer: &str) -> &'v str {
    value.pointer(pointer).and_then(Value::as_str).unwrap_or_default()
}

fn said(value: &Value, pointer: &str) -> String {
    match value.pointer(pointer) {
        None | Some(Value::Null) => "none".to_owned(),
        Some(Value::String(text)) => text.clone(),
        Some(other) => other.to_string(),
    }
}
