//! A zip whose bytes depend on nothing but the files in it.
//!
//! The usual zip libraries take whichever compressor another part of the build turned on, and then
//! the bytes differ. Here the compressor is named.

use std::io::Write as _;

use miniz_oxide::deflate::compress_to_vec;
use rawzip::time::UtcDateTime;
use rawzip::{CompressionMethod, DataDescriptorOutput, Error, ZipArchiveWriter, crc32};

/// How hard it is compressed, of 10.
const LEVEL: u8 = 6;
/// 1980-01-01 00:00, the first time that a zip can hold, in seconds since 1970.
const DATE: i64 = 315_532_800;
/// An ordinary file that all may read.
const PERMISSIONS: u32 = 0o100_644;

/// Zips the files in the order given, all dated 1980-01-01.
pub(super) fn zip(files: &[(String, Vec<u8>)]) -> Result<Vec<u8>, Error> {
    let mut bytes = Vec::new();
    let mut archive = ZipArchiveWriter::new(&mut bytes);
    let date = UtcDateTime::from_unix(DATE);
    for (name, content) in files {
        // All are compressed: some readers want the size of a stored file beforehand.
        let (mut entry, _) = archive
            .new_file(name.as_str())
            .compression_method(CompressionMethod::DEFLATE)
            .last_modified(date)
            .unix_permissions(PERMISSIONS)
            .start()?;
        entry.write_all(&compress_to_vec(content, LEVEL))?;
        let size = u64::try_from(content.len()).unwrap_or(u64::MAX);
        entry.finish(DataDescriptorOutput::new(crc32(content), size))?;
    }
    archive.finish()?;
    Ok(bytes)
}
