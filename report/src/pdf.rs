//! Frames to PDF: the only file that knows the PDF library.

use crate::artwork::{Region, Step};
use crate::error::ReportError;
use crate::layout::{
    Colour, Face, Frame, Item, Pages, Path, Place, TextRun, Tile, Typeface, Weight,
};
use crate::options::PaperOptions;
use crate::presentation::Picture;
use printpdf::date::{Date, DateTime, Offset, Time};
use printpdf::{
    Color, CurTransMat, DictItem, ExternalStream, ExternalXObject, FontId, Line, LineCapStyle,
    LineDashPattern, LineJoinStyle, LinePoint, Mm, Op, PageAnnotId, PageAnnotation, PaintMode,
    ParsedFont, PdfDocument, PdfFont, PdfFontHandle, PdfPage, PdfSaveOptions, Point, Polygon,
    PolygonRing, Pt, Rgb, TextItem, TextMatrix, WindingOrder, XObject, XObjectId, XObjectTransform,
};
use std::collections::BTreeMap;

const REGULAR: (&str, &[u8]) = (
    "NotoSans-SemiCondensed",
    include_bytes!("../fonts/NotoSans-SemiCondensed.ttf"),
);
const BOLD: (&str, &[u8]) = (
    "NotoSans-SemiCondensedBold",
    include_bytes!("../fonts/NotoSans-SemiCondensedBold.ttf"),
);

/// The fonts, read once for one report.
pub struct Fonts {
    regular: ParsedFont,
    bold: ParsedFont,
}

fn read(font: (&'static str, &[u8])) -> Result<ParsedFont, ReportError> {
    let mut warnings = Vec::new();
    let unreadable = |reason: String| ReportError::Font {
        font: font.0,
        reason,
    };
    let mut parsed = ParsedFont::from_bytes(font.1, 0, &mut warnings)
        .ok_or_else(|| unreadable(format!("{warnings:?}")))?;
    if parsed.codepoint_to_glyph.is_empty() || parsed.units_per_em == 0 {
        return Err(unreadable("no characters".to_owned()));
    }
    parsed.font_name = Some(font.0.to_owned());
    Ok(parsed)
}

fn face(font: &ParsedFont) -> Face {
    let advances = font
        .codepoint_to_glyph
        .iter()
        .filter_map(|(&code, &glyph)| Some((char::from_u32(code)?, font.get_glyph_width(glyph)?)))
        .collect();
    Face {
        units_per_em: font.units_per_em,
        advances,
    }
}

impl Fonts {
    /// Reads the built-in fonts.
    ///
    /// # Errors
    /// [`ReportError::Font`] when one cannot be read.
    pub fn built_in() -> Result<Self, ReportError> {
        Ok(Self {
            regular: read(REGULAR)?,
            bold: read(BOLD)?,
        })
    }
    /// What layout must know of them.
    pub fn typeface(&self) -> Typeface {
        Typeface {
            regular: face(&self.regular),
            bold: face(&self.bold),
        }
    }
}

/// What the file says about itself.
pub struct About {
    /// Title.
    pub title: String,
    /// Firm; empty when none is known.
    pub author: String,
    /// Subject.
    pub subject: String,
    /// Identifier: 32 hexadecimal digits of the same input and options.
    pub identifier: String,
}

/// Writes pages as one PDF file; the same arguments give the same bytes.
///
/// # Errors
/// [`ReportError::Write`] when the library refuses a page or cannot serialise.
pub fn write(
    fonts: &Fonts,
    pages: &Pages,
    about: &About,
    options: &PaperOptions,
) -> Result<Vec<u8>, ReportError> {
    let mut document = PdfDocument::new(&about.title);
    describe(&mut document, about, options);
    for (id, font) in [("DW1", &fonts.regular), ("DW2", &fonts.bold)] {
        document
            .resources
            .fonts
            .map
            .insert(FontId(id.to_owned()), PdfFont::new(font.clone()));
    }
    for (name, picture) in pictures(pages) {
        let object = XObject::External(image(picture));
        document
            .resources
            .xobjects
            .map
            .insert(XObjectId(name), object);
    }
    document.pages = pages.frames.iter().map(page).collect();
    for (position, bookmark) in pages.bookmarks.iter().enumerate() {
        // The library sorts by page, then by name, and shows the name.
        document.bookmarks.map.insert(
            PageAnnotId(format!("bookmark-{position:04}")),
            PageAnnotation {
                name: bookmark.title.clone(),
                page: bookmark.page + 1,
            },
        );
    }
    serialise(&document, &about.identifier)
}

/// Name of a picture in the file: the same for the same pixels.
fn picture_name(picture: &Picture) -> String {
    // FNV-1a, 64 bits, as in the file's identifier.
    let hash = picture
        .rgb()
        .iter()
        .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
        });
    format!("DWP{hash:016x}")
}

