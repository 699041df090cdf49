//! The corpus: 20 000 generated worksheets, and the verdicts that were committed for them.
//!
//! A worksheet of the corpus is made from its number alone, under one of 24 protocols: for each
//! species the one that ships and seven with other values. Two of three are good but for a few
//! troubles, the others wholly random. The committed file holds, for every
//! hundred worksheets, one hash over all that their answers decide (verdict, validity, the name and
//! effect of every finding, order), and for each worksheet the verdicts themselves, one digit a
//! donor, and a short hash over the same; and how often each finding was raised. Wording is not in
//! it, nor which findings a worksheet had: of a finding that is gone, the counts tell.
#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::missing_panics_doc,
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    reason = "this makes tests, and stops at its own mistakes"
)]

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io;

use crossread_core::document::Digest;
use crossread_core::findings::Finding;
use crossread_core::interpretation::{Answer, Interpretation};
use crossread_core::words::{Effect, Verdict};
use crossread_core::{Protocol, Protocols, Worksheet, interpret};

use crate::careful::careful;
use crate::random::{Random, SPECIES, altered, shipped, worksheet};

/// How many worksheets.
pub const WORKSHEETS: u64 = 20_000;

/// How many worksheets have one hash.
pub const BLOCK: u64 = 100;

/// Protocols of each species, the one that ships among them.
const RULES: u64 = 8;

/// Once in so many times a worksheet is interpreted under other rules than it was checked by.
const OTHER_RULES: u64 = 250;

/// The committed file, from the project's folder.
pub const PATH: &str = "tests/data/corpus.txt";

/// What makes the worksheets and answers them.
#[derive(Debug)]
pub struct Corpus {
    /// The protocols of each species: documents and what they say.
    rules: Vec<(&'static str, Vec<(serde_json::Value, Protocol)>)>,
    protocols: Protocols,
}

impl Default for Corpus {
    fn default() -> Self {
        Self::new()
    }
}

impl Corpus {
    /// Makes the protocols.
    #[must_use]
    pub fn new() -> Self {
        let rules: Vec<_> = SPECIES
            .into_iter()
            .map(|species| {
                let all = (0..RULES).map(|number| {
                    let mut document = shipped(species);
                    if number > 0 {
                        document = altered(&mut Random::new(number), document);
                        document["version"] = format!("{species}-{number}").into();
                    }
                    let protocol = Protocol::from_json(document.to_string().as_bytes());
                    (document, protocol.expect("a protocol without a fault"))
                });
                (species, all.collect::<Vec<_>>())
            })
            .collect();
        let all = rules.iter().flat_map(|(_, rules)| rules).map(|(_, protocol)| protocol.clone());
        let protocols = Protocols::new(all);
        Self { rules, protocols }
    }

    /// The document of a worksheet, and the protocol that it is interpreted under.
    #[must_use]
    pub fn document(&self, number: u64) -> (String, &Protocol) {
        let mut random = Random::new(0xc0_0000 + number);
        let (species, rules) = random.pick(&self.rules);
        // What ships is used for half of them.
        let shipped = random.one_in(2);
        let (document, protocol) = if shipped { &rules[0] } else { random.pick(rules) };
        // Of a wholly random worksheet hardly one in a hundred is releasable.
        let sheet = if random.one_in(3) {
            worksheet(&mut random, species, document)
        } else {
            careful(&mut random, species, document)
        };
        let protocol = match rules.get(1) {
            Some((_, other)) if number % OTHER_RULES == OTHER_RULES - 1 => other,
            _ => protocol,
        };
        (sheet.to_string(), protocol)
    }

    /// The protocols that the worksheets name.
    #[must_use]
    pub fn protocols(&self) -> &Protocols {
        &self.protocols
    }

    /// What a worksheet comes to.
    #[must_use]
    pub fn answer(&self, number: u64) -> Interpretation {
        let (document, protocol) = self.document(number);
        let worksheet = Worksheet::from_json(document.as_bytes(), &self.protocols)
            .expect("a worksheet without a fault");
        interpret(&worksheet, protocol)
    }

