//! The lines of a stream, a batch at a time: as many whole lines as have come.

use std::io::{self, Read};

use memchr::{memchr, memchr_iter, memrchr};

use crate::input::ENOUGH;

/// So many bytes are read at once, and a batch has about so many.
const BATCH: usize = 256 * 1024;

/// Some whole lines, each with its end.
#[derive(Default)]
pub(crate) struct Batch {
    bytes: Vec<u8>,
    /// The number of the first line, from 1.
    first: u64,
}

impl Batch {
    /// Each line without its end, with its number.
    pub(crate) fn lines(&self) -> impl Iterator<Item = (u64, &[u8])> {
        let mut start = 0;
        let lines = memchr_iter(b'\n', &self.bytes).map(move |end| {
            let line = self.bytes.get(start..end).unwrap_or_default();
            start = end.saturating_add(1);
            line.strip_suffix(b"\r").unwrap_or(line)
        });
        (self.first..).zip(lines)
    }

    /// How many bytes it has.
    pub(crate) fn len(&self) -> u64 {
        u64::try_from(self.bytes.len()).unwrap_or_default()
    }
}

/// Whole lines of a stream. Memory does not grow with the stream, only with its longest line.
pub(crate) struct Lines<R> {
    input: R,
    /// What was read beyond the last batch.
    rest: Vec<u8>,
    /// The number of the next line, from 1.
    next: u64,
    ended: bool,
}

impl<R: Read> Lines<R> {
    pub(crate) fn new(input: R) -> Self {
        Self { input, rest: Vec::new(), next: 1, ended: false }
    }

    /// Fills a batch with whole lines; `false` if there is none left. Waits for one line at most:
    /// whoever writes a line and waits for the answer gets it.
    pub(crate) fn fill(&mut self, batch: &mut Batch) -> io::Result<bool> {
        let lines = &mut batch.bytes;
        lines.clear();
        // One long line must not hold its memory for ever.
        lines.shrink_to(2 * BATCH);
        lines.append(&mut self.rest);
        self.rest.shrink_to(BATCH);
        let mut looked_at = 0;
        loop {
            let fresh = lines.get(looked_at..).unwrap_or_default();
            if let Some(end) = memrchr(b'\n', fresh) {
                let whole = looked_at.saturating_add(end).saturating_add(1);
                self.rest.extend_from_slice(lines.get(whole..).unwrap_or_default());
                lines.truncate(whole);
                break;
            }
            looked_at = lines.len();
            if u64::try_from(looked_at).unwrap_or(u64::MAX) > ENOUGH {
                self.pass_over(lines)?;
                break;
            }
            if self.ended {
                // The last line may lack its end.
                if !lines.is_empty() {
                    lines.push(b'\n');
                }
                break;
            }
            self.ended = more(&mut self.input, lines)? == 0;
        }
        batch.first = self.next;
        let count = memchr_iter(b'\n', &batch.bytes).count();
        self.next = self.next.saturating_add(u64::try_from(count).unwrap_or_default());
        Ok(count > 0)
    }

    /// Keeps as much of a line as shows that it is too large, and passes over the rest of it.
    fn pass_over(&mut self, line: &mut Vec<u8>) -> io::Result<()> {
        line.truncate(usize::try_from(ENOUGH).unwrap_or(usize::MAX));
        line.push(b'\n');
        while !self.ended {
            self.rest.clear();
            self.ended = more(&mut self.input, &mut self.rest)? == 0;
            if let Some(end) = memchr(b'\n', &self.rest) {
                self.rest.drain(..=end);
                return Ok(());
            }
        }
        Ok(())
    }
}

/// Reads what has come, at most a batch, behind what is there; 0 at the end.
fn more(input: &mut impl Read, into: &mut Vec<u8>) -> io::Result<usize> {
    let start = into.len();
    into.resize(start.saturating_add(BATCH), 0);
    let got = loop {
        match input.read(into.get_mut(start..).unwrap_or_default()) {
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            other => break other,
        }
    };
    into.truncate(start.saturating_add(got.as_ref().copied().unwrap_or(0)));
    got
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use super::{Batch, ENOUGH, Lines};

    /// Gives a few bytes a read, as a slow writer does.
    struct Slow<'t>(&'t [u8], usize);

    impl Read for Slow<'_> {
        fn read(&mut self, buf: &mut [u8]) -> std::io::Result<usize> {
            let (now, later) = self.0.split_at(self.1.min(self.0.len()).min(buf.len()));
            buf[..now.len()].copy_from_slice(now);
            self.0 = later;
            Ok(now.len())
        }
    }

    fn all(input: impl Read) -> Vec<(u64, Vec<u8>)> {
        let (mut lines, mut batch, mut all) = (Lines::new(input), Batch::default(), Vec::new());
        while lines.fill(&mut batch).unwrap() {
            all.extend(batch.lines().map(|(number, line)| (number, line.to_vec())));
        }
        all
    }

    #[test]
    fn every_line_comes_once_however_it_comes() {
        let text = b"one\n\ntwo\r\nthree\rfour\n five";
        let wanted: Vec<(u64, Vec<u8>)> =
            (1..).zip(["one", "", "two", "three\rfour", " five"].map(Into::into)).collect();
        for step in 1..=text.len() {
            assert_eq!(all(Slow(text, step)), wanted, "{step} bytes a read");
        }
        assert_eq!(all(&b""[..]), []);
        assert_eq!(all(&b"\n"[..]), [(1, Vec::new())]);
    }

    #[test]
    fn a_line_that_is_too_large_is_cut_and_the_next_ones_come() {
        let mut text = vec![b'x'; usize::try_from(ENOUGH).unwrap() + 600_000];
        text.extend_from_slice(b"\nnext\nlast");
        let lines = all(&text[..]);
        let sizes: Vec<_> = lines.iter().map(|(number, line)| (*number, line.len())).collect();
        assert_eq!(sizes, [(1, usize::try_from(ENOUGH).unwrap()), (2, 4), (3, 4)]);
    }
}