/// Every picture once, by name.
fn pictures(pages: &Pages) -> BTreeMap<String, &Picture> {
    let items = pages.frames.iter().flat_map(|frame| &frame.items);
    items
        .filter_map(|item| match item {
            Item::Tile(tile) => Some((picture_name(&tile.picture), &tile.picture)),
            Item::Text(_) | Item::Path(_) | Item::Region(_) => None,
        })
        .collect()
}

/// A picture as an image dictionary (ISO 32000-1, 8.9.5): 8 bits, red, green, blue.
fn image(picture: &Picture) -> ExternalXObject {
    let name = |name: &str| DictItem::Name(name.as_bytes().to_vec());
    let number = |number: u32| DictItem::Int(i64::from(number));
    let entries = [
        ("Type", name("XObject")),
        ("Subtype", name("Image")),
        ("Width", number(picture.width())),
        ("Height", number(picture.height())),
        ("ColorSpace", name("DeviceRGB")),
        ("BitsPerComponent", DictItem::Int(8)),
    ];
    ExternalXObject {
        stream: ExternalStream {
            dict: entries
                .into_iter()
                .map(|(key, item)| (key.to_owned(), item))
                .collect(),
            content: picture.rgb().to_vec(),
            compress: true,
        },
        width: None,
        height: None,
        dpi: None,
    }
}

fn describe(document: &mut PdfDocument, about: &About, options: &PaperOptions) {
    let date = DateTime::new_in_offset(
        Date {
            year: i32::from(options.date.year()),
            month: options.date.month(),
            day: options.date.day(),
        },
        Time {
            hour: 0,
            minute: 0,
            second: 0,
            millisecond: 0,
        },
        Offset {
            hours: 0,
            minutes: 0,
            seconds: 0,
            milliseconds: 0,
        },
    );
    let info = &mut document.metadata.info;
    info.author.clone_from(&about.author);
    info.subject.clone_from(&about.subject);
    info.creator = format!("Duskwright {}", options.version);
    info.producer = format!("Duskwright {}", options.version);
    info.identifier.clone_from(&about.identifier);
    info.keywords = vec![
        format!("input {}", options.input_hash),
        options.search.clone(),
    ];
    info.creation_date = date;
    info.modification_date = date;
    info.metadata_date = date;
}

fn serialise(document: &PdfDocument, identifier: &str) -> Result<Vec<u8>, ReportError> {
    let refused = |reason: String| ReportError::Write { reason };
    let mut warnings = Vec::new();
    let mut file = document.to_lopdf_document(&PdfSaveOptions::default(), &mut warnings);
    if let Some(first) = warnings.first() {
        return Err(refused(format!("{first:?}")));
    }
    // The library draws both halves of the file identifier at random.
    let halves = file
        .trailer
        .get_mut(b"ID")
        .and_then(|id| id.as_array_mut())
        .map_err(|error| refused(error.to_string()))?;
    for half in halves {
        *half
            .as_str_mut()
            .map_err(|error| refused(error.to_string()))? = identifier.as_bytes().to_vec();
    }
    // It also writes the page mode as a string where ISO 32000-1, 7.7.2 wants a name.
    file.catalog_mut()
        .map_err(|error| refused(error.to_string()))?
        .set("PageMode", "UseOutlines");
    // And it claims a prepress standard, with an empty name, that no one asked for.
    let info = file
        .trailer
        .get(b"Info")
        .and_then(|info| info.as_reference())
        .and_then(|id| file.get_object_mut(id))
        .and_then(|info| info.as_dict_mut())
        .map_err(|error| refused(error.to_string()))?;
    info.remove(b"GTS_PDFXVersion");
    file.compress();
    let mut bytes = Vec::new();
    file.save_to(&mut bytes)
        .map_err(|error| refused(error.to_string()))?;
    Ok(bytes)
}

/// A coordinate to the hundredth of a point: short and the same everywhere.
fn rounded(value: f64) -> Pt {
    Pt(((value * 100.0).round() / 100.0) as f32)
}

fn point(place: Place, height: f64) -> Point {
    Point {
        x: rounded(place.x),
        y: rounded(height - place.y),
    }
}

fn colour(colour: Colour) -> Color {
    let share = |part: u8| f32::from(part) / 255.0;
    Color::Rgb(Rgb::new(
        share(colour.0),
        share(colour.1),
        share(colour.2),
        None,
    ))
}

