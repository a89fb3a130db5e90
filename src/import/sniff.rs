//! What a file that is no DXF really is, in words.

use super::binary::SENTINEL;
use crate::error::{Error, Result};

/// Lets anything through that may be a DXF file.
///
/// # Errors
/// When the bytes are empty or begin like another kind of file.
pub(super) fn sniff(bytes: &[u8]) -> Result<()> {
    const SAVE: &str = "open it in the program that made it and save it as ASCII DXF, R2000 or later";
    let start = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let trimmed = start.trim_ascii_start();
    if trimmed.is_empty() {
        let words = if bytes.is_empty() { "the file is empty" } else { "the file holds nothing but blanks" };
        return Err(Error::unreadable("empty-file", words).with_hint("export the roof plan again"));
    }
    if bytes.starts_with(SENTINEL) {
        return Ok(());
    }
    if bytes.starts_with(b"AutoCAD Binary DXF") {
        let words = "this is a binary DXF file whose first bytes were changed, as a text transfer does";
        return Err(Error::unreadable("binary-dxf", words).with_hint("copy it in binary mode, or save it as ASCII DXF"));
    }
    let kinds: [(&[u8], &str); 13] = [
        (b"AC10", "a DWG drawing"),
        (b"AC1.", "an old DWG drawing"),
        (b"\x89PNG", "a PNG picture"),
        (b"\xFF\xD8\xFF", "a JPEG picture"),
        (b"GIF8", "a GIF picture"),
        (b"II*\0", "a TIFF picture"),
        (b"MM\0*", "a TIFF picture"),
        (b"BM", "a BMP picture"),
        (b"%PDF", "a PDF document"),
        (b"PK\x03\x04", "a ZIP archive"),
        (b"\x1F\x8B", "a gzip archive"),
        (b"\xFF\xFE", "a UTF-16 text"),
        (b"\xFE\xFF", "a UTF-16 text"),
    ];
    if let Some((_, kind)) = kinds.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        let hint = if *kind == "a ZIP archive" { "unpack it and give the DXF file inside" } else { SAVE };
        return Err(Error::unreadable("not-dxf", format!("this is {kind}, not a DXF drawing")).with_hint(hint));
    }
    let lower: Vec<u8> = trimmed.iter().take(15).map(u8::to_ascii_lowercase).collect();
    if lower.starts_with(b"<!doctype html") || lower.starts_with(b"<html") {
        let hint = "the download gave an error page instead of the drawing; fetch the file itself";
        return Err(Error::unreadable("not-dxf", "this is a web page (HTML), not a DXF drawing").with_hint(hint));
    }
    if trimmed.starts_with(b"<") {
        return Err(Error::unreadable("not-dxf", "this is an XML text, not a DXF drawing").with_hint(SAVE));
    }
    if !trimmed[0].is_ascii_digit() && trimmed[0] != b'-' {
        return Err(Error::unreadable("not-dxf", "the file does not begin like a DXF drawing").with_hint(SAVE));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn other_files_are_named() {
        for (bytes, word) in [
            (&b""[..], "empty"),
            (b" \n\n", "blanks"),
            (b"\x89PNG\r\n\x1a\n", "PNG"),
            (b"<!DOCTYPE html><html>", "HTML"),
            (b"<?xml version", "XML"),
            (b"PK\x03\x04", "ZIP"),
            (b"AC1032\0\0", "DWG"),
            (b"AutoCAD Binary DXF\n\x1a\0", "binary DXF"),
            (b"%PDF-1.7", "PDF"),
            (b"\xFF\xFE0\0\n\0", "UTF-16"),
            (b"hello", "does not begin"),
        ] {
            let error = sniff(bytes).unwrap_err();
            assert!(error.message.contains(word) && error.hint.is_some(), "{error}");
        }
        for bytes in [&b"  0\nSECTION\n"[..], b"\n0\nSECTION\n", b"999\ncomment\n", b"\xEF\xBB\xBF0\nSECTION\n"] {
            assert!(sniff(bytes).is_ok());
        }
    }
}
