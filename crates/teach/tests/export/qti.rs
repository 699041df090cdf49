//! QTI packages: their structure, and what a delivery engine makes of them.
//!
//! The structure is that of the QTI 2.1 and 3.0 information models (1EdTech; from memory) and of
//! IMS Content Packaging 1.1.4 (its schema read). The schemas of QTI are not at hand, so nothing
//! here validates against them.

use std::collections::{BTreeMap, BTreeSet};

use crossread_teach::export::{qti21, qti30};
use crossread_teach::question::Question;
use rstest::rstest;

use super::sample::{SET, TITLE, all, in_words};
use super::unpacked::{Element, delivered, files, id};

/// A version, with questions that it can hold in this build.
#[derive(Clone, Copy, Debug)]
enum Version {
    V2p1,
    V3p0,
}

impl Version {
    fn questions(self) -> Vec<Question> {
        match self {
            Self::V2p1 if cfg!(not(feature = "png")) => in_words(),
            Self::V2p1 | Self::V3p0 => all(),
        }
    }

    fn package(self) -> (Vec<String>, BTreeMap<String, Vec<u8>>) {
        let write = match self {
            Self::V2p1 => qti21,
            Self::V3p0 => qti30,
        };
        files(&write(TITLE, SET, &self.questions()).unwrap())
    }

    fn items(self) -> Vec<Element> {
        let (names, contents) = self.package();
        let items = names.iter().filter(|name| name.starts_with("items/"));
        items.map(|name| Element::read(&contents[name])).collect()
    }
}

#[rstest]
fn the_same_questions_come_out(#[values(Version::V2p1, Version::V3p0)] version: Version) {
    let items = version.items();
    let questions = version.questions();
    assert_eq!(items.len(), questions.len());
    for (item, question) in items.iter().zip(&questions) {
        assert_eq!(id(item.get("identifier")), question.id);
        let asked = item.one("itemBody").one("choiceInteraction");
        assert_eq!(asked.one("prompt").text, question.prompt);
        let choices: Vec<_> = asked
            .all("simpleChoice")
            .into_iter()
            .map(|choice| (id(choice.get("identifier")), choice.text.clone()))
            .collect();
        let expected: Vec<_> =
            question.choices.iter().map(|one| (one.id.clone(), one.text.clone())).collect();
        assert_eq!(choices, expected);
        let shown: Vec<_> = item.every("img").into_iter().map(|img| img.get("alt")).collect();
        assert_eq!(shown, question.pictures.iter().map(|one| &one.alt).collect::<Vec<_>>());
    }
}

/// Every answer to every question, and none.
#[rstest]
fn every_answer_earns_its_marks_and_a_critical_error_is_said(
    #[values(Version::V2p1, Version::V3p0)] version: Version,
) {
    let mut critical_errors = 0;
    for (item, question) in version.items().iter().zip(version.questions()) {
        let none = delivered(item, None);
        assert_eq!(none["SCORE"].as_deref(), Some("0"));
        assert_eq!(none["CRITICAL"].as_deref(), Some("0"));
        assert_eq!(none["FEEDBACK"], None);
        for choice in &question.choices {
            let chosen = item.every("simpleChoice");
            let chosen = chosen.iter().find(|one| id(one.get("identifier")) == choice.id).unwrap();
            let chosen = chosen.get("identifier");
            let outcomes = delivered(item, Some(chosen));
            let earned = match choice.score_hundredths {
                0 => "0",
                25 => "0.25",
                50 => "0.5",
                100 => "1",
                other => panic!("{other}"),
            };
            assert_eq!(outcomes["SCORE"].as_deref(), Some(earned));
            assert_eq!(outcomes["MAXSCORE"].as_deref(), Some("1"));
            let critical = if choice.is_critical { "1" } else { "0" };
            assert_eq!(outcomes["CRITICAL"].as_deref(), Some(critical));
            let told: String = item
                .all("modalFeedback")
                .into_iter()
                .filter(|told| outcomes["FEEDBACK"].as_deref() == Some(told.get("identifier")))
                .map(|told| told.every("p")[0].text.clone())
                .collect();
            if choice.is_critical {
                critical_errors += 1;
                assert!(told.starts_with("Critical error"), "{told}");
                assert!(told.ends_with(choice.feedback.as_str()));
            } else {
                assert_eq!(told, choice.feedback);
            }
        }
        let declared = item.one("responseDeclaration");
        let key = id(&declared.one("correctResponse").one("value").text);
        assert_eq!(question.choices.iter().find(|one| one.is_key).unwrap().id, key);
    }
    assert!(critical_errors >= 2);
}