fn page(frame: &Frame) -> PdfPage {
    let mut ops = vec![
        Op::SetLineJoinStyle {
            join: LineJoinStyle::Round,
        },
        Op::SetLineCapStyle {
            cap: LineCapStyle::Butt,
        },
    ];
    for item in &frame.items {
        match item {
            Item::Text(run) => put_text(&mut ops, run, frame.height),
            Item::Path(path) => put_path(&mut ops, path, frame.height),
            Item::Tile(tile) => put_tile(&mut ops, tile, frame.height),
            Item::Region(region) => put_region(&mut ops, region, frame.height),
        }
    }
    let mm = |points: f64| Mm::from(rounded(points));
    PdfPage::new(mm(frame.width), mm(frame.height), ops)
}

fn put_text(ops: &mut Vec<Op>, run: &TextRun, height: f64) {
    let font = match run.weight {
        Weight::Regular => "DW1",
        Weight::Bold => "DW2",
    };
    let at = point(run.at, height);
    ops.extend([
        Op::SetFillColor {
            col: colour(run.colour),
        },
        Op::StartTextSection,
        Op::SetFont {
            font: PdfFontHandle::External(FontId(font.to_owned())),
            size: rounded(run.size),
        },
        Op::SetTextMatrix {
            matrix: TextMatrix::Translate(at.x, at.y),
        },
        Op::ShowText {
            items: vec![TextItem::Text(run.text.clone())],
        },
        Op::EndTextSection,
    ]);
}

fn put_tile(ops: &mut Vec<Op>, tile: &Tile, height: f64) {
    let area = tile.area;
    // An image fills the unit square: the matrix gives it its size and place.
    let matrix = [
        rounded(area.width).0,
        0.0,
        0.0,
        rounded(area.height).0,
        rounded(area.x).0,
        rounded(height - area.bottom()).0,
    ];
    ops.extend([
        Op::SaveGraphicsState,
        Op::SetTransformationMatrix {
            matrix: CurTransMat::Raw(matrix),
        },
        Op::UseXobject {
            id: XObjectId(picture_name(&tile.picture)),
            transform: XObjectTransform::default(),
        },
        Op::RestoreGraphicsState,
    ]);
}

fn put_region(ops: &mut Vec<Op>, region: &Region, height: f64) {
    let mut rings: Vec<PolygonRing> = Vec::new();
    for step in &region.outline {
        let mut on = |place: Place, bezier: bool| {
            let p = point(place, height);
            if let Some(ring) = rings.last_mut() {
                ring.points.push(LinePoint { p, bezier });
            }
        };
        match *step {
            Step::Move(at) => rings.push(PolygonRing {
                points: vec![LinePoint {
                    p: point(at, height),
                    bezier: false,
                }],
            }),
            Step::Line(at) => on(at, false),
            Step::Curve(first, second, end) => {
                on(first, true);
                on(second, true);
                on(end, false);
            }
        }
    }
    ops.extend([
        Op::SetFillColor {
            col: colour(region.fill),
        },
        Op::DrawPolygon {
            polygon: Polygon {
                rings,
                mode: PaintMode::Fill,
                winding_order: if region.even_odd {
                    WindingOrder::EvenOdd
                } else {
                    WindingOrder::NonZero
                },
            },
        },
    ]);
}

fn put_path(ops: &mut Vec<Op>, path: &Path, height: f64) {
    let points: Vec<LinePoint> = path
        .points
        .iter()
        .map(|&place| LinePoint {
            p: point(place, height),
            bezier: false,
        })
        .collect();
    if let Some(fill) = path.fill {
        ops.push(Op::SetFillColor { col: colour(fill) });
        ops.push(Op::DrawPolygon {
            polygon: Polygon {
                rings: vec![PolygonRing {
                    points: points.clone(),
                }],
                mode: PaintMode::Fill,
                winding_order: WindingOrder::NonZero,
            },
        });
    }
    if let Some(stroke) = &path.stroke {
        let dash: Vec<f32> = stroke
            .dash
            .iter()
            .map(|&length| rounded(length).0)
            .collect();
        ops.extend([
            Op::SetOutlineColor {
                col: colour(stroke.colour),
            },
            Op::SetOutlineThickness {
                pt: rounded(stroke.width),
            },
            Op::SetLineDashPattern {
                dash: LineDashPattern::new(0.0, &dash),
            },
            Op::DrawLine {
                line: Line {
                    points,
                    is_closed: path.closed,
                },
            },
        ]);
    }
}
