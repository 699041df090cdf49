//! What the journal costs beside the bare database and the bare disk, on a million entries.
//!
//! Whatever is compared runs in turn, in blocks, in one process on one disk; a ratio is the median
//! over the blocks. CPU time of this thread where both sides compute, wall time where they wait for
//! the disk.

mod fill;

use std::fs::File;
use std::hint::black_box;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use crossread_core::document::Digest;
use crossread_core::worksheet::draft;
use crossread_journal::{Field, Journal, Location, Query, Wanted};
use rusqlite::{Connection, OpenFlags, params};
use rustix::time::ClockId;

use self::fill::{ENTRIES, Lines, Night, id, open, reading, recipient, unit, worksheet, writer};
use crate::{cpu, median, spent};

/// Calls of one block.
const BLOCK: usize = 40;

/// Measures, as the words after `record` say.
pub(crate) fn measure(words: &[&str]) {
    let (mut worksheets, mut folder) = (100_000, std::env::temp_dir());
    match words {
        [] => {}
        ["--small"] => worksheets = 2_000,
        ["--folder", path] => folder = PathBuf::from(path),
        ["--small", "--folder", path] => (worksheets, folder) = (2_000, PathBuf::from(path)),
        _ => return println!("usage: speed record [--small] [--folder FOLDER]"),
    }
    let folder = tempfile::tempdir_in(folder).unwrap();
    let path = folder.path().join("nights.journal");
    let small = folder.path().join("night.journal");
    let mut first =
        Journal::create(&place(&small), "Brindlemoor Animal Hospital", &writer("02:40:00"))
            .unwrap();
    let night = Night::new(&mut first);
    fill(&night, &path, worksheets);
    opening(&path, worksheets);
    search(&path, worksheets);
    warnings(&path, worksheets);
    println!("\none durable entry beside a bare append of as long a line and fsync");
    enter("in a new journal", &mut first, folder.path());
    enter("in the long journal", &mut Journal::open(&place(&path)).unwrap(), folder.path());
    verify(&path);
}

fn place(path: &Path) -> Location {
    Location::from(path)
}

/// A number that jumps over all below `of`.
fn scattered(number: usize, of: usize) -> usize {
    number.wrapping_mul(7_919) % of
}

fn micros(time: Duration) -> f64 {
    time.as_secs_f64() * 1e6
}

/// The share `per_mille` of the values lies at or below this.
fn quantile(values: &[f64], per_mille: usize) -> f64 {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    values[(values.len() * per_mille / 1_000).min(values.len() - 1)]
}

fn fill(night: &Night, path: &Path, worksheets: usize) {
    let start = cpu();
    std::io::copy(&mut Lines::new(night, worksheets), &mut std::io::sink()).unwrap();
    let making = cpu().saturating_sub(start);
    let (start, wall) = (cpu(), Instant::now());
    let mut journal = Journal::create_empty(&place(path)).unwrap();
    let imported = journal.import(&mut Lines::new(night, worksheets)).unwrap();
    drop(journal);
    let took = cpu().saturating_sub(start).saturating_sub(making);
    let each = micros(took) / imported.entries as f64;
    let megabytes = path.metadata().unwrap().len() / 1_000_000;
    println!("import: {} entries, {megabytes} MB", imported.entries);
    println!(
        "  {each:.1} µs of CPU an entry, {:.0} entries/s of CPU; {:.1} s wall with making the lines",
        1e6 / each,
        wall.elapsed().as_secs_f64()
    );
}

fn opening(path: &Path, worksheets: usize) {
    let times: Vec<f64> = (0..21)
        .map(|number| {
            let start = Instant::now();
            let mut journal = Journal::open(&place(path)).unwrap();
            let wanted = worksheet(scattered(number, worksheets));
            assert_eq!(journal.search(&query(Field::Worksheet, &wanted)).unwrap().len(), 1);
            micros(start.elapsed()) / 1_000.0
        })
        .collect();
    println!("\nopening to the first answer, wall: median {:.2} ms", median(times));
}

