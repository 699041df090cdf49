//! What each step costs beside a bare typed parse of the same document: ratios, by CPU time of this
//! thread. It measures and never judges. With the word `record` it measures the journal instead.
//!
//! F = one UTF-8 check and `serde_json::from_str` into the project's own document type. S = writing
//! the project's own finished result. H = SHA-256 of the input.

#![expect(clippy::print_stdout, reason = "a measuring program prints")]
#![expect(
    clippy::unwrap_used,
    clippy::float_arithmetic,
    clippy::arithmetic_side_effects,
    clippy::cast_precision_loss,
    clippy::as_conversions,
    clippy::indexing_slicing,
    reason = "a measuring program may stop, and divides"
)]

mod record;

use std::fmt::Write as _;
use std::hint::black_box;
use std::time::Duration;

use crossread_core::document::Digest;
use crossread_core::worksheet::draft;
use crossread_core::{Interpretation, Protocol, Protocols, Worksheet, interpret};
use rustix::time::{ClockId, clock_gettime};

const ROUNDS: usize = 9;
const SLICE: Duration = Duration::from_millis(60);

/// CPU time of this thread: on a machine shared with others, waiting is not ours to count.
fn cpu() -> Duration {
    spent(ClockId::ThreadCPUTime)
}

fn spent(clock: ClockId) -> Duration {
    let now = clock_gettime(clock);
    Duration::new(now.tv_sec.try_into().unwrap(), now.tv_nsec.try_into().unwrap())
}

/// A named step and its time for one document, round by round, in µs.
struct Step<'s> {
    name: &'static str,
    run: Box<dyn FnMut() + 's>,
    rounds: Vec<f64>,
}

fn step<'s>(name: &'static str, run: impl FnMut() + 's) -> Step<'s> {
    Step { name, run: Box::new(run), rounds: Vec::new() }
}

