//! Packed files: gzip is unpacked, within bounds.
//!
//! Recognised by its first two bytes, never by the file's name. Several members one after another are one file, as
//! `cat a.gz b.gz` makes them. Source: RFC 1952, *GZIP file format specification*, sections 2.2 and 2.3.1; the check sum of each
//! member is verified.
//!
//! A small file must not fill the memory: what comes out is bounded. Weather as text packs to a fifth or a tenth; columns that
//! repeat pack better, and a file of a few rows by its heading alone.

use std::borrow::Cow;
use std::io::{ErrorKind, Read};

use flate2::bufread::GzDecoder;

use crate::error::WeatherError;
use crate::text::counted;

/// First two bytes of every gzip file (RFC 1952, ID1 and ID2).
const GZIP: &[u8] = b"\x1f\x8b";

/// Most text that is unpacked, MiB: a year of minutes has some 50.
const MOST_MIB: usize = 64;

/// Most text for each packed byte: several times what weather needs.
const MOST_TIMES: usize = 40;

/// Bytes that a packed file of any size may hold: short files can be all heading.
const ALWAYS: usize = 1 << 20;

/// The bytes themselves, or what is packed in them.
pub(crate) fn unpack<'a>(bytes: &'a [u8], label: &str) -> Result<Cow<'a, [u8]>, WeatherError> {
    if !bytes.starts_with(GZIP) {
        return Ok(Cow::Borrowed(bytes));
    }
    let most = bytes
        .len()
        .saturating_mul(MOST_TIMES)
        .clamp(ALWAYS, MOST_MIB << 20);
    let mut text = Vec::new();
    let within = format!(
        "a gzip file that unpacks to at most {MOST_TIMES} times its size (or 1 MiB) and {MOST_MIB} MiB"
    );
    let whole = || "a gzip file with all its bytes as they were packed".to_owned();
    let (found, allowed, todo) = match members(bytes, most, &mut text) {
        Members::Whole if text.len() <= most => return Ok(Cow::Owned(text)),
        Members::Whole => (
            format!(
                "{} packed bytes that unpack to more than {most}",
                bytes.len()
            ),
            within,
            "unpack it yourself and look at what is in it",
        ),
        Members::Followed(count) => (
            format!(
                "{} after the end of the packed data, which unpacks whole to {} of text",
                counted(count, "byte"),
                counted(text.len(), "byte")
            ),
            "a gzip file with nothing but zeros behind it".to_owned(),
            "unpack it yourself, and give the text or pack it again; no need to download it again",
        ),
        Members::CutOff => (
            format!(
                "a packed file that breaks off after {} of text",
                counted(text.len(), "byte")
            ),
            whole(),
            "the file was cut off: download it again",
        ),
        Members::Damaged => (
            format!(
                "a damaged packed file: {} of text could be unpacked",
                counted(text.len(), "byte")
            ),
            whole(),
            "download it again, or unpack it yourself",
        ),
    };
    Err(WeatherError::Header {
        label: label.into(),
        line: 1,
        column: "gzip".into(),
        found: found.into(),
        allowed: allowed.into(),
        todo: todo.into(),
    })
}

/// How the members of a packed file end.
enum Members {
    /// Whole, or longer than was wanted.
    Whole,
    /// So many bytes stand after the last of them.
    Followed(usize),
    /// In the middle of one.
    CutOff,
    /// One cannot be unpacked.
    Damaged,
}

