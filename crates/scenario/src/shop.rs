//! `[shop]`: what the builder's shop sells, in which sizes and for how much.

use swimdays_build::{BarStock, ItemPrice, Pack, SheetStock, Shop};
use swimdays_quantity::{Kind, parse, parse_price, sides};

use crate::section::Section;
use crate::walk::{Field, Usual, Walk};
use crate::words::source::PRACTICE;

/// Most sizes of one thing.
const MOST: usize = 30;

/// Reads the table; what is not written has the generic sizes of the scenario's units, without prices.
pub(crate) fn shop(walk: &mut Walk<'_>, root: &mut Section<'_>, currency: &str) -> Shop {
    let generic = Shop::generic(walk.units);
    let mut s = root.section(walk, "shop");
    let sheet = |text: &str, price| {
        sides(text)
            .filter(|(l, w)| positive(*l, 20.0) && positive(*w, 20.0))
            .map(|(length_m, width_m)| SheetStock {
                length_m,
                width_m,
                price,
            })
    };
    let bar = |text: &str, price| {
        parse(text, Kind::Length)
            .ok()
            .filter(|m| positive(*m, 1000.0))
            .map(|length_m| BarStock { length_m, price })
    };
    let pieces = |text: &str, price| {
        let holds: f64 = text.trim().parse().ok()?;
        (positive(holds, 1e5)).then(|| Pack {
            name: format!("pack of {holds}"),
            holds,
            price,
        })
    };
    let can = |text: &str, price| {
        let m3 = parse(text, Kind::Volume).ok()?;
        positive(m3, 1.0).then(|| Pack {
            name: format!("{} can", text.trim()),
            holds: m3 * 1e3,
            price,
        })
    };
    let slab = |text: &str, price| {
        let (l, w) = sides(text)?;
        positive(l * w, 100.0).then(|| Pack {
            name: format!("{} board", text.trim()),
            holds: l * w,
            price,
        })
    };
    const SHEETS: &str =
        "sizes with or without a price, such as [\"4 ft x 8 ft at 42 $\", \"4 ft x 10 ft\"]";
    const BARS: &str = "lengths with or without a price, such as [\"8 ft at 4.50 $\", \"12 ft\"]";
    const PIECES: &str =
        "how many are in a pack, with or without a price, such as [\"100 at 6 $\"]";
    const CANS: &str = "cans with or without a price, such as [\"1 gal at 38 $\", \"0.75 L\"]";
    const ITEMS: &str =
        "names with a price each, such as [\"elbow at 1.20 $\", \"hose clamp at 2 $\"]";
    let mut list = List {
        walk,
        s: &mut s,
        currency,
    };
    let sheets = list.read("sheets", SHEETS, sheet).unwrap_or(generic.sheets);
    let studs = list.read("studs", BARS, bar).unwrap_or(generic.studs);
    let coils = list.read("coils", BARS, bar).unwrap_or(generic.coils);
    let hose = list.read("hose", BARS, bar).unwrap_or(generic.hose);
    let paint = list.read("paint", CANS, can).unwrap_or(generic.paint);
    let ties = list.read("ties", PIECES, pieces).unwrap_or(generic.ties);
    let screws = list
        .read("screws", PIECES, pieces)
        .unwrap_or(generic.screws);
    let insulation = list
        .read("insulation", SHEETS, slab)
        .unwrap_or(generic.insulation);
    let lid_sheets = list
        .read("lid_sheets", SHEETS, sheet)
        .unwrap_or(generic.lid_sheets);
    let items = list
        .read("items", ITEMS, |text, price| {
            Some(ItemPrice {
                name: text.trim().to_owned(),
                price: price?,
            })
        })
        .unwrap_or_default();
    let section = s.text(walk, "stud_section");
    let stud_section_m = match section {
        Field::Given(text) => sides(text)
            .filter(|(a, b)| positive(*a, 0.5) && positive(*b, 0.5))
            .unwrap_or_else(|| {
                s.wrong(
                    walk,
                    "stud_section",
                    "is no section of a stud",
                    "two lengths, such as \"1.5 in x 3.5 in\"",
                    "measure it: what is called 2 x 4 is smaller",
                );
                generic.stud_section_m
            }),
        _ => generic.stud_section_m,
    };
    let coverage = s.parsed(walk, "coverage", COVERAGE, |text| {
        let unreadable = swimdays_quantity::QuantityError::Unreadable {
            wanted: "what paint covers",
            allowed: COVERAGE,
        };
        let (area, volume) = text.split_once('/').ok_or(unreadable)?;
        let area = parse(area, Kind::Area)?;
        let volume = parse(&format!("1 {}", volume.trim()), Kind::Volume)?;
        Ok(area / (volume * 1e3))
    });
    if let Field::Given(m2_l) = coverage
        && !(0.5..=50.0).contains(&m2_l)
    {
        s.wrong(
            walk,
            "coverage",
            "is outside what is plausible",
            "0.5 to 50 m² a litre",
            "read it off the can",
        );
    }
    let usual = Usual {
        value: generic.coverage_m2_l,
        source: PRACTICE,
    };
    let coverage_m2_l = s.or_assume(
        walk,
        "coverage",
        coverage,
        usual,
        |m2_l, units| match units {
            // 1 m²/L is 40.746 ft² a US gallon.
            swimdays_quantity::Units::Us => format!("{:.0} ft²/gal", m2_l * 40.745_8),
            swimdays_quantity::Units::Metric => format!("{m2_l:.1} m²/L"),
        },
    );
    let coats = s.count(walk, "coats", 1..=10);
    let coats = s.or_assume(
        walk,
        "coats",
        coats,
        Usual {
            value: 2,
            source: PRACTICE,
        },
        |n, _| n.to_string(),
    );
    let kerf = s.quantity(walk, "kerf", Kind::Length, 0.0..=0.02);
    let kerf_m = kerf.or(generic.kerf_m);
    s.finish(walk);
    Shop {
        sheets,
        studs,
        stud_section_m,
        coils,
        hose,
        paint,
        coverage_m2_l,
        coats: usize::try_from(coats).unwrap_or(2),
        ties,
        screws,
        insulation,
        lid_sheets,
        items,
        kerf_m,
    }
}

