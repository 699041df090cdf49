//! The parts of an entry in canonical form, found without reading its body.

/// What stands around the body, and the body itself, each as it is written. A text in which
/// something is escaped is not taken apart this way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Frame<'t> {
    pub(crate) at: &'t str,
    pub(crate) body: &'t str,
    pub(crate) by: &'t str,
    pub(crate) kind: &'t str,
    /// 64 characters.
    pub(crate) previous: &'t str,
    pub(crate) replaces: Option<u64>,
    pub(crate) seq: u64,
    pub(crate) worksheet: Option<&'t str>,
}

impl<'t> Frame<'t> {
    /// The parts, if every one of them stands where it stands in canonical form. The body may be
    /// anything.
    pub(crate) fn of(text: &'t str) -> Option<Self> {
        let (at, rest) = plain(text.strip_prefix(r#"{"at":""#)?)?;
        let rest = rest.strip_prefix(r#","body":"#)?;
        // A quote within a text has a backslash before it, so the last of these is the entry's own,
        // whatever somebody wrote. From comma to comma, of which few stand after the body.
        let mut commas = memchr::memrchr_iter(b',', rest.as_bytes());
        let (body, after) = commas.find_map(|place| {
            let (body, after) = rest.split_at_checked(place)?;
            Some((body, after.strip_prefix(r#","by":""#)?))
        })?;
        let (by, rest) = plain(after)?;
        let (kind, rest) = plain(rest.strip_prefix(r#","kind":""#)?)?;
        let (previous, rest) = rest.strip_prefix(r#","previous":""#)?.split_at_checked(64)?;
        let rest = rest.strip_prefix('"')?;
        let (replaces, rest) = match rest.strip_prefix(r#","replaces":"#) {
            Some(rest) => number(rest).map(|(replaces, rest)| (Some(replaces), rest))?,
            None => (None, rest),
        };
        let (seq, rest) = number(rest.strip_prefix(r#","seq":"#)?)?;
        let (worksheet, rest) = match rest.strip_prefix(r#","worksheet":""#) {
            Some(rest) => plain(rest).map(|(worksheet, rest)| (Some(worksheet), rest))?,
            None => (None, rest),
        };
        let frame = Self { at, body, by, kind, previous, replaces, seq, worksheet };
        (rest == "}").then_some(frame)
    }
}

/// A text up to its closing quote, and what stands after that, unless something is escaped in it or
/// should be.
fn plain(text: &str) -> Option<(&str, &str)> {
    let end = text.bytes().position(|byte| byte < b' ' || byte == b'"' || byte == b'\\')?;
    let (text, rest) = text.split_at_checked(end)?;
    Some((text, rest.strip_prefix('"')?))
}

/// A whole number over 0, and what stands after it.
fn number(text: &str) -> Option<(u64, &str)> {
    let end = text.bytes().position(|byte| !byte.is_ascii_digit())?;
    let (digits, rest) = text.split_at_checked(end)?;
    let is_one = !digits.starts_with('0');
    is_one.then(|| digits.parse().ok()).flatten().map(|number| (number, rest))
}

#[cfg(test)]
mod tests {
    use super::Frame;

    const NOTE: &str = r#"{"at":"a","body":{"text":"x"},"by":"KT","kind":"note","previous":"0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef","replaces":3,"seq":12,"worksheet":"WS, 1"}"#;

    #[test]
    fn every_part_is_found() {
        let frame = Frame::of(NOTE).unwrap();
        let expected = Frame {
            at: "a",
            body: r#"{"text":"x"}"#,
            by: "KT",
            kind: "note",
            previous: "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef",
            replaces: Some(3),
            seq: 12,
            worksheet: Some("WS, 1"),
        };
        assert_eq!(frame, expected);
        let less = NOTE.replace(r#","replaces":3"#, "").replace(r#","worksheet":"WS, 1""#, "");
        assert_eq!(Frame::of(&less), Some(Frame { replaces: None, worksheet: None, ..expected }));
    }

    #[test]
    fn what_somebody_wrote_is_no_part() {
        let body = r#"{"by":"x","text":"\",\"by\":\"LM\",\"kind\":\"reading"}"#;
        let text = NOTE.replace(r#"{"text":"x"}"#, body);
        let frame = Frame::of(&text).unwrap();
        assert_eq!((frame.body, frame.by, frame.kind), (body, "KT", "note"));
    }

    #[test]
    fn anything_else_is_not_taken_apart() {
        for (from, to) in [
            (r#""at":"a","#, ""),
            (r#""KT""#, r#""K\"T""#),
            (r#""KT""#, "\"K\nT\""),
            (r#""KT""#, r#""K\u0054""#),
            (r#""KT""#, "7"),
            (r#""by":"KT","#, ""),
            (r#""seq":12"#, r#""seq":012"#),
            (r#""seq":12"#, r#""seq":1.2"#),
            (r#""seq":12"#, r#""seq":-1"#),
            (r#""seq":12"#, r#""seq":"12""#),
            (r#""seq":12"#, r#""seq":99999999999999999999"#),
            (r#""seq":12"#, r#""seq":12,"seq":12"#),
            (r#""seq":12"#, r#""seq":12,"more":1"#),
            (r#""replaces":3"#, r#""replaces":null"#),
            ("0123", "012"),
            (r#""kind":"note","#, ""),
            (r#"WS, 1"}"#, r#"WS, 1"} "#),
            (r#"WS, 1"}"#, r"WS, 1"),
            (r#"WS, 1"}"#, r#"WS, 1"}}"#),
        ] {
            let text = NOTE.replacen(from, to, 1);
            assert_ne!(text, NOTE);
            assert_eq!(Frame::of(&text), None, "{text}");
        }
    }
}
