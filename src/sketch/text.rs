//! How wide words are: the embedded face's own advances, so that a label's box
//! is known before anything is drawn. Pages draw the same scene in the system's
//! face; DejaVu is wider than those in use, so the boxes hold there as well.

use std::sync::LazyLock;
use ttf_parser::Face as FontFace;

/// The regular face, subset; licence beside it.
pub static REGULAR: &[u8] = include_bytes!("../../static/fonts/DejaVuSans.subset.ttf");
/// The bold face, subset.
pub static BOLD: &[u8] = include_bytes!("../../static/fonts/DejaVuSans-Bold.subset.ttf");

/// Share of the size above and below the baseline that letters take.
const ASCENT: f64 = 0.76;
const DESCENT: f64 = 0.24;

static FACES: LazyLock<[FontFace<'static>; 2]> = LazyLock::new(|| {
    [REGULAR, BOLD].map(|data| FontFace::parse(data, 0).expect("the embedded face is whole"))
});

/// The faces words are set in; sizes in user units, which are CSS pixels at
/// 360 units across a phone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Face {
    /// Names of bars and of sides.
    Name,
    /// Class words and headings.
    Word,
    /// Figures of gaps and stations.
    Figure,
    /// Figures of a blade gap.
    GapFigure,
    /// Flag words and notes.
    Note,
    /// Cautions, ticks, keys.
    Small,
    /// Figures in a table.
    Cell,
}

impl Face {
    pub const ALL: [Self; 7] = [
        Self::Name,
        Self::Word,
        Self::Figure,
        Self::GapFigure,
        Self::Note,
        Self::Small,
        Self::Cell,
    ];

    pub const fn size(self) -> f64 {
        match self {
            Self::Name => 15.0,
            Self::Figure | Self::GapFigure => 12.5,
            Self::Word | Self::Note => 12.0,
            Self::Small | Self::Cell => 11.0,
        }
    }

    pub const fn bold(self) -> bool {
        matches!(self, Self::Name | Self::Word | Self::GapFigure)
    }

    /// Width of `text` in user units; a character the face lacks counts as one em.
    pub fn width(self, text: &str) -> f64 {
        let face = &FACES[usize::from(self.bold())];
        let units = f64::from(face.units_per_em());
        let advance = |c: char| {
            face.glyph_index(c)
                .and_then(|g| face.glyph_hor_advance(g))
                .map_or(units, f64::from)
        };
        text.chars().map(advance).sum::<f64>() * self.size() / units
    }

    pub fn ascent(self) -> f64 {
        self.size() * ASCENT
    }

    pub fn descent(self) -> f64 {
        self.size() * DESCENT
    }

    /// Distance between the baselines of two lines.
    pub fn leading(self) -> f64 {
        (self.size() * 1.25).ceil()
    }

    /// The text, or as much of it as fits with an ellipsis.
    pub fn fit(self, text: &str, width: f64) -> String {
        if self.width(text) <= width {
            return text.to_owned();
        }
        let mut kept: String = text.to_owned();
        while kept.pop().is_some() {
            let short = format!("{}…", kept.trim_end());
            if self.width(&short) <= width {
                return short;
            }
        }
        String::new()
    }

    /// Lines no wider than `width`, broken at spaces; a longer word is shortened.
    pub fn wrap(self, text: &str, width: f64) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            let word = self.fit(word, width);
            match lines.last_mut() {
                Some(line) if self.width(&format!("{line} {word}")) <= width => {
                    line.push(' ');
                    line.push_str(&word);
                }
                _ => lines.push(word),
            }
        }
        lines
    }

    /// As `wrap`, at most `most` lines; what does not fit ends in an ellipsis.
    pub fn wrap_to(self, text: &str, width: f64, most: usize) -> Vec<String> {
        let mut lines = self.wrap(text, width);
        if lines.len() > most {
            let rest = lines.split_off(most - 1).join(" ");
            lines.push(self.fit(&rest, width));
        }
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_face_has_every_sign_we_write() {
        for face in FACES.iter() {
            for c in "½¼¾⅛⅜⅝⅞–—·×≤≥→←↑↓…’éüłØ12 ".chars() {
                assert!(face.glyph_index(c).is_some(), "{c} is missing");
            }
        }
    }

    #[test]
    fn a_shortened_text_fits_and_says_that_it_is_short() {
        let text = "a name of quite some length that will not fit";
        let short = Face::Name.fit(text, 90.0);
        assert!(short.ends_with('…') && Face::Name.width(&short) <= 90.0);
        assert_eq!(Face::Name.fit("A", 90.0), "A");
    }

    #[test]
    fn wrapped_lines_keep_every_word_and_the_width() {
        let text = "lower edge of the roof rail, behind the weather strip";
        let lines = Face::Small.wrap(text, 110.0);
        assert_eq!(lines.join(" "), text);
        assert!(lines.iter().all(|l| Face::Small.width(l) <= 110.0));
    }
}
