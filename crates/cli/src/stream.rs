//! Many worksheets, one a line: read in batches, worked on by several threads, written in order.
//!
//! Memory does not grow with the input: a fixed number of batches is under way at once, and their
//! buffers are used again. Nothing waits for more input than the line that it answers.

use std::io::{self, Read, Write};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::{self, JoinHandle};

use crossread_core::Protocols;
use crossread_core::embed::{self, Layout, Source};

use crate::exit::{self, Failure, Gravest};
use crate::input::unreadable;
use crate::lines::{Batch, Lines};

/// Batches under way for each thread.
const AHEAD: usize = 3;

/// Answers are handed on in pieces of about so many bytes, because a batch of short bad lines can
/// have answers many times its size.
const PIECE: usize = 1280 * 1024;

/// Interprets every line of `input`. `seen` is told how many bytes are done.
pub(crate) fn run(
    name: &str,
    input: Box<dyn Read + Send>,
    output: &mut dyn Write,
    protocols: &Protocols,
    jobs: usize,
    seen: &mut dyn FnMut(u64),
) -> Result<Gravest, Failure> {
    if jobs > 1 {
        return run_many(name, input, output, protocols, jobs, seen);
    }
    let (mut lines, mut batch, mut out) = (Lines::new(input), Batch::default(), Vec::new());
    let mut gravest = Gravest::default();
    while lines.fill(&mut batch).map_err(|error| unreadable(name, &error))? {
        gravest.add(answer(name, &batch, protocols, &mut out, &mut |piece| {
            output.write_all(piece)?;
            piece.clear();
            Ok(())
        })?);
        output.write_all(&out)?;
        output.flush()?;
        seen(batch.len());
    }
    Ok(gravest)
}

/// What goes from a worker to the writer.
enum Answered {
    /// Some of the answers to a batch.
    Some(Vec<u8>),
    /// The rest of them, and the buffers to use again.
    All { batch: Batch, out: Vec<u8>, gravest: u8 },
    /// The worker cannot go on.
    Failed(Failure),
}

/// A worker, seen from the thread that writes.
struct Worker {
    answers: Receiver<Answered>,
    thread: JoinHandle<()>,
}

/// One thread reads, so that a line can be answered while the next one is waited for; this one
/// writes. Batch after batch goes to one worker after the other, and is fetched from them in turn.
///
/// The threads are not waited for if writing fails: the reader may hang on a pipe that stays open.
fn run_many(
    name: &str,
    input: Box<dyn Read + Send>,
    output: &mut dyn Write,
    protocols: &Protocols,
    jobs: usize,
    seen: &mut dyn FnMut(u64),
) -> Result<Gravest, Failure> {
    let (name_of_all, protocols): (Arc<str>, _) = (name.into(), Arc::new(protocols.clone()));
    let (mut workers, mut queues) = (Vec::new(), Vec::new());
    for _ in 0..jobs {
        let (queue, todo) = sync_channel(AHEAD);
        let (done, answers) = sync_channel(1);
        let (name, protocols) = (Arc::clone(&name_of_all), Arc::clone(&protocols));
        let thread = thread::spawn(move || work(&name, &protocols, &todo, &done));
        workers.push(Worker { answers, thread });
        queues.push(queue);
    }
    let most = jobs.saturating_mul(AHEAD);
    let (give_back, idle) = sync_channel(most);
    for _ in 0..most {
        // There is room for all of them.
        give_back.send((Batch::default(), Vec::new())).unwrap_or_default();
    }
    let reader = thread::spawn(move || deal(input, &idle, &queues));
    let mut gravest = Gravest::default();
    while let Some(worker) = workers.first() {
        match worker.answers.recv() {
            Ok(Answered::Some(piece)) => output.write_all(&piece)?,
            Ok(Answered::All { batch, out, gravest: of_batch }) => {
                output.write_all(&out)?;
                output.flush()?;
                seen(batch.len());
                gravest.add(of_batch);
                // The reader is gone when all is read.
                give_back.send((batch, out)).unwrap_or_default();
                workers.rotate_left(1);
            }
            Ok(Answered::Failed(failure)) => return Err(failure),
            // Nothing comes any more: all is answered, or the thread panicked.
            Err(_ended) => break,
        }
    }
    for worker in workers {
        worker.thread.join().map_err(|_panicked| Failure::panicked())?;
    }
    let read = reader.join().map_err(|_panicked| Failure::panicked())?;
    read.map_err(|error| unreadable(name, &error))?;
    Ok(gravest)
}