    /// What all of them come to.
    #[must_use]
    pub fn verdicts(&self) -> Verdicts {
        let threads = std::thread::available_parallelism().map_or(1, usize::from);
        let threads = u64::try_from(threads).unwrap();
        let each = WORKSHEETS.div_ceil(BLOCK).div_ceil(threads) * BLOCK;
        std::thread::scope(|scope| {
            let parts: Vec<_> = (0..threads)
                .map(|part| {
                    let numbers = part * each..((part + 1) * each).min(WORKSHEETS);
                    scope.spawn(move || self.part(numbers))
                })
                .collect();
            let mut whole = Verdicts::default();
            for part in parts {
                whole.append(part.join().unwrap());
            }
            whole
        })
    }

    fn part(&self, numbers: std::ops::Range<u64>) -> Verdicts {
        let mut verdicts = Verdicts::default();
        let mut essence = String::new();
        for number in numbers {
            let answer = self.answer(number);
            let before = essence.len();
            essence_of(&answer, &mut essence);
            let mut entry: String = answer.pairs.iter().map(|pair| digit(pair.verdict)).collect();
            let own = Digest::of(&essence.as_bytes()[before..]).to_string();
            entry.push(':');
            entry.extend(own.chars().take(4));
            verdicts.worksheets.push(entry);
            if number % BLOCK == BLOCK - 1 || number + 1 == WORKSHEETS {
                let hash = Digest::of(essence.as_bytes()).to_string();
                verdicts.hashes.push(hash.chars().take(16).collect());
                essence.clear();
            }
            verdicts.count(&answer);
        }
        verdicts
    }
}

/// Everything that an answer decides, a line each.
fn essence_of(answer: &Interpretation, into: &mut String) {
    for pair in &answer.pairs {
        let until = pair.valid_until.map(|until| until.to_string()).unwrap_or_default();
        let (donor, verdict) = (pair.donor.as_str(), pair.verdict);
        let _ = write!(into, "{donor} {verdict} {} {until}", pair.releasable);
        for finding in &pair.findings {
            let _ = write!(into, " {}={}", finding.slug, finding.effect);
        }
        into.push('\n');
    }
    for finding in &answer.panel {
        let _ = write!(into, " {}={}", finding.slug, finding.effect);
    }
    for donor in &answer.order {
        let _ = write!(into, " {}", donor.as_str());
    }
    into.push('\n');
}

/// A verdict as a digit, from 0 for `compatible` to 5 for `incompatible`.
fn digit(verdict: Verdict) -> char {
    match verdict {
        Verdict::Compatible => '0',
        Verdict::CompatibleWithCaveats => '1',
        Verdict::Incomplete => '2',
        Verdict::Indeterminate => '3',
        Verdict::Invalid => '4',
        Verdict::Incompatible => '5',
    }
}

/// What the worksheets of the corpus come to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Verdicts {
    /// One hash for every hundred worksheets.
    pub hashes: Vec<String>,
    /// The verdicts of each worksheet, a digit a donor; after a colon the first four digits of the
    /// hash over all that its answer decides.
    pub worksheets: Vec<String>,
    /// How often something was met: `method`, `protocol`, `product`, `verdict`, each with its
    /// word; `finding` with name and effect.
    pub counts: BTreeMap<String, u64>,
}

impl Verdicts {
    fn append(&mut self, mut other: Self) {
        self.hashes.append(&mut other.hashes);
        self.worksheets.append(&mut other.worksheets);
        for (what, count) in other.counts {
            *self.counts.entry(what).or_default() += count;
        }
    }

