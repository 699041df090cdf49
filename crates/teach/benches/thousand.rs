//! A set of 1,000 items with its drawings, from the seed to each file in which it leaves.
//!
//! ```sh
//! cargo bench -p crossread-teach --bench thousand
//! ```
//!
//! Prints wall and CPU seconds of this thread, medians of several rounds; judges none.

#![expect(clippy::print_stdout, reason = "a measuring program prints")]
#![expect(clippy::unwrap_used, reason = "a measuring program may stop")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use crossread_core::Protocols;
use crossread_teach::export::qti30;
use crossread_teach::marking::Options;
use crossread_teach::set::{Exercise, Kind, Wanted, make, page, questions};
use rustix::time::{ClockId, clock_gettime};

const ROUNDS: usize = 5;

fn cpu() -> Duration {
    let now = clock_gettime(ClockId::ThreadCPUTime);
    Duration::new(now.tv_sec.try_into().unwrap(), now.tv_nsec.try_into().unwrap())
}

fn told<T>(what: &str, mut work: impl FnMut() -> T) {
    let mut times: Vec<_> = (0..ROUNDS)
        .map(|_| {
            let (wall, before) = (Instant::now(), cpu());
            black_box(work());
            (wall.elapsed(), cpu().saturating_sub(before))
        })
        .collect();
    times.sort();
    let (wall, busy) = times.get(ROUNDS / 2).copied().unwrap();
    println!("{what:<44} {:>8.3} s, {:>8.3} s CPU", wall.as_secs_f64(), busy.as_secs_f64());
}

fn main() {
    let protocols = Protocols::shipped();
    let kinds = [("drawings", vec![Kind::Picture]), ("all kinds", Wanted::default().kinds)];
    for (name, kinds) in kinds {
        let wanted = Wanted { seed: 42, items: 1000, kinds, ..Wanted::default() };
        let set = make(&wanted, protocols).unwrap().exercise;
        let asked = questions(&set);
        let drawn: usize = asked.iter().map(|one| one.pictures.len()).sum();
        println!("1,000 items, {name}: {drawn} drawings");
        told("  made from the seed, keys computed", || make(&wanted, protocols).unwrap());
        told("  questions with their drawings", || questions(&set));
        told("  the page to practice on", || page(&set, &Options::default()));
        told("  QTI 3.0, packed", || qti30("A set", "set", &asked).unwrap());
        let text = set.set().to_json();
        told("  read back and checked", || {
            Exercise::from_json(text.as_bytes(), protocols).unwrap()
        });
    }
}
