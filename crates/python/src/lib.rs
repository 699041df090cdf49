//! crossread for programs in Python: the module `crossread._engine`, text in, text out.
//!
//! What its users see is `python/crossread/__init__.py`, which says what comes of faults.

#![forbid(unsafe_code)]
#![expect(
    clippy::needless_pass_by_value,
    reason = "a function gets what was taken out of Python's objects, and owns it"
)]

use crossread_core::document::Faults;
use crossread_core::embed::{self, Broken, Kind, Layout, Outcome, Source};
use crossread_core::{Protocol, Protocols};
use pyo3::exceptions::{PyRuntimeError, PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::pybacked::{PyBackedBytes, PyBackedStr};
use pyo3::types::{PyBytes, PyString};

/// Checks and interprets veterinary crossmatches; used by the package `crossread`.
#[pymodule]
mod _engine {
    #[pymodule_export]
    use super::{Engine, compare, explain, schema, version};
}

/// A document as Python has it. It can be read while other threads run Python.
enum Document {
    Text(PyBackedStr),
    Bytes(PyBackedBytes),
}

impl Document {
    fn bytes(&self) -> &[u8] {
        match self {
            Self::Text(text) => text.as_bytes(),
            Self::Bytes(bytes) => bytes,
        }
    }
}

impl<'py> FromPyObject<'_, 'py> for Document {
    type Error = PyErr;

    fn extract(obj: Borrowed<'_, 'py, PyAny>) -> PyResult<Self> {
        if obj.is_instance_of::<PyString>() {
            // Fails for text that no file could hold.
            return obj.extract().map(Self::Text);
        }
        if obj.is_instance_of::<PyBytes>() {
            return Ok(Self::Bytes(obj.extract()?));
        }
        let name = obj.get_type().qualname()?;
        Err(PyTypeError::new_err(format!("a document is a str or bytes, not {name}")))
    }
}

fn broken(broken: Broken) -> PyErr {
    PyRuntimeError::new_err(broken.to_string())
}

fn text(bytes: Vec<u8>) -> PyResult<String> {
    String::from_utf8(bytes).map_err(|error| PyRuntimeError::new_err(error.to_string()))
}

fn counted(line: u64) -> PyResult<u64> {
    if line == 0 {
        return Err(PyValueError::new_err("a line is counted from 1"));
    }
    Ok(line)
}

fn layout(indent: bool) -> Layout {
    if indent { Layout::Indented } else { Layout::Line }
}

fn report(faults: &Faults, source: Source<'_>, layout: Layout) -> PyResult<String> {
    let mut out = Vec::new();
    embed::report(faults, source, layout, &mut out).map_err(broken)?;
    text(out)
}

/// Protocols, and what is done by them. It cannot be changed, so threads may share it.
#[pyclass(frozen, module = "crossread._engine")]
struct Engine(Protocols);

#[pymethods]
impl Engine {
    #[new]
    fn new() -> Self {
        Self(Protocols::shipped().clone())
    }

    /// This and a protocol more: the engine, or the faults.
    fn with_protocol(
        &self,
        document: Document,
        source: &str,
    ) -> PyResult<(Option<Self>, Option<String>)> {
        match Protocol::from_json(document.bytes()) {
            Ok(protocol) => Ok((Some(Self(self.0.clone().with(protocol))), None)),
            Err(faults) => {
                let report = report(&faults, Source { name: source, line: None }, Layout::Line)?;
                Ok((None, Some(report)))
            }
        }
    }

    /// Id, version and SHA-256 of every protocol.
    fn protocols(&self) -> Vec<(String, String, String)> {
        let each = self.0.iter().map(|protocol| {
            let (id, version) = (protocol.id().as_str(), protocol.version().as_str());
            (id.to_owned(), version.to_owned(), protocol.digest().to_string())
        });
        each.collect()
    }

