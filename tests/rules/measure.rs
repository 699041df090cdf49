//! Times contenders beside each other: in rounds, so that a slow spell hits all of them.

use std::hint::black_box;
use std::ops::Range;
use std::time::{Duration, Instant};

use rustix::time::{ClockId, clock_gettime};

pub const ROUNDS: usize = 11;
/// How long a contender runs in a round.
const SLICE: Duration = Duration::from_millis(60);

/// One way to answer a list of questions, prepared before anything is timed.
pub trait Contender<A> {
    fn name(&self) -> &'static str;
    /// Answers questions one by one, in the contender's own values.
    fn run(&mut self, questions: Range<usize>);
    /// The answer in values that can be compared.
    fn answer(&mut self, question: usize) -> A;
}

/// A contender made of two functions: what is timed, and how its answer is read.
pub struct By<F, R> {
    pub name: &'static str,
    pub ask: F,
    pub read: R,
}

impl<N, A, F: FnMut(usize) -> N, R: Fn(N) -> A> Contender<A> for By<F, R> {
    fn name(&self) -> &'static str {
        self.name
    }

    fn run(&mut self, questions: Range<usize>) {
        for question in questions {
            black_box((self.ask)(black_box(question)));
        }
    }

    fn answer(&mut self, question: usize) -> A {
        (self.read)((self.ask)(question))
    }
}

/// What was measured of one contender, in ns a question.
pub struct Figures {
    pub name: &'static str,
    /// The median of the rounds, by CPU time of the thread.
    pub median: f64,
    /// The median over the rounds of its time ÷ that of the first contender in the same round.
    pub ratio: f64,
    /// Half of the blocks took no more than this by the wall clock.
    pub p50: f64,
    /// All but one in a hundred took no more than this.
    pub p99: f64,
}

struct Lane<'c, A> {
    contender: &'c mut dyn Contender<A>,
    /// How many times it goes through all questions in a slice.
    passes: u32,
    rounds: Vec<f64>,
    blocks: Vec<f64>,
}

/// Measures contenders on the same questions. A block is so many questions that are timed one by
/// one by the wall clock.
pub fn measure<A>(
    contenders: &mut [Box<dyn Contender<A>>],
    questions: usize,
    block: usize,
) -> Vec<Figures> {
    let mut lanes: Vec<Lane<'_, A>> = contenders
        .iter_mut()
        .map(|contender| {
            let passes = passes(&mut **contender, questions);
            Lane { contender: &mut **contender, passes, rounds: Vec::new(), blocks: Vec::new() }
        })
        .collect();
    for _ in 0..ROUNDS {
        for lane in &mut lanes {
            let start = cpu();
            for _ in 0..lane.passes {
                lane.contender.run(0..questions);
            }
            let spent = cpu().saturating_sub(start).as_secs_f64();
            lane.rounds.push(spent * 1e9 / f64::from(lane.passes) / questions as f64);
            for first in (0..questions).step_by(block) {
                let last = questions.min(first + block);
                let start = Instant::now();
                lane.contender.run(first..last);
                lane.blocks.push(start.elapsed().as_secs_f64() * 1e9 / (last - first) as f64);
            }
        }
    }
    let first = lanes[0].rounds.clone();
    lanes
        .into_iter()
        .map(|mut lane| Figures {
            name: lane.contender.name(),
            ratio: part(
                &mut lane
                    .rounds
                    .iter()
                    .zip(&first)
                    .map(|(own, first)| own / first)
                    .collect::<Vec<_>>(),
                0.5,
            ),
            median: part(&mut lane.rounds, 0.5),
            p50: part(&mut lane.blocks, 0.5),
            p99: part(&mut lane.blocks, 0.99),
        })
        .collect()
}

/// So many passes fill a slice; and warms up.
fn passes<A>(contender: &mut dyn Contender<A>, questions: usize) -> u32 {
    let start = cpu();
    let mut passes = 0;
    while cpu().saturating_sub(start) < SLICE {
        contender.run(0..questions);
        passes += 1;
    }
    passes
}

/// The value below which this part of all values lies.
fn part(values: &mut [f64], part: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    values[((values.len() - 1) as f64 * part).round() as usize]
}

/// CPU time of this thread: on a machine shared with others, waiting is nobody's to count.
fn cpu() -> Duration {
    let now = clock_gettime(ClockId::ThreadCPUTime);
    Duration::new(now.tv_sec.try_into().unwrap(), now.tv_nsec.try_into().unwrap())
}
