#![doc = include_str!("../README.md")]
#![expect(unsafe_code, reason = "pointers of C come in here, and nowhere else")]
#![expect(non_camel_case_types, reason = "the types have the names that C sees")]

mod border;

use std::ffi::{CStr, c_char};
use std::ptr;

use crossread_core::document::Faults;
use crossread_core::embed::{self, Kind, Layout, Outcome, Source};
use crossread_core::{Protocol, Protocols};

use border::{Said, Stopped, guarded, misuse};

#[cfg(panic = "abort")]
compile_error!("a panic must be caught at the border: build with panic = \"unwind\"");

/// How a call ended. Only `CROSSREAD_STATUS_OK` gives what was asked for; whatever else comes, and
/// whatever value you do not know, means: nothing was found out, do not release.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum crossread_status {
    /// Done; the text is the answer. It frees no unit by itself: see `releasable` of each donor.
    Ok = 0,
    /// The document is at fault; the text is its faults, `crossread.fault/1`.
    Faults = 1,
    /// Nothing has this name; the text says so, and what may have been meant.
    Unknown = 2,
    /// The function was called in a way that it does not know; the text says how.
    Misuse = 3,
    /// The library itself is at fault; the text says what happened. Please report it.
    Broken = 4,
}

/// What a document is meant to be.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum crossread_kind {
    /// What the document itself says; a worksheet if it says nothing.
    Any = 0,
    /// Readings of a crossmatch, `crossread.worksheet/1`.
    Worksheet = 1,
    /// Local rules, `crossread.protocol/1`.
    Protocol = 2,
    /// What a worksheet came to, `crossread.interpretation/1`.
    Interpretation = 3,
}

/// How JSON is laid out. The text never ends in a line end.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum crossread_layout {
    /// On one line, as the command's `--format ndjson`.
    Line = 0,
    /// On many lines, as the command's `--format json`.
    Indented = 1,
}

/// The protocols that ship, and local ones besides. Any number of threads may use one at a time,
/// but no other may use it while `crossread_rules_add` or `crossread_rules_free` does.
#[derive(Debug)]
pub struct crossread_rules(Protocols);

/// Makes a set of rules that holds the protocols that ship; free it with `crossread_rules_free`.
/// NULL if the library is at fault.
#[unsafe(no_mangle)]
pub extern "C" fn crossread_rules_new() -> *mut crossread_rules {
    let made = std::panic::catch_unwind(|| {
        Box::into_raw(Box::new(crossread_rules(Protocols::shipped().clone())))
    });
    made.unwrap_or(ptr::null_mut())
}

/// Adds a local protocol, in place of one with the same id and version. If it is at fault, the
/// rules stay as they were.
///
/// `document`: `length` bytes of JSON; `answer`: where to put the text, nothing or the faults on
/// one line; free it with `crossread_text_free`.
///
/// # Safety
/// `rules` is from `crossread_rules_new` and not freed, and no other thread uses it meanwhile.
/// `document` points to `length` bytes, `answer` to a pointer; NULL is told as misuse.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn crossread_rules_add(
    rules: *mut crossread_rules,
    document: *const c_char,
    length: usize,
    answer: *mut *mut c_char,
) -> crossread_status {
    // SAFETY: as the caller promises.
    unsafe {
        guarded(answer, || {
            let Some(rules) = rules.as_mut() else { return misuse("`rules` is NULL") };
            let document = border::bytes(document, length)?;
            match Protocol::from_json(document) {
                Ok(protocol) => {
                    let with = rules.0.clone().with(protocol);
                    rules.0 = with;
                    Ok((crossread_status::Ok, Vec::new()))
                }
                Err(faults) => faulty(&faults, Source::default(), Layout::Line),
            }
        })
    }
}

/// Frees a set of rules; NULL is let be.
///
/// # Safety
/// `rules` is NULL, or from `crossread_rules_new` and not freed; nobody uses it afterwards.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn crossread_rules_free(rules: *mut crossread_rules) {
    if !rules.is_null() {
        // SAFETY: as the caller promises, this is the box that crossread_rules_new gave away.
        drop(unsafe { Box::from_raw(rules) });
    }
}

/// Interprets a worksheet: `CROSSREAD_STATUS_OK` and `crossread.interpretation/1`, or
/// `CROSSREAD_STATUS_FAULTS` and `crossread.fault/1`. The bytes are those of the command
/// `crossread interpret`, without its line end.
///
/// `rules`: the protocols that the worksheet may name; NULL for those that ship. `document`:
/// `length` bytes of JSON, at most 64 MiB, not necessarily ended by NUL. `source`: the name of the
/// document in its faults, ended by NUL; NULL for `<document>`. `line`: its line in a stream,
/// counted from 1; 0 if it comes from none. `layout`: a `crossread_layout`. `answer`: where to put
/// the text, ended by NUL; free it with `crossread_text_free`. It is NULL if there is none.
///
/// # Safety
/// `rules` is NULL, or from `crossread_rules_new` and not freed. `document` points to `length`
/// bytes, `source` to a text ended by NUL, `answer` to a pointer; NULL is told as misuse.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn crossread_interpret(
    rules: *const crossread_rules,
    document: *const c_char,
    length: usize,
    source: *const c_char,
    line: u64,
    layout: u32,
    answer: *mut *mut c_char,
) -> crossread_status {
    // SAFETY: as the caller promises.
    unsafe {
        guarded(answer, || {
            let (source, layout) = (border::source(source, line)?, border::layout(layout)?);
            let document = border::bytes(document, length)?;
            let mut out = Vec::new();
            let outcome = embed::answer(document, protocols(rules), source, layout, &mut out)?;
            let status = match outcome {
                Outcome::Releasable | Outcome::NotReleasable => crossread_status::Ok,
                Outcome::Faulty => crossread_status::Faults,
            };
            Ok((status, out))
        })
    }
}

