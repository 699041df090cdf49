//! What a message is made of: flat records of named values, the same for every way of writing.

use serde_json::{Map, Value};

use crate::wrong::Wrongs;

/// What a record tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Kind {
    /// Worksheet, rules, engine, recipient: once a message.
    Run,
    /// The answer for one donor.
    Answer,
    /// What one mixture at one phase came to.
    OfRecord,
    /// Something that was noticed, of one donor or of all together.
    Finding,
    /// One look at one mixture, as it was written down.
    Reading,
}

impl Kind {
    pub(crate) const ALL: [Self; 5] =
        [Self::Run, Self::Answer, Self::OfRecord, Self::Finding, Self::Reading];

    /// Its code in a message.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Run => "run",
            Self::Answer => "answer",
            Self::OfRecord => "of_record",
            Self::Finding => "finding",
            Self::Reading => "reading",
        }
    }

    /// Its code as people say it.
    pub(crate) fn spoken(self) -> &'static str {
        match self {
            Self::Run => "crossmatch",
            Self::Answer => "answer for one donor",
            Self::OfRecord => "result of one mixture at one phase",
            Self::Finding => "finding",
            Self::Reading => "reading as written down",
        }
    }

    fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// The kind and number that a record's name stands for, as it is written: without signs or
    /// leading zeros.
    pub(crate) fn named(name: &str) -> Option<(Self, usize)> {
        let (kind, number) = name.split_once('/')?;
        let value: usize = number.parse().ok()?;
        Some((Self::of(kind)?, value)).filter(|_| value.to_string() == number)
    }

    /// The field that a message shows as the value of the record itself.
    pub(crate) fn main(self) -> Option<&'static str> {
        match self {
            Self::Run => None,
            Self::Answer => Some("verdict"),
            Self::OfRecord => Some("state"),
            Self::Finding => Some("slug"),
            Self::Reading => Some("agglutination"),
        }
    }

    /// Every field that a record of this kind may have.
    pub(crate) fn fields(self) -> &'static [Field] {
        match self {
            Self::Run => RUN,
            Self::Answer => ANSWER,
            Self::OfRecord => OF_RECORD,
            Self::Finding => FINDING,
            Self::Reading => READING,
        }
    }

    pub(crate) fn field(self, path: &str) -> Option<&'static Field> {
        self.fields().iter().find(|field| field.path == path)
    }
}

/// What a value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Form {
    /// A word of this list.
    Word(&'static str),
    /// Several words that belong together.
    Words,
    /// Any text that is not empty.
    Text,
    /// A whole number.
    Whole,
    /// Yes or no.
    Bool,
    /// A moment with its offset.
    Time,
    /// A day.
    Date,
}

/// How often a field stands in a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Times {
    /// Once, or not at all.
    Once,
    /// Once; left out it is null.
    OnceOrNull,
    /// Any number of times, in order; left out it is an empty list.
    Each,
    /// Any number of times, in order; left out there is no list.
    EachIfAny,
}

/// A field of a record: its path in the document that it comes from, with points.
#[derive(Debug)]
pub(crate) struct Field {
    pub(crate) path: &'static str,
    pub(crate) form: Form,
    pub(crate) times: Times,
}

const fn once(path: &'static str, form: Form) -> Field {
    Field { path, form, times: Times::Once }
}

const fn each(path: &'static str, form: Form) -> Field {
    Field { path, form, times: Times::Each }
}

const SUMMARY: Form = Form::Word("summary");
const GRADE: Form = Form::Word("grade");
const PHASE: Form = Form::Word("phase");
const TEST: Form = Form::Word("test");

static RUN: &[Field] = &[
    once("worksheet.id", Form::Text),
    once("worksheet.sha256", Form::Text),
    once("method", Form::Word("method")),
    once("protocol.id", Form::Text),
    once("protocol.version", Form::Text),
    once("protocol.sha256", Form::Text),
    once("engine", Form::Text),
    once("recipient.id", Form::Text),
    once("recipient.name", Form::Text),
    once("recipient.species", Form::Word("species")),
    once("recipient.breed", Form::Text),
    each("order", Form::Text),
    once("revision", Form::Whole),
    once("records", Form::Whole),
    once("sha256", Form::Text),
];

