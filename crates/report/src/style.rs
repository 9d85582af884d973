//! The one style of every drawing: colours by role, sizes, fonts.
//!
//! The look is a builder's sheet: warm paper, one dark pencil for text, and a folding rule as the time axis.
//! Colours were chosen so that neighbours differ in lightness as well as in hue (a test holds them to it), so
//! that a sheet printed grey or read by colour-blind eyes still tells them apart; lines differ in dash as well.

use std::sync::{Arc, OnceLock};

use resvg::usvg::fontdb::Database;
use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

/// Inter, regular. SIL Open Font License 1.1, see `fonts/OFL.txt`.
const REGULAR: &[u8] = include_bytes!("../fonts/Inter-Regular.ttf");
/// Inter, semi-bold. Same licence.
const SEMI_BOLD: &[u8] = include_bytes!("../fonts/Inter-SemiBold.ttf");

/// Font families named in an SVG, ours first.
pub const FONT_FAMILIES: &str = "Inter, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, sans-serif";

/// Height of the tallest letters above the base line, as a share of the font size (Inter: 0.756 for `l`, `d`).
pub const ASCENT_EM: f64 = 0.76;
/// Depth of the lowest letters below the base line, as a share of the font size.
pub const DESCENT_EM: f64 = 0.22;

/// What a colour stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ink {
    /// The sheet.
    Paper,
    /// Titles, axis text, the rule's outline.
    Text,
    /// Secondary text.
    Muted,
    /// Grid lines.
    Grid,
    /// Every second segment of the folding rule, and the night.
    Shade,
    /// The band in which one swims.
    Band,
    /// Pool water.
    Water,
    /// The water's daily span.
    WaterSpan,
    /// Air.
    Air,
    /// Water leaving the heaters.
    Outlet,
    /// Sun.
    Sun,
    /// The pump.
    Pump,
    /// A day too hot to swim.
    TooHot,
    /// A day open yet too cold.
    Cold,
    /// Heat of the solar heaters.
    Heaters,
    /// Heat of the ordinary heater.
    OtherHeater,
    /// Heat lost by evaporation.
    Evaporation,
    /// Longwave.
    Longwave,
    /// Convection.
    Convection,
    /// Ground and walls.
    Ground,
    /// Water put in, and rain.
    MakeUp,
    /// The small rest.
    Other,
}

impl Ink {
    /// Every ink.
    pub const ALL: [Self; 22] = [
        Self::Paper,
        Self::Text,
        Self::Muted,
        Self::Grid,
        Self::Shade,
        Self::Band,
        Self::Water,
        Self::WaterSpan,
        Self::Air,
        Self::Outlet,
        Self::Sun,
        Self::Pump,
        Self::TooHot,
        Self::Cold,
        Self::Heaters,
        Self::OtherHeater,
        Self::Evaporation,
        Self::Longwave,
        Self::Convection,
        Self::Ground,
        Self::MakeUp,
        Self::Other,
    ];
}

/// A row of tones from little to much, for maps. Much lies farther from the paper in lightness, step by step, so that it
/// also reads printed grey.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ramp {
    /// Sun: from pale through the sun's yellow to burnt wood.
    Sun,
    /// Warmth: from ice through straw to dark red.
    Warmth,
}

impl Ramp {
    /// Its tones on light paper, evenly spaced.
    const fn light_hex(self) -> [u32; 5] {
        match self {
            Self::Sun => [
                0x00FB_EDBE,
                0x00F3_CE6B,
                0x00D9_962B,
                0x00A4_5414,
                0x004E_1E0A,
            ],
            Self::Warmth => [
                0x00E4_F0F6,
                0x009C_C4DB,
                0x00C0_934E,
                0x00A3_441A,
                0x004E_0D12,
            ],
        }
    }

    /// Its tones on a dark ground.
    const fn dark_hex(self) -> [u32; 5] {
        match self {
            Self::Sun => [
                0x0046_3A1E,
                0x0076_571E,
                0x00A8_7A26,
                0x00E2_B44A,
                0x00FF_EFB8,
            ],
            Self::Warmth => [
                0x001B_3A52,
                0x0044_7C9C,
                0x00A9_8A5C,
                0x00F0_A05A,
                0x00FF_E2C4,
            ],
        }
    }
}

/// Light or dark ground.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Ground {
    /// Warm white paper; files are written with it.
    #[default]
    Light,
    /// Dark, for a page read at night.
    Dark,
}

/// Fonts, sizes and colours of all drawings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Light or dark.
    pub ground: Ground,
    /// Size of the title, px at 1x.
    pub title_px: f64,
    /// Size of the line below the title.
    pub subtitle_px: f64,
    /// Size of labels beside lines and bars.
    pub label_px: f64,
    /// Size of axis text; nothing is smaller.
    pub axis_px: f64,
}

impl Default for Style {
    fn default() -> Self {
        Self::light()
    }
}

impl Style {
    /// On light paper.
    #[must_use]
    pub const fn light() -> Self {
        Self {
            ground: Ground::Light,
            title_px: 23.0,
            subtitle_px: 16.0,
            label_px: 16.0,
            axis_px: 15.0,
        }
    }

    /// On a dark ground.
    #[must_use]
    pub const fn dark() -> Self {
        Self {
            ground: Ground::Dark,
            ..Self::light()
        }
    }

    /// Red, green and blue of an ink.
    #[must_use]
    pub const fn rgb(&self, ink: Ink) -> [u8; 3] {
        let hex = match self.ground {
            Ground::Light => light_hex(ink),
            Ground::Dark => dark_hex(ink),
        };
        let [_, r, g, b] = u32::to_be_bytes(hex);
        [r, g, b]
    }

