//! A card: one department's record of one vehicle. What is shared.

use super::annotation::Annotation;
use super::body::Measured;
use super::finding::Finding;
use super::policy::Policy;
use super::vehicle::{Vehicle, words};
use std::collections::BTreeMap;

words! {
    /// What a pane is made of. Unknown: treat as laminated for the tool, as
    /// tempered for covering the patient.
    Glass { Laminated = "laminated", Tempered = "tempered", Unknown = "unknown" }
}

words! {
    /// What is made dead before cutting.
    PowerSource {
        Main12v = "12v-main", Second12v = "12v-second", HighVoltage = "hv",
        FortyEightVolt = "48v", KeyAway = "key-away", ChargerOut = "charger-out",
    }
}

/// How one source of power is made dead, from the vehicle's own documents.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PowerOff {
    pub what: PowerSource,
    pub where_: String,
    pub how: String,
}

/// One department's record of one vehicle.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    pub vehicle: Vehicle,
    pub measured: Measured,
    pub policy: Policy,
    pub findings: Vec<Finding>,
    /// How to tell it from its look-alikes.
    pub identify: Option<String>,
    pub power_off: Vec<PowerOff>,
    /// By pane id of the body style; a pane not named is unknown.
    pub glass: BTreeMap<String, Glass>,
    /// Notes beside it, in the order they were written.
    pub annotations: Vec<Annotation>,
    /// Kept as they came until reviews are read.
    pub reviews: Vec<serde_json::Value>,
    /// Whether a review of it is overdue: then no bare finding counts. A card file
    /// says nothing of it.
    pub review_overdue: bool,
}

impl Card {
    /// Takes out the notes that are not for everybody who reads the card: those
    /// hidden, declined or withdrawn.
    pub fn keep_notes_for_all(&mut self) {
        self.annotations
            .retain(|noted| noted.note.standing.is_for_all());
        for noted in &mut self.annotations {
            noted.replies.retain(|reply| reply.standing.is_for_all());
        }
    }

    /// A card of a vehicle on which nothing is recorded yet, under the default
    /// policy.
    pub fn unrecorded(vehicle: Vehicle) -> Self {
        Self {
            vehicle,
            measured: Measured::default(),
            policy: Policy::default(),
            findings: Vec::new(),
            identify: None,
            power_off: Vec::new(),
            glass: BTreeMap::new(),
            annotations: Vec::new(),
            reviews: Vec::new(),
            review_overdue: false,
        }
    }
}
