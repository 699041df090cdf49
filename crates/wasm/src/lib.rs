//! crossread for programs in JavaScript: WebAssembly, text in, text out.
//!
//! What its users see is `js/crossread.js`, which says what comes of faults: a text that is thrown
//! here is the report of faults, an `Error` is a fault of the engine.

#![forbid(unsafe_code)]
#![expect(clippy::needless_pass_by_value, reason = "what comes over the border comes by value")]

use crossread_core::document::Faults;
use crossread_core::embed::{self, Broken, Kind, Layout, Outcome, Source};
use crossread_core::{Protocol, Protocols};
use wasm_bindgen::prelude::*;

/// Protocols, and what is done by them.
#[wasm_bindgen]
#[derive(Debug)]
pub struct Engine(Protocols);

fn broken(broken: Broken) -> JsValue {
    JsError::new(&broken.to_string()).into()
}

fn text(bytes: Vec<u8>) -> Result<String, JsValue> {
    String::from_utf8(bytes).map_err(|error| JsError::new(&error.to_string()).into())
}

fn layout(indent: bool) -> Layout {
    if indent { Layout::Indented } else { Layout::Line }
}

fn faulty(faults: &Faults, source: Source<'_>, layout: Layout) -> JsValue {
    let mut out = Vec::new();
    let report = embed::report(faults, source, layout, &mut out).map_err(broken);
    match report.and_then(|()| text(out)) {
        Ok(report) => report.into(),
        Err(error) => error,
    }
}

#[wasm_bindgen]
impl Engine {
    /// The protocols that ship.
    #[wasm_bindgen(constructor)]
    #[expect(clippy::new_without_default, reason = "JavaScript has no use for a default")]
    pub fn new() -> Self {
        Self(Protocols::shipped().clone())
    }

    /// Adds a local protocol; if it is at fault, everything stays as it was.
    ///
    /// # Errors
    /// Throws the report of its faults.
    pub fn add(&mut self, document: &[u8], source: &str) -> Result<(), JsValue> {
        let source = Source { name: source, line: None };
        let protocol = Protocol::from_json(document);
        let protocol = protocol.map_err(|faults| faulty(&faults, source, Layout::Line))?;
        self.0 = self.0.clone().with(protocol);
        Ok(())
    }

    /// The interpretation of a worksheet. `line` is 0 if it comes from no stream.
    ///
    /// # Errors
    /// Throws the report of its faults.
    pub fn interpret(
        &self,
        document: &[u8],
        source: &str,
        line: u32,
        indent: bool,
    ) -> Result<String, JsValue> {
        let source = Source { name: source, line: (line > 0).then_some(u64::from(line)) };
        let mut out = Vec::new();
        match embed::answer(document, &self.0, source, layout(indent), &mut out).map_err(broken)? {
            Outcome::Releasable | Outcome::NotReleasable => text(out),
            Outcome::Faulty => Err(text(out)?.into()),
        }
    }

    /// What a document is, in a few words. Without a kind, what it is by itself.
    ///
    /// # Errors
    /// Throws the report of its faults.
    pub fn check(
        &self,
        document: &[u8],
        kind: Option<String>,
        source: &str,
        indent: bool,
    ) -> Result<String, JsValue> {
        let kind = match kind.as_deref() {
            None => Kind::of(document),
            Some("worksheet") => Kind::Worksheet,
            Some("protocol") => Kind::Protocol,
            Some("interpretation") => Kind::Interpretation,
            Some(other) => {
                let said = format!("kind is worksheet, protocol or interpretation, not {other}");
                return Err(JsError::new(&said).into());
            }
        };
        let source = Source { name: source, line: None };
        let good = embed::check(document, kind, &self.0);
        good.map(|good| good.to_string()).map_err(|faults| faulty(&faults, source, layout(indent)))
    }
}

/// How two interpretations of one worksheet differ, if they do.
///
/// # Errors
/// Throws an `Error` if one is no interpretation, or they are of two worksheets.
#[wasm_bindgen]
pub fn compare(old: &[u8], new: &[u8]) -> Result<Option<String>, JsError> {
    Ok(embed::compare(old, new)?)
}

/// All meanings of a word.
///
/// # Errors
/// Throws an `Error` if it has none.
#[wasm_bindgen]
pub fn explain(word: &str) -> Result<String, JsValue> {
    let meanings = embed::explain(word).map_err(broken)?;
    let meanings = meanings.map_err(|unknown| JsError::new(&unknown.to_string()))?;
    let mut out = Vec::new();
    embed::write(&meanings, Layout::Line, &mut out).map_err(broken)?;
    text(out)
}

/// The JSON Schema of this name.
///
/// # Errors
/// Throws an `Error` if the engine is at fault.
#[wasm_bindgen]
pub fn schema(name: &str) -> Result<Option<String>, JsError> {
    Ok(embed::schema(name)?)
}

/// The version of the engine.
#[wasm_bindgen]
pub fn version() -> String {
    crossread_core::interpretation::ENGINE.to_owned()
}
