//! Reading a weather year: every sample in the folder, and the temperate one as plain CSV and packed.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use divan::{AllocProfiler, Bencher, black_box};
use swimdays_weather::{parse, write};

#[global_allocator]
static ALLOCATOR: AllocProfiler = AllocProfiler::system();

fn main() {
    divan::main();
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../weather-samples")
}

/// Names of the samples, and of those made here.
fn files() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder())
        .expect("weather-samples")
        .map(|entry| entry.expect("entry").file_name().to_string_lossy().into_owned())
        .filter(|name| !name.ends_with(".md") && !name.contains("normals"))
        .collect();
    names.sort();
    names.extend(["plain".into(), "packed epw".into()]);
    names
}

fn bytes(name: &str) -> Vec<u8> {
    let sample = |name: &str| std::fs::read(folder().join(name)).expect("sample");
    match name {
        "plain" => {
            let year = parse(&sample("temperate.epw"), name).expect("weather");
            write::to_plain(&year).into_bytes()
        }
        "packed epw" => {
            let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
            packed.write_all(&sample("temperate.epw")).expect("memory");
            packed.finish().expect("memory")
        }
        name => sample(name),
    }
}

#[divan::bench(args = files(), sample_count = 30)]
fn read(bencher: Bencher, name: &str) {
    let bytes = bytes(name);
    bencher
        .counter(divan::counter::BytesCount::new(bytes.len()))
        .bench(|| parse(black_box(&bytes), name).expect("weather"));
}
