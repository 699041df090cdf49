//! Random worksheets in a test: how many, and the smallest that fails.

use serde_json::Value;

use crate::engine::try_interpret;

pub(crate) use crossread_tests::random::{GRADES, Random, case};

/// How many random cases to try: as many as `PROPTEST_CASES` says, or the usual number.
#[expect(clippy::disallowed_methods, reason = "a longer run is asked for from outside")]
pub(crate) fn cases(usual: u32) -> u32 {
    std::env::var("PROPTEST_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(usual)
}

/// The smallest worksheet found, by taking things away, for which `fails` still holds.
pub(crate) fn shrunk(worksheet: &Value, protocol: &str, fails: impl Fn(&Value) -> bool) -> Value {
    let mut smallest = worksheet.clone();
    loop {
        let smaller = removals(&smallest).into_iter().find(|candidate| {
            try_interpret(&candidate.to_string(), protocol).is_ok() && fails(candidate)
        });
        match smaller {
            Some(smaller) => smallest = smaller,
            None => return smallest,
        }
    }
}

/// The worksheet with one thing less, in every way.
fn removals(worksheet: &Value) -> Vec<Value> {
    let mut all = Vec::new();
    let mut pointers = vec![String::new()];
    while let Some(pointer) = pointers.pop() {
        let inside: Vec<String> = match worksheet.pointer(&pointer) {
            Some(Value::Object(fields)) => fields.keys().cloned().collect(),
            Some(Value::Array(elements)) => (0..elements.len()).map(|i| i.to_string()).collect(),
            _ => Vec::new(),
        };
        for key in inside {
            let mut less = worksheet.clone();
            match less.pointer_mut(&pointer) {
                Some(Value::Object(fields)) => drop(fields.remove(&key)),
                Some(Value::Array(elements)) => drop(elements.remove(key.parse().unwrap())),
                _ => {}
            }
            all.push(less);
            pointers.push(format!("{pointer}/{}", key.replace('~', "~0").replace('/', "~1")));
        }
    }
    all
}
