//! Every worksheet of a reduced space, on the engine and on the second implementation.
//!
//! # The space
//!
//! One dog, one donor, a tube. What can change a verdict through readings is the class of each
//! mixture, its lysis, its rechecks, its trust and its phase; so every axis holds one value for
//! each class that a rule can tell apart, and not every grade of it:
//!
//! - the four tests at 37 °C: `0`, `micro` (doubtful), `2+` (reactive, within reach of dispersal
//!   and of the autocontrol's margin), `4+` (reactive, beyond both);
//! - hemolysis of the major and of the recipient autocontrol: none or 1;
//! - a recheck of the major: none, `0`, the first grade again; of the autocontrol: none or `0`;
//! - stacks seen in the major or not;
//! - each saline control: not read, `0`, `2+`;
//! - the major at antiglobulin: not read, `0` with good check cells, `0` with failed ones, `2+`;
//! - the major at room temperature: not read, `0`, `2+`;
//! - an artefact of the first kind on the major, or none;
//! - the four products.
//!
//! That is 10 616 832 worksheets. Cut-offs between grades, other species, methods, samples,
//! histories and dates are not in it; they are in the vectors, the near misses and the random
//! worksheets, on both implementations. `cargo test` runs a smaller space; the whole one is run in
//! release mode with `CROSSREAD_ENUMERATE=full`. Before a release a wider one is run,
//! `CROSSREAD_ENUMERATE=wide`, with `1+` (reactive, but weak) among the grades, and hemolysis of
//! the minor and of the donor autocontrol, none or 1: 103 680 000 worksheets.

use std::sync::atomic::{AtomicU64, Ordering};

use crossread_core::interpretation::{Answer, Interpretation};
use crossread_core::words::{Conclusion, Phase, State, Summary, Test, Verdict};
use crossread_core::{Protocol, Protocols, Worksheet, interpret};
use serde_json::{Value, json};

use crate::reference::{PairAnswer, Rules, Sheet, answer};
use crate::vectors::protocol;

/// The values of each axis.
struct Space {
    grades: &'static [&'static str],
    /// Values of the hemolysis of the minor, and of the donor autocontrol.
    other_lysis: u64,
    auto_rechecks: u64,
    antiglobulin: u64,
    room: u64,
    artefacts: u64,
    products: &'static [&'static str],
}

const WIDE: Space = Space { grades: &["0", "micro", "1+", "2+", "4+"], other_lysis: 2, ..WHOLE };

const WHOLE: Space = Space {
    grades: &["0", "micro", "2+", "4+"],
    other_lysis: 1,
    auto_rechecks: 2,
    antiglobulin: 4,
    room: 3,
    artefacts: 2,
    products: &["packed_cells", "washed_cells", "whole_blood", "plasma"],
};

const SMALL: Space = Space {
    grades: &["0", "2+"],
    other_lysis: 1,
    auto_rechecks: 2,
    antiglobulin: 2,
    room: 2,
    artefacts: 1,
    products: &["packed_cells", "whole_blood"],
};

/// One worksheet of the space, as positions on the axes.
#[derive(Clone, Copy, Debug)]
struct Point {
    product: u64,
    /// Major, minor, recipient auto, donor auto.
    grades: [u64; 4],
    major_lysis: u64,
    auto_lysis: u64,
    minor_lysis: u64,
    donor_lysis: u64,
    major_recheck: u64,
    auto_recheck: u64,
    stacks: u64,
    recipient_saline: u64,
    donor_saline: u64,
    antiglobulin: u64,
    room: u64,
    artefact: u64,
}

impl Space {
    fn size(&self) -> u64 {
        let grades = self.grades.len() as u64;
        let products = self.products.len() as u64;
        grades.pow(4)
            * 2
            * 2
            * self.other_lysis.pow(2)
            * 3
            * self.auto_rechecks
            * 2
            * 3
            * 3
            * self.antiglobulin
            * self.room
            * self.artefacts
            * products
    }

