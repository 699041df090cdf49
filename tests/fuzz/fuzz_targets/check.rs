//! Any bytes end in a worksheet or in faults with places inside the document.
#![no_main]

use crossread_core::{Protocol, Protocols, Worksheet};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|document: &[u8]| {
    for faults in [
        Worksheet::from_json(document, Protocols::shipped()).err(),
        Protocol::from_json(document).err(),
    ]
    .into_iter()
    .flatten()
    {
        assert!(!faults.as_slice().is_empty());
        for fault in faults.as_slice() {
            assert!(fault.line > 0 && fault.column > 0 && fault.span.end <= document.len());
        }
    }
});
