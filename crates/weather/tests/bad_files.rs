//! Damaged weather files: each file in `tests/bad/weather` must fail with the message in the `.expect` beside it.

mod damaged;

use std::path::Path;

#[test]
fn every_damaged_file_says_what_is_wrong() {
    damaged::every_file_says_what_is_wrong("weather", swimdays_weather::parse);
}

#[test]
fn a_file_that_is_not_there_is_named() {
    let error = swimdays_weather::read(Path::new("no-such-folder/no-such-file.epw"))
        .expect_err("there is none");
    assert!(
        error
            .to_string()
            .starts_with("no-such-folder/no-such-file.epw: cannot be read: ")
    );
}