static ANSWER: &[Field] = &[
    once("verdict", Form::Word("verdict")),
    once("releasable", Form::Bool),
    Field { path: "valid_until", form: Form::Time, times: Times::OnceOrNull },
    once("headline", Form::Text),
    once("donor.id", Form::Text),
    once("donor.name", Form::Text),
    once("donor.species", Form::Word("species")),
    once("donor.breed", Form::Text),
    once("product", Form::Word("product")),
    once("unit.number", Form::Text),
    once("unit.expires_on", Form::Date),
    once("unit.inspection", Form::Word("inspection")),
    each("next_steps", Form::Text),
    each("not_tested", Form::Word("untested")),
    once("major.conclusion", Form::Word("conclusion")),
    once("major.summary", SUMMARY),
    once("major.strongest", GRADE),
    once("major.phase", PHASE),
    once("major.hemolysis", Form::Whole),
    once("minor.conclusion", Form::Word("conclusion")),
    once("minor.summary", SUMMARY),
    once("minor.strongest", GRADE),
    once("minor.phase", PHASE),
    once("minor.hemolysis", Form::Whole),
    once("recipient_auto.summary", SUMMARY),
    once("recipient_auto.strongest", GRADE),
    once("recipient_auto.phase", PHASE),
    once("recipient_auto.hemolysis", Form::Whole),
    once("donor_auto.summary", SUMMARY),
    once("donor_auto.strongest", GRADE),
    once("donor_auto.phase", PHASE),
    once("donor_auto.hemolysis", Form::Whole),
    each("rows", Form::Whole),
    each("explanations", Form::Words),
];

static OF_RECORD: &[Field] = &[
    once("state", Form::Word("state")),
    once("test", TEST),
    once("phase", PHASE),
    once("grade", GRADE),
    once("hemolysis", Form::Whole),
    each("from", Form::Text),
];

static FINDING: &[Field] = &[
    once("slug", Form::Word("finding")),
    once("effect", Form::Word("effect")),
    once("title", Form::Text),
    once("text", Form::Text),
    once("next_step", Form::Text),
    each("rests_on", Form::Text),
    each("sources", Form::Text),
];

static READING: &[Field] = &[
    once("agglutination", GRADE),
    once("test", TEST),
    once("phase", PHASE),
    once("donor", Form::Text),
    once("hemolysis", Form::Whole),
    once("at", Form::Time),
    once("by", Form::Text),
    once("after", Form::Word("recheck")),
    once("saline_parts", Form::Whole),
    once("pattern", Form::Word("pattern")),
    once("mixed_field", Form::Bool),
    once("check_cells", GRADE),
    once("seconds", Form::Whole),
    once("dried", Form::Bool),
    Field { path: "artefacts", form: Form::Word("artefact"), times: Times::EachIfAny },
    once("retracted.at", Form::Time),
    once("retracted.by", Form::Text),
    once("retracted.reason", Form::Text),
];

/// A value of a record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Scalar {
    /// Words, texts, times and dates, as the document spells them.
    Text(String),
    /// A whole number.
    Whole(u64),
    /// Yes or no.
    Bool(bool),
}

/// Between the words of one value.
pub(crate) const AND: &str = " + ";

