//! One opening made for a car becomes a planned one: its cuts and contacts get
//! places, its steps an order that keeps every rule in force, and what nobody
//! knows is counted and spelled out.

use super::exit::Opened;
use super::rank::{Fitness, fitness};
use super::scene::Scene;
use super::{tool, unknown};
use crate::domain::body::Span;
use crate::domain::frame::Side;
use crate::domain::opening::ask::{Ask, Contact};
use crate::domain::opening::panel;
use crate::domain::opening::place::{Wish, place};
use crate::domain::opening::result::{
    CutStatus, PanelLine, PlacedContact, Placement, PlannedOpening, PlannedStep, StepTool, Target,
};
use crate::domain::opening::room::Room;
use crate::domain::opening::step::Step;
use crate::domain::opening::template::{Act, On, Opening, SpanForm, Suits, ToolKind};
use crate::domain::zone::gap::BladeWidth;
use std::collections::BTreeMap;

/// An opening on its way: its steps placed, not yet in order.
#[derive(Debug)]
pub struct Draft<'a> {
    pub opening: &'a Opening,
    /// Where it stands in the list of openings.
    pub listed: usize,
    pub side: Option<Side>,
    pub fitness: Fitness,
    pub reasons: Vec<String>,
    pub unknowns: Vec<String>,
    /// With what was placed for each; sorted together.
    pub steps: Vec<Step>,
    pub placed: BTreeMap<String, Placed>,
}

/// What a step was given.
#[derive(Debug, Clone)]
pub struct Placed {
    pub target: Target,
    pub contacts: Vec<PlacedContact>,
    pub tool: Option<StepTool>,
}

/// What an opening suits where it is made: on the side where no patient sits it
/// frees nobody from a door or a side, which is the near one.
fn made_on(side: Option<Side>, opening: &Opening, scene: &Scene, ask: &Ask) -> Suits {
    let mut suits = opening.suits.clone();
    let mut seats = scene.body.style.seats.iter();
    let far = side
        .is_some_and(|side| seats.all(|s| !ask.seats.contains(&s.id) || s.side == side.mirrored()));
    if far {
        let near = |c: &Contact| matches!(c, Contact::Side | Contact::Door);
        suits.frees.retain(|c| !near(c));
    }
    suits
}

/// Works an opening out on the scene.
///
/// # Errors
/// It serves nothing that was asked; why.
pub fn draft<'a>(
    (listed, opening): (usize, &'a Opening),
    side: Option<Side>,
    steps: Vec<Step>,
    scene: &Scene,
    rooms: &BTreeMap<&str, Room>,
    ask: &Ask,
) -> Result<Draft<'a>, String> {
    let (mut fits, reasons) = fitness(&made_on(side, opening, scene, ask), ask)?;
    let unknowns = unknown::of(opening, &steps, scene, rooms, ask);
    if unknown::hand(opening, ask).is_some() {
        fits = fits.max(Fitness::IfSo);
    }
    let placer = Placer { scene, rooms, ask };
    let mut steps = steps;
    let placed = placer.place_all(&mut steps);
    Ok(Draft {
        opening,
        listed,
        side,
        fitness: fits,
        reasons,
        unknowns,
        steps,
        placed,
    })
}

/// The wish of a cut with the crew's tool, or the policy's blade.
pub fn wish_of(
    form: &SpanForm,
    kind: Option<ToolKind>,
    span: &Span,
    scene: &Scene,
    ask: &Ask,
) -> Wish {
    let tool = kind.and_then(|k| tool::choose(ask, k));
    let half = tool.and_then(|t| t.blade_half_width_mm);
    let width = BladeWidth::of_tool(&scene.zones.policy, half);
    Wish::of(form, span.line.length(), width)
}

struct Placer<'a> {
    scene: &'a Scene,
    rooms: &'a BTreeMap<&'a str, Room<'a>>,
    ask: &'a Ask,
}