/// Runs every step once a round, so that a slow spell hits all of them.
fn measure(steps: &mut [Step<'_>], documents: usize) {
    for step in steps.iter_mut() {
        (step.run)();
    }
    for _ in 0..ROUNDS {
        for step in steps.iter_mut() {
            let start = cpu();
            let mut times = 0_u32;
            while cpu().saturating_sub(start) < SLICE {
                (step.run)();
                times += 1;
            }
            let each =
                cpu().saturating_sub(start).as_secs_f64() / f64::from(times) / documents as f64;
            step.rounds.push(each * 1e6);
        }
    }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// The median over the rounds of a formula of the steps' times.
fn ratio(steps: &[Step<'_>], formula: impl Fn(&dyn Fn(&str) -> f64) -> f64) -> f64 {
    median(
        (0..ROUNDS)
            .map(|round| {
                formula(&|name: &str| {
                    steps.iter().find(|step| step.name == name).unwrap().rounds[round]
                })
            })
            .collect(),
    )
}

/// A worksheet with so many donors, read at so many phases; about one mixture in seven reacts.
fn worksheet(donors: usize, phases: usize, seed: usize) -> String {
    let mut text = String::from(
        r#"{"format":"crossread.worksheet/1","id":"WS-1","protocol":{"id":"dog-routine","version":"1.0.0"},"method":"tube","recipient":{"id":"R-1","name":"Juniper","species":"dog","breed":"mixed","weight_kg":20.5,"types":[{"system":"DEA 1","result":"negative","on":"2026-03-01"}],"history":{"transfused":"yes","last_transfused_on":"2026-02-20","pregnant":"unknown","reaction":"never"}},"donors":["#,
    );
    for donor in 0..donors {
        let comma = if donor > 0 { "," } else { "" };
        write!(text, r#"{comma}{{"id":"D-{donor}","species":"dog","product":"packed_cells","types":[{{"system":"DEA 1","result":"negative"}}],"history":{{"transfused":"never","pregnant":"never","reaction":"never"}},"unit":{{"number":"U-{donor}","expires_on":"2026-03-20","inspection":"normal"}}}}"#).unwrap();
    }
    text.push_str(r#"],"samples":[{"id":"S-1","of":"R-1","role":"both","tube":"edta","drawn_at":"2026-03-01T01:10:00+01:00","stored":"fridge","hemolysis":0,"lipemia":0,"icterus":0,"clots":false,"agglutinated":false,"label_id":"R-1"}],"setup":{"cells_percent":4.0,"washes":3,"plasma_ul":50,"cells_ul":50,"incubation_min":{"warm_37c":15},"complement":"none","lots":[{"what":"saline","number":"L-77","expires_on":"2026-12-31"}]},"reagent_controls":{"positive":{"expected":"2+","read":"2+"},"negative":{"read":"0"}},"readings":["#);
    let mut count = 0;
    let mut put = |text: &mut String, test: &str, donor: Option<usize>, phase: &str| {
        if count > 0 {
            text.push(',');
        }
        count += 1;
        let grade = if (count + seed).is_multiple_of(7) { "2+" } else { "0" };
        write!(text, r#"{{"test":"{test}""#).unwrap();
        if let Some(donor) = donor {
            write!(text, r#","donor":"D-{donor}""#).unwrap();
        }
        write!(text, r#","phase":"{phase}","agglutination":"{grade}","hemolysis":0"#).unwrap();
        if grade != "0" {
            text.push_str(r#","pattern":"clumps""#);
        } else if phase == "antiglobulin" {
            text.push_str(r#","check_cells":"2+""#);
        }
        write!(text, r#","at":"2026-03-01T03:{:02}:10+01:00","by":"KT"}}"#, count % 60).unwrap();
    };
    for phase in &["warm_37c", "room", "antiglobulin"][..phases] {
        put(&mut text, "recipient_saline", None, phase);
        put(&mut text, "recipient_auto", None, phase);
        for donor in 0..donors {
            for test in ["donor_auto", "major", "minor"] {
                put(&mut text, test, Some(donor), phase);
            }
        }
    }
    text.push_str(r#"],"remarks":"second reader not available"}"#);
    text
}

fn answered(text: &str, protocols: &Protocols, protocol: &Protocol) -> Interpretation {
    interpret(&Worksheet::from_json(text.as_bytes(), protocols).unwrap(), protocol)
}

fn measured(name: &str, texts: &[String]) -> f64 {
    let protocols = Protocols::shipped();
    let protocol = protocols.iter().find(|p| p.id().as_str() == "dog-routine").unwrap();
    let sheets: Vec<_> = texts
        .iter()
        .map(|text| Worksheet::from_json(text.as_bytes(), protocols).unwrap())
        .collect();
    let results: Vec<_> = sheets.iter().map(|sheet| interpret(sheet, protocol)).collect();
    let bad: Vec<_> = texts
        .iter()
        .map(|text| {
            text.replace("packed_cells", "packed_cels").replace("\"by\":\"KT\"", "\"by\":7")
        })
        .collect();
    let mut out = Vec::new();
    let mut written = Vec::new();
    let mut steps = [
        step("F", || {
            for text in texts {
                let text = str::from_utf8(text.as_bytes()).unwrap();
                black_box(serde_json::from_str::<draft::Worksheet>(text).unwrap());
            }
        }),
        step("H", || {
            for text in texts {
                black_box(Digest::of(text.as_bytes()));
            }
        }),
        step("S", || {
            for result in &results {
                written.clear();
                serde_json::to_writer(&mut written, result).unwrap();
                black_box(&written);
            }
        }),
        step("checked parse", || {
            for text in texts {
                black_box(Worksheet::from_json_unhashed(text.as_bytes(), protocols).unwrap());
            }
        }),
        step("interpret", || {
            for sheet in &sheets {
                black_box(interpret(sheet, protocol));
            }
        }),
        step("text to text", || {
            for text in texts {
                out.clear();
                serde_json::to_writer(&mut out, &answered(text, protocols, protocol)).unwrap();
                black_box(&out);
            }
        }),
        step("all faults", || {
            for text in &bad {
                black_box(Worksheet::from_json(text.as_bytes(), protocols).unwrap_err());
            }
        }),
    ];
    measure(&mut steps, texts.len());
    let bytes = texts.iter().map(String::len).sum::<usize>() / texts.len();
    println!("\n{name}: {bytes} bytes a document");
    for step in &steps {
        println!("  {:<14} {:>8.2} µs a document", step.name, median(step.rounds.clone()));
    }
    let show = |what: &str, value: f64| println!("  {what:<44} {value:>6.2}");
    show(
        "text to text ÷ (F + H + S)",
        ratio(&steps, |t| t("text to text") / (t("F") + t("H") + t("S"))),
    );
    show("interpret ÷ F", ratio(&steps, |t| t("interpret") / t("F")));
    show("checked parse, not hashed ÷ F", ratio(&steps, |t| t("checked parse") / t("F")));
    show("all faults ÷ F", ratio(&steps, |t| t("all faults") / t("F")));
    median(steps[5].rounds.clone())
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words[..] {
        [] => interpretation(),
        ["record", ref rest @ ..] => record::measure(rest),
        _ => println!("usage: speed [record [--small] [--folder FOLDER]]"),
    }
}

fn interpretation() {
    let corpus = |donors, phases| (0..50).map(|seed| worksheet(donors, phases, seed)).collect();
    let sets: [(&str, Vec<String>); 3] =
        [("about 3 kB", corpus(1, 2)), ("about 5 kB", corpus(2, 3)), ("about 10 kB", corpus(5, 3))];
    for (name, texts) in &sets {
        measured(name, texts);
    }
    let (two, eight): (Vec<String>, Vec<String>) = (corpus(2, 3), corpus(8, 3));
    let readings = |text: &str| text.matches("\"test\"").count() as f64;
    let each = |texts: &[String], name| measured(name, texts) / readings(&texts[0]);
    let (two, eight) = (each(&two, "2 donors"), each(&eight, "8 donors"));
    println!("\ntime per reading at 8 donors ÷ at 2: {:.2}", eight / two);
}