/// Unpacks member after member into `text`, no more than one byte beyond `most`. Zeros after the last are padding, as
/// tapes and block devices leave it, and are passed over.
fn members(bytes: &[u8], most: usize, text: &mut Vec<u8>) -> Members {
    let mut rest = bytes;
    loop {
        let mut member = GzDecoder::new(rest);
        let wanted = (most + 1).saturating_sub(text.len()) as u64;
        match member.by_ref().take(wanted).read_to_end(text) {
            Ok(_) if text.len() > most => return Members::Whole,
            Ok(_) => rest = member.into_inner(),
            Err(error) if error.kind() == ErrorKind::UnexpectedEof => return Members::CutOff,
            Err(_) => return Members::Damaged,
        }
        if rest.iter().all(|&b| b == 0) {
            return Members::Whole;
        }
        // A second member may be cut off within its first two bytes.
        if !rest.starts_with(GZIP) && rest != &GZIP[..1] {
            return Members::Followed(rest.len());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use flate2::Compression;
    use flate2::write::GzEncoder;
    use std::io::Write as _;

    fn pack(bytes: &[u8]) -> Vec<u8> {
        let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
        encoder.write_all(bytes).expect("memory");
        encoder.finish().expect("memory")
    }

    /// Bytes that hardly pack, so that the bound is not met by chance.
    fn noise(n: usize) -> Vec<u8> {
        let mut state = 1_u32;
        std::iter::repeat_with(|| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            state.to_be_bytes()[0]
        })
        .take(n)
        .collect()
    }

    #[test]
    fn plain_bytes_are_left_alone_and_packed_ones_come_out() {
        assert!(matches!(unpack(b"a,b\n", "x"), Ok(Cow::Borrowed(b"a,b\n"))));
        let text = noise(10_000);
        assert_eq!(unpack(&pack(&text), "x").expect("whole").as_ref(), text);
        assert_eq!(unpack(&pack(b""), "x").expect("whole").as_ref(), b"");
    }

    #[test]
    fn members_follow_one_another() {
        let both = [pack(b"first\n"), pack(b"second\n")].concat();
        assert_eq!(
            unpack(&both, "x").expect("whole").as_ref(),
            b"first\nsecond\n"
        );
    }

    /// The same stream, written by hand from RFC 1952 and 1951: one stored block holding `A`.
    #[test]
    fn a_stream_written_by_hand_is_read() {
        let crc_of_a = 0xd3d9_9e8b_u32.to_le_bytes(); // CRC-32 of one byte 0x41
        let mut stream = vec![0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 255];
        stream.extend([1, 1, 0, 0xfe, 0xff, b'A']);
        stream.extend(crc_of_a);
        stream.extend(1_u32.to_le_bytes());
        assert_eq!(unpack(&stream, "x").expect("whole").as_ref(), b"A");
        stream[15] = b'B';
        assert!(unpack(&stream, "x").is_err(), "the check sum is looked at");
    }

    #[test]
    fn every_cut_is_told() {
        let packed = pack(&noise(300));
        for length in 2..packed.len() {
            let error = unpack(&packed[..length], "x").expect_err("cut").to_string();
            assert!(error.contains("breaks off"), "{length}: {error}");
        }
    }

    /// Found in an export: three bytes after the end. The file is whole, so downloading it again is no remedy.
    #[test]
    fn bytes_after_the_end_are_told_and_zeros_passed_over() {
        let packed = pack(b"time,air_c\n");
        for after in [&b"abc"[..], b"x", b"\n", b"\0\0\0x", b"\x1f\x8a"] {
            let error = unpack(&[&packed, after].concat(), "x")
                .expect_err("more")
                .to_string();
            let count = counted(after.len(), "byte");
            assert!(
                error.contains(&format!("found {count} after the end of the packed data")),
                "{error}"
            );
            assert!(!error.contains("cut off"), "{error}");
        }
        for zeros in [1, 3, 500] {
            let padded = [packed.clone(), vec![0; zeros]].concat();
            let text = unpack(&padded, "x").expect("padding");
            assert_eq!(text.as_ref(), b"time,air_c\n");
        }
        let second = [packed.clone(), packed[..1].to_vec()].concat();
        let error = unpack(&second, "x").expect_err("cut").to_string();
        assert!(error.contains("breaks off"), "{error}");
    }

    #[test]
    fn what_would_fill_the_memory_is_refused() {
        assert!(unpack(&pack(&vec![b' '; ALWAYS]), "x").is_ok());
        let error = unpack(&pack(&vec![b' '; ALWAYS + 1]), "x").expect_err("too much");
        assert!(error.to_string().contains("unpack to more than 1048576"));
        let error = unpack(&pack(&vec![b' '; (MOST_MIB << 20) * 2]), "x").expect_err("too much");
        assert!(error.to_string().contains("unpack to more than"));
    }
}