/// Checks a document: `CROSSREAD_STATUS_OK` and a few words of what it is, or
/// `CROSSREAD_STATUS_FAULTS` and `crossread.fault/1`, the bytes of the command `crossread check`
/// without its line end.
///
/// `kind`: a `crossread_kind`. The other arguments are those of `crossread_interpret`.
///
/// # Safety
/// As for `crossread_interpret`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn crossread_check(
    rules: *const crossread_rules,
    document: *const c_char,
    length: usize,
    kind: u32,
    source: *const c_char,
    layout: u32,
    answer: *mut *mut c_char,
) -> crossread_status {
    // SAFETY: as the caller promises.
    unsafe {
        guarded(answer, || {
            let (source, layout) = (border::source(source, 0)?, border::layout(layout)?);
            let document = border::bytes(document, length)?;
            let kind = border::kind(kind)?.unwrap_or_else(|| Kind::of(document));
            match embed::check(document, kind, protocols(rules)) {
                Ok(good) => Ok((crossread_status::Ok, good.to_string().into_bytes())),
                Err(faults) => faulty(&faults, source, layout),
            }
        })
    }
}

/// Explains a finding, a fault, a key of a protocol or a word of the trade: a JSON list of all its
/// meanings, the bytes of the command `crossread explain --format json` without its line end, or
/// `CROSSREAD_STATUS_UNKNOWN` and a text.
///
/// # Safety
/// `word` points to a text ended by NUL, `answer` to a pointer; NULL is told as misuse.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn crossread_explain(
    word: *const c_char,
    layout: u32,
    answer: *mut *mut c_char,
) -> crossread_status {
    // SAFETY: as the caller promises.
    unsafe {
        guarded(answer, || {
            let (word, layout) = (border::text(word, "word")?, border::layout(layout)?);
            match embed::explain(word)? {
                Ok(explained) => {
                    let mut out = Vec::new();
                    embed::write(&explained, layout, &mut out)?;
                    Ok((crossread_status::Ok, out))
                }
                Err(unknown) => Ok((crossread_status::Unknown, unknown.to_string().into_bytes())),
            }
        })
    }
}

/// The JSON Schema of `worksheet`, `interpretation`, `protocol` or `fault`: the bytes of the
/// command `crossread schema`, its line end included, or `CROSSREAD_STATUS_UNKNOWN` and a text.
///
/// # Safety
/// `name` points to a text ended by NUL, `answer` to a pointer; NULL is told as misuse.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn crossread_schema(
    name: *const c_char,
    answer: *mut *mut c_char,
) -> crossread_status {
    // SAFETY: as the caller promises.
    unsafe {
        guarded(answer, || {
            let name = border::text(name, "name")?;
            Ok(embed::schema(name)?.map_or_else(
                || (crossread_status::Unknown, format!("no schema is called {name}").into_bytes()),
                |text| (crossread_status::Ok, text.into_bytes()),
            ))
        })
    }
}

/// The version of the engine, as it stands in every interpretation. Not to be freed.
#[unsafe(no_mangle)]
pub extern "C" fn crossread_version() -> *const c_char {
    const VERSION: &CStr =
        match CStr::from_bytes_with_nul(concat!(env!("CARGO_PKG_VERSION"), "\0").as_bytes()) {
            Ok(version) => version,
            Err(_) => c"",
        };
    VERSION.as_ptr()
}

/// Frees a text that a function of this library gave; NULL is let be.
///
/// # Safety
/// `text` is NULL, or was put into an `answer` by a function of this library and not freed, and is
/// as long as it was.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn crossread_text_free(text: *mut c_char) {
    // SAFETY: as the caller promises.
    unsafe { border::take_back(text) }
}

/// Panics, to test that no panic crosses the border.
///
/// cbindgen:ignore
///
/// # Safety
/// `answer` points to a pointer.
#[cfg(feature = "panic")]
#[unsafe(no_mangle)]
#[expect(clippy::panic, reason = "it is what this is for")]
pub unsafe extern "C" fn crossread_test_panic(answer: *mut *mut c_char) -> crossread_status {
    // SAFETY: as the caller promises.
    unsafe { guarded(answer, || panic!("a rule met what it does not know")) }
}

/// # Safety
/// `rules` is NULL, or from [`crossread_rules_new`] and not freed.
unsafe fn protocols<'r>(rules: *const crossread_rules) -> &'r Protocols {
    // SAFETY: as the caller promises.
    unsafe { rules.as_ref() }.map_or_else(Protocols::shipped, |rules| &rules.0)
}

fn faulty(faults: &Faults, source: Source<'_>, layout: Layout) -> Result<Said, Stopped> {
    let mut out = Vec::new();
    embed::report(faults, source, layout, &mut out)?;
    Ok((crossread_status::Faults, out))
}
