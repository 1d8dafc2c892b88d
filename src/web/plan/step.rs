//! One step of the open opening as it is read aloud: what the crew does, what
//! the person inside watches for, where exactly, and what stands in the way.

use super::address::Address;
use super::drawing;
use super::place::{PlaceView, panel};
use super::words;
use crate::domain::card::PowerSource;
use crate::domain::opening::steel::{ForceBand, OF_A_TOOL, OF_THE_BAND};
use crate::domain::opening::template::{Act, ContactKind, ToolKind};
use crate::domain::opening::{
    CutStatus, Flag, PlacedContact, Placement, PlannedStep, StepTool, Target,
};
use crate::sketch::Work;
use crate::web::form::Field;
use crate::web::reading::Reading;
use crate::web::say;
use crate::web::typed::Typed;

/// How far to each side of a cut a look is offered, mm: a hand's breadth.
const LOOK_EACH_WAY_MM: f64 = 100.0;

/// A step with everything said of it.
pub struct StepView {
    pub n: usize,
    pub id: String,
    pub act: &'static str,
    /// What it is done to, in words.
    pub on: String,
    pub gate: bool,
    pub crew: String,
    pub inside: String,
    pub stop: Option<String>,
    pub exit_now: String,
    /// The same as from the step before: said at first sight only when it changes.
    pub exit_same: bool,
    /// The first step that says the same to crew and inside; crowded paper names it.
    pub as_step: Option<usize>,
    pub because: Vec<String>,
    /// Of its cut, or of its panel line.
    pub place: Option<PlaceView>,
    pub contacts: Vec<ContactView>,
    /// On paper, in one line: how many of the places to hold the car cannot be used.
    pub held: Option<String>,
    /// Whether the step holds the car.
    pub holds: bool,
    pub tool: Option<ToolView>,
    /// Rules of the order that it breaks, with the other step and the reason.
    pub flags: Vec<FlagView>,
    pub look: Option<LookForm>,
    /// The span worked on, with every place of this opening on it.
    pub drawing: String,
}

/// Where a tool or a crib bears; of several that stand alike the first, with the
/// names of all.
pub struct ContactView {
    pub names: String,
    pub place: PlaceView,
    /// The others, for their gaps.
    pub more: Vec<(String, PlaceView)>,
}

/// What a step is done with.
pub struct ToolView {
    /// Name, and how it fits the steel known there.
    pub said: String,
    /// What must be said wherever it is named at a cut.
    pub caution: Option<&'static str>,
    /// What the estimate takes for granted; empty where there is none.
    pub granted: Vec<&'static str>,
}

/// A broken rule, shown at both its steps.
pub struct FlagView {
    pub said: String,
    pub kept: Option<String>,
    /// The reason can be given here: at the step that comes too early.
    pub keep: Option<Field>,
}

/// "Trim off here": what a crew saw, sent from the step itself.
pub struct LookForm {
    pub step: String,
    pub span: String,
    pub name: String,
    pub from: Field,
    pub to: Field,
    pub kind: Field,
    /// Stands open, because something in it was not accepted.
    pub open: bool,
}

impl StepView {
    pub fn of(
        reading: &Reading,
        step: &PlannedStep,
        flags: &[Flag],
        works: &[Work],
        (look, address): (Option<&Typed>, &Address),
    ) -> Self {
        let place = match &step.target {
            Target::Place(_) | Target::Panel(_) if step.act == Act::Cover => None,
            Target::Place(place) => Some(PlaceView::of(reading, place)),
            Target::Panel(line) => Some(panel(reading, line)),
            Target::WholeCar | Target::Part(_) => None,
        };
        let place = place.map(|p| match step.act {
            // Said at the cut it is taken off for, there from both ends.
            Act::Expose => PlaceView {
                by: None,
                from_head: None,
                ..p
            },
            _ => p,
        });
        Self {
            n: step.n,
            id: step.id.clone(),
            act: words::act(step.act),
            on: on(reading, step),
            gate: step.gate,
            crew: step.crew.clone(),
            inside: step.inside.clone(),
            stop: step.stop.clone(),
            exit_now: step.exit_now.clone(),
            exit_same: false,
            as_step: None,
            because: because(step),
            drawing: strip(reading, step, works),
            look: look_form(reading, step, look),
            place,
            contacts: contacts(reading, step),
            held: held(step),
            holds: step.act.holds_the_car(),
            tool: step.tool.as_ref().and_then(tool),
            flags: flags
                .iter()
                .filter(|f| f.first == step.n || f.then == step.n)
                .map(|f| FlagView::of(f, step.n, address))
                .collect(),
        }
    }
}

impl StepView {
    /// Whether crew and inside hear the same words at another step.
    pub fn says_the_same(&self, other: &Self) -> bool {
        (&self.crew, &self.inside, &self.stop) == (&other.crew, &other.inside, &other.stop)
    }
}

impl FlagView {
    fn of(flag: &Flag, here: usize, address: &Address) -> Self {
        let said = if here == flag.then {
            format!(
                "Step {} belongs before this one: {}",
                flag.first, flag.because
            )
        } else {
            format!("Belongs before step {}: {}", flag.then, flag.because)
        };
        let name = format!("keep-{}", flag.rule);
        let given = address.value(&name).unwrap_or_default().to_owned();
        Self {
            said,
            kept: flag.kept.clone(),
            keep: (here == flag.then).then(|| Field::new(name, given)),
        }
    }
}

fn held(step: &PlannedStep) -> Option<String> {
    let all = step.contacts.len();
    let closed = |c: &&PlacedContact| c.place.status >= CutStatus::LikelyOccupied;
    let closed = step.contacts.iter().filter(closed).count();
    let holds = step.act.holds_the_car() && closed > 0;
    holds.then(|| format!("({closed} of {all} places closed)"))
}

