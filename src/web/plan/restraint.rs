//! What may still be live: the isolation list with its hold time, and the room
//! to keep from bags that are not known to have fired.

use super::words;
use crate::domain::body::Seat;
use crate::domain::card::PowerSource;
use crate::domain::kind::Bag;
use crate::domain::opening::restraint::caregiver_seat;
use crate::domain::opening::{Ask, DeploymentKeepOut, Isolated, Plan};
use crate::domain::units::Rounding;
use crate::sketch::{Person, Room, Who};
use crate::web::figures::both;
use crate::web::reading::Reading;
use crate::web::say;
use std::collections::{BTreeMap, BTreeSet};

/// The box every plan begins with.
pub struct RestraintBox {
    pub say: String,
    pub hold: String,
    pub elapsed: Option<Elapsed>,
    pub lines: Vec<SourceLine>,
}

/// Time since the last isolation done; counts up, and never says it is over.
pub struct Elapsed {
    pub seconds: i64,
    pub said: String,
}

/// One source of power, and the button that says it is done now.
pub struct SourceLine {
    pub word: &'static str,
    pub name: &'static str,
    pub said: String,
    pub done: bool,
}

/// Room to keep from one bag.
pub struct BagRoom {
    bag: Bag,
    pub name: String,
    pub said: String,
    pub caregiver: Option<String>,
    source: String,
}

impl RestraintBox {
    /// Lines that somebody has answered.
    pub fn done(&self) -> usize {
        self.lines.iter().filter(|l| l.done).count()
    }

    pub fn begun(&self) -> bool {
        self.done() > 0
    }

    pub fn of(plan: &Plan) -> Self {
        let r = &plan.restraints;
        let hold = match r.hold_time_s {
            Some(seconds) => format!(
                "Hold time on the card: {}. It runs from the last isolation done.",
                clock(i64::from(seconds))
            ),
            None => "Hold time: not on the card.".to_owned(),
        };
        let elapsed = r.elapsed_s.map(|seconds| Elapsed {
            seconds,
            said: clock(seconds),
        });
        let line = |line: &crate::domain::opening::IsolationLine| SourceLine {
            word: line.what.word(),
            name: words::source(line.what),
            said: done_ago(&plan.ask, line.what).unwrap_or_else(|| line.say.clone()),
            done: plan
                .ask
                .isolation
                .get(&line.what)
                .is_some_and(|i| i.at.is_some() || i.state == Isolated::NotFitted),
        };
        Self {
            say: say::sentence(&r.say),
            hold,
            elapsed,
            lines: r.isolation.iter().map(line).collect(),
        }
    }
}

/// Minutes tell a crew more than a clock of another zone.
fn done_ago(ask: &Ask, what: PowerSource) -> Option<String> {
    let (at, now) = (ask.isolation.get(&what)?.at?, ask.now?);
    let seconds = (now - at).whole_seconds();
    (seconds >= 0).then(|| format!("done {} ago", clock(seconds)))
}

/// `4 min 07 s`
fn clock(seconds: i64) -> String {
    format!("{} min {:02} s", seconds / 60, seconds % 60)
}

/// Every bag that may still fire, with whom it reaches.
pub fn bag_rooms(reading: &Reading, plan: &Plan) -> Vec<BagRoom> {
    let mut rooms: Vec<BagRoom> = Vec::new();
    for keep_out in &plan.keep_outs {
        let room = bag_room(reading, keep_out);
        // Of one bag recorded part by part the same is said once.
        let same = |r: &&mut BagRoom| {
            r.bag == room.bag && r.said == room.said && r.caregiver == room.caregiver
        };
        match rooms.iter_mut().find(same) {
            Some(known) => known.name = format!("{}; {}", known.name, keep_out.at),
            None => rooms.push(room),
        }
    }
    rooms
}

/// Where the distances are from, each once.
pub fn sources(rooms: &[BagRoom]) -> String {
    let all: BTreeSet<&str> = rooms.iter().map(|r| r.source.as_str()).collect();
    let all: Vec<String> = all.into_iter().map(say::sentence).collect();
    all.join(". ")
}

/// Patients, and the caregiver where no patient sits.
pub fn people(reading: &Reading, ask: &Ask) -> Vec<Person> {
    let style = reading.body.style;
    let patient = |seat: &&Seat| ask.seats.contains(&seat.id);
    let person = |seat: &Seat, who: Who| Person {
        at_mm: reading.body.map_point(seat.h_point),
        who,
    };
    let helpers: BTreeMap<&str, &Seat> = ask
        .seats
        .iter()
        .filter_map(|id| caregiver_seat(id, style))
        .filter(|seat| !patient(seat))
        .map(|seat| (&*seat.id, seat))
        .collect();
    let patients = style.seats.iter().filter(patient);
    patients
        .map(|seat| person(seat, Who::Patient))
        .chain(helpers.values().map(|seat| person(seat, Who::Caregiver)))
        .collect()
}

/// The same for a drawing.
pub fn rooms(reading: &Reading, plan: &Plan) -> Vec<Room> {
    let room = |keep_out: &DeploymentKeepOut| {
        let said = bag_room(reading, keep_out);
        let caregiver = said.caregiver.map(|c| format!(" Caregiver: {c}."));
        Room {
            from_mm: keep_out.from_mm.clone(),
            distance_mm: keep_out.distance_mm,
            said: format!(
                "{}: {}{}",
                said.name,
                said.said,
                caregiver.unwrap_or_default()
            ),
        }
    };
    plan.keep_outs.iter().map(room).collect()
}

fn bag_room(reading: &Reading, keep_out: &DeploymentKeepOut) -> BagRoom {
    let seats = reading.body.style.seats.iter();
    let inside: Vec<String> = seats
        .filter(|s| keep_out.seats.contains(&s.id))
        .map(|s| s.name.to_lowercase())
        .collect();
    let room = match keep_out.distance_mm {
        Some(mm) => format!("keep {} off", both(mm, Rounding::Up)),
        None => "room to keep unknown".to_owned(),
    };
    let inside = if inside.is_empty() {
        String::new()
    } else {
        format!(" Inside it: {}.", say::list(&inside))
    };
    BagRoom {
        bag: keep_out.bag,
        name: format!(
            "{}, {}",
            say::sentence(&words::bag(keep_out.bag)),
            keep_out.at
        ),
        said: format!("{room}.{inside}"),
        caregiver: keep_out.caregiver.clone(),
        source: keep_out.source.clone(),
    }
}
