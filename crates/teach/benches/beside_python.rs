//! Resampling and alpha beside the usual Python libraries: the same values, and how much faster.
//!
//! ```sh
//! python3 -m venv peers && peers/bin/pip install numpy krippendorff
//! cargo bench -p crossread-teach -- peers/bin/python
//! ```
//!
//! Both sides take turns in one run and count CPU time of their own thread. It stops if values
//! differ by more than 1e-12, prints medians and the median of the ratios, and judges no speed.

#![expect(clippy::print_stdout, reason = "a measuring program prints")]
#![expect(
    clippy::unwrap_used,
    clippy::float_arithmetic,
    clippy::arithmetic_side_effects,
    clippy::as_conversions,
    clippy::indexing_slicing,
    reason = "a measuring program may stop, and divides"
)]

use std::hint::black_box;
use std::io::{BufRead as _, BufReader, Lines, Write as _};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::Duration;

use crossread_teach::statistics::{
    Bootstrap, Metric, Pairs, Panel, Scale, Table, Value, Weighting, alpha, kappa_value,
};
use rustix::time::{ClockId, clock_gettime};

const ROUNDS: usize = 15;
const CASES: u32 = 500;
const READERS: usize = 50;
const ITEMS: usize = 200;

fn cpu() -> Duration {
    let now = clock_gettime(ClockId::ThreadCPUTime);
    Duration::new(now.tv_sec.try_into().unwrap(), now.tv_nsec.try_into().unwrap())
}

/// CPU seconds of one time, measured over so many.
fn timed<T>(times: u32, mut work: impl FnMut() -> T) -> f64 {
    black_box(work());
    let start = cpu();
    for _ in 0..times {
        black_box(work());
    }
    cpu().saturating_sub(start).as_secs_f64() / f64::from(times)
}

struct Peer {
    child: Child,
    ask: Option<ChildStdin>,
    answers: Lines<BufReader<ChildStdout>>,
}

impl Peer {
    fn start(python: &str, folder: &Path) -> Self {
        let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/peers.py");
        let mut child = Command::new(python)
            .arg(script)
            .arg(folder)
            .env("OMP_NUM_THREADS", "1")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let answers = BufReader::new(child.stdout.take().unwrap()).lines();
        let ask = child.stdin.take().unwrap();
        Self { child, ask: Some(ask), answers }
    }

    fn says(&mut self, question: &str) -> String {
        writeln!(self.ask.as_mut().unwrap(), "{question}").unwrap();
        self.answers.next().unwrap().unwrap()
    }

    fn seconds(&mut self, work: &str, times: u32) -> f64 {
        self.says(&format!("{work} {times}")).parse().unwrap()
    }
}

impl Drop for Peer {
    fn drop(&mut self) {
        drop(self.ask.take());
        let _ended = self.child.wait();
    }
}

fn quadratic(table: &Table) -> Value {
    kappa_value(table, &Weighting::Quadratic)
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).filter(|word| word != "--bench").collect();
    let [python] = &words[..] else {
        println!("usage: cargo bench -p crossread-teach -- PYTHON (with numpy and krippendorff)");
        return;
    };
    let scale = Scale::new(["0", "w", "1+", "2+", "3+", "4+"]).unwrap();
    // Numbers of no meaning, the same each time.
    let mut state = 7_u32;
    let mut next = |below: u32| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 16) % below
    };
    let mut read = |key: u8| match next(6) {
        0 => key.saturating_sub(1),
        1 => (key + 1).min(5),
        _ => key,
    };
    let key: Vec<u8> =
        (0..CASES).map(|case| [0, 0, 0, 1, 2, 2, 3, 4, 5][case as usize % 9]).collect();
    let readings: Vec<u8> = key.iter().map(|key| read(*key)).collect();
    let class: Vec<Vec<Option<u8>>> = (0..READERS)
        .map(|reader| {
            (0..ITEMS)
                .map(|item| ((reader * 31 + item * 17) % 20 > 2).then(|| read(key[item])))
                .collect()
        })
        .collect();

    let some = |list: &[u8]| list.iter().map(|grade| Some(*grade)).collect::<Vec<_>>();
    let pairs = Pairs::new(&scale, &some(&key), &some(&readings)).unwrap();
    let panel = Panel::by_reader(&scale, &class).unwrap();
    let bootstrap = Bootstrap::new(2000, 42, 0).unwrap();

    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, bytes: &[u8]| std::fs::write(folder.path().join(name), bytes).unwrap();
    write("key", &key);
    write("read", &readings);
    write("places", &bootstrap.places(CASES).flat_map(u32::to_le_bytes).collect::<Vec<_>>());
    write("readings", &class.concat().iter().map(|g| g.unwrap_or(255)).collect::<Vec<_>>());
    let mut peer = Peer::start(python, folder.path());
    println!("{}", peer.says("versions"));

    let theirs: f64 = peer.says("values").parse().unwrap();
    let ours = alpha(&panel, Metric::Ordinal).value.unwrap();
    println!("alpha {ours:.12}, off by {:.1e}", (ours - theirs).abs());
    assert!((ours - theirs).abs() <= 1e-12);
    let theirs = std::fs::read(folder.path().join("kappas")).unwrap();
    let theirs = theirs.chunks(8).map(|bytes| f64::from_le_bytes(bytes.try_into().unwrap()));
    let ours = bootstrap.pairs(&pairs, quadratic);
    assert_eq!(ours.values().len(), theirs.len());
    let off = ours.values().iter().zip(theirs).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    println!("{} resamples, off by at most {off:.1e}", ours.values().len());
    assert!(off <= 1e-12);

    let mut rounds = Vec::new();
    for _ in 0..ROUNDS {
        rounds.push([
            timed(5, || bootstrap.pairs(&pairs, quadratic)),
            peer.seconds("replayed", 5),
            peer.seconds("drawn", 5),
            timed(200, || alpha(&panel, Metric::Ordinal)),
            timed(200, || alpha(&Panel::by_reader(&scale, &class).unwrap(), Metric::Ordinal)),
            peer.seconds("alpha", 50),
        ]);
    }
    let time = |at: usize| median(rounds.iter().map(|round| round[at]).collect());
    let ratio = |a: usize, b: usize| median(rounds.iter().map(|r| r[a] / r[b]).collect());
    println!("median of {ROUNDS} rounds, ms of CPU time:");
    let show = |what: &str, ours: usize, theirs: usize| {
        let (own, other) = (time(ours) * 1e3, time(theirs) * 1e3);
        println!("  {what:<58} {own:>8.4} {other:>8.4}  {:>5.1} times", ratio(theirs, ours));
    };
    show("2000 resamples of kappa, drawn here; the same places there", 0, 1);
    show("2000 resamples of kappa, drawn here; drawn there", 0, 2);
    show("ordinal alpha, from the panel", 3, 5);
    show("ordinal alpha, from unchecked lists", 4, 5);
}
