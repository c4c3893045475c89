//! The reader of a logo in pixels, and small PNG files of every kind.

use duskwright_report::Logo;
use duskwright_tests::fuzz::said;
use png::{BitDepth, ColorType, Encoder};

/// Side of the costly picture, pixels: two thousand each way is the most accepted.
const COSTLY_SIDE: u32 = 2_000;

/// Width and height of the small pictures, pixels.
const SMALL: (u32, u32) = (9, 5);

/// Every kind of pixel, one of them as the first frame of an animation.
const KINDS: [(ColorType, BitDepth); 9] = [
    (ColorType::Grayscale, BitDepth::One),
    (ColorType::Grayscale, BitDepth::Eight),
    (ColorType::Grayscale, BitDepth::Sixteen),
    (ColorType::GrayscaleAlpha, BitDepth::Eight),
    (ColorType::Rgb, BitDepth::Eight),
    (ColorType::Rgb, BitDepth::Sixteen),
    (ColorType::Rgba, BitDepth::Eight),
    (ColorType::Indexed, BitDepth::Four),
    (ColorType::Indexed, BitDepth::Eight),
];

/// Small pictures.
pub fn small() -> Vec<Vec<u8>> {
    let still = KINDS.map(|kind| png(kind, SMALL, 1));
    let moving = png((ColorType::Rgba, BitDepth::Eight), SMALL, 2);
    still.into_iter().chain([moving]).collect()
}

/// The largest picture that is accepted.
pub fn costly() -> Vec<u8> {
    let kind = (ColorType::Rgba, BitDepth::Eight);
    png(kind, (COSTLY_SIDE, COSTLY_SIDE), 1)
}

fn png(
    (colour, depth): (ColorType, BitDepth),
    (width, height): (u32, u32),
    frames: u32,
) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, width, height);
    encoder.set_color(colour);
    encoder.set_depth(depth);
    if colour == ColorType::Indexed {
        encoder.set_palette((0..48).collect::<Vec<u8>>());
        encoder.set_trns(vec![0, 128]);
    }
    if frames > 1 {
        encoder.set_animated(frames, 0).expect("frames are shown");
    }
    let words = encoder.add_ztxt_chunk("Title".to_owned(), "A lantern, drawn".repeat(9));
    words.expect("the title is Latin");
    let bits = width as usize * colour.samples() * depth as usize;
    let row = bits.div_ceil(8);
    // Every index stays within the palette of 16 colours.
    let samples: Vec<u8> = (0..row * height as usize)
        .map(|at| (at % 13) as u8)
        .collect();
    let mut writer = encoder.write_header().expect("the kind is lawful");
    for _ in 0..frames {
        writer.write_image_data(&samples).expect("rows are whole");
    }
    writer.finish().expect("the file ends");
    bytes
}

/// What is said of the bytes, and of the same with every checksum mended, which is what brings
/// broken parts past the border of their chunk.
pub fn logo(bytes: &[u8]) -> String {
    let read = |bytes: &[u8]| {
        said(Logo::read(bytes).inspect(|logo| {
            if let Logo::Picture(picture) = logo {
                let pixels = picture.width() as usize * picture.height() as usize;
                assert_eq!(picture.rgb().len(), 3 * pixels, "a pixel is three bytes");
            }
        }))
    };
    format!("{}\n{}", read(bytes), read(&mended(bytes)))
}

/// The same chunks with the checksums they should have (ISO/IEC 15948, 5.3).
fn mended(bytes: &[u8]) -> Vec<u8> {
    let mut mended = bytes.to_vec();
    let mut at = 8;
    while let Some(&[a, b, c, d]) = mended.get(at..at + 4) {
        let length = u32::from_be_bytes([a, b, c, d]) as usize;
        let end = at + 8 + length;
        if end + 4 > mended.len() {
            break;
        }
        let sum = checksum(&mended[at + 4..end]);
        mended[end..end + 4].copy_from_slice(&sum.to_be_bytes());
        at = end + 4;
    }
    mended
}

/// CRC-32 as annex D of ISO/IEC 15948 computes it.
fn checksum(bytes: &[u8]) -> u32 {
    let kept = bytes.iter().fold(u32::MAX, |sum, &byte| {
        (0..8).fold(sum ^ u32::from(byte), |sum, _| {
            (sum >> 1) ^ (0xEDB8_8320 & 0_u32.wrapping_sub(sum & 1))
        })
    });
    !kept
}

#[test]
fn mending_a_sound_picture_changes_nothing() {
    for picture in small() {
        assert_eq!(mended(&picture), picture);
    }
}
