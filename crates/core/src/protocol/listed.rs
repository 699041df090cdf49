//! The rules of a protocol as a list, for whoever shows or compares them.

use std::collections::BTreeMap;

use serde_json::Value;

use super::Protocol;

/// One rule of a protocol: its value, source and note.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Listed {
    /// Its value, as in the document.
    pub value: Value,
    /// The key of its source in the protocol's list of sources.
    pub source: String,
    /// Why it is so.
    pub note: String,
}

impl Listed {
    /// Its value as one would write it down: `15 to 30`.
    ///
    /// ```
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// let rules = dog.listed()?;
    /// assert_eq!(rules["methods.slide.seconds"].spoken(), "60 to 300");
    /// # Ok::<_, serde_json::Error>(())
    /// ```
    #[must_use]
    pub fn spoken(&self) -> String {
        spoken(&self.value)
    }
}

impl Protocol {
    /// Every rule, by its path: `methods.tube.incubation_min.room`.
    ///
    /// ```
    /// # use crossread_core::Protocols;
    /// # let dog = Protocols::shipped().iter().find(|one| one.id().as_str() == "dog-routine").unwrap();
    /// let washes = &dog.listed()?["methods.tube.washes_min"];
    /// assert_eq!((&washes.value, washes.source.as_str()), (&3.into(), "hohenhaus2012"));
    /// # Ok::<_, serde_json::Error>(())
    /// ```
    ///
    /// # Errors
    /// Only if the document could not be written as JSON, which no checked protocol does.
    pub fn listed(&self) -> Result<BTreeMap<String, Listed>, serde_json::Error> {
        let mut found = BTreeMap::new();
        gather(&serde_json::to_value(self.document())?, "", &mut found);
        Ok(found)
    }
}

fn gather(value: &Value, path: &str, found: &mut BTreeMap<String, Listed>) {
    let Value::Object(fields) = value else { return };
    let text = |key: &str| fields.get(key).and_then(Value::as_str).unwrap_or_default().to_owned();
    if let (Some(value), true) = (fields.get("value"), fields.contains_key("note")) {
        let rule = Listed { value: value.clone(), source: text("source"), note: text("note") };
        found.insert(path.to_owned(), rule);
        return;
    }
    for (key, value) in fields {
        let path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
        gather(value, &path, found);
    }
}

fn spoken(value: &Value) -> String {
    if let (Some(lo), Some(hi)) = (value.get("lo"), value.get("hi")) {
        return format!("{} to {}", spoken(lo), spoken(hi));
    }
    if let Some(fields) = value.as_object() {
        let each = fields.iter().map(|(key, value)| format!("{key} {}", spoken(value)));
        return each.collect::<Vec<_>>().join(", ");
    }
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}