    fn point(&self, number: u64) -> Point {
        let mut rest = number;
        let mut take = |values: u64| {
            let value = rest % values;
            rest /= values;
            value
        };
        let grades = self.grades.len() as u64;
        Point {
            grades: [take(grades), take(grades), take(grades), take(grades)],
            major_lysis: take(2),
            auto_lysis: take(2),
            minor_lysis: take(self.other_lysis),
            donor_lysis: take(self.other_lysis),
            major_recheck: take(3),
            auto_recheck: take(self.auto_rechecks),
            stacks: take(2),
            recipient_saline: take(3),
            donor_saline: take(3),
            antiglobulin: take(self.antiglobulin),
            room: take(self.room),
            artefact: take(self.artefacts),
            product: take(self.products.len() as u64),
        }
    }

    /// The readings of a point.
    fn readings(&self, point: Point, into: &mut Vec<Look>) {
        into.clear();
        let grade = |axis: usize| self.grades[point.grades[axis] as usize];
        let [major, minor, recipient, donor] = [grade(0), grade(1), grade(2), grade(3)];
        let warm = |test, grade| Look { test, phase: "warm_37c", grade, ..Look::default() };
        into.push(Look { lysis: point.auto_lysis, ..warm("recipient_auto", recipient) });
        into.push(Look { lysis: point.donor_lysis, ..warm("donor_auto", donor) });
        into.push(Look {
            lysis: point.major_lysis,
            stacks: point.stacks == 1 && major != "0",
            bubble: point.artefact == 1,
            ..warm("major", major)
        });
        into.push(Look { lysis: point.minor_lysis, ..warm("minor", minor) });
        if point.major_recheck > 0 {
            let again = if point.major_recheck == 1 { "0" } else { major };
            into.push(Look { again: true, ..warm("major", again) });
        }
        if point.auto_recheck > 0 {
            into.push(Look { again: true, ..warm("recipient_auto", "0") });
        }
        for (test, seen) in
            [("recipient_saline", point.recipient_saline), ("donor_saline", point.donor_saline)]
        {
            if seen > 0 {
                into.push(warm(test, if seen == 1 { "0" } else { "2+" }));
            }
        }
        if point.antiglobulin > 0 {
            let (grade, check_cells) =
                [("0", "2+"), ("0", "0"), ("2+", "2+")][point.antiglobulin as usize - 1];
            let check_cells = Some(check_cells);
            into.push(Look {
                test: "major",
                phase: "antiglobulin",
                grade,
                check_cells,
                ..Look::default()
            });
        }
        if point.room > 0 {
            let grade = if point.room == 1 { "0" } else { "2+" };
            into.push(Look { test: "major", phase: "room", grade, ..Look::default() });
        }
    }
}

/// One reading of the space.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Look {
    test: &'static str,
    phase: &'static str,
    grade: &'static str,
    lysis: u64,
    stacks: bool,
    bubble: bool,
    again: bool,
    check_cells: Option<&'static str>,
}

