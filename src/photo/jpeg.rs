//! A JPEG as its markers cut it up (ITU-T T.81, B.1.1), without a look at the
//! coded pixels.

/// End of image.
pub const EOI: u8 = 0xD9;
/// Start of scan: the coded pixels come after it.
pub const SOS: u8 = 0xDA;
const SOI: u8 = 0xD8;

/// A marker with what it carries.
#[derive(Debug, Clone, Copy)]
pub struct Segment<'a> {
    pub marker: u8,
    pub content: &'a [u8],
}

/// The segments of a JPEG after its first marker, up to its end or to where it
/// breaks off.
#[derive(Debug, Clone)]
pub struct Segments<'a> {
    rest: &'a [u8],
}

impl<'a> Segments<'a> {
    /// `None` where it is no JPEG.
    pub fn of(bytes: &'a [u8]) -> Option<Self> {
        let rest = bytes.strip_prefix(&[0xFF, SOI])?;
        Some(Self { rest })
    }

    /// What follows the segments given so far.
    pub const fn rest(&self) -> &'a [u8] {
        self.rest
    }

    /// Goes on at the next marker, over stray bytes that decoders put up with;
    /// `false` where there are none or no marker follows.
    pub fn skip_stray(&mut self) -> bool {
        let next = after_scan(self.rest);
        let skipped = !next.is_empty() && next.len() < self.rest.len();
        if skipped {
            self.rest = next;
        }
        skipped
    }
}

impl<'a> Iterator for Segments<'a> {
    type Item = Segment<'a>;

    fn next(&mut self) -> Option<Segment<'a>> {
        let (marker, after) = match self.rest {
            [0xFF, marker @ 0xC0..=0xFE, after @ ..] => (*marker, after),
            // Any marker may be preceded by fill bytes.
            [0xFF, 0xFF, ..] => {
                self.rest = &self.rest[1..];
                return self.next_filled();
            }
            _ => return None,
        };
        if marker == EOI {
            self.rest = after;
            let content = &[];
            return Some(Segment { marker, content });
        }
        let length = usize::from(u16::from_be_bytes([*after.first()?, *after.get(1)?]));
        let content = after.get(2..length)?;
        let after = after.get(length..)?;
        self.rest = match marker {
            SOS => after_scan(after),
            _ => after,
        };
        Some(Segment { marker, content })
    }
}

impl<'a> Segments<'a> {
    /// The next segment after however many fill bytes.
    fn next_filled(&mut self) -> Option<Segment<'a>> {
        let filled = self.rest.iter().take_while(|b| **b == 0xFF).count();
        self.rest = &self.rest[filled - 1..];
        self.next()
    }
}

/// What follows the coded pixels: the next marker that is neither a stuffed byte
/// nor a restart; nothing where they break off.
fn after_scan(coded: &[u8]) -> &[u8] {
    let ends = |pair: &[u8]| pair[0] == 0xFF && !matches!(pair[1], 0x00 | 0xD0..=0xD7);
    let at = coded.windows(2).position(ends);
    at.map_or(&[], |at| &coded[at..])
}
