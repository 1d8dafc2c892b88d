//! `pillarbook plan CARD.json`: every opening that suits, cut by cut.

use super::ask::AskArgs;
use super::input::{self, Refused};
use crate::contract::card_file::{CardFileError, read};
use crate::contract::plan::{AskError, PlanFile, plan_of_ask, settings_of_text};
use crate::domain::opening::plan::{Settings, way};
use crate::domain::opening::{Plan, PlannedOpening};
use crate::sketch::CAUTIONS;
use clap::{Args, ValueEnum};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// How a plan is printed.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Form {
    Json,
    Text,
}

/// Check ways in against a card's zones, cut by cut, and print the plan
///
/// The same bytes as POST /api/v1/plan answers for the same card and ask. What is
/// left out is unknown or has its default, and is echoed. What cannot be accepted
/// ends with exit code 2 and one line for each invalid field.
#[derive(Debug, Args)]
pub struct PlanCommand {
    /// The card file; - reads standard input
    #[arg(value_name = "CARD.json")]
    card: PathBuf,
    #[command(flatten)]
    ask: AskArgs,
    /// A department's own openings and the rules it has switched off
    #[arg(long, value_name = "FILE.json")]
    department: Option<PathBuf>,
    /// json, or text to be read aloud
    #[arg(long, value_enum, default_value_t = Form::Json)]
    format: Form,
}

impl PlanCommand {
    pub fn run(self) -> anyhow::Result<()> {
        let text = input::read(&self.card)?;
        let read = read(&text).map_err(|error| Refused::invalid(&self.card, error))?;
        let settings = self.settings()?;
        let ask = self.ask.read()?;
        let plan = plan_of_ask(&read.card, &ask, &settings).map_err(|e| self.refused(e))?;
        input::tell_ignored(&self.card, &read.ignored);
        let printed = match self.format {
            Form::Json => PlanFile::from(&plan).to_json(),
            Form::Text => aloud(&plan),
        };
        input::write(Path::new("-"), printed.as_bytes())
    }

    fn settings(&self) -> anyhow::Result<Settings> {
        let Some(path) = &self.department else {
            return Ok(Settings::default());
        };
        let text = input::read(path)?;
        Ok(settings_of_text(&text).map_err(|error| Refused::invalid(path, error))?)
    }

    fn refused(&self, error: AskError) -> Refused {
        let (path, errors) = match error {
            AskError::Card(errors) => (self.card.clone(), errors),
            AskError::Ask(errors) => (self.ask.name(), errors),
            AskError::Department(errors) => (self.department.clone().unwrap_or_default(), errors),
        };
        Refused::invalid(&path, CardFileError::Invalid(errors))
    }
}

/// The plan in sentences: of each step what the crew does and what those inside
/// watch for.
fn aloud(plan: &Plan) -> String {
    let mut text = String::new();
    let mut line = |words: &str| {
        text.push_str(words);
        text.push('\n');
    };
    for caution in CAUTIONS {
        line(caution);
    }
    line(&format!("Restraints: {}.", plan.restraints.say));
    for isolation in &plan.restraints.isolation {
        line(&format!("  {}: {}", isolation.what, isolation.say));
    }
    line("Room to keep from bags not known to have fired; no cut zones:");
    for room in &plan.keep_outs {
        let distance = room
            .distance_mm
            .map_or("distance unknown".to_owned(), |mm| format!("{mm:.0} mm"));
        line(&format!("  {}: {distance}", room.at));
    }
    for opening in &plan.openings {
        line("");
        line(&heading(opening));
        for reason in &opening.reasons {
            line(&format!("  {reason}"));
        }
        for step in &opening.steps {
            line(&step_aloud(step));
        }
        for flag in &opening.flags {
            let (first, then) = (flag.first, flag.then);
            line(&format!(
                "  ! step {first} before step {then}: {}",
                flag.because
            ));
        }
    }
    line("");
    line("Not offered:");
    for not in &plan.not_offered {
        line(&format!("  {}: {}", way(&not.name, not.side), not.because));
    }
    text
}

fn heading(opening: &PlannedOpening) -> String {
    let status = opening
        .status
        .map_or(PlannedOpening::NOTHING_TOUCHED, |s| s.word());
    let immediate = if opening.immediate {
        ", immediate way"
    } else {
        ""
    };
    format!(
        "{}{immediate}: {status}; {}, {}, {}",
        way(&opening.name, opening.side),
        counted(opening.cuts, "cut"),
        counted(opening.looks, "look"),
        counted(opening.unknowns, "unknown")
    )
}

fn counted(n: usize, what: &str) -> String {
    let s = if n == 1 { "" } else { "s" };
    format!("{n} {what}{s}")
}

fn step_aloud(step: &crate::domain::opening::PlannedStep) -> String {
    let mut text = format!("  {}. ", step.n);
    if step.gate {
        text.push_str("THE MEDIC SAYS GO. ");
    }
    text.push_str(&step.crew);
    if let crate::domain::opening::Target::Place(place) = &step.target {
        let at = match (place.station_mm, place.from_head_mm) {
            (Some(foot), Some(head)) => {
                format!("{foot:.0} mm from the foot, {head:.0} mm from the head")
            }
            _ => "no place for it".to_owned(),
        };
        let _ = write!(text, " [{}: {at}: {}]", place.span, place.status);
    }
    for why in &step.because {
        let _ = write!(text, "\n       because: {why}");
    }
    let _ = write!(text, "\n     INSIDE: {}", step.inside);
    if let Some(stop) = &step.stop {
        let _ = write!(text, " STOP: {stop}");
    }
    let _ = write!(text, "\n     OUT NOW: {}", step.exit_now);
    text
}
