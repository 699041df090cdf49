use schemars::Schema;
use serde_json::Value;

/// Takes `null` out of the schema of a field that may be left out: leaving out is not writing null.
pub(crate) fn not_null(schema: &mut Schema) {
    let Some(object) = schema.as_object_mut() else {
        return;
    };
    if let Some(Value::Array(types)) = object.get_mut("type") {
        types.retain(|kind| kind != "null");
        if let [only] = types.as_slice() {
            let only = only.clone();
            object.insert("type".to_owned(), only);
        }
    }
    let Some(Value::Array(any_of)) = object.get_mut("anyOf") else {
        return;
    };
    any_of.retain(|schema| schema.get("type") != Some(&Value::from("null")));
    if let [Value::Object(only)] = any_of.as_slice() {
        let only = only.clone();
        object.remove("anyOf");
        for (key, value) in only {
            // What the field itself says of itself stands before what its type says.
            object.entry(key).or_insert(value);
        }
    }
}
