//! A whole worksheet: its text in; the library gives the full result as text, an engine the row and
//! the verdict of each donor.
//!
//! The worksheets are such that the small rule is the whole of it: packed cells of dogs, no
//! rechecks, nothing doubtful or unreadable, saline controls and all else in order. A mixture keeps
//! its main grade over the phases, so that the strongest grades may be compared in place of phase
//! by phase. Only the major lyses. All this spares the engines work.

use std::fmt::Write as _;
use std::rc::Rc;

use crossread_core::Protocols;
use crossread_core::embed::{self, Layout, Outcome, Source};
use serde::Deserialize;
use serde_json::Value;

use crate::measure::{By, Contender};

/// A donor, the row of its pattern, its verdict.
pub type Line = (String, u8, String);

/// What the small rule reads of a worksheet, in the values of an engine.
#[derive(Deserialize)]
pub struct Parts<V> {
    pub donors: V,
    pub readings: V,
}

/// What reacts by the same main grade, from `w` on.
const SHADES: [&[&str]; 5] =
    [&["w"], &["1+w", "1+", "1+s"], &["2+w", "2+", "2+s"], &["3+", "3+s"], &["4+"]];

/// Numbers from a seed, for worksheets that are the same in every run.
struct Draw(u64);

impl Draw {
    fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % end as u64).unwrap()
    }

    /// One mixture: its shades if it reacts, as one of `of` does.
    fn mixture(&mut self, of: usize) -> &'static [&'static str] {
        if self.below(of) == 0 { SHADES[self.below(SHADES.len())] } else { &["0"] }
    }
}

/// A worksheet with so many donors, read at so many phases.
pub fn worksheet(donors: usize, phases: usize, seed: u64) -> String {
    let mut draw = Draw(0x9E37_79B9_7F4A_7C15 ^ (seed + 1));
    let mut text = String::from(
        r#"{"format":"crossread.worksheet/1","id":"WS-1","protocol":{"id":"dog-routine","version":"1.0.0"},"method":"tube","recipient":{"id":"R-1","name":"Juniper","species":"dog","breed":"mixed","weight_kg":20.5,"types":[{"system":"DEA 1","result":"negative","on":"2026-03-01"}],"history":{"transfused":"never","pregnant":"never","reaction":"never"}},"donors":["#,
    );
    for donor in 0..donors {
        let comma = if donor > 0 { "," } else { "" };
        write!(text, r#"{comma}{{"id":"D-{donor}","species":"dog","product":"packed_cells","types":[{{"system":"DEA 1","result":"negative"}}],"history":{{"transfused":"never","pregnant":"never","reaction":"never"}},"unit":{{"number":"U-{donor}","expires_on":"2026-03-20","inspection":"normal"}}}}"#).unwrap();
    }
    text.push_str(r#"],"samples":[{"id":"S-1","of":"R-1","role":"both","tube":"edta","drawn_at":"2026-03-01T01:10:00+01:00","stored":"fridge","hemolysis":0,"lipemia":0,"icterus":0,"clots":false,"agglutinated":false,"label_id":"R-1"}],"setup":{"cells_percent":4.0,"washes":3,"plasma_ul":50,"cells_ul":50,"incubation_min":{"warm_37c":15},"complement":"none","lots":[{"what":"saline","number":"L-77","expires_on":"2026-12-31"}]},"reagent_controls":{"positive":{"expected":"2+","read":"2+"},"negative":{"read":"0"}},"readings":["#);
    let mut mixtures: Vec<(&str, Option<usize>, &[&str], usize)> =
        vec![("recipient_saline", None, &["0"], 0), ("recipient_auto", None, draw.mixture(4), 0)];
    for donor in 0..donors {
        let lysis = if draw.below(8) == 0 { 1 + draw.below(4) } else { 0 };
        mixtures.push(("donor_saline", Some(donor), &["0"], 0));
        mixtures.push(("donor_auto", Some(donor), draw.mixture(6), 0));
        mixtures.push(("major", Some(donor), draw.mixture(2), lysis));
        mixtures.push(("minor", Some(donor), draw.mixture(3), 0));
    }
    let mut count = 0;
    for phase in &["warm_37c", "room", "antiglobulin"][..phases] {
        for (test, donor, shades, lysis) in &mixtures {
            let comma = if count > 0 { "," } else { "" };
            write!(text, r#"{comma}{{"test":"{test}""#).unwrap();
            if let Some(donor) = donor {
                write!(text, r#","donor":"D-{donor}""#).unwrap();
            }
            let grade = shades[draw.below(shades.len())];
            let hemolysis = if *phase == "warm_37c" { *lysis } else { 0 };
            write!(text, r#","phase":"{phase}","agglutination":"{grade}","hemolysis":{hemolysis}"#)
                .unwrap();
            if grade != "0" {
                text.push_str(r#","pattern":"clumps""#);
            } else if *phase == "antiglobulin" {
                text.push_str(r#","check_cells":"2+""#);
            }
            let (minute, second) = (count / 4, 10 + count % 4 * 10);
            write!(text, r#","at":"2026-03-01T03:{minute:02}:{second}+01:00","by":"KT"}}"#)
                .unwrap();
            count += 1;
        }
    }
    text.push_str(r#"],"remarks":"second reader not available"}"#);
    text
}

/// The library, all of it: what the command and the bindings hand out.
pub fn library(texts: &Rc<Vec<String>>) -> Box<dyn Contender<Vec<Line>>> {
    let texts = Rc::clone(texts);
    let protocols = Protocols::shipped();
    Box::new(By {
        name: "crossread, full result",
        ask: move |number: usize| {
            let mut out = Vec::new();
            let outcome = embed::answer(
                texts[number].as_bytes(),
                protocols,
                Source::default(),
                Layout::Line,
                &mut out,
            );
            assert_ne!(outcome.unwrap(), Outcome::Faulty, "{}", texts[number]);
            out
        },
        read: |out: Vec<u8>| {
            let result: Value = serde_json::from_slice(&out).unwrap();
            let pairs = result["pairs"].as_array().unwrap();
            pairs.iter().map(line).collect()
        },
    })
}

fn line(pair: &Value) -> Line {
    let text = |field: &str| pair[field].as_str().unwrap().to_owned();
    let [row] = &pair["rows"].as_array().unwrap()[..] else { panic!("not one row: {pair}") };
    (text("donor"), row.as_u64().unwrap().try_into().unwrap(), text("verdict"))
}

/// The lines of an engine's answer: an array with an array a donor.
pub fn lines(text: &str) -> Vec<Line> {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("{error}: {text}"))
}
