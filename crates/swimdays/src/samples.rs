//! Sample weather inside the program, so that a first scenario runs before any file was downloaded.

use std::path::Path;

use swimdays_weather::{ReadOptions, WeatherError, WeatherYear};

/// What a weather path starts with when it means a sample.
pub(crate) const PREFIX: &str = "sample:";

/// Name and content of each invented place.
const SAMPLES: [(&str, &[u8]); 3] = [
    (
        "temperate",
        include_bytes!("../../../weather-samples/temperate.epw"),
    ),
    (
        "hot-dry",
        include_bytes!("../../../weather-samples/hot-dry.epw"),
    ),
    (
        "cool-south",
        include_bytes!("../../../weather-samples/cool-south.epw"),
    ),
];

/// The sample that `path` names, if it names one: `sample:temperate`.
pub(crate) fn of(path: &Path) -> Option<Result<WeatherYear, String>> {
    let name = path.file_name()?.to_str()?.strip_prefix(PREFIX)?;
    let found = SAMPLES.iter().find(|(known, _)| *known == name);
    Some(match found {
        Some((_, bytes)) => {
            swimdays_weather::parse(bytes, name).map_err(|e: WeatherError| e.to_string())
        }
        None => {
            let known: Vec<String> = SAMPLES
                .iter()
                .map(|(n, _)| format!("{PREFIX}{n}"))
                .collect();
            Err(format!(
                "there is no sample weather “{name}”; there are {}",
                known.join(", ")
            ))
        }
    })
}

/// A weather file, or a sample by its name.
pub(crate) fn read(path: &Path) -> Result<WeatherYear, String> {
    read_with(path, &ReadOptions::default())
}

/// As [`read`], with options for a file; samples need none.
pub(crate) fn read_with(path: &Path, options: &ReadOptions) -> Result<WeatherYear, String> {
    of(path)
        .unwrap_or_else(|| swimdays_weather::read_with(path, options).map_err(|e| e.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sample_reads_and_others_are_named() {
        for (name, _) in SAMPLES {
            let path = format!("somewhere/{PREFIX}{name}");
            let year = of(Path::new(&path)).expect("a sample").expect("reads");
            assert!(year.is_whole_year());
        }
        let wrong = of(Path::new("sample:mars"))
            .expect("a sample")
            .expect_err("unknown");
        assert!(wrong.contains("sample:temperate"), "{wrong}");
        assert!(of(Path::new("temperate.epw")).is_none());
    }
}
