#![no_main]
use swimdays_fuzz::{heads, year};

libfuzzer_sys::fuzz_target!(|data: &[u8]| year(heads::PLAIN, data));