impl Placer<'_> {
    fn place_all(&self, steps: &mut [Step]) -> BTreeMap<String, Placed> {
        let cuts = self.cuts(steps);
        let mut placed = BTreeMap::new();
        for step in steps.iter_mut() {
            let target = self.target(step, &cuts);
            if let Target::Place(place) = &target {
                step.station_mm = place.station_mm;
                step.span_mm = self
                    .rooms
                    .get(place.span.as_str())
                    .map(|r| r.span.line.length());
            }
            let given = Placed {
                tool: self.tool(step, &target),
                contacts: self.contacts(step),
                target,
            };
            placed.insert(step.form.id.clone(), given);
        }
        placed
    }

    /// Every cut's place, all cuts of one span together; by its form.
    fn cuts(&self, steps: &[Step]) -> Vec<(SpanForm, Placement)> {
        let mut by_span: BTreeMap<&str, Vec<(&SpanForm, Wish)>> = BTreeMap::new();
        for step in steps.iter().filter(|s| s.form.act == Act::Cut) {
            let On::Span(form) = &step.form.on else {
                continue;
            };
            let Some(room) = self.rooms.get(form.id.as_str()) else {
                continue;
            };
            let wish = wish_of(form, step.form.tool, room.span, self.scene, self.ask);
            by_span.entry(&form.id).or_default().push((form, wish));
        }
        let mut placed = Vec::new();
        for (span, wishes) in by_span {
            let (forms, wishes): (Vec<_>, Vec<_>) = wishes.into_iter().unzip();
            let places = place(&self.rooms[span], &wishes);
            placed.extend(forms.into_iter().cloned().zip(places));
        }
        placed
    }

    fn target(&self, step: &Step, cuts: &[(SpanForm, Placement)]) -> Target {
        match &step.form.on {
            On::Nothing => Target::WholeCar,
            On::Part(part) => Target::Part(part.clone()),
            On::Panel(form) => match panel::test(form, &self.scene.body, &self.scene.zones) {
                Some(line) => Target::Panel(PanelLine {
                    fabric_only: self.scene.fabric_only(&line.by),
                    ..line
                }),
                None => Target::Part(form.name.clone()),
            },
            // What belongs to a cut (taking its trim off, covering it) is done where the cut is.
            On::Span(form) => match cuts
                .iter()
                .find(|(f, _)| f.id == form.id && f.at == form.at)
            {
                Some((_, place)) => Target::Place(self.judged(place.clone())),
                None => self
                    .lone(form, step.form.tool)
                    .map_or(Target::WholeCar, Target::Place),
            },
        }
    }

    /// A place by itself on a span.
    fn lone(&self, form: &SpanForm, kind: Option<ToolKind>) -> Option<Placement> {
        let room = self.rooms.get(form.id.as_str())?;
        let wish = wish_of(form, kind, room.span, self.scene, self.ask);
        let place = place(room, &[wish]).pop()?;
        Some(self.judged(place))
    }

    fn contacts(&self, step: &Step) -> Vec<PlacedContact> {
        let placed = step.form.contacts.iter().filter_map(|contact| {
            let room = self.rooms.get(contact.span.id.as_str())?;
            let width = BladeWidth::pressing(contact.half_width_mm);
            let wish = Wish::of(&contact.span, room.span.line.length(), width);
            let place = place(room, &[wish]).pop()?;
            Some(PlacedContact {
                kind: contact.kind,
                name: contact.name.clone(),
                place: self.judged(place),
            })
        });
        placed.collect()
    }

    /// What needs the card's components to be said of a place.
    fn judged(&self, place: Placement) -> Placement {
        Placement {
            fabric_only: self.scene.fabric_only(&place.by),
            ..place
        }
    }

    fn tool(&self, step: &Step, target: &Target) -> Option<StepTool> {
        let kind = step.form.tool?;
        match (step.form.act, &step.form.on, target) {
            (Act::Cut, On::Span(form), Target::Place(place)) => {
                let room = self.rooms.get(form.id.as_str())?;
                let wish = wish_of(form, Some(kind), room.span, self.scene, self.ask);
                let station = place.station_mm;
                Some(tool::at_cut(
                    self.ask, kind, self.scene, room, &wish, station,
                ))
            }
            _ => Some(tool::without_cut(self.ask, kind)),
        }
    }
}

impl Draft<'_> {
    /// Whether a step parts metal: a cut at a place, or a line through a panel.
    fn parts_metal(&self, step: &Step) -> Option<CutStatus> {
        match &self.placed[&step.form.id].target {
            Target::Place(place) if step.form.act == Act::Cut => Some(place.status),
            Target::Panel(line) if step.form.act == Act::Cut => Some(line.status),
            _ => None,
        }
    }

    /// How each cut and each contact stands that counts; see [`Act::holds_the_car`].
    fn statuses(&self) -> Vec<CutStatus> {
        let of_step = |step: &Step| {
            let contacts = &self.placed[&step.form.id].contacts;
            let counted = contacts.iter().filter(|_| !step.form.act.holds_the_car());
            let contacts = counted.map(|c| c.place.status);
            self.parts_metal(step)
                .into_iter()
                .chain(contacts)
                .collect::<Vec<_>>()
        };
        self.steps.iter().flat_map(of_step).collect()
    }

    /// The planned opening, its steps in the order they stand, without its flags.
    pub fn finish(&self, scene: &Scene) -> PlannedOpening {
        let statuses = self.statuses();
        let count = |status: CutStatus| statuses.iter().filter(|s| **s == status).count();
        let cuts = self
            .steps
            .iter()
            .filter_map(|s| self.parts_metal(s))
            .count();
        let mut reasons = self.reasons.clone();
        reasons.extend(self.unknowns.iter().cloned());
        PlannedOpening {
            id: self.opening.id.clone(),
            name: self.opening.name.clone(),
            side: self.side,
            status: statuses.iter().copied().max(),
            cuts,
            looks: count(CutStatus::LookFirst),
            unknowns: self.unknowns.len(),
            blocked: count(CutStatus::Blocked),
            likely_occupied: count(CutStatus::LikelyOccupied),
            reasons,
            immediate: false,
            suits: self.fitness <= Fitness::IfSo,
            steps: self
                .steps
                .iter()
                .enumerate()
                .map(|(i, step)| self.planned(i + 1, step, scene))
                .collect(),
            flags: Vec::new(),
        }
    }

    fn planned(&self, n: usize, step: &Step, scene: &Scene) -> PlannedStep {
        let placed = self.placed[&step.form.id].clone();
        let mut because = step.because.clone();
        because.extend(super::because::of(&step.form, &placed, scene));
        PlannedStep {
            n,
            id: step.form.id.clone(),
            act: step.form.act,
            target: placed.target,
            contacts: placed.contacts,
            tool: placed.tool,
            gate: step.form.gate,
            crew: step.form.crew.clone(),
            inside: step.form.inside.clone(),
            stop: step.form.stop.clone(),
            because,
            // Known only when the immediate way is.
            exit_now: String::new(),
        }
    }

    /// Writes the fastest way out beside each step.
    pub fn write_exits(&self, opening: &mut PlannedOpening, immediate: Option<&str>) {
        let mut opened = Opened::default();
        for (step, planned) in self.steps.iter().zip(&mut opening.steps) {
            planned.exit_now = opened.now(immediate);
            if let Some(what) = &step.form.opens {
                opened.by(planned.n, what);
            }
        }
    }
}
