//! How a firm hands papers over: its letterhead, its terms, the paper of its
//! drawings, and other options to set beside the plan.

use crate::artwork::Artwork;
use crate::error::ReportError;
use crate::layout::PaperSize;
use duskwright_solver::lighting::ZoneYear;
use duskwright_solver::units::Money;
use rust_decimal::Decimal;
use std::sync::Arc;

/// Most pixels of a logo: more would swell the file for nothing on a letterhead.
const MOST_PIXELS: u64 = 4_000_000;

/// A picture as rows of red, green, blue, top row first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    width: u32,
    height: u32,
    rgb: Arc<[u8]>,
}

impl Picture {
    /// Reads a PNG; what is transparent becomes white paper.
    ///
    /// # Errors
    /// [`ReportError::Picture`] when it is no PNG, or has no pixels or more than four million.
    pub fn from_png(bytes: &[u8]) -> Result<Self, ReportError> {
        let refused = |reason: String| ReportError::Picture { reason };
        let mut decoder = png::Decoder::new(std::io::Cursor::new(bytes));
        // Palettes and 16-bit samples become 8-bit grey or colour.
        decoder.set_transformations(png::Transformations::normalize_to_color8());
        let mut reader = decoder
            .read_info()
            .map_err(|error| refused(error.to_string()))?;
        let (width, height) = (reader.info().width, reader.info().height);
        let pixels = u64::from(width) * u64::from(height);
        if pixels == 0 || pixels > MOST_PIXELS {
            return Err(refused(format!(
                "it is {width} x {height} pixels; accepted: 1 to {MOST_PIXELS} in all"
            )));
        }
        // The decoder holds a palette to 3 to 768 bytes and panics where a colour is cut short.
        let palette = reader
            .info()
            .palette
            .as_ref()
            .map_or(0, |bytes| bytes.len());
        if !palette.is_multiple_of(3) {
            return Err(refused(format!(
                "its palette has {palette} bytes; accepted: 3 for each of 1 to 256 colours"
            )));
        }
        let size = reader
            .output_buffer_size()
            .ok_or_else(|| refused("it is too large".to_owned()))?;
        let mut samples = vec![0; size];
        let frame = reader
            .next_frame(&mut samples)
            .map_err(|error| refused(error.to_string()))?;
        samples.truncate(frame.buffer_size());
        let count = frame.color_type.samples();
        let rgb = samples.chunks_exact(count).flat_map(on_paper).collect();
        Ok(Self { width, height, rgb })
    }

    /// Width in pixels, > 0.
    #[must_use]
    pub const fn width(&self) -> u32 {
        self.width
    }
    /// Height in pixels, > 0.
    #[must_use]
    pub const fn height(&self) -> u32 {
        self.height
    }
    /// Red, green, blue of each pixel: `3 x width x height` bytes.
    #[must_use]
    pub fn rgb(&self) -> &[u8] {
        &self.rgb
    }
}

/// One pixel of grey or colour, with or without opacity, laid over white.
fn on_paper(samples: &[u8]) -> [u8; 3] {
    let over = |part: u8, opacity: u8| {
        let (part, opacity) = (u32::from(part), u32::from(opacity));
        let mixed = (part * opacity + 255 * (255 - opacity) + 127) / 255;
        u8::try_from(mixed).unwrap_or(u8::MAX)
    };
    match *samples {
        [grey] => [grey; 3],
        [grey, opacity] => [over(grey, opacity); 3],
        [red, green, blue] => [red, green, blue],
        [red, green, blue, opacity] => [
            over(red, opacity),
            over(green, opacity),
            over(blue, opacity),
        ],
        _ => [255; 3],
    }
}

/// What stands at the head of a paper beside the firm's name.
#[derive(Clone, Debug, PartialEq)]
pub enum Logo {
    /// Pixels, from a PNG.
    Picture(Picture),
    /// Regions, from an SVG.
    Artwork(Artwork),
}