impl Look {
    fn write(&self, into: &mut String) {
        use std::fmt::Write as _;
        let minute = if self.again { 40 } else { 30 };
        write!(
            into,
            r#"{{"test":"{}","phase":"{}","agglutination":"{}","hemolysis":{},"at":"2026-03-01T03:{minute}:00+01:00""#,
            self.test, self.phase, self.grade, self.lysis
        )
        .unwrap();
        if self.test == "major" || self.test == "minor" || self.test.starts_with("donor") {
            into.push_str(r#","donor":"D-1""#);
        }
        if self.again {
            into.push_str(r#","after":"saline_replacement""#);
        }
        if self.stacks {
            into.push_str(r#","pattern":"stacks""#);
        }
        if self.bubble {
            into.push_str(r#","artefacts":["bubble"]"#);
        }
        if let Some(check_cells) = self.check_cells {
            write!(into, r#","check_cells":"{check_cells}""#).unwrap();
        }
        into.push('}');
    }
}

/// The parts of a worksheet around its readings.
fn around(product: &str) -> (String, String) {
    let history = json!({ "transfused": "never", "pregnant": "never", "reaction": "never" });
    let types = json!([{ "system": "DEA 1", "result": "negative" }]);
    let sample = |id: &str, of: &str| {
        json!({
            "id": id, "of": of, "role": "plasma", "tube": "serum", "stored": "fridge",
            "hemolysis": 0, "drawn_at": "2026-03-01T01:30:00+01:00"
        })
    };
    let sheet = json!({
        "format": "crossread.worksheet/1", "id": "WS-1",
        "protocol": { "id": "dog-routine", "version": "1.0.0" }, "method": "tube",
        "recipient": { "id": "R-1", "species": "dog", "types": types, "history": history },
        "donors": [
            { "id": "D-1", "species": "dog", "product": product, "types": types, "history": history }
        ],
        "samples": [sample("S-1", "R-1"), sample("S-2", "D-1")],
        "setup": { "complement": "fresh_serum" },
    });
    let text = sheet.to_string();
    let open = text.strip_suffix('}').unwrap();
    (format!("{open},\"readings\":["), "]}".to_owned())
}

/// What a worker needs, made once.
struct Bench<'s> {
    space: &'s Space,
    protocol: Protocol,
    protocols: Protocols,
    rules: Rules,
    around: Vec<(String, String)>,
    bases: Vec<Sheet>,
    /// Each reading of the space as the second implementation holds it.
    known: std::collections::BTreeMap<String, crate::reference::sheet::Reading>,
}

impl<'s> Bench<'s> {
    fn of(space: &'s Space) -> Self {
        let protocols = Protocols::shipped().clone();
        let protocol = protocols.iter().find(|p| p.id().as_str() == "dog-routine").unwrap().clone();
        let around: Vec<_> = space.products.iter().map(|product| around(product)).collect();
        let bases = around
            .iter()
            .map(|(before, after)| {
                Sheet::from_json(&serde_json::from_str(&format!("{before}{after}")).unwrap())
            })
            .collect();
        let rules = Rules::from_json(&protocol_json());
        Self {
            space,
            protocol,
            protocols,
            rules,
            around,
            bases,
            known: std::collections::BTreeMap::new(),
        }
    }

    fn look(
        &mut self,
        point: Point,
        looks: &mut Vec<Look>,
        text: &mut String,
    ) -> (Interpretation, crate::reference::Answer) {
        self.space.readings(point, looks);
        let product = point.product as usize;
        let (before, after) = &self.around[product];
        text.clear();
        text.push_str(before);
        let mut sheet = self.bases[product].clone();
        for (index, look) in looks.iter().enumerate() {
            if index > 0 {
                text.push(',');
            }
            let start = text.len();
            look.write(text);
            let written = text.get(start..).unwrap();
            if !self.known.contains_key(written) {
                let whole = format!("{before}{written}{after}");
                let json: Value = serde_json::from_str(&whole).unwrap();
                let reading = Sheet::from_json(&json).readings.remove(0);
                self.known.insert(written.to_owned(), reading);
            }
            sheet.readings.push(self.known[written].clone());
        }
        text.push_str(after);
        let worksheet = Worksheet::from_json(text.as_bytes(), &self.protocols).unwrap();
        (interpret(&worksheet, &self.protocol), answer(&sheet, &self.rules))
    }
}

fn protocol_json() -> Value {
    protocol("dog-routine")
}

/// Whether both say the same of the one pair.
fn agree(ours: &Answer, theirs: &PairAnswer) -> bool {
    let summary = |test: usize, ours: Summary| theirs.summaries[test] == ours.word();
    ours.verdict.word() == theirs.verdict
        && ours.major.conclusion.word() == theirs.major
        && ours.minor.conclusion.word() == theirs.minor
        && summary(0, ours.major.summary)
        && summary(1, ours.minor.summary)
        && summary(2, ours.recipient_auto.summary)
        && summary(3, ours.donor_auto.summary)
        && ours.rows == theirs.rows
        && ours.findings.len() == theirs.findings.len()
        && ours
            .findings
            .iter()
            .all(|f| theirs.findings.get(f.slug).is_some_and(|effect| effect == f.effect.word()))
        && ours.readings_of_record.len() == theirs.states.len()
}

/// The invariants that one worksheet shows alone.
fn check_alone(point: Point, space: &Space, pair: &Answer) {
    let said = || format!("{point:?}: {pair:#?}");
    let state = |test, phase| {
        let found =
            |r: &&crossread_core::interpretation::OfRecord| r.test == test && r.phase == phase;
        pair.readings_of_record.iter().find(found).map_or(State::Absent, |r| r.state)
    };
    let deciding = [Phase::Room, Phase::Warm37c, Phase::Antiglobulin];
    let reacts = |test| deciding.iter().any(|phase| state(test, *phase) == State::Reactive);
    let product = space.products[point.product as usize];
    // 1. A reaction in a deciding test frees nobody.
    if product != "plasma" {
        assert!(!(pair.releasable && reacts(Test::Major)), "1: {}", said());
    }
    if product == "plasma" || product == "whole_blood" {
        assert!(!(pair.releasable && reacts(Test::Minor)), "1: {}", said());
    }
    // 2c. An artefact of the first kind on a needed first look frees nobody.
    if point.artefact == 1 && product != "plasma" {
        assert!(!pair.releasable, "2c: {}", said());
    }
    // 4. A positive that was read and can be believed survives a void or failed other phase.
    assert_eq!(pair.major.summary == Summary::Reactive, reacts(Test::Major), "4: {}", said());
    // 5. Dispersal never gives plain compatible.
    let dispersed = pair.findings.iter().any(|f| f.slug == "rouleaux-dispersed");
    assert!(!(dispersed && pair.verdict == Verdict::Compatible), "5: {}", said());
    // 9. The verdict is the greatest effect, and a finding has it.
    let greatest = pair.findings.iter().map(|f| Verdict::from(f.effect)).max().unwrap();
    assert_eq!(pair.verdict, greatest, "9: {}", said());
    assert_eq!(pair.releasable, pair.verdict <= Verdict::CompatibleWithCaveats, "9: {}", said());
    // The conclusion follows the summary.
    let concluded = matches!(
        (pair.major.summary, pair.major.conclusion),
        (Summary::NotRead, Conclusion::NotRead)
            | (Summary::Void, Conclusion::Void)
            | (Summary::Doubtful, Conclusion::Unresolved)
            | (Summary::Negative, Conclusion::Nonreactive | Conclusion::Unresolved)
            | (
                Summary::Reactive,
                Conclusion::Reactive | Conclusion::ReactiveCells | Conclusion::Unresolved
            )
    );
    assert!(concluded, "{}", said());
}

/// Runs through the points from `first` in steps of whole rows of the major's grade.
fn run(space: &Space, next: &AtomicU64) {
    let mut bench = Bench::of(space);
    let (mut looks, mut text) = (Vec::new(), String::new());
    let grades = space.grades.len() as u64;
    let rows = space.size() / grades;
    loop {
        const ROWS: u64 = 256;
        let start = next.fetch_add(ROWS, Ordering::Relaxed);
        if start >= rows {
            return;
        }
        for row in start..rows.min(start + ROWS) {
            // 3. Along a row only the grade of the major's first look rises; without a recheck
            // that may disperse it, that never makes the pair releasable.
            let mut free = true;
            for grade in 0..grades {
                let point = space.point(row * grades + grade);
                let (ours, theirs) = bench.look(point, &mut looks, &mut text);
                let pair = &ours.pairs[0];
                check_alone(point, space, pair);
                assert!(agree(pair, &theirs.pairs[0]), "{point:?}\n{text}\n{pair:#?}\n{theirs:#?}");
                if point.major_recheck == 0 {
                    assert!(free || !pair.releasable, "3: {point:?}\n{text}");
                    free = pair.releasable;
                }
            }
        }
    }
}

#[test]
#[expect(clippy::print_stdout, clippy::disallowed_methods, reason = "says which space was run")]
fn enumeration_of_the_space() {
    let space = match std::env::var("CROSSREAD_ENUMERATE").as_deref() {
        Ok("wide") => &WIDE,
        Ok("full") => &WHOLE,
        Ok(other) => panic!("CROSSREAD_ENUMERATE is `full` or `wide`, not `{other}`"),
        Err(_) => &SMALL,
    };
    let next = AtomicU64::new(0);
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| run(space, &next));
        }
    });
    println!("{} worksheets, both implementations", space.size());
    assert_eq!((WHOLE.size(), WIDE.size()), (10_616_832, 103_680_000));
}
