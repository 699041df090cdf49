//! What comes over the border is looked at here, and nothing but a status and a text goes back.
#![expect(clippy::as_conversions, reason = "there is no other way to the number of an enum")]

use std::any::Any;
use std::ffi::{CStr, CString, c_char};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::{ptr, slice};

use crossread_core::embed::{Broken, Kind, Layout, Source};

use crate::{crossread_kind, crossread_layout, crossread_status};

/// A status and its text.
pub(crate) type Said = (crossread_status, Vec<u8>);

/// Why a call came to nothing.
#[derive(Debug)]
pub(crate) enum Stopped {
    /// It was called in a way that it does not know.
    Misuse(String),
    /// The library is at fault.
    Broken(Broken),
}

impl From<Broken> for Stopped {
    fn from(broken: Broken) -> Self {
        Self::Broken(broken)
    }
}

pub(crate) fn misuse<T>(said: impl Into<String>) -> Result<T, Stopped> {
    Err(Stopped::Misuse(said.into()))
}

/// Does the work of a function, puts its text where the caller wants it, and lets no panic through.
///
/// # Safety
/// `answer` is NULL or points to a pointer that may be overwritten.
pub(crate) unsafe fn guarded(
    answer: *mut *mut c_char,
    work: impl FnOnce() -> Result<Said, Stopped>,
) -> crossread_status {
    if answer.is_null() {
        return crossread_status::Misuse;
    }
    // First of all, so that nobody takes an old text for the answer.
    // SAFETY: it is not NULL, and as the caller promises.
    unsafe { answer.write(ptr::null_mut()) };
    // What the work changes it changes at its end, in one go.
    let (status, text) = match catch_unwind(AssertUnwindSafe(work)) {
        Ok(Ok(said)) => said,
        Ok(Err(Stopped::Misuse(said))) => (crossread_status::Misuse, said.into_bytes()),
        Ok(Err(Stopped::Broken(broken))) => {
            (crossread_status::Broken, broken.to_string().into_bytes())
        }
        Err(payload) => {
            let said = told(&*payload);
            // To drop what was thrown may throw again, and to drop that.
            if let Err(again) = catch_unwind(AssertUnwindSafe(|| drop(payload))) {
                std::mem::forget(again);
            }
            (crossread_status::Broken, said.into_bytes())
        }
    };
    if text.is_empty() {
        return status;
    }
    // JSON has no NUL within, and neither has any text that is made of C's.
    let Ok(text) = CString::new(text) else { return crossread_status::Broken };
    // SAFETY: as above.
    unsafe { answer.write(text.into_raw()) };
    status
}

fn told(payload: &(dyn Any + Send)) -> String {
    let said = payload.downcast_ref::<&str>().copied();
    let said = said.or_else(|| payload.downcast_ref::<String>().map(String::as_str));
    let said = said.unwrap_or("no reason given").replace('\0', "");
    format!("this is a fault of crossread, not of your document; please report it: {said}")
}

/// # Safety
/// `text` is NULL, or was put into an answer by [`guarded`], is not freed and as long as it was.
pub(crate) unsafe fn take_back(text: *mut c_char) {
    if !text.is_null() {
        // SAFETY: as the caller promises.
        drop(unsafe { CString::from_raw(text) });
    }
}

/// # Safety
/// `document` is NULL or points to `length` bytes, which nobody changes for the time `'d`.
pub(crate) unsafe fn bytes<'d>(
    document: *const c_char,
    length: usize,
) -> Result<&'d [u8], Stopped> {
    if document.is_null() {
        return misuse("`document` is NULL");
    }
    if isize::try_from(length).is_err() {
        return misuse("`length` is more than a document can have");
    }
    // SAFETY: it is not NULL, not longer than any object, and as the caller promises.
    Ok(unsafe { slice::from_raw_parts(document.cast::<u8>(), length) })
}

/// # Safety
/// `text` is NULL or points to a text ended by NUL, which nobody changes for the time `'t`.
pub(crate) unsafe fn text<'t>(text: *const c_char, what: &str) -> Result<&'t str, Stopped> {
    if text.is_null() {
        return misuse(format!("`{what}` is NULL"));
    }
    // SAFETY: it is not NULL, and as the caller promises.
    let text = unsafe { CStr::from_ptr(text) };
    text.to_str().map_err(|error| Stopped::Misuse(format!("`{what}` is not UTF-8: {error}")))
}

/// # Safety
/// `name` is NULL or points to a text ended by NUL, which nobody changes for the time `'s`.
pub(crate) unsafe fn source<'s>(name: *const c_char, line: u64) -> Result<Source<'s>, Stopped> {
    let mut source = Source { line: (line > 0).then_some(line), ..Source::default() };
    if !name.is_null() {
        // SAFETY: as the caller promises.
        source.name = unsafe { text(name, "source") }?;
    }
    Ok(source)
}

/// The layout of a number: one that is none must not become an enum.
pub(crate) fn layout(number: u32) -> Result<Layout, Stopped> {
    const LINE: u32 = crossread_layout::Line as u32;
    const INDENTED: u32 = crossread_layout::Indented as u32;
    match number {
        LINE => Ok(Layout::Line),
        INDENTED => Ok(Layout::Indented),
        _ => misuse(format!("`layout` is {number}, which is no crossread_layout")),
    }
}

/// The kind of a number, if a certain one is meant.
pub(crate) fn kind(number: u32) -> Result<Option<Kind>, Stopped> {
    const ANY: u32 = crossread_kind::Any as u32;
    const WORKSHEET: u32 = crossread_kind::Worksheet as u32;
    const PROTOCOL: u32 = crossread_kind::Protocol as u32;
    const INTERPRETATION: u32 = crossread_kind::Interpretation as u32;
    match number {
        ANY => Ok(None),
        WORKSHEET => Ok(Some(Kind::Worksheet)),
        PROTOCOL => Ok(Some(Kind::Protocol)),
        INTERPRETATION => Ok(Some(Kind::Interpretation)),
        _ => misuse(format!("`kind` is {number}, which is no crossread_kind")),
    }
}