#[rstest]
fn an_item_is_built_as_the_model_has_it(#[values(Version::V2p1, Version::V3p0)] version: Version) {
    for item in version.items() {
        assert_eq!(item.name, "assessmentItem");
        assert_eq!((item.get("adaptive"), item.get("timeDependent")), ("false", "false"));
        let mut order = item.names();
        order.dedup();
        let mut expected = vec![
            "responseDeclaration",
            "outcomeDeclaration",
            "itemBody",
            "responseProcessing",
            "modalFeedback",
        ];
        expected.truncate(order.len());
        assert_eq!(order, expected);
        let response = item.one("responseDeclaration");
        assert_eq!(response.names(), ["correctResponse", "mapping"]);
        assert_eq!(
            (response.get("cardinality"), response.get("baseType")),
            ("single", "identifier")
        );
        let mapping = response.one("mapping");
        assert_eq!((mapping.get("defaultValue"), mapping.get("lowerBound")), ("0", "0"));
        let asked = item.one("itemBody").one("choiceInteraction");
        assert_eq!((asked.get("shuffle"), asked.get("maxChoices")), ("false", "1"));
        assert_eq!(asked.names()[0], "prompt");
        let unique: BTreeSet<_> =
            asked.all("simpleChoice").into_iter().map(|one| one.get("identifier")).collect();
        assert_eq!(unique.len(), asked.all("simpleChoice").len());
        for told in item.all("modalFeedback") {
            assert_eq!((told.get("outcomeIdentifier"), told.get("showHide")), ("FEEDBACK", "show"));
            match version {
                Version::V2p1 => assert_eq!(told.names(), ["p"]),
                Version::V3p0 => assert_eq!(told.one("contentBody").names(), ["p"]),
            }
        }
    }
}

#[rstest]
fn the_manifest_names_every_file_and_no_other(
    #[values(Version::V2p1, Version::V3p0)] version: Version,
) {
    let (names, contents) = version.package();
    assert_eq!(names[..2], ["imsmanifest.xml", "test.xml"]);
    let manifest = Element::read(&contents["imsmanifest.xml"]);
    assert_eq!(manifest.names(), ["metadata", "organizations", "resources"]);
    let resources = manifest.one("resources").all("resource");
    let listed: Vec<_> = manifest.every("file").into_iter().map(|file| file.get("href")).collect();
    assert_eq!(listed, names[1..]);
    let ids: BTreeSet<_> =
        manifest.every("resource").iter().map(|one| one.get("identifier").to_owned()).collect();
    assert_eq!(ids.len(), resources.len());
    assert!(!ids.contains(manifest.get("identifier")));
    for resource in &resources {
        assert_eq!(resource.children[0].get("href"), resource.get("href"));
    }
    let needed = resources[0].all("dependency");
    let needed: Vec<_> = needed.iter().map(|one| one.get("identifierref")).collect();
    let items: Vec<_> = resources[1..].iter().map(|one| one.get("identifier")).collect();
    assert_eq!(needed, items);
    let (test, item) = match version {
        Version::V2p1 => ("imsqti_test_xmlv2p1", "imsqti_item_xmlv2p1"),
        Version::V3p0 => ("imsqti_test_xmlv3p0", "imsqti_item_xmlv3p0"),
    };
    assert_eq!(resources[0].get("type"), test);
    assert!(resources[1..].iter().all(|resource| resource.get("type") == item));
}

#[rstest]
fn the_test_has_the_items_in_order_and_shows_feedback(
    #[values(Version::V2p1, Version::V3p0)] version: Version,
) {
    let (_, contents) = version.package();
    let test = Element::read(&contents["test.xml"]);
    assert_eq!((test.name.as_str(), test.get("title")), ("assessmentTest", TITLE));
    let order = ["outcomeDeclaration", "outcomeDeclaration", "testPart", "outcomeProcessing"];
    assert_eq!(test.names(), order);
    let part = test.one("testPart");
    assert_eq!(part.names(), ["itemSessionControl", "assessmentSection"]);
    assert_eq!(part.one("itemSessionControl").get("showFeedback"), "true");
    let refs = part.one("assessmentSection").all("assessmentItemRef");
    for (reference, question) in refs.iter().zip(version.questions()) {
        let item = Element::read(&contents[reference.get("href")]);
        assert_eq!(item.get("identifier"), reference.get("identifier"));
        assert_eq!(id(item.get("identifier")), question.id);
    }
    assert_eq!(refs.len(), version.questions().len());
    for (set, outcome) in test.one("outcomeProcessing").children.iter().zip(["SCORE", "CRITICAL"]) {
        assert_eq!(set.get("identifier"), outcome);
        assert_eq!(set.one("sum").one("testVariables").get("variableIdentifier"), outcome);
    }
}

#[rstest]
fn every_picture_lies_where_its_item_looks(
    #[values(Version::V2p1, Version::V3p0)] version: Version,
) {
    let (_, contents) = version.package();
    let mut seen = 0;
    for (item, question) in version.items().iter().zip(version.questions()) {
        for (img, drawn) in item.every("img").into_iter().zip(&question.pictures) {
            seen += 1;
            let content = &contents[img.get("src").strip_prefix("../").unwrap()];
            assert_eq!((img.get("width"), img.get("height")), ("240", "640"));
            match version {
                Version::V2p1 => {
                    assert!(content.starts_with(b"\x89PNG\r\n\x1a\n"));
                    assert_eq!(content[16..24], [0, 0, 0, 240, 0, 0, 2, 128]);
                }
                Version::V3p0 => assert_eq!(content, drawn.svg.as_bytes()),
            }
        }
    }
    assert_eq!(seen, version.questions().iter().map(|one| one.pictures.len()).sum::<usize>());
}
