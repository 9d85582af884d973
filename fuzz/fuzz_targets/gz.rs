#![no_main]
use swimdays_fuzz::year;

// The two bytes by which gzip is recognised, its one method, and no flags.
libfuzzer_sys::fuzz_target!(|data: &[u8]| year(b"\x1f\x8b\x08\0", data));