    fn count(&mut self, answer: &Interpretation) {
        let mut add = |what: String| *self.counts.entry(what).or_default() += 1;
        add(format!("method {}", answer.method));
        add(format!("protocol {} {}", answer.protocol.id, answer.protocol.version));
        for pair in &answer.pairs {
            add(format!("product {}", pair.product));
            add(format!("verdict {}", pair.verdict));
            for finding in &pair.findings {
                add(format!("finding {} {}", finding.slug, finding.effect));
            }
        }
        for finding in &answer.panel {
            add(format!("finding {} {}", finding.slug, finding.effect));
        }
    }

    /// How often a finding was raised, with whatever effect.
    #[must_use]
    pub fn raised(&self, slug: &str) -> u64 {
        let start = format!("finding {slug} ");
        self.counts.iter().filter(|(what, _)| what.starts_with(&start)).map(|(_, n)| n).sum()
    }

    /// Reads the committed file.
    ///
    /// # Errors
    /// If a line is not as it should be.
    pub fn from_text(text: &str) -> io::Result<Self> {
        let mut verdicts = Self::default();
        for (number, line) in text.lines().enumerate() {
            let wrong = || io::Error::other(format!("{PATH}:{}: {line:?}", number + 1));
            if let Some(rest) = line.strip_prefix("block ") {
                let mut parts = rest.split(' ').skip(1);
                verdicts.hashes.push(parts.next().ok_or_else(wrong)?.to_owned());
                verdicts.worksheets.extend(parts.map(str::to_owned));
            } else if let Some(rest) = line.strip_prefix("count ") {
                let (count, what) = rest.trim_start().split_once(' ').ok_or_else(wrong)?;
                let count = count.parse().map_err(|_number| wrong())?;
                verdicts.counts.insert(what.to_owned(), count);
            } else if !line.starts_with('#') && !line.starts_with("changes") {
                return Err(wrong());
            }
        }
        Ok(verdicts)
    }

    /// The file to commit, with the hash of what the changelog says of changed verdicts.
    #[must_use]
    pub fn to_text(&self, changes: &str) -> String {
        let mut text = format!(
            "# What the {WORKSHEETS} worksheets of the corpus come to, written by `cargo \
             regenerate corpus`.\n\
             # count: how often something was met. block: the number of its first worksheet, a \
             hash over all that\n\
             # the answers decide, and of each worksheet the verdicts, a digit a donor, and the \
             start of its hash:\n\
             # 0 compatible, 1 with caveats, 2 incomplete, 3 indeterminate, 4 invalid, 5 \
             incompatible.\n\
             # changes: a hash for each line under Verdict changes of the changelog when this was \
             written.\n\
             changes {changes}\n"
        );
        for (what, count) in &self.counts {
            let _ = writeln!(text, "count {count} {what}");
        }
        let blocks = self.worksheets.chunks(usize::try_from(BLOCK).unwrap());
        for (number, (hash, block)) in (0..).zip(self.hashes.iter().zip(blocks)) {
            let first: u64 = number * BLOCK;
            let _ = writeln!(text, "block {first} {hash} {}", block.join(" "));
        }
        text
    }
}

/// What differs from what was committed, for the person who changed it: worksheets whose verdicts
/// are others, with the findings at work, and the findings that are raised more or less often.
#[must_use]
pub fn differences(committed: &Verdicts, now: &Verdicts, corpus: &Corpus) -> Vec<String> {
    let mut all = Vec::new();
    for (what, pair) in both(&committed.counts, &now.counts) {
        if pair.0 != pair.1 {
            all.push(format!("{what}: {} times, was {}", pair.1, pair.0));
        }
    }
    let mut changed = 0_u64;
    for (number, (old, new)) in (0..).zip(committed.worksheets.iter().zip(&now.worksheets)) {
        if old == new {
            continue;
        }
        changed += 1;
        // As many as one can read.
        if changed <= 12 {
            all.push(format!("worksheet {number}: {}", told(old, new)));
            all.extend(at_work(&corpus.answer(number), old, new));
        }
    }
    if changed > 0 {
        all.push(format!("{changed} of {WORKSHEETS} worksheets have other answers"));
    }
    let blocks = committed.hashes.iter().zip(&now.hashes).filter(|(old, new)| old != new).count();
    if blocks > 0 || committed.hashes.len() != now.hashes.len() {
        all.push(format!("{blocks} of {} blocks have another hash", now.hashes.len()));
    }
    all
}

