//! Which bytes of a journal's file are those of an entry: a reader of the file format that shares
//! nothing with the library that wrote it.
//!
//! # Source
//! SQLite, "Database File Format", sections 1.6 (b-tree pages) and 2.1 (record format),
//! <https://www.sqlite.org/fileformat2.html>.

/// For each byte of the file, the entry in whose text or hash it lies.
pub(crate) fn owners(file: &[u8], root: usize) -> Vec<Option<u64>> {
    let mut owners = vec![None; file.len()];
    let size = match u16::from_be_bytes([file[16], file[17]]) {
        1 => 65_536,
        size => usize::from(size),
    };
    assert_eq!(file[20], 0, "no bytes of a page are reserved");
    walk(file, size, root, &mut owners);
    owners
}

fn walk(file: &[u8], size: usize, page: usize, owners: &mut [Option<u64>]) {
    let base = (page - 1) * size;
    let header = if page == 1 { base + 100 } else { base };
    let cells = number(file, header + 3, 2);
    match file[header] {
        // Within the tree: pages to the left of each key, and the one to the right of all.
        5 => {
            for cell in 0..cells {
                let at = base + number(file, header + 12 + 2 * cell, 2);
                walk(file, size, number(file, at, 4), owners);
            }
            walk(file, size, number(file, header + 8, 4), owners);
        }
        13 => {
            for cell in 0..cells {
                entry(file, size, base + number(file, header + 8 + 2 * cell, 2), owners);
            }
        }
        other => panic!("page {page} is of type {other}"),
    }
}

/// Marks the bytes of one row: of its payload everything after the header.
fn entry(file: &[u8], size: usize, mut at: usize, owners: &mut [Option<u64>]) {
    let payload = usize::try_from(varint(file, &mut at)).unwrap();
    let seq = varint(file, &mut at);
    let (most, least) = (size - 35, (size - 12) * 32 / 255 - 23);
    let local = if payload <= most {
        payload
    } else {
        let local = least + (payload - least) % (size - 4);
        if local <= most { local } else { least }
    };
    let mut bytes: Vec<usize> = (at..at + local).collect();
    let mut next = if local < payload { number(file, at + local, 4) } else { 0 };
    while next != 0 {
        let base = (next - 1) * size;
        let left = (payload - bytes.len()).min(size - 4);
        bytes.extend(base + 4..base + 4 + left);
        next = number(file, base, 4);
    }
    assert_eq!(bytes.len(), payload);
    for byte in &bytes[usize::from(file[at])..] {
        owners[*byte] = Some(seq);
    }
}

fn number(file: &[u8], at: usize, bytes: usize) -> usize {
    file[at..at + bytes].iter().fold(0, |number, byte| number << 8 | usize::from(*byte))
}

fn varint(file: &[u8], at: &mut usize) -> u64 {
    let mut number = 0;
    loop {
        let byte = file[*at];
        *at += 1;
        number = number << 7 | u64::from(byte & 0x7f);
        if byte & 0x80 == 0 {
            return number;
        }
    }
}
