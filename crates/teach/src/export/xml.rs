//! Elements put together as a tree and written as XML.

use std::io;

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// An element with its attributes and what stands in it.
#[derive(Clone, Debug)]
pub(super) struct Tag {
    name: String,
    attributes: Vec<(String, String)>,
    inside: Vec<Inside>,
}

#[derive(Clone, Debug)]
enum Inside {
    Tag(Tag),
    Text(String),
}

impl Tag {
    pub(super) fn new(name: impl Into<String>) -> Self {
        Self { name: name.into(), attributes: Vec::new(), inside: Vec::new() }
    }

    pub(super) fn with(mut self, name: impl Into<String>, value: impl Into<String>) -> Self {
        self.attributes.push((name.into(), value.into()));
        self
    }

    pub(super) fn tag(mut self, tag: Self) -> Self {
        self.inside.push(Inside::Tag(tag));
        self
    }

    pub(super) fn tags(mut self, tags: impl IntoIterator<Item = Self>) -> Self {
        self.inside.extend(tags.into_iter().map(Inside::Tag));
        self
    }

    pub(super) fn text(mut self, text: impl Into<String>) -> Self {
        self.inside.push(Inside::Text(text.into()));
        self
    }

    /// The text with `<br/>` where a line ends.
    pub(super) fn lines(mut self, text: &str) -> Self {
        for (number, line) in text.split('\n').enumerate() {
            if number > 0 {
                self = self.tag(Self::new("br"));
            }
            if !line.is_empty() {
                self = self.text(line);
            }
        }
        self
    }

    /// A whole XML document in UTF-8, an element a line where no text stands beside it.
    pub(super) fn document(&self) -> io::Result<Vec<u8>> {
        let mut writer = Writer::new(Vec::new());
        writer.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
        new_line(&mut writer, 0)?;
        self.write(&mut writer, Some(0))?;
        new_line(&mut writer, 0)?;
        Ok(writer.into_inner())
    }

    /// The element alone, without white space of its own. It is HTML too.
    pub(super) fn fragment(&self) -> io::Result<String> {
        let mut writer = Writer::new(Vec::new());
        self.write(&mut writer, None)?;
        String::from_utf8(writer.into_inner()).map_err(io::Error::other)
    }

    /// `depth` is how far it is indented; without it no white space is added.
    fn write(&self, writer: &mut Writer<Vec<u8>>, depth: Option<usize>) -> io::Result<()> {
        let pairs = self.attributes.iter().map(|(name, value)| (name.as_str(), value.as_str()));
        let start = BytesStart::new(self.name.as_str()).with_attributes(pairs);
        if self.inside.is_empty() {
            return writer.write_event(Event::Empty(start));
        }
        writer.write_event(Event::Start(start))?;
        let mixed = self.inside.iter().any(|inside| matches!(inside, Inside::Text(_)));
        let within = depth.filter(|_| !mixed).map(|depth| depth.saturating_add(1));
        for inside in &self.inside {
            match inside {
                Inside::Text(text) => writer.write_event(Event::Text(BytesText::new(text)))?,
                Inside::Tag(tag) => {
                    if let Some(depth) = within {
                        new_line(writer, depth)?;
                    }
                    tag.write(writer, within)?;
                }
            }
        }
        if let (Some(_), Some(depth)) = (within, depth) {
            new_line(writer, depth)?;
        }
        writer.write_event(Event::End(BytesEnd::new(self.name.as_str())))
    }
}

fn new_line(writer: &mut Writer<Vec<u8>>, depth: usize) -> io::Result<()> {
    writer.write_event(Event::Text(BytesText::from_escaped(format!("\n{}", "  ".repeat(depth)))))
}

#[cfg(test)]
mod tests {
    use super::Tag;

    #[test]
    fn white_space_is_added_only_where_no_text_stands() {
        let tag = Tag::new("a")
            .with("b", "1 < \"2\"")
            .tag(Tag::new("p").lines("x & y\n\nz"))
            .tag(Tag::new("q"));
        let written = String::from_utf8(tag.document().unwrap()).unwrap();
        assert_eq!(
            written,
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<a b=\"1 &lt; &quot;2&quot;\">\n  \
             <p>x &amp; y<br/><br/>z</p>\n  <q/>\n</a>\n"
        );
        assert_eq!(
            tag.fragment().unwrap(),
            "<a b=\"1 &lt; &quot;2&quot;\"><p>x &amp; y<br/><br/>z</p><q/></a>"
        );
    }
}
