//! From the text of a card file to its zones: what the command line and the
//! API do alike.

use super::card_file::{CardFileError, ReadCard, read, read_of_any_length};
use super::locate::locate;
use super::zone_error::zone_errors;
use crate::domain::body::{FittedBody, fit, style};
use crate::domain::vehicle::Variant;
use crate::domain::zone::{ZoneError, Zones, zones_on};

/// A card file's card, the body fitted to it, and its zones.
#[derive(Debug)]
pub struct FileZones {
    pub read: ReadCard,
    pub body: FittedBody,
    pub zones: Zones,
}

/// Reads a card file and computes its zones for a variant.
///
/// # Errors
/// The file is no valid card, or its measurements or stations do not fit its
/// body style; every field at fault is named with its line.
pub fn zones_of_file(text: &[u8], variant: &Variant) -> Result<FileZones, CardFileError> {
    worked_out(read(text)?, text, variant)
}

/// The same for a card of an archive, which bounds its files itself.
pub(super) fn zones_of_archived(text: &[u8]) -> Result<FileZones, CardFileError> {
    worked_out(read_of_any_length(text)?, text, &Variant::default())
}

fn worked_out(read: ReadCard, text: &[u8], variant: &Variant) -> Result<FileZones, CardFileError> {
    let refused = |error: ZoneError| {
        let mut errors = zone_errors(&error);
        locate(text, &mut errors);
        CardFileError::Invalid(errors)
    };
    let template = style(read.card.vehicle.body_style);
    let body = fit(template, &read.card.measured).map_err(|e| refused(ZoneError::Fit(e)))?;
    let zones = zones_on(&body, &read.card, variant).map_err(refused)?;
    Ok(FileZones { read, body, zones })
}