impl Logo {
    /// Reads a PNG or an SVG, whichever the bytes are.
    ///
    /// # Errors
    /// As [`Picture::from_png`] or [`Artwork::from_svg`].
    pub fn read(bytes: &[u8]) -> Result<Self, ReportError> {
        // Every PNG starts so (ISO/IEC 15948, 5.2).
        const PNG: &[u8] = b"\x89PNG\r\n\x1a\n";
        if bytes.starts_with(PNG) {
            Picture::from_png(bytes).map(Self::Picture)
        } else {
            Artwork::from_svg(bytes).map(Self::Artwork)
        }
    }
    /// Width and height, > 0, in a unit of its own.
    pub(crate) fn size(&self) -> (f64, f64) {
        match self {
            Self::Picture(picture) => (f64::from(picture.width()), f64::from(picture.height())),
            Self::Artwork(artwork) => (artwork.width(), artwork.height()),
        }
    }
}

/// Who hands the papers over.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Firm {
    /// Name; empty when none was given.
    pub name: String,
    /// Address, line by line.
    pub address: Vec<String>,
    /// Telephone, mail, licence number: one a line.
    pub contact: Vec<String>,
    /// Logo.
    pub logo: Option<Logo>,
    /// Terms of an offer, one paragraph each.
    pub terms: Vec<String>,
}

/// Another way to do the job, to be set beside the plan in the bid.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alternative {
    /// Name.
    pub name: String,
    /// What is different, in a sentence for the client; may be empty.
    pub difference: String,
    /// Transformers.
    pub transformers: usize,
    /// Ground opened, in the job's length unit.
    pub ground: Decimal,
    /// Price before tax.
    pub price: Money,
}

/// A year of light: hours, energy and what it costs, zone by zone.
#[derive(Clone, Debug, PartialEq)]
pub struct Running {
    /// The year worked out.
    pub year: i32,
    /// Every zone with fixtures.
    pub zones: Vec<ZoneYear>,
}

/// Everything about the handing over that is not in the plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Presentation {
    /// The firm.
    pub firm: Firm,
    /// Paper of the drawings; `None`: that of the pages.
    pub sheets: Option<PaperSize>,
    /// Options compared in the bid; it says nothing of options when there are none.
    pub alternatives: Vec<Alternative>,
    /// A year of light, for the bid; left out where the job does not say where it is.
    pub running: Option<Running>,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn png_of(colour: png::ColorType, samples: &[u8]) -> Vec<u8> {
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, 2, 1);
        encoder.set_color(colour);
        let mut writer = encoder.write_header().unwrap();
        writer.write_image_data(samples).unwrap();
        writer.finish().unwrap();
        bytes
    }

    #[test]
    fn what_is_transparent_becomes_paper() {
        let bytes = png_of(png::ColorType::Rgba, &[10, 20, 30, 255, 10, 20, 30, 0]);
        let picture = Picture::from_png(&bytes).unwrap();
        assert_eq!((picture.width(), picture.height()), (2, 1));
        assert_eq!(picture.rgb(), [10, 20, 30, 255, 255, 255]);
        let grey = Picture::from_png(&png_of(png::ColorType::Grayscale, &[0, 200])).unwrap();
        assert_eq!(grey.rgb(), [0, 0, 0, 200, 200, 200]);
    }

    #[test]
    fn what_is_no_png_is_refused_in_words() {
        let refusal = Picture::from_png(b"GIF89a").unwrap_err().to_string();
        assert!(refusal.starts_with("R005: "), "{refusal}");
    }

    #[test]
    fn a_palette_that_is_no_palette_is_refused_with_its_size() {
        let picture = |palette: Vec<u8>| {
            let mut bytes = Vec::new();
            let mut encoder = png::Encoder::new(&mut bytes, 2, 1);
            encoder.set_color(png::ColorType::Indexed);
            encoder.set_palette(palette);
            let mut writer = encoder.write_header().unwrap();
            writer.write_image_data(&[0, 0]).unwrap();
            writer.finish().unwrap();
            Picture::from_png(&bytes)
        };
        for bytes in [2, 3 * 257] {
            let refusal = picture(vec![7; bytes]).unwrap_err().to_string();
            assert!(refusal.starts_with("R005: "), "{refusal}");
        }
        for bytes in [4, 5, 767] {
            let refusal = picture(vec![7; bytes]).unwrap_err().to_string();
            let words = format!("its palette has {bytes} bytes; accepted: 3 for each");
            assert!(refusal.contains(&words), "{refusal}");
        }
        for bytes in [3, 3 * 256] {
            assert_eq!(picture(vec![7; bytes]).unwrap().rgb(), [7; 6]);
        }
    }
}
