#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| crossread_fuzz::messages(bytes));
