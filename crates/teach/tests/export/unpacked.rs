//! A package as a learning system takes it apart: a zip library, an XML library, and the steps that
//! a delivery engine does after an answer.

use std::collections::BTreeMap;
use std::io::{Cursor, Read as _};

use roxmltree::{Document, Node};
use zip::ZipArchive;

/// The names of the files in their order, and their contents.
pub(crate) fn files(package: &[u8]) -> (Vec<String>, BTreeMap<String, Vec<u8>>) {
    let mut archive = ZipArchive::new(Cursor::new(package)).unwrap();
    let mut names = Vec::new();
    let mut contents = BTreeMap::new();
    for at in 0..archive.len() {
        let mut file = archive.by_index(at).unwrap();
        let mut content = Vec::new();
        // Reading to the end compares the checksum.
        file.read_to_end(&mut content).unwrap();
        let name = file.name().unwrap().into_owned();
        names.push(name.clone());
        contents.insert(name, content);
    }
    (names, contents)
}

/// A name of QTI 3.0 as 2.1 has it; other names stay.
pub(crate) fn plain(name: &str) -> String {
    let name = name.strip_prefix("qti-").unwrap_or(name);
    let mut parts = name.split('-');
    let first = parts.next().unwrap().to_owned();
    parts.fold(first, |mut made, part| {
        let mut letters = part.chars();
        made.extend(letters.next().into_iter().flat_map(char::to_uppercase));
        made.extend(letters);
        made
    })
}

/// An element with the names of 2.1.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Element {
    pub(crate) name: String,
    pub(crate) attributes: BTreeMap<String, String>,
    pub(crate) children: Vec<Self>,
    /// The text in it; where `br` stands, a line ends.
    pub(crate) text: String,
}

impl Element {
    pub(crate) fn read(xml: &[u8]) -> Self {
        let document = Document::parse(std::str::from_utf8(xml).unwrap()).unwrap();
        Self::of(document.root_element())
    }

    fn of(node: Node<'_, '_>) -> Self {
        let mut text = String::new();
        let mut children = Vec::new();
        for child in node.children() {
            if child.is_element() && child.tag_name().name() == "br" {
                text.push('\n');
            } else if child.is_element() {
                children.push(Self::of(child));
            } else {
                text.push_str(child.text().unwrap());
            }
        }
        let attributes =
            node.attributes().map(|one| (plain(one.name()), one.value().to_owned())).collect();
        Self { name: plain(node.tag_name().name()), attributes, children, text }
    }

    pub(crate) fn get(&self, attribute: &str) -> &str {
        self.attributes.get(attribute).unwrap_or_else(|| panic!("{attribute} of {}", self.name))
    }

    pub(crate) fn all(&self, name: &str) -> Vec<&Self> {
        self.children.iter().filter(|child| child.name == name).collect()
    }

    /// The only child of the name.
    pub(crate) fn one(&self, name: &str) -> &Self {
        let all = self.all(name);
        assert_eq!(all.len(), 1, "{name} in {}", self.name);
        all[0]
    }

    pub(crate) fn every(&self, name: &str) -> Vec<&Self> {
        let within = self.children.iter().flat_map(|child| child.every(name));
        (self.name == name).then_some(self).into_iter().chain(within).collect()
    }

    pub(crate) fn names(&self) -> Vec<&str> {
        self.children.iter().map(|child| child.name.as_str()).collect()
    }
}

/// What a delivery engine knows after an answer, as text; `None` is NULL.
pub(crate) type Outcomes = BTreeMap<String, Option<String>>;

/// Runs the response processing of an item on an answer.
pub(crate) fn delivered(item: &Element, answer: Option<&str>) -> Outcomes {
    let mut outcomes: Outcomes = item
        .all("outcomeDeclaration")
        .into_iter()
        .map(|declared| {
            let begins = declared.all("defaultValue");
            let begins = begins.first().map(|value| value.one("value").text.clone());
            (declared.get("identifier").to_owned(), begins)
        })
        .collect();
    let engine = Engine { item, answer };
    for rule in &item.one("responseProcessing").children {
        engine.run(rule, &mut outcomes);
    }
    outcomes
}

struct Engine<'a> {
    item: &'a Element,
    answer: Option<&'a str>,
}

impl Engine<'_> {
    fn run(&self, rule: &Element, outcomes: &mut Outcomes) {
        match rule.name.as_str() {
            "responseCondition" => {
                let branch = rule.children.iter().find(|branch| match branch.name.as_str() {
                    "responseIf" => self.value(&branch.children[0]).as_deref() == Some("true"),
                    "responseElse" => true,
                    other => panic!("{other}"),
                });
                let skip = |branch: &Element| usize::from(branch.name == "responseIf");
                for rule in branch.into_iter().flat_map(|at| &at.children[skip(at)..]) {
                    self.run(rule, outcomes);
                }
            }
            "setOutcomeValue" => {
                let outcome = outcomes.get_mut(rule.get("identifier")).unwrap();
                *outcome = self.value(&rule.children[0]);
            }
            other => panic!("{other}"),
        }
    }

    fn value(&self, expression: &Element) -> Option<String> {
        match expression.name.as_str() {
            "variable" => {
                assert_eq!(expression.get("identifier"), "RESPONSE");
                self.answer.map(str::to_owned)
            }
            "baseValue" => Some(expression.text.clone()),
            "isNull" => Some(self.value(&expression.children[0]).is_none().to_string()),
            "match" => {
                let [left, right] = [0, 1].map(|at| self.value(&expression.children[at]));
                Some((left? == right?).to_string())
            }
            "mapResponse" => {
                let declared = self.item.one("responseDeclaration").one("mapping");
                let entry =
                    declared.children.iter().find(|entry| Some(entry.get("mapKey")) == self.answer);
                Some(entry.unwrap().get("mappedValue").to_owned())
            }
            other => panic!("{other}"),
        }
    }
}

/// The id that an identifier was made from.
pub(crate) fn id(identifier: &str) -> String {
    let Some(mut rest) = identifier.strip_prefix('_') else {
        return identifier.to_owned();
    };
    let mut made = String::new();
    while let Some((before, after)) = rest.split_once('_') {
        let (number, after) = after.split_once('_').unwrap();
        made.push_str(before);
        made.push(char::from_u32(u32::from_str_radix(number, 16).unwrap()).unwrap());
        rest = after;
    }
    made + rest
}
