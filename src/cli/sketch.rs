//! `pillarbook sketch CARD.json --view … -o out.svg|png`.

use super::input::{self, Refused};
use super::variant::{VariantArgs, one_of};
use crate::contract::{FileZones, zones_of_file};
use crate::domain::vehicle::Variant;
use crate::sketch::scene::Scene;
use crate::sketch::{Look, Options, Turn, View, draw, png, ruler, svg};
use crate::web::say::{self, title};
use anyhow::{Context, bail};
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// How a sketch is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Svg,
    Png,
}

/// Draw a card file: a side frame, a view of the car, or one span's ruler
#[derive(Debug, Args)]
pub struct SketchCommand {
    /// The card file; - reads standard input
    #[arg(value_name = "CARD.json")]
    card: PathBuf,
    /// frame-left, frame-right, left, right, top, front
    #[arg(long, default_value = "frame-left",
        value_parser = |word: &str| one_of(word, View::ALL, View::word))]
    view: View,
    /// One span's ruler in place of a view, for example b-pillar.left
    #[arg(long, value_name = "SPAN", conflicts_with = "view")]
    ruler: Option<String>,
    /// The file to write, named .svg or .png; - is standard output
    #[arg(short, long, value_name = "PATH", default_value = "-")]
    output: PathBuf,
    /// In place of what the file's name says; svg on standard output
    #[arg(long, value_enum)]
    format: Option<Format>,
    /// light, dark, print
    #[arg(long, default_value = "light",
        value_parser = |word: &str| one_of(word, Look::ALL, Look::word))]
    look: Look,
    /// Degrees clockwise, to how the car lies: 0, 90, 180, 270 (views only)
    #[arg(long, default_value = "0",
        value_parser = |word: &str| one_of(word, Turn::ALL, Turn::word))]
    turn: Turn,
    /// Mirrored after the turn, for a car on its roof or side (views only)
    #[arg(long)]
    flip: bool,
    /// Pixels across, of a PNG
    #[arg(long, default_value_t = 1080, value_name = "PIXELS",
        value_parser = clap::value_parser!(u32).range(64..=3200))]
    width: u32,
    #[command(flatten)]
    variant: VariantArgs,
}

impl SketchCommand {
    pub fn run(self) -> anyhow::Result<()> {
        let format = self.format()?;
        let text = input::read(&self.card)?;
        let answer = zones_of_file(&text, &Variant::from(&self.variant))
            .map_err(|error| Refused::invalid(&self.card, error))?;
        input::tell_ignored(&self.card, &answer.read.ignored);
        let scene = self.scene(&answer)?;
        let drawn = match format {
            Format::Svg => svg::write(&scene, self.look).into_bytes(),
            Format::Png => png::render(&scene, self.look, self.width)?,
        };
        input::write(&self.output, &drawn)
    }

    /// What was asked for, or what the file's name says.
    fn format(&self) -> anyhow::Result<Format> {
        if let Some(format) = self.format {
            return Ok(format);
        }
        if input::is_standard(&self.output) {
            return Ok(Format::Svg);
        }
        let ending = Path::extension(&self.output).and_then(|ending| ending.to_str());
        match ending.map(str::to_ascii_lowercase).as_deref() {
            Some("svg") => Ok(Format::Svg),
            Some("png") => Ok(Format::Png),
            _ => bail!("name the file .svg or .png, or say --format svg or --format png"),
        }
    }

    fn scene(&self, answer: &FileZones) -> anyhow::Result<Scene> {
        let FileZones { read, body, zones } = answer;
        let title = title(&read.card.vehicle);
        let variant = Variant::from(&self.variant);
        let said = (variant != Variant::default()).then(|| say::variant(&variant));
        let mut zones = zones.clone();
        // Whose side is the driver's follows the variant.
        zones.vehicle = zones.vehicle.as_variant(&variant);
        let options = Options {
            variant: said.as_deref(),
            look: self.look,
            title: Some(&title),
            fitted: body.fitted,
            turn: self.turn,
            flip: self.flip,
            cautions: true,
            ..Options::default()
        };
        let Some(id) = &self.ruler else {
            return Ok(draw(&zones, body, self.view, &options));
        };
        let span = zones.spans.iter().find(|span| span.id == *id);
        let span = span.with_context(|| {
            let spans: Vec<&str> = zones.spans.iter().map(|span| span.id.as_str()).collect();
            format!(
                "--ruler: this body style has no span {id}; accepted: {}",
                spans.join(", ")
            )
        })?;
        Ok(ruler(&zones, span, &options))
    }
}
