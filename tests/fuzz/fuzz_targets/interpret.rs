//! Whatever the check takes is interpreted, and what is free has no finding against it.
#![no_main]

use crossread_core::words::{Effect, Verdict};
use crossread_core::{Protocols, Worksheet, interpret};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|document: &[u8]| {
    let protocols = Protocols::shipped();
    let Ok(worksheet) = Worksheet::from_json(document, protocols) else { return };
    for protocol in protocols.iter() {
        let answer = interpret(&worksheet, protocol);
        for pair in &answer.pairs {
            let greatest = pair.findings.iter().map(|f| f.effect).max();
            assert_eq!(pair.verdict, Verdict::from(greatest.unwrap_or(Effect::Note)));
            assert_eq!(pair.releasable, greatest.is_none_or(|e| e <= Effect::Caveat));
        }
    }
});