const COVERAGE: &str = "area over volume, such as \"350 ft2/gal\" or \"8 m2/L\"";

fn positive(value: f64, most: f64) -> bool {
    value > 0.0 && value <= most
}

/// Reads lists of "SIZE at PRICE".
struct List<'l, 'w, 'd> {
    walk: &'l mut Walk<'w>,
    s: &'l mut Section<'d>,
    currency: &'l str,
}

impl List<'_, '_, '_> {
    fn read<T>(
        &mut self,
        key: &str,
        allowed: &str,
        one: impl Fn(&str, Option<f64>) -> Option<T>,
    ) -> Option<Vec<T>> {
        let texts = self.s.texts(self.walk, key, allowed).given()?;
        if texts.len() > MOST {
            self.s.wrong(
                self.walk,
                key,
                format!("has {} sizes", texts.len()),
                format!("at most {MOST}"),
                "name those you would buy",
            );
            return None;
        }
        let mut all = Vec::new();
        for text in &texts {
            let (what, price) = match text.rsplit_once(" at ") {
                Some((what, price)) => (what, Some(price)),
                None => (text.as_str(), None),
            };
            let price = match price.map(|p| parse_price(p, Kind::Money)) {
                None => None,
                Some(Ok(price))
                    if price.value >= 0.0
                        && price.currency.as_deref().is_none_or(|c| c == self.currency) =>
                {
                    Some(price.value)
                }
                Some(_) => {
                    let problem = format!("\"{text}\" has no price in {}", self.currency);
                    self.s.wrong(
                        self.walk,
                        key,
                        problem,
                        allowed,
                        "write the price behind `at`, or leave both out",
                    );
                    return None;
                }
            };
            let Some(read) = one(what, price) else {
                let problem = format!("\"{text}\" cannot be read");
                self.s.wrong(
                    self.walk,
                    key,
                    problem,
                    allowed,
                    "write the size, then `at` and the price of one",
                );
                return None;
            };
            all.push(read);
        }
        Some(all)
    }
}
