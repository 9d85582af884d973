//! Which format a file is in, judged by its content; never by its name.
//!
//! A format is added by one module with a `recognises` and a `read`, and one row in [`READERS`].

use crate::error::WeatherError;
use crate::raw::Raw;
use crate::text::{Source, quoted};
use crate::year::Format;
use crate::{ReadOptions, epw, nsrdb, plain, pvgis, tmy2, tmy3};

struct Reader {
    format: Format,
    recognises: fn(&Source<'_>) -> bool,
    read: fn(&Source<'_>, &ReadOptions) -> Result<Raw, WeatherError>,
    /// What gives the format away, for the message when none fits.
    mark: &'static str,
}

const READERS: &[Reader] = &[
    Reader {
        format: Format::Tmy3,
        recognises: tmy3::recognises,
        read: |source, _| tmy3::read(source),
        mark: "second line starting `Date (MM/DD/YYYY),Time (HH:MM)`",
    },
    Reader {
        format: Format::Epw,
        recognises: epw::recognises,
        read: |source, _| epw::read(source),
        mark: "first line starting `LOCATION,`",
    },
    Reader {
        format: Format::Nsrdb,
        recognises: nsrdb::recognises,
        read: nsrdb::read,
        mark: nsrdb::MARK,
    },
    Reader {
        format: Format::Pvgis,
        recognises: pvgis::recognises,
        read: pvgis::read,
        mark: pvgis::MARK,
    },
    Reader {
        format: Format::Tmy2,
        recognises: tmy2::recognises,
        read: tmy2::read,
        mark: tmy2::MARK,
    },
    Reader {
        format: Format::Plain,
        recognises: plain::recognises,
        read: plain::read,
        mark: plain::MARK,
    },
];

/// Reads the rows of a file by the format that recognises it.
pub(crate) fn read(source: &Source<'_>, options: &ReadOptions) -> Result<Raw, WeatherError> {
    if let Some(reader) = READERS.iter().find(|reader| (reader.recognises)(source)) {
        let mut raw = (reader.read)(source, options)?;
        raw.fit();
        return Ok(raw);
    }
    let first = source
        .lines()
        .next()
        .map(|(_, line)| line)
        .unwrap_or_default();
    let known: Vec<String> = READERS
        .iter()
        .map(|r| format!("{} ({})", r.format.name(), r.mark))
        .collect();
    Err(WeatherError::Unrecognised {
        label: source.label.into(),
        line: 1,
        found: if is_utf16(source.bytes) {
            "text stored as UTF-16".into()
        } else if first.iter().take(64).any(|&b| b < 9) {
            "bytes that are no plain text".into()
        } else {
            format!("{} at the beginning", quoted(first)).into()
        },
        allowed: known.join(" or ").into(),
        todo: advice(source.bytes).into(),
    })
}

/// What went wrong most likely when no format fits.
fn advice(bytes: &[u8]) -> &'static str {
    let head: Vec<u8> = bytes.iter().take(200).map(u8::to_ascii_lowercase).collect();
    let has = |mark: &[u8]| head.windows(mark.len()).any(|window| window == mark);
    if bytes.is_empty() {
        "the file is empty: download it again"
    } else if head.starts_with(b"\x1f\x8b") || head.starts_with(b"pk\x03\x04") {
        "the file is packed: unpack it first"
    } else if is_utf16(bytes) {
        "save it again as UTF-8 or plain text"
    } else if head.starts_with(b"{") {
        "this is JSON: download the same data as CSV"
    } else if has(b"<html") || has(b"<!doctype") {
        "this is a web page, not the file behind it: download the file itself"
    } else {
        "download the file in one of these formats, and keep its header lines"
    }
}

/// Text of two bytes a letter: it says so, or every other byte of its beginning is 0, as that of Latin letters is.
fn is_utf16(bytes: &[u8]) -> bool {
    /// Letters looked at.
    const LETTERS: usize = 16;
    let zeros = |odd: usize| {
        bytes.len() >= 2 * LETTERS
            && bytes
                .chunks_exact(2)
                .take(LETTERS)
                .all(|pair| pair[odd] == 0 && pair[1 - odd] != 0)
    };
    bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") || zeros(0) || zeros(1)
}