/// The database without the journal.
fn bare(path: &Path) -> Connection {
    let connection = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE).unwrap();
    connection.set_prepared_statement_cache_capacity(32);
    connection
        .set_db_config(rusqlite::config::DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)
        .unwrap();
    connection
}

/// The same rows by the bare database: every entry with the term, the latest first.
fn bare_search(connection: &Connection, field: &str, value: &str) -> usize {
    let mut statement = connection
        .prepare_cached(
            "SELECT entry.seq, entry.text, entry.sha256 FROM term JOIN entry USING (seq) \
             WHERE field = ?1 AND value = ?2 ORDER BY term.seq DESC LIMIT 50",
        )
        .unwrap();
    let mut rows = statement.query(params![field, value]).unwrap();
    let mut bytes = 0;
    while let Some(row) = rows.next().unwrap() {
        black_box(row.get::<_, i64>(0).unwrap());
        bytes += row.get::<_, String>(1).unwrap().len();
        black_box(row.get::<_, [u8; 32]>(2).unwrap());
    }
    bytes
}

/// The key of a worksheet, by its number.
type Naming = fn(usize) -> String;

fn query(field: Field, value: &str) -> Query {
    Query::of(Wanted::exactly(field, value))
}

fn search(path: &Path, worksheets: usize) {
    let mut journal = Journal::open(&place(path)).unwrap();
    let connection = bare(path);
    println!("\nsearch by indexed key, warm: the journal beside the bare statement");
    let keys: [(Field, Naming); 3] =
        [(Field::Worksheet, worksheet), (Field::Recipient, recipient), (Field::Unit, unit)];
    for (field, name) in keys {
        let word = field.word();
        let mut ratios = Vec::new();
        let (mut ours, mut theirs) = (Vec::new(), Vec::new());
        for block in 0..25 {
            let names: Vec<String> =
                (0..BLOCK).map(|n| name(scattered(block * BLOCK + n, worksheets))).collect();
            // Warm for both.
            for name in &names {
                assert!(bare_search(&connection, word, name) > 0);
                assert!(!journal.search(&query(field, name)).unwrap().is_empty());
            }
            let start = cpu();
            for name in &names {
                let start = Instant::now();
                black_box(bare_search(&connection, word, name));
                theirs.push(micros(start.elapsed()));
            }
            let middle = cpu();
            for name in &names {
                let start = Instant::now();
                black_box(journal.search(&query(field, name)).unwrap());
                ours.push(micros(start.elapsed()));
            }
            let end = cpu();
            ratios.push(micros(end.saturating_sub(middle)) / micros(middle.saturating_sub(start)));
        }
        println!(
            "  {word:<10} ratio {:.2}; p50 {:.0} against {:.0} µs, p99 {:.0} against {:.0} µs wall",
            median(ratios),
            quantile(&ours, 500),
            quantile(&theirs, 500),
            quantile(&ours, 990),
            quantile(&theirs, 990),
        );
    }
    let mut whole = Vec::new();
    for number in 0..400 {
        let id = id(&worksheet(scattered(number, worksheets)));
        let start = Instant::now();
        assert_eq!(journal.entries(&id).unwrap().len(), ENTRIES);
        whole.push(micros(start.elapsed()));
    }
    println!(
        "  all entries of a worksheet, read and checked: p50 {:.0} µs, p99 {:.0} µs wall",
        quantile(&whole, 500),
        quantile(&whole, 990)
    );
}