/// Deals out batches until there is no line left, or nobody to work on them.
fn deal(
    input: Box<dyn Read + Send>,
    idle: &Receiver<(Batch, Vec<u8>)>,
    queues: &[SyncSender<(Batch, Vec<u8>)>],
) -> io::Result<()> {
    let mut lines = Lines::new(input);
    for queue in queues.iter().cycle() {
        let Ok((mut batch, out)) = idle.recv() else { break };
        if !lines.fill(&mut batch)? || queue.send((batch, out)).is_err() {
            break;
        }
    }
    Ok(())
}

fn work(
    name: &str,
    protocols: &Protocols,
    todo: &Receiver<(Batch, Vec<u8>)>,
    done: &SyncSender<Answered>,
) {
    for (batch, mut out) in todo {
        let answered = answer(name, &batch, protocols, &mut out, &mut |piece| {
            // If nobody takes it, the next one that is sent ends this thread.
            done.send(Answered::Some(std::mem::take(piece))).unwrap_or_default();
            Ok(())
        });
        let answered = match answered {
            Ok(gravest) => Answered::All { batch, out, gravest },
            Err(failure) => Answered::Failed(failure),
        };
        if done.send(answered).is_err() {
            return;
        }
    }
}

/// Answers every line of a batch into `out`, and gives the gravest status. Whenever `out` is a
/// piece long, `hand_on` empties it.
fn answer(
    name: &str,
    batch: &Batch,
    protocols: &Protocols,
    out: &mut Vec<u8>,
    hand_on: &mut dyn FnMut(&mut Vec<u8>) -> Result<(), Failure>,
) -> Result<u8, Failure> {
    let mut gravest = Gravest::default();
    out.clear();
    out.shrink_to(PIECE);
    for (number, line) in batch.lines() {
        let source = Source { name, line: Some(number) };
        gravest.add(exit::of(embed::answer(line, protocols, source, Layout::Line, out)?));
        out.push(b'\n');
        if out.len() >= PIECE {
            hand_on(out)?;
        }
    }
    Ok(gravest.status())
}

#[cfg(test)]
mod tests {
    use std::io::{self, Read};

    use crossread_core::Protocols;

    use super::run;
    use crate::exit::{Failure, Gravest, IO, MALFORMED, PROGRAM};

    /// Gives two lines, and then comes to a bad end.
    struct Ends(bool, fn() -> io::Result<usize>);

    impl Read for Ends {
        fn read(&mut self, buf: &mut [u8]) -> io::Result<usize> {
            if std::mem::replace(&mut self.0, true) {
                return (self.1)();
            }
            buf[..6].copy_from_slice(b"{}\n[]\n");
            Ok(6)
        }
    }

    fn answered(
        jobs: usize,
        end: fn() -> io::Result<usize>,
    ) -> (Result<Gravest, Failure>, usize, u64) {
        let (mut out, mut bytes) = (Vec::new(), 0_u64);
        let input = Box::new(Ends(false, end));
        let seen = &mut |more: u64| bytes = bytes.max(more);
        let ended = run("night", input, &mut out, Protocols::shipped(), jobs, seen);
        (ended, memchr::memchr_iter(b'\n', &out).count(), bytes)
    }

    #[test]
    fn what_came_before_a_bad_end_is_answered() {
        for jobs in [1, 2, 5] {
            let (ended, lines, bytes) = answered(jobs, || Ok(0));
            assert_eq!((ended.unwrap().status(), lines, bytes), (MALFORMED, 2, 6));
            let (ended, lines, _) = answered(jobs, || Err(io::Error::other("the disk is gone")));
            assert_eq!((ended.unwrap_err().status, lines), (IO, 2));
        }
    }

    #[test]
    fn a_thread_that_panics_is_a_fault_of_the_program_and_no_end_of_the_stream() {
        let (ended, lines, _) = answered(2, || panic!("on purpose"));
        assert_eq!((ended.unwrap_err().status, lines), (PROGRAM, 2));
    }
}
