//! The published models behind the numbers, for whoever wants to check them.

use super::Terms;
use crate::summary::Summary;

/// What is computed by which model, and where that is written. The sentences beside the code say more.
pub(crate) fn models(s: &Summary) -> Terms {
    let mut rows = Vec::new();
    let mut row = |what: &str, model: &str, source: &str| {
        rows.push([what.to_owned(), model.to_owned(), source.to_owned()]);
    };
    row(
        "where the sun stands",
        "shortened series of the NREL reference algorithm",
        "Reda & Andreas (2004), NREL/TP-560-34302",
    );
    row(
        "sun on a tilted plane",
        &s.models.sky_on_plane,
        match s.models.sky_on_plane.as_str() {
            "perez" => "Perez and others (1990), Solar Energy 44:271",
            "hay-davies" => "Hay & Davies (1980)",
            "isotropic" => "Liu & Jordan (1963), Solar Energy 7:53",
            _ => "Duffie & Beckman (2013), section 2.16",
        },
    );
    row(
        "longwave of the sky",
        "the file's own where it has it; else by sky cover, or by cloudiness from the sun",
        "Berdahl & Martin (1984), Solar Energy 32:663; Crawford & Duchon (1999), J. Appl. Meteorology 38:474",
    );
    row(
        "sun absorbed by the water",
        "reflection after Fresnel, absorption in five bands, finish of the pool",
        "Rabl & Nielsen (1975), Solar Energy 17:1",
    );
    row(
        "evaporation",
        &s.models.evaporation,
        match s.models.evaporation.as_str() {
            "smith-lof-jones" => "Smith, Löf & Jones (1994), Solar Energy 53:3",
            "iso-12596" => "ISO/TR 12596:1995",
            "ashrae" => "ASHRAE Handbook, HVAC Applications, natatoriums",
            "mcmillan" => "McMillan (1971)",
            "richter" => "Richter (1969, 1979)",
            _ => "see the crate `pool`",
        },
    );
    row(
        "convection at the water",
        "tied to evaporation by the psychrometer coefficient",
        "Bowen (1926), Physical Review 27:779",
    );
    row(
        "ground around the pool",
        "conduction in a column of soil under a yearly wave",
        "Kusuda & Achenbach (1965), ASHRAE Transactions 71(1):61",
    );
    row(
        "water from the mains",
        "from the air's yearly wave",
        "Burch & Christensen (2007), NREL",
    );
    if !s.heaters.is_empty() {
        row(
            "solar heater",
            "tube, board as a fin, film inside by Reynolds number, wind and longwave outside",
            "Duffie & Beckman (2013), chapter 6; Watmuff, Charters & Proctor (1977); Churchill & Bernstein (1977); Gnielinski (1976, 2013)",
        );
    }
    Terms {
        caption: "Models and where they are published".to_owned(),
        rows,
    }
}