/// One record of a message.
#[derive(Clone, Debug)]
pub(crate) struct Record {
    pub(crate) kind: Kind,
    /// Its number among those of its kind, from 0.
    pub(crate) number: usize,
    /// The number of the answer that it belongs to.
    pub(crate) answer: Option<usize>,
    pub(crate) values: Vec<(&'static Field, Scalar)>,
}

impl Record {
    /// The values of a part of a document, in the order of the fields.
    pub(crate) fn of(kind: Kind, answer: Option<usize>, part: &Value) -> Self {
        let mut values = Vec::new();
        for field in kind.fields() {
            let found = part.pointer(&format!("/{}", field.path.replace('.', "/")));
            match found {
                None | Some(Value::Null) => {}
                Some(Value::Array(elements)) => {
                    values.extend(elements.iter().filter_map(|of| Some((field, scalar(of)?))));
                }
                Some(one) => values.extend(scalar(one).map(|scalar| (field, scalar))),
            }
        }
        Self { kind, number: 0, answer, values }
    }

    /// Its name within the message: `answer/0`.
    pub(crate) fn name(&self) -> String {
        format!("{}/{}", self.kind.word(), self.number)
    }

    /// The first value of a field.
    pub(crate) fn text(&self, path: &str) -> Option<&str> {
        self.values.iter().find_map(|(field, value)| match value {
            Scalar::Text(text) if field.path == path => Some(text.as_str()),
            Scalar::Text(_) | Scalar::Whole(_) | Scalar::Bool(_) => None,
        })
    }

    /// The value of a field that is a number.
    pub(crate) fn whole(&self, path: &str) -> Option<u64> {
        self.values.iter().find_map(|(field, value)| match value {
            Scalar::Whole(number) if field.path == path => Some(*number),
            Scalar::Whole(_) | Scalar::Text(_) | Scalar::Bool(_) => None,
        })
    }

    /// The part of a document that it stands for. What cannot be is added to the wrongs.
    pub(crate) fn part(&self, wrongs: &mut Wrongs) -> Value {
        let mut part = Map::new();
        for field in self.kind.fields() {
            let mut values: Vec<Value> = self
                .values
                .iter()
                .filter(|(of, _)| of.path == field.path)
                .map(|(_, value)| json_of(field.form, value))
                .collect();
            let value = match field.times {
                Times::Once | Times::OnceOrNull => {
                    if values.len() > 1 {
                        let place = format!("{}/{}", self.name(), field.path);
                        wrongs.add(place, "one value", format!("{}", values.len()));
                    }
                    let null = (field.times == Times::OnceOrNull).then_some(Value::Null);
                    values.pop().or(null)
                }
                Times::Each => Some(Value::Array(values)),
                Times::EachIfAny => (!values.is_empty()).then_some(Value::Array(values)),
            };
            if let Some(value) = value {
                put(&mut part, field.path, value);
            }
        }
        Value::Object(part)
    }
}

fn scalar(value: &Value) -> Option<Scalar> {
    match value {
        Value::String(text) => Some(Scalar::Text(text.clone())),
        Value::Number(number) => number.as_u64().map(Scalar::Whole),
        Value::Bool(value) => Some(Scalar::Bool(*value)),
        Value::Array(words) => {
            let words: Vec<_> = words.iter().filter_map(Value::as_str).collect();
            Some(Scalar::Text(words.join(AND)))
        }
        Value::Null | Value::Object(_) => None,
    }
}

fn json_of(form: Form, value: &Scalar) -> Value {
    match value {
        Scalar::Text(text) if form == Form::Words => text.split(AND).collect(),
        Scalar::Text(text) => Value::from(text.as_str()),
        Scalar::Whole(number) => Value::from(*number),
        Scalar::Bool(value) => Value::from(*value),
    }
}

/// Puts a value at a path of at most two steps.
fn put(part: &mut Map<String, Value>, path: &str, value: Value) {
    let Some((outer, inner)) = path.split_once('.') else {
        part.insert(path.to_owned(), value);
        return;
    };
    let within = part.entry(outer).or_insert_with(|| Value::Object(Map::new()));
    if let Value::Object(within) = within {
        within.insert(inner.to_owned(), value);
    }
}

/// A word as people say it.
pub(crate) fn spoken(word: &str) -> String {
    word.replace(['_', '.'], " ")
}
