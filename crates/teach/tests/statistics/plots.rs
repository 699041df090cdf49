//! Plots: what stands in them, and that they say it without color.

use std::sync::LazyLock;

use crossread_teach::statistics::plot::{self, Point, Series};
use crossread_teach::statistics::{
    Bootstrap, Confidence, Metric, Panel, Scale, Table, Weighting, alpha,
};
use roxmltree::{Document, Node};

use super::{GRADES, grades, table};

const CONFIDENCE: Confidence = Confidence::P95;

fn lax() -> Table {
    let rows = [
        [40, 0, 0, 0, 0, 0],
        [11, 3, 0, 0, 0, 0],
        [6, 5, 5, 0, 0, 0],
        [1, 2, 6, 9, 0, 0],
        [0, 0, 1, 6, 9, 0],
        [0, 0, 0, 0, 5, 11],
    ];
    Table::new(&grades(), &rows).unwrap()
}

/// A class of so many readers whose second half reads higher and higher.
fn class(readers: u8, higher: u8) -> Panel {
    let readers: Vec<Vec<Option<u8>>> = (0..readers)
        .map(|reader| {
            (0..36_u8)
                .map(|item| {
                    let key = item % 6;
                    let off =
                        (u16::from(item) * 7 + u16::from(reader) * 5) % 11 < u16::from(higher);
                    let missing = (item + reader) % 17 == 0;
                    (!missing).then_some(if off { (key + 1).min(5) } else { key })
                })
                .collect()
        })
        .collect();
    Panel::by_reader(&grades(), &readers).unwrap()
}

fn series(name: &str, points: &[(&str, Option<u8>)]) -> Series {
    let points = points
        .iter()
        .map(|(when, higher)| {
            let panel = match higher {
                Some(higher) => class(5, *higher),
                None => Panel::by_item(&grades(), &[[Some(0); 5]; 8]).unwrap(),
            };
            let ordinal = |panel: &Panel| alpha(panel, Metric::Ordinal).value;
            let resampled = Bootstrap::new(100, 42, 0).unwrap().items(&panel, ordinal);
            Point {
                when: (*when).to_owned(),
                figure: alpha(&panel, Metric::Ordinal),
                interval: resampled.percentile(CONFIDENCE),
            }
        })
        .collect();
    Series { name: name.to_owned(), points }
}

static PLOTS: LazyLock<Vec<(&str, String)>> = LazyLock::new(every_plot);

/// Every kind of plot, plain and at its edges.
fn every_plot() -> Vec<(&'static str, String)> {
    let long = "A title so long that no plot of this kind could ever hold it on one line, whatever";
    let names = ["TM", "Kit & <Ola>", "a reader with a name that is long", "", "BV"];
    let cut = grades().cut(2).unwrap();
    let big = table(&[&[4_000_000_000, 3], &[2, 1]]);
    let wide: Vec<Vec<u32>> = (0..16)
        .map(|i| (0..16).map(|j| if i == j { 40 } else { u32::from(i + 1 == j) }).collect())
        .collect();
    let sixteen = Scale::new((0..16).map(|grade| format!("grade {grade}"))).unwrap();
    let wide = Table::new(&sixteen, &wide).unwrap();
    let empty = table(&[&[0, 0], &[0, 0]]);
    let weeks = [
        ("week 1", Some(7)),
        ("week 2", Some(5)),
        ("week 3", None),
        ("week 4", Some(3)),
        ("week 5", Some(1)),
    ];
    let other = [
        ("week 1", Some(9)),
        ("week 2", Some(9)),
        ("week 3", Some(6)),
        ("week 4", Some(6)),
        ("week 5", Some(2)),
    ];
    vec![
        (
            "confusion",
            plot::confusion(&lax(), "Reader TM, exercise 7", "Key", "Reader TM", Some(cut)),
        ),
        (
            "confusion-plain",
            plot::confusion(&lax(), "Reader TM, exercise 7", "Key", "Reader TM", None),
        ),
        ("confusion-big", plot::confusion(&big, long, "First look", "Second look", None)),
        ("confusion-wide", plot::confusion(&wide, long, long, long, Some(sixteen.cut(3).unwrap()))),
        (
            "confusion-empty",
            plot::confusion(&empty, "", "Key", "Reader", Some(empty.scale().cut(1).unwrap())),
        ),
        ("bias", plot::bias(&lax().bias(CONFIDENCE), "Reader TM, exercise 7: too high or too low")),
        (
            "bias-few",
            plot::bias(&table(&[&[1, 1, 0], &[0, 0, 1], &[0, 0, 0]]).bias(CONFIDENCE), long),
        ),
        ("bias-empty", plot::bias(&empty.bias(CONFIDENCE), "")),
        ("bias-wide", plot::bias(&wide.bias(CONFIDENCE), long)),
        (
            "readers",
            plot::readers(
                &class(5, 4),
                &names,
                &Weighting::Quadratic,
                "Exercise 7, reader against reader",
            ),
        ),
        ("readers-many", plot::readers(&class(14, 9), &[], &Weighting::Unweighted, long)),
        ("readers-none", plot::readers(&class(0, 0), &[], &Weighting::Linear, "")),
        (
            "readers-one-grade",
            plot::readers(
                &Panel::by_item(&grades(), &[[Some(0); 3]]).unwrap(),
                &[],
                &Weighting::Linear,
                "One item",
            ),
        ),
        (
            "over-time",
            plot::over_time(
                &[series("morning class", &weeks), series("evening class", &other)],
                "Two classes over five weeks",
                "Krippendorff's alpha, ordinal",
            ),
        ),
        (
            "over-time-many",
            plot::over_time(
                &(0..5)
                    .map(|n| {
                        series(&format!("group {n}"), &[("first", Some(n)), ("last", Some(n + 3))])
                    })
                    .collect::<Vec<_>>(),
                long,
                long,
            ),
        ),
        ("over-time-none", plot::over_time(&[], "", "")),
    ]
}

