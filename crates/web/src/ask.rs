//! What a browser asks for, after the guard let it through.

use crossread_core::document::Id;
use crossread_journal::Writer;
use percent_encoding::percent_decode_str;

use crate::answer::Problem;
use crate::bench::Bench;

/// One request.
#[derive(Debug)]
pub(crate) struct Ask<'b> {
    pub(crate) bench: &'b Bench,
    /// Whether something is to be written.
    pub(crate) posts: bool,
    /// The path, part by part.
    pub(crate) path: Vec<String>,
    /// What follows the path.
    pub(crate) query: Fields,
    /// What was filled in.
    pub(crate) form: Fields,
    /// Who sits there, if they said so.
    pub(crate) person: Option<String>,
    /// Whether the page's script asks, which puts a part of a page in its place.
    pub(crate) by_script: bool,
}

impl Ask<'_> {
    /// Who writes, now.
    pub(crate) fn writer(&self) -> Result<Writer, Problem> {
        let by = self.person.as_deref().ok_or(Problem::WhoIsThere)?;
        Ok(Writer::new(by, self.bench.now()?))
    }

    /// The address that was asked for.
    pub(crate) fn address(&self) -> String {
        crate::address::of(self.path.iter().map(String::as_str))
    }
}

/// Names and values, in order; a name may stand several times.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Fields(Vec<(String, String)>);

impl Fields {
    /// Reads `a=b&c=d`.
    pub(crate) fn read(text: &str) -> Self {
        let decoded = |part: &str| {
            let part = part.replace('+', " ");
            percent_decode_str(&part).decode_utf8_lossy().into_owned()
        };
        let pairs = text.split('&').filter(|pair| !pair.is_empty()).map(|pair| {
            let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
            (decoded(name), decoded(value))
        });
        Self(pairs.collect())
    }

    /// The value of a name, without space around it; empty if there is none.
    pub(crate) fn get(&self, name: &str) -> &str {
        self.all(name).next().unwrap_or_default()
    }

    /// Every value of a name that is not blank.
    pub(crate) fn all(&self, name: &str) -> impl Iterator<Item = &str> {
        let of = self.0.iter().filter(move |(of, _)| of == name);
        of.map(|(_, value)| value.trim()).filter(|value| !value.is_empty())
    }

    /// An id, or the problem that there is none.
    pub(crate) fn id(&self, name: &'static str) -> Result<Id, Problem> {
        Id::new(self.get(name)).ok_or(Problem::Missing(name))
    }

    /// A number.
    pub(crate) fn number(&self, name: &'static str) -> Result<u64, Problem> {
        self.get(name).parse().map_err(|_no_number| Problem::Missing(name))
    }

    /// Every name with its value.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        self.0.iter().map(|(name, value)| (name.as_str(), value.as_str()))
    }

    /// Adds a value.
    pub(crate) fn set(&mut self, name: &str, value: &str) {
        self.0.push((name.to_owned(), value.to_owned()));
    }
}

#[cfg(test)]
mod tests {
    use super::Fields;

    #[test]
    fn fields_are_decoded_and_may_repeat() {
        let fields = Fields::read("a=1+2&b=%C3%BC&a=&a=x%26y&c");
        assert_eq!(fields.all("a").collect::<Vec<_>>(), ["1 2", "x&y"]);
        assert_eq!(fields.get("b"), "\u{fc}");
        assert_eq!(fields.get("c"), "");
    }
}
