//! Pixels as PNG (RFC 2083).

use super::view::Pixels;

/// The bytes of the file.
///
/// # Errors
/// Only when memory cannot be written to, or the picture is larger than PNG allows.
pub(super) fn encode(pixels: &Pixels) -> Result<Vec<u8>, png::EncodingError> {
    let too_large = |_| png::EncodingError::LimitsExceeded;
    let width = u32::try_from(pixels.width).map_err(too_large)?;
    let height = u32::try_from(pixels.height).map_err(too_large)?;
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Balanced);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&pixels.rgb)?;
    writer.finish()?;
    Ok(bytes)
}
