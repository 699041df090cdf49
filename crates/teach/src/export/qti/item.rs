//! One question as an item of QTI.

use super::version::Version;
use crate::export::checked::Item;
use crate::export::identifier::identifier;
use crate::export::marks::{decimal, told};
use crate::export::xml::Tag;

/// What the student chose.
const RESPONSE: &str = "RESPONSE";
/// What it earned, in marks.
pub(super) const SCORE: &str = "SCORE";
/// 1 after a critical error, else 0.
pub(super) const CRITICAL: &str = "CRITICAL";
/// Which feedback is shown: the identifier of the choice.
const FEEDBACK: &str = "FEEDBACK";

/// The item; `sources` are where its pictures lie, seen from its file.
pub(super) fn item(version: Version, title: &str, item: &Item<'_>, sources: &[String]) -> Tag {
    let full = decimal(item.full);
    version
        .root(
            "assessmentItem",
            [
                ("identifier", &identifier(&item.which.id)),
                ("title", &format!("{title} ({})", item.which.number)),
                ("adaptive", "false"),
                ("timeDependent", "false"),
            ],
        )
        .tag(response(version, item, &full))
        .tags(outcomes(version, &full))
        .tag(body(version, item, sources))
        .tag(processing(version, item))
        .tags(feedback(version, item))
}

/// The key, and what each choice earns.
fn response(version: Version, item: &Item<'_>, full: &str) -> Tag {
    let entries = item.choices.iter().map(|choice| {
        let earned = decimal(choice.score_hundredths);
        let key = identifier(&choice.id);
        version.with("mapEntry", [("mapKey", &key), ("mappedValue", &earned)])
    });
    version
        .with(
            "responseDeclaration",
            [("identifier", RESPONSE), ("cardinality", "single"), ("baseType", "identifier")],
        )
        .tag(version.tag("correctResponse").tag(version.tag("value").text(identifier(&item.key))))
        .tag(
            version
                .with("mapping", [("lowerBound", "0"), ("upperBound", full), ("defaultValue", "0")])
                .tags(entries),
        )
}

fn outcomes(version: Version, full: &str) -> [Tag; 4] {
    let single = ("cardinality", "single");
    let begins = |tag: Tag, value: &str| {
        tag.tag(version.tag("defaultValue").tag(version.tag("value").text(value)))
    };
    let score = [
        ("identifier", SCORE),
        single,
        ("baseType", "float"),
        ("normalMaximum", full),
        ("normalMinimum", "0"),
    ];
    let most = [("identifier", "MAXSCORE"), single, ("baseType", "float")];
    let critical = [("identifier", CRITICAL), single, ("baseType", "integer")];
    let feedback = [("identifier", FEEDBACK), single, ("baseType", "identifier")];
    [
        begins(version.with("outcomeDeclaration", score), "0"),
        begins(version.with("outcomeDeclaration", most), full),
        begins(version.with("outcomeDeclaration", critical), "0"),
        version.with("outcomeDeclaration", feedback),
    ]
}

/// What is seen, what is asked, what can be chosen. Never shuffled: grades have an order.
fn body(version: Version, item: &Item<'_>, sources: &[String]) -> Tag {
    let pictures = item.pictures.iter().zip(sources).map(|(picture, source)| {
        Tag::new("p").tag(
            Tag::new("img")
                .with("src", source)
                .with("alt", &picture.alt)
                .with("width", picture.size.width.to_string())
                .with("height", picture.size.height.to_string()),
        )
    });
    let choices = item.choices.iter().map(|choice| {
        version.with("simpleChoice", [("identifier", &identifier(&choice.id))]).lines(&choice.text)
    });
    let asked = version.with(
        "choiceInteraction",
        [("responseIdentifier", RESPONSE), ("shuffle", "false"), ("maxChoices", "1")],
    );
    version
        .tag("itemBody")
        .tags(pictures)
        .tag(asked.tag(version.tag("prompt").lines(&item.prompt)).tags(choices))
}

/// No answer earns 0; any other earns what is mapped, and its feedback is shown.
fn processing(version: Version, item: &Item<'_>) -> Tag {
    let answered = || version.with("variable", [("identifier", RESPONSE)]);
    let value = |kind, text: &str| version.with("baseValue", [("baseType", kind)]).text(text);
    let set = |outcome, to| version.with("setOutcomeValue", [("identifier", outcome)]).tag(to);
    let scored = version
        .tag("responseCondition")
        .tag(
            version
                .tag("responseIf")
                .tag(version.tag("isNull").tag(answered()))
                .tag(set(SCORE, value("float", "0"))),
        )
        .tag(
            version
                .tag("responseElse")
                .tag(set(SCORE, version.with("mapResponse", [("identifier", RESPONSE)])))
                .tag(set(FEEDBACK, answered())),
        );
    let critical = item.choices.iter().filter(|choice| choice.is_critical).map(|choice| {
        let chosen = value("identifier", &identifier(&choice.id));
        version.tag("responseCondition").tag(
            version
                .tag("responseIf")
                .tag(version.tag("match").tag(answered()).tag(chosen))
                .tag(set(CRITICAL, value("integer", "1"))),
        )
    });
    version.tag("responseProcessing").tag(scored).tags(critical)
}

fn feedback(version: Version, item: &Item<'_>) -> impl Iterator<Item = Tag> {
    let told = item.choices.iter().map(|choice| (identifier(&choice.id), told(choice)));
    told.filter(|(_, told)| !told.is_empty()).map(move |(id, told)| {
        let shown = version.with(
            "modalFeedback",
            [("outcomeIdentifier", FEEDBACK), ("identifier", &id), ("showHide", "show")],
        );
        let told = Tag::new("p").lines(&told);
        match version {
            Version::V2p1 => shown.tag(told),
            Version::V3p0 => shown.tag(version.tag("contentBody").tag(told)),
        }
    })
}