    /// Red, green and blue of a ramp at `share`, 0 (little) to 1 (much).
    #[must_use]
    pub fn tone(&self, ramp: Ramp, share: f64) -> [u8; 3] {
        let tones = match self.ground {
            Ground::Light => ramp.light_hex(),
            Ground::Dark => ramp.dark_hex(),
        };
        let at = share.clamp(0.0, 1.0) * 4.0;
        let between = |from: u32, to: u32, part: f64| {
            let (from, to) = (from.to_be_bytes(), to.to_be_bytes());
            [1, 2, 3].map(|k| {
                let mixed = f64::from(from[k]) * (1.0 - part) + f64::from(to[k]) * part;
                #[allow(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "between two bytes"
                )]
                let byte = mixed.round() as u8;
                byte
            })
        };
        let mut low = 0.0;
        for pair in tones.windows(2) {
            if at <= low + 1.0 {
                return between(pair[0], pair[1], at - low);
            }
            low += 1.0;
        }
        between(tones[4], tones[4], 0.0)
    }
}

/// Inks on light paper.
const fn light_hex(ink: Ink) -> u32 {
    match ink {
        Ink::Paper => 0x00FD_FCF8,
        Ink::Text => 0x001F_2A30,
        Ink::Muted => 0x0057_636A,
        Ink::Grid => 0x00E3_DFD5,
        Ink::Shade => 0x00F3_F0E8,
        Ink::Band => 0x00D0_E4D3,
        Ink::Water => 0x0008_4F7A,
        Ink::WaterSpan => 0x0093_BDD3,
        Ink::Air => 0x0086_704F,
        Ink::Outlet => 0x00BF_4F12,
        Ink::Sun => 0x00EF_C24F,
        Ink::Pump => 0x003D_6B63,
        Ink::TooHot => 0x00B2_2F2A,
        Ink::Cold => 0x00A9_AFB0,
        Ink::Heaters => 0x00C2_4E12,
        Ink::OtherHeater => 0x006B_2440,
        Ink::Evaporation => 0x004A_92BA,
        Ink::Longwave => 0x003A_3F7D,
        Ink::Convection => 0x006F_A07B,
        Ink::Ground => 0x007A_573A,
        Ink::MakeUp => 0x003E_8279,
        Ink::Other => 0x00E6_E3DC,
    }
}

/// Inks on a dark ground.
const fn dark_hex(ink: Ink) -> u32 {
    match ink {
        Ink::Paper => 0x0016_1D21,
        Ink::Text => 0x00EE_EBE2,
        Ink::Muted => 0x00AE_B6B8,
        Ink::Grid => 0x0033_3D42,
        Ink::Shade => 0x0022_2B30,
        Ink::Band => 0x0025_3D33,
        Ink::Water => 0x0076_BFEA,
        Ink::WaterSpan => 0x002D_5A75,
        Ink::Air => 0x00B5_9F7F,
        Ink::Outlet => 0x00F0_8447,
        Ink::Sun => 0x00F3_CE6B,
        Ink::Pump => 0x0086_BDB2,
        Ink::TooHot => 0x00EE_6B62,
        Ink::Cold => 0x006D_787C,
        Ink::Heaters => 0x00E0_7A40,
        Ink::OtherHeater => 0x009B_4A6B,
        Ink::Evaporation => 0x0055_A4CC,
        Ink::Longwave => 0x006A_70C0,
        Ink::Convection => 0x008A_BB94,
        Ink::Ground => 0x00B3_8C53,
        Ink::MakeUp => 0x007C_C4BA,
        Ink::Other => 0x005A_6266,
    }
}

/// The fonts as the rasteriser wants them; system fonts are left out so that every machine draws the same.
pub(crate) fn font_database() -> Arc<Database> {
    static FONTS: OnceLock<Arc<Database>> = OnceLock::new();
    FONTS
        .get_or_init(|| {
            let mut fonts = Database::new();
            fonts.load_font_data(REGULAR.to_vec());
            fonts.load_font_data(SEMI_BOLD.to_vec());
            fonts.set_sans_serif_family("Inter");
            Arc::new(fonts)
        })
        .clone()
}

/// Width of a text in px, from the font's own advance widths (kerning, which only tightens, left out).
#[must_use]
pub fn text_width_px(text: &str, size_px: f64, bold: bool) -> f64 {
    let Ok(font) = FontRef::new(if bold { SEMI_BOLD } else { REGULAR }) else {
        // The fonts are compiled in; a width on the safe side all the same.
        return 0.7 * size_px * f64::from(u32::try_from(text.chars().count()).unwrap_or(u32::MAX));
    };
    let glyphs = font.charmap();
    let metrics = font.glyph_metrics(Size::unscaled(), LocationRef::default());
    let units = f64::from(
        font.metrics(Size::unscaled(), LocationRef::default())
            .units_per_em
            .max(1),
    );
    let advance: f32 = text
        .chars()
        .map(|c| {
            metrics
                .advance_width(glyphs.map(c).unwrap_or_default())
                .unwrap_or_default()
        })
        .sum();
    f64::from(advance) / units * size_px
}

/// The text with one `?` for each run of characters that the drawings' font cannot show (they would be empty boxes),
/// and without control characters, which an SVG must not hold.
#[must_use]
pub fn drawable(text: &str) -> String {
    let font = FontRef::new(REGULAR).ok();
    let known = |c: char| {
        font.as_ref()
            .is_none_or(|f| f.charmap().map(c).is_some_and(|g| g.to_u32() != 0))
    };
    let mut out = String::new();
    let mut lost = false;
    for c in text.chars().filter(|c| !c.is_control()) {
        if known(c) {
            out.push(c);
        } else if !lost {
            out.push('?');
        }
        lost = !known(c);
    }
    out
}
