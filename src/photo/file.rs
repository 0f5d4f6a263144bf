//! Picture files: what they are, whether they are whole, which way up they are, and how large they may be.
//!
//! Everything that can be refused is refused before a pixel is decoded.

use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, RgbImage};
use std::fs::File;
use std::io::{Cursor, Read};
use std::path::Path;
use thiserror::Error;

/// Most pixels that are decoded. At eight bytes a pixel, the most that a PNG needs, that is 320 MB.
pub const MOST_PIXELS: u64 = 40_000_000;
/// Longest file that is read, bytes.
pub const MOST_BYTES: u64 = 64 << 20;
/// Shortest side that a fly can be seen on, pixels.
pub const LEAST_SIDE: u32 = 64;
/// Longest side for each pixel of the short one; no camera takes such strips.
pub const MOST_ASPECT: u32 = 8;
/// Bytes that tell what a file is.
const HEAD: u64 = 64;

/// A file that cannot be taken as a picture.
#[derive(Debug, Error)]
pub enum PictureError {
    /// A broken PNG or JPEG.
    #[error("this PNG or JPEG picture is broken: {0}")]
    Decode(#[from] image::ImageError),
    /// The file could not be read.
    #[error("cannot read it: {0}")]
    Io(#[from] std::io::Error),
    /// Nothing that is known as a picture.
    #[error("this is no PNG or JPEG picture")]
    Unknown,
    /// A picture of a kind that is not read.
    #[error(
        "this is a {kind} picture; only PNG and JPEG are read: export it as JPEG (on a phone: share or copy it as \"most compatible\")"
    )]
    Kind {
        /// Name of the kind.
        kind: &'static str,
    },
    /// The end of the file is missing.
    #[error("the file ends before the picture does: it was not copied whole; copy it again")]
    Truncated,
    /// The file is too long.
    #[error("the file is longer than {} MB, which is the most that is read: export it smaller", MOST_BYTES >> 20)]
    Long,
    /// Too small to see a fly in, too large to hold, or a strip.
    #[error(
        "the picture is {width} x {height} pixels; read are pictures of at least {LEAST_SIDE} pixels each way, at most \
         {} million in all, and not longer than {MOST_ASPECT} times their width",
        MOST_PIXELS / 1_000_000
    )]
    Size {
        /// Width, pixels.
        width: u32,
        /// Height, pixels.
        height: u32,
    },
}

/// Reads a picture file, upright: turned as its EXIF orientation says.
///
/// # Errors
/// [`PictureError`].
pub fn load(path: &Path) -> Result<RgbImage, PictureError> {
    let mut file = File::open(path)?;
    let mut bytes = Vec::new();
    // What never ends, like a device, shows in its first bytes that it is no picture.
    file.by_ref().take(HEAD).read_to_end(&mut bytes)?;
    format(&bytes)?;
    file.take(MOST_BYTES + 1 - HEAD).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(PictureError::Long);
    }
    decode(bytes)
}

/// Decodes a PNG or JPEG file that is in memory, upright. The format is told from its content.
///
/// # Errors
/// [`PictureError`].
pub fn decode(bytes: Vec<u8>) -> Result<RgbImage, PictureError> {
    let format = format(&bytes)?;
    if format == ImageFormat::Jpeg && !jpeg_is_whole(&bytes) {
        return Err(PictureError::Truncated);
    }
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = image::Limits::default();
    limits.max_alloc = Some(8 * MOST_PIXELS + MOST_BYTES);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(ended_early)?;
    let (width, height) = decoder.dimensions();
    let (short, long) = (width.min(height), width.max(height));
    let fits = short >= LEAST_SIDE && u64::from(width) * u64::from(height) <= MOST_PIXELS;
    if !fits || long > MOST_ASPECT * short {
        return Err(PictureError::Size { width, height });
    }
    let orientation = decoder.orientation().map_err(ended_early)?;
    let mut image = DynamicImage::ImageRgb8(DynamicImage::from_decoder(decoder).map_err(ended_early)?.into_rgb8());
    image.apply_orientation(orientation);
    Ok(image.into_rgb8())
}