fn texts(plot: &str) -> Vec<String> {
    let document = Document::parse(plot).unwrap();
    let texts = document.descendants().filter(|node| node.has_tag_name("text"));
    texts.map(|node| node.text().unwrap_or_default().to_owned()).collect()
}

#[test]
fn every_plot_is_whole_and_says_what_it_shows() {
    for (name, plot) in PLOTS.iter() {
        let document = Document::parse(plot).unwrap_or_else(|fault| panic!("{name}: {fault}"));
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        let child = |tag: &str| root.children().find(|node| node.has_tag_name(tag)).unwrap();
        assert_eq!(root.attribute("aria-label"), Some(child("title").text().unwrap_or_default()));
        assert!(child("desc").text().unwrap().len() > 10, "{name}");
        for word in ["NaN", "inf", "safe", " id="] {
            assert!(!plot.contains(word), "{name} holds {word}");
        }
    }
    assert_eq!(*PLOTS, every_plot(), "the same bytes each time");
}

fn attribute(node: Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

/// A letter is taken for 0.6 of its height, which is generous.
#[test]
fn no_text_runs_out_of_its_plot() {
    for (name, plot) in PLOTS.iter() {
        let document = Document::parse(plot).unwrap();
        let root = document.root_element();
        let (width, height) = (attribute(root, "width"), attribute(root, "height"));
        for node in document.descendants().filter(|node| node.has_tag_name("text")) {
            let text = node.text().unwrap_or_default();
            let long = text.chars().count() as f64 * attribute(node, "font-size") * 0.6;
            let (x, y) = (attribute(node, "x"), attribute(node, "y"));
            let (at, room) = if node.attribute("transform").is_some() {
                (height - y, height)
            } else {
                (x, width)
            };
            let (start, end) = match node.attribute("text-anchor").unwrap() {
                "start" => (at, at + long),
                "middle" => (at - long / 2.0, at + long / 2.0),
                "end" => (at - long, at),
                other => panic!("{other}"),
            };
            assert!(
                start >= -0.5 && end <= room + 0.5,
                "{name}: {text:?} from {start} to {end} of {room}"
            );
            assert!(y > 0.0 && y < height, "{name}: {text:?}");
        }
    }
}

/// Relative luminance, WCAG 2.2.
fn luminance(color: &str) -> f64 {
    let part = |at: usize| {
        let value = f64::from(u8::from_str_radix(&color[at..at + 2], 16).unwrap()) / 255.0;
        if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
}

fn contrast(a: &str, b: &str) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn nothing_is_told_by_hue() {
    for (name, plot) in PLOTS.iter() {
        let document = Document::parse(plot).unwrap();
        let colors = document
            .descendants()
            .flat_map(|node| [node.attribute("fill"), node.attribute("stroke")])
            .flatten()
            .filter(|color| *color != "none");
        for color in colors {
            let part = |at: usize| u8::from_str_radix(&color[at..at + 2], 16).unwrap();
            assert!(part(1) <= part(3) && part(3) <= part(5), "{name}: {color} is no gray or blue");
        }
    }
}

#[test]
fn text_on_shades_can_be_read() {
    for share in 0..=200_u32 {
        let plot = plot::confusion(&table(&[&[share, 200 - share], &[0, 200]]), "", "", "", None);
        let document = Document::parse(&plot).unwrap();
        for cell in document.descendants().filter(|node| node.has_tag_name("g")) {
            let fill = |tag: &str| {
                let node = cell.children().find(|node| node.has_tag_name(tag))?;
                node.attribute("fill").map(str::to_owned)
            };
            if let (Some(on), Some(text)) = (fill("rect"), fill("text")) {
                assert!(contrast(&on, &text) >= 4.5, "{share}: {text} on {on}");
            }
        }
    }
}

#[test]
fn a_confusion_matrix_shows_every_count_and_what_was_missed() {
    let cut = grades().cut(2).unwrap();
    let plot = plot::confusion(&lax(), "Reader TM", "Key", "Reader TM", Some(cut));
    let texts = texts(&plot);
    for (_, _, count) in lax().cells().filter(|(_, _, count)| *count > 0) {
        assert!(texts.contains(&count.to_string()), "{count}");
    }
    for name in GRADES {
        assert!(texts.iter().filter(|text| *text == name).count() >= 2, "{name}");
    }
    assert!(plot.contains("Missed: 14 of 66. False alarms: 0 of 54."));
    assert!(plot.contains("<title>2+, then w: 2 of 18</title>"));
}

#[test]
fn bias_shows_what_has_no_mean_and_no_interval() {
    let bias = table(&[&[1, 1, 0], &[0, 0, 1], &[0, 0, 0]]).bias(CONFIDENCE);
    let plot = plot::bias(&bias, "Three readings");
    assert!(texts(&plot).contains(&"none".to_owned()));
    assert!(plot.contains("2: no mean: there was nothing to count"));
    assert!(plot.contains("1: 1.00, n 1, no interval: it takes at least two"));
}

#[test]
fn names_are_shown_and_never_obeyed() {
    let scale = Scale::new(["</text><script>", "a\u{202e}b\u{7}\"&"]).unwrap();
    let table = Table::new(&scale, &[[1, 2], [3, 4]]).unwrap();
    let plot = plot::confusion(&table, "\u{202e}<b>", "\u{0}", "&", None);
    assert!(!plot.contains('\u{202e}') && !plot.contains('\u{7}') && !plot.contains('\u{0}'));
    let document = Document::parse(&plot).unwrap();
    assert!(
        document.descendants().all(|node| !node.has_tag_name("script") && !node.has_tag_name("b"))
    );
}

#[test]
fn a_line_is_broken_where_a_class_has_no_value() {
    let whole = [("a", Some(2)), ("b", Some(2)), ("c", Some(2))];
    let broken = [("a", Some(2)), ("b", None), ("c", Some(2))];
    let joins = |points: &[(&str, Option<u8>)]| {
        let plot = plot::over_time(&[series("class", points)], "", "alpha");
        let document = Document::parse(&plot).unwrap();
        let lines = document.descendants().filter(|node| node.has_tag_name("line"));
        lines
            .filter(|l| {
                l.attribute("stroke-width") == Some("2") && l.attribute("stroke") == Some("#184478")
            })
            .count()
    };
    assert_eq!((joins(&whole), joins(&broken)), (2, 0));
}

/// Writes the plots to the folder named in `CROSSREAD_PLOTS`, to be looked at.
#[test]
#[expect(clippy::disallowed_methods, reason = "only to look at the plots")]
fn plots_can_be_looked_at() {
    let Ok(folder) = std::env::var("CROSSREAD_PLOTS") else { return };
    for (name, plot) in PLOTS.iter() {
        std::fs::write(format!("{folder}/{name}.svg"), plot).unwrap();
    }
}