    /// Whether the worksheet was interpreted, and the interpretation or the faults.
    fn interpret(
        &self,
        py: Python<'_>,
        document: Document,
        source: &str,
        line: Option<u64>,
        indent: bool,
    ) -> PyResult<(bool, String)> {
        let mut out = Vec::new();
        let source = Source { name: source, line: line.map(counted).transpose()? };
        let outcome = py
            .detach(|| embed::answer(document.bytes(), &self.0, source, layout(indent), &mut out))
            .map_err(broken)?;
        let interpreted = match outcome {
            Outcome::Releasable | Outcome::NotReleasable => true,
            Outcome::Faulty => false,
        };
        Ok((interpreted, text(out)?))
    }

    /// The answer to each worksheet, on one line; nothing for nothing. `lines` are their lines in a
    /// stream, if they come from one.
    fn interpret_many(
        &self,
        py: Python<'_>,
        documents: Vec<Option<Document>>,
        source: &str,
        lines: Option<Vec<u64>>,
    ) -> PyResult<Vec<Option<String>>> {
        if lines.as_ref().is_some_and(|lines| lines.len() != documents.len()) {
            return Err(PyValueError::new_err("there are not as many lines as worksheets"));
        }
        lines.iter().flatten().try_for_each(|line| counted(*line).map(drop))?;
        let line = |place| lines.as_ref().and_then(|lines| lines.get(place).copied());
        let answer = |(place, document): (usize, &Option<Document>)| {
            let Some(document) = document else { return Ok(None) };
            let (mut out, source) = (Vec::new(), Source { name: source, line: line(place) });
            embed::answer(document.bytes(), &self.0, source, Layout::Line, &mut out)?;
            Ok(Some(out))
        };
        let answers: Result<Vec<_>, Broken> =
            py.detach(|| documents.iter().enumerate().map(answer).collect());
        answers.map_err(broken)?.into_iter().map(|bytes| bytes.map(text).transpose()).collect()
    }

    /// Whether the document has no fault, and what it is in a few words or its faults.
    fn check(
        &self,
        py: Python<'_>,
        document: Document,
        kind: Option<&str>,
        source: &str,
        indent: bool,
    ) -> PyResult<(bool, String)> {
        let kind = match kind {
            None => Kind::of(document.bytes()),
            Some("worksheet") => Kind::Worksheet,
            Some("protocol") => Kind::Protocol,
            Some("interpretation") => Kind::Interpretation,
            Some(other) => {
                let said = format!("kind is worksheet, protocol or interpretation, not {other}");
                return Err(PyValueError::new_err(said));
            }
        };
        match py.detach(|| embed::check(document.bytes(), kind, &self.0)) {
            Ok(good) => Ok((true, good.to_string())),
            Err(faults) => {
                let source = Source { name: source, line: None };
                Ok((false, report(&faults, source, layout(indent))?))
            }
        }
    }
}

/// How two interpretations of a worksheet differ, if they do.
#[pyfunction]
fn compare(py: Python<'_>, old: Document, new: Document) -> PyResult<Option<String>> {
    py.detach(|| embed::compare(old.bytes(), new.bytes()))
        .map_err(|error| PyValueError::new_err(error.to_string()))
}

/// The meanings of a word, and, if there are none, what may have been meant.
#[pyfunction]
fn explain(word: &str) -> PyResult<(Option<String>, String)> {
    match embed::explain(word).map_err(broken)? {
        Ok(meanings) => {
            let mut out = Vec::new();
            embed::write(&meanings, Layout::Line, &mut out).map_err(broken)?;
            Ok((Some(text(out)?), String::new()))
        }
        Err(unknown) => Ok((None, unknown.to_string())),
    }
}

/// The JSON Schema of this name.
#[pyfunction]
fn schema(name: &str) -> PyResult<Option<String>> {
    embed::schema(name).map_err(broken)
}

/// The version of the engine.
#[pyfunction]
fn version() -> &'static str {
    crossread_core::interpretation::ENGINE
}