/// The verdicts of a worksheet's entry.
fn digits(entry: &str) -> &str {
    entry.split_once(':').map_or(entry, |(digits, _)| digits)
}

fn told(old: &str, new: &str) -> String {
    if digits(old) == digits(new) {
        format!("verdicts {} as before, by other findings, times or order", digits(new))
    } else {
        format!("verdicts {} -> {}", digits(old), digits(new))
    }
}

/// The findings of each donor whose verdict changed: first what gives it, then the others. If no
/// verdict changed, of all donors.
fn at_work(answer: &Interpretation, old: &str, new: &str) -> Vec<String> {
    let (old, new) = (digits(old), digits(new));
    let before = old.chars().map(Some).chain(std::iter::repeat(None)).zip(new.chars());
    let of = |pair: &Answer| {
        let gives = |effect: Effect| Verdict::from(effect) == pair.verdict;
        let (by, others): (Vec<_>, Vec<_>) = pair.findings.iter().partition(|of| gives(of.effect));
        let names = |of: &[&Finding]| -> String {
            of.iter().map(|of| of.slug).collect::<Vec<_>>().join(", ")
        };
        let donor = pair.donor.as_str();
        format!("    {donor}: {} by {}; beside {}", pair.verdict, names(&by), names(&others))
    };
    let all = old == new;
    let changed =
        answer.pairs.iter().zip(before).filter(|(_, (old, new))| all || *old != Some(*new));
    changed.map(|(pair, _)| of(pair)).collect()
}

fn both<'c>(
    old: &'c BTreeMap<String, u64>,
    new: &'c BTreeMap<String, u64>,
) -> BTreeMap<&'c str, (u64, u64)> {
    let mut all: BTreeMap<&str, (u64, u64)> = BTreeMap::new();
    for (what, count) in old {
        all.entry(what).or_default().0 = *count;
    }
    for (what, count) in new {
        all.entry(what).or_default().1 = *count;
    }
    all
}

/// What the changelog says of changed verdicts, in all its releases: a hash for each line.
#[must_use]
pub fn changes(changelog: &str) -> String {
    let mut hashes = Vec::new();
    let mut within = false;
    for line in changelog.lines().map(str::trim) {
        if line.starts_with('#') {
            within = line.trim_start_matches('#').trim() == "Verdict changes";
        } else if within && !line.is_empty() && line != "None." {
            hashes.push(Digest::of(line.as_bytes()).to_string().chars().take(16).collect());
        }
    }
    let hashes: Vec<String> = hashes;
    hashes.join(" ")
}

/// The file to commit, unless anything that the answers decide is other than what was committed
/// and the changelog has no new line of it, or lacks an old one.
///
/// # Errors
/// If the changelog must be written first, or the committed file is not there or cannot be read.
pub fn regenerated(committed: Option<&str>, now: &Verdicts, changelog: &str) -> io::Result<String> {
    let said = changes(changelog);
    let gone = || io::Error::other(format!("{PATH} is gone or not whole: take it back first"));
    let text = committed.ok_or_else(gone)?;
    let before = text.lines().find_map(|line| line.strip_prefix("changes")).ok_or_else(gone)?;
    if Verdicts::from_text(text)? != *now {
        let old: Vec<_> = before.split_whitespace().collect();
        let new: Vec<_> = said.split_whitespace().collect();
        let kept = old.iter().all(|line| new.contains(line));
        if !kept || !new.iter().any(|line| !old.contains(line)) {
            return Err(io::Error::other(
                "answers of the corpus changed, and CHANGELOG.md says no more under *Verdict \
                 changes* than before, or a line that stood there is gone: add a line that says \
                 which changed, and by which finding",
            ));
        }
    }
    Ok(now.to_text(&said))
}
