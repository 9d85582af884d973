#![no_main]
use swimdays_fuzz::normals;

libfuzzer_sys::fuzz_target!(|data: &[u8]| normals(data));