/// Encodes a picture as PNG.
///
/// # Errors
/// [`PictureError::Decode`] where the encoder refuses it.
pub fn encode_png(image: &RgbImage) -> Result<Vec<u8>, PictureError> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, ImageFormat::Png)?;
    Ok(bytes.into_inner())
}

fn ended_early(error: image::ImageError) -> PictureError {
    match error {
        image::ImageError::IoError(io) if io.kind() == std::io::ErrorKind::UnexpectedEof => PictureError::Truncated,
        other => PictureError::Decode(other),
    }
}

/// What the first bytes say. The signatures are those of the formats' own standards (from memory).
fn format(bytes: &[u8]) -> Result<ImageFormat, PictureError> {
    let other = |kind| Err(PictureError::Kind { kind });
    let brand = bytes.get(4..12);
    match bytes {
        [0x89, b'P', b'N', b'G', ..] => Ok(ImageFormat::Png),
        [0xff, 0xd8, 0xff, ..] => Ok(ImageFormat::Jpeg),
        [b'R', b'I', b'F', b'F', ..] if bytes.get(8..12) == Some(b"WEBP") => other("WebP"),
        [b'G', b'I', b'F', b'8', ..] => other("GIF"),
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => other("TIFF or raw"),
        [b'B', b'M', ..] => other("BMP"),
        [0xff, 0x0a, ..] | [0, 0, 0, 0x0c, b'J', b'X', b'L', b' ', ..] => other("JPEG XL"),
        _ if brand == Some(b"ftypavif") || brand == Some(b"ftypavis") => other("AVIF"),
        _ if brand.is_some_and(|b| [b"ftyphe", b"ftypmi", b"ftypms"].iter().any(|k| b.starts_with(*k))) => {
            other("HEIC")
        }
        _ if brand.is_some_and(|b| b.starts_with(b"ftyp")) => other("video or unknown"),
        _ => Err(PictureError::Unknown),
    }
}