/// Contacts in their order; of one kind, those that stand alike together.
fn contacts(reading: &Reading, step: &PlannedStep) -> Vec<ContactView> {
    let mut found: Vec<(ContactKind, ContactView)> = Vec::new();
    for contact in &step.contacts {
        let place = PlaceView::of(reading, &contact.place);
        let alike = found
            .iter_mut()
            .find(|(kind, own)| *kind == contact.kind && own.place.stands_like(&place));
        if let Some((_, own)) = alike {
            own.names = format!("{}; {}", own.names, contact.name);
            own.more.push((contact.name.clone(), place));
        } else {
            let kind = say::sentence(words::contact_kind(contact.kind));
            let view = ContactView {
                names: format!("{kind}: {}", contact.name),
                place,
                more: Vec::new(),
            };
            found.push((contact.kind, view));
        }
    }
    found.into_iter().map(|(_, view)| view).collect()
}

/// Drawn where something is done on a span; a look is asked at the same place.
fn strip(reading: &Reading, step: &PlannedStep, works: &[Work]) -> String {
    let place = look_place(step).filter(|_| step.act != Act::Expose);
    place.map_or_else(String::new, |p| drawing::strip(reading, works, &p.span))
}

fn on(reading: &Reading, step: &PlannedStep) -> String {
    match &step.target {
        Target::WholeCar => String::new(),
        Target::Place(place) => span_name(reading, &place.span),
        Target::Panel(line) => line.name.clone(),
        Target::Part(part) => part_name(reading, step.act, part),
    }
}

/// A span in words; its id where the car has none of that name.
pub fn span_name(reading: &Reading, id: &str) -> String {
    let span = reading.body.span(id);
    span.map_or_else(|| id.to_owned(), |s| s.name.to_string())
}

/// A door, pane, seat or other part in words. Those of one place share their id:
/// what is done tells which is meant.
fn part_name(reading: &Reading, act: Act, id: &str) -> String {
    let style = reading.body.style;
    let door = style.doors.iter().find(|d| d.id == id).map(|d| &*d.name);
    let pane = style.panes.iter().find(|p| p.id == id).map(|p| &*p.name);
    let seat = style.seats.iter().find(|s| s.id == id).map(|s| &*s.name);
    let span = reading.body.span(id).map(|s| &*s.name);
    let meant = match act {
        Act::ManageGlass => pane,
        Act::SeverBelt => seat,
        _ => door,
    };
    let named = meant.or(door).or(pane).or(seat).or(span);
    let source = PowerSource::from_word(id).map(words::source);
    match (named, source) {
        (Some(name), _) => name.to_owned(),
        (None, Some(source)) => source.to_owned(),
        (None, None) => id.replace(['-', '.'], " "),
    }
}

/// The tool, how it fits the steel known there, and what the estimate is; a tool
/// that parts nothing and that nobody named is left out.
fn tool(tool: &StepTool) -> Option<ToolView> {
    let parts = tool.kind.shears() || tool.kind == ToolKind::Saw;
    if !parts && tool.name.is_none() {
        return None;
    }
    let name = match &tool.name {
        Some(name) => format!("{}, {name}", tool.kind.name()),
        None => tool.kind.name().to_owned(),
    };
    let name = say::sentence(&name);
    let fit = words::fit(tool.fit);
    let (said, granted) = match tool.force_band_kn {
        Some([lower_kn, upper_kn]) => {
            let band = ForceBand { lower_kn, upper_kn };
            let said = format!("{name}: {fit}. Steel known here takes {band}, by estimate.");
            (said, [OF_THE_BAND, OF_A_TOOL].concat())
        }
        // Nothing of it is compared with a force.
        None if !tool.kind.shears() => (format!("{name}."), Vec::new()),
        None => (format!("{name}: {fit}."), Vec::new()),
    };
    Some(ToolView {
        said,
        caution: tool.kind.caution(),
        granted,
    })
}

/// Why it is there and as it is; the tool's caution stands beside the tool.
fn because(step: &PlannedStep) -> Vec<String> {
    let caution = step.tool.as_ref().and_then(|t| t.kind.caution());
    let all = step.because.iter();
    all.filter(|said| Some(said.as_str()) != caution)
        .cloned()
        .collect()
}

/// The place a look is asked at: the cut's, or the first contact's.
fn look_place(step: &PlannedStep) -> Option<&Placement> {
    match &step.target {
        Target::Place(place) => Some(place),
        _ => step.contacts.first().map(|c| &c.place),
    }
}

fn look_form(reading: &Reading, step: &PlannedStep, typed: Option<&Typed>) -> Option<LookForm> {
    let place = look_place(step).filter(|_| step.act != Act::Cover)?;
    let length = reading.body.span(&place.span)?.line.length();
    let middle = place.station_mm.unwrap_or(place.default_mm);
    let around = |mm: f64| format!("{:.0} mm", mm.clamp(0.0, length).floor());
    let own = typed.filter(|t| t.value("look_step") == step.id);
    let field = |name: &str, value: String| match own {
        Some(typed) => typed.field(name),
        None => Field::new(name, value),
    };
    if own.is_none() && place.status == CutStatus::SeenBare {
        return None;
    }
    Some(LookForm {
        step: step.id.clone(),
        span: place.span.clone(),
        name: span_name(reading, &place.span),
        from: field("look_from", around(middle - LOOK_EACH_WAY_MM)),
        to: field("look_to", around(middle + LOOK_EACH_WAY_MM)),
        kind: field("look_kind", String::new()),
        open: own.is_some(),
    })
}