fn warnings(path: &Path, worksheets: usize) {
    let times: Vec<f64> = (0..200)
        .map(|number| {
            let id = recipient(scattered(number, worksheets));
            let told = format!(r#"{{ "id": "{id}", "name": "Juniper", "species": "dog" }}"#);
            let told = draft::Recipient::from_json(told.as_bytes()).unwrap();
            let start = Instant::now();
            let mut journal = Journal::open(&place(path)).unwrap();
            black_box(journal.warnings(&told).unwrap());
            micros(start.elapsed()) / 1_000.0
        })
        .collect();
    println!(
        "opening a recipient with {} worksheets, from the closed file: p50 {:.2} ms, p99 {:.2} ms wall",
        fill::EACH,
        quantile(&times, 500),
        quantile(&times, 990)
    );
}

fn enter(what: &str, journal: &mut Journal, folder: &Path) {
    let mut file = File::options().create(true).append(true).open(folder.join("lines")).unwrap();
    let (mut ratios, mut computing) = (Vec::new(), Vec::new());
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for block in 0..25 {
        let sheet = format!("NEW-{block:03}");
        let animals =
            [format!("R-9{block:04}"), format!("D-9{block:03}"), format!("U-9{block:05}")];
        open(journal, &sheet, [&animals[0], &animals[1], &animals[2]]);
        let sheet = id(&sheet);
        let clocks: Vec<String> =
            (0..BLOCK).map(|n| format!("03:{:02}:{:02}", 10 + n / 2, n % 2 * 30)).collect();
        let readings: Vec<_> = clocks
            .iter()
            .map(|clock| reading(&format!("major {} warm_37c 0", animals[1]), clock))
            .collect();
        let (start, wall) = (cpu(), Instant::now());
        let mut last = 0;
        for (clock, reading) in clocks.iter().zip(readings) {
            let start = Instant::now();
            last = journal.enter(&writer(clock), &sheet, reading).unwrap().seq;
            ours.push(micros(start.elapsed()));
        }
        let mine = micros(wall.elapsed());
        computing.push(micros(cpu().saturating_sub(start)) / BLOCK as f64);
        let text = journal.entry(last).unwrap();
        let line = format!("{}\n", text.to_json().unwrap());
        let wall = Instant::now();
        for _ in 0..BLOCK {
            let start = Instant::now();
            file.write_all(line.as_bytes()).unwrap();
            file.sync_all().unwrap();
            theirs.push(micros(start.elapsed()));
        }
        ratios.push(micros(wall.elapsed()) / mine);
    }
    println!(
        "  {what}: rate ratio {:.2}; p50 {:.0} against {:.0} µs, p99 {:.0} against {:.0} µs wall; \
         {:.0} µs of it is CPU of this thread",
        median(ratios),
        quantile(&ours, 500),
        quantile(&theirs, 500),
        quantile(&ours, 990),
        quantile(&theirs, 990),
        median(computing),
    );
}

fn verify(path: &Path) {
    // It works on two threads, so all CPU time of this process counts.
    let cpu = || spent(ClockId::ProcessCPUTime);
    let mut journal = Journal::open(&place(path)).unwrap();
    let connection = bare(path);
    let (mut ratios, mut walls, mut cores) = (vec![], vec![], vec![]);
    let (mut ours, mut theirs) = (vec![], vec![]);
    for _ in 0..5 {
        let (start, wall) = (cpu(), Instant::now());
        let mut statement =
            connection.prepare_cached("SELECT seq, text, sha256 FROM entry ORDER BY seq").unwrap();
        let mut rows = statement.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            let text = row.get_ref(1).unwrap().as_bytes().unwrap();
            black_box(Digest::of(text));
        }
        let (middle, bare_wall) = (cpu(), wall.elapsed());
        let wall = Instant::now();
        assert!(journal.verify(None).unwrap().is_good());
        let (end, wall) = (cpu(), wall.elapsed());
        let (bare, verify) = (middle.saturating_sub(start), end.saturating_sub(middle));
        ratios.push(micros(verify) / micros(bare));
        walls.push(micros(wall) / micros(bare_wall));
        cores.push(micros(verify) / micros(wall));
        ours.push(wall.as_secs_f64());
        theirs.push(bare_wall.as_secs_f64());
    }
    println!(
        "\nverify beside reading all rows in order and hashing them: ratio {:.2} wall, {:.2} CPU; \
         {:.2} s against {:.2} s wall, cores got {:.2}",
        median(walls),
        median(ratios),
        median(ours),
        median(theirs),
        median(cores)
    );
}