/// Whether the scans of a JPEG file run to its end marker. Decoders fill what is missing with grey and say nothing.
///
/// Markers are a byte 0xff and another that is neither 0 nor 0xff; all but the restart markers and start and end carry
/// their length (ISO/IEC 10918-1, annex B, from memory).
fn jpeg_is_whole(bytes: &[u8]) -> bool {
    const END: u8 = 0xd9;
    const SCAN: u8 = 0xda;
    let mut at = 2;
    loop {
        let Some(ahead) = bytes.get(at..).and_then(|rest| rest.iter().position(|b| *b == 0xff)) else { return false };
        at += ahead + 1;
        let Some(marker) = bytes.get(at).copied() else { return false };
        match marker {
            // Fill bytes, stuffed data, restarts, a start without length.
            0xff => continue,
            0 | 1 | 0xd0..=0xd8 => at += 1,
            END => return true,
            _ => {
                let Some([high, low]) = bytes.get(at + 1..at + 3) else { return false };
                at += 1 + usize::from(u16::from_be_bytes([*high, *low]));
                // Within a scan the same search goes on through its data.
                if marker == SCAN && at >= bytes.len() {
                    return false;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::Rgb;

    fn sample() -> RgbImage {
        RgbImage::from_fn(96, 64, |x, y| Rgb([(2 * x) as u8, (3 * y) as u8, ((x * y) % 251) as u8]))
    }

    fn jpeg(image: &RgbImage) -> Vec<u8> {
        let mut bytes = Cursor::new(Vec::new());
        image.write_to(&mut bytes, ImageFormat::Jpeg).unwrap();
        bytes.into_inner()
    }

    /// The file with an EXIF block that holds nothing but the orientation, right behind the start marker.
    fn turned(jpeg: &[u8], orientation: u8) -> Vec<u8> {
        let mut exif = b"Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0".to_vec();
        exif.extend([orientation, 0, 0, 0, 0, 0, 0, 0]);
        let length = (exif.len() + 2) as u16;
        let mut file = jpeg[..2].to_vec();
        file.extend([0xff, 0xe1]);
        file.extend(length.to_be_bytes());
        file.extend(exif);
        file.extend(&jpeg[2..]);
        file
    }

    #[test]
    fn all_eight_orientations_come_out_upright() {
        use image::imageops::{flip_horizontal, rotate90, rotate180, rotate270};
        let upright = sample();
        // How the camera stored it, so that the turn named by the flag brings it back.
        let stored = [
            upright.clone(),
            flip_horizontal(&upright),
            rotate180(&upright),
            flip_horizontal(&rotate180(&upright)),
            rotate270(&flip_horizontal(&upright)),
            rotate270(&upright),
            rotate90(&flip_horizontal(&upright)),
            rotate90(&upright),
        ];
        for (flag, image) in (1..).zip(stored) {
            let got = decode(turned(&jpeg(&image), flag)).unwrap();
            assert_eq!(got.dimensions(), upright.dimensions(), "{flag}");
            let off = got.pixels().zip(upright.pixels()).map(|(a, b)| a[0].abs_diff(b[0]).max(a[1].abs_diff(b[1])));
            assert!(off.map(u32::from).sum::<u32>() < 8 * 96 * 64, "{flag}");
        }
    }

    #[test]
    fn half_a_file_is_refused_at_any_cut() {
        for whole in [jpeg(&sample()), encode_png(&sample()).unwrap()] {
            assert!(decode(whole.clone()).is_ok());
            for share in [0.02, 0.3, 0.5, 0.9, 0.995] {
                let cut = whole[..(share * whole.len() as f64) as usize].to_vec();
                assert!(
                    matches!(decode(cut).unwrap_err(), PictureError::Truncated | PictureError::Decode(_)),
                    "{share}"
                );
            }
            // What phones append behind the picture does not matter.
            let mut more = whole;
            more.extend([7; 100]);
            assert!(decode(more).is_ok());
        }
    }

    #[test]
    fn sizes_are_refused_before_a_pixel_is_decoded() {
        // Only the header of each is there: what decoded first would call it broken.
        for (width, height) in [(20_000u32, 20_000u32), (64, 76_900), (63, 200), (9, 9), (11_000, 10_800)] {
            let mut head = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
            head.extend(width.to_be_bytes());
            head.extend(height.to_be_bytes());
            head.extend([8, 2, 0, 0, 0]);
            let sum = crc(&head[12..]);
            head.extend(sum.to_be_bytes());
            head.extend([0, 0, 0, 0]);
            head.extend(b"IDAT");
            head.extend(crc(b"IDAT").to_be_bytes());
            let error = decode(head).unwrap_err();
            assert!(matches!(error, PictureError::Size { .. }), "{width} x {height}: {error}");
        }
    }

    fn crc(bytes: &[u8]) -> u32 {
        let step = |sum: u32| if sum & 1 == 1 { 0xedb8_8320 ^ (sum >> 1) } else { sum >> 1 };
        !bytes.iter().fold(!0u32, |sum, b| (0..8).fold(sum ^ u32::from(*b), |s, _| step(s)))
    }

    #[test]
    fn other_kinds_are_named() {
        let kind = |bytes: &[u8]| decode(bytes.to_vec()).unwrap_err().to_string();
        assert!(kind(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic").contains("HEIC picture"));
        assert!(kind(b"RIFF\x10\0\0\0WEBPVP8 ").contains("WebP picture"));
        assert!(kind(b"\0\0\0\x18ftypmp42").contains("export it as JPEG"));
        assert!(matches!(decode(vec![0; 4096]), Err(PictureError::Unknown)));
        assert!(matches!(decode(Vec::new()), Err(PictureError::Unknown)));
        assert!(matches!(load(Path::new("/dev/zero")), Err(PictureError::Unknown | PictureError::Io(_))));
    }
}
