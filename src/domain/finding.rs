//! Findings: dated statements by one member about one car.

use super::frame::Point;
use super::kind::{Bag, Kind};
use super::vehicle::{Variant, words};

words! {
    /// How a place was learnt; it bounds the error of each end.
    Source {
        Measured = "measured", Photo = "photo", Drawing = "drawing",
        Seen = "seen", Schematic = "schematic", Told = "told",
    }
}

words! {
    /// Where a finding stands. Only `accepted` and `offered` act.
    Status {
        Accepted = "accepted", Offered = "offered", Declined = "declined",
        Superseded = "superseded", Withdrawn = "withdrawn",
    }
}

words! {
    /// How far a bare finding looked.
    Depth {
        /* trim off, the near face seen */
        Skin = "skin",
        /* also looked into the section and behind it, or there is nothing to look into */
        Through = "through",
    }
}

impl Source {
    /// Bound ±a in mm on the error of each end (policy default, common practice).
    pub const fn bound_mm(self) -> f64 {
        match self {
            Self::Measured => 25.0,
            Self::Photo | Self::Drawing => 40.0,
            Self::Seen => 100.0,
            Self::Schematic | Self::Told => 200.0,
        }
    }

    /// Whether a car was looked at, so that `car` must be named.
    pub const fn looked_at_a_car(self) -> bool {
        matches!(self, Self::Measured | Self::Photo | Self::Seen)
    }

    /// The source in words for people.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Measured => "trim off, tape on the metal",
            Self::Photo => "tape or scale in the member's own photo",
            Self::Drawing => "a dimensioned drawing the department holds",
            Self::Seen => "trim off, seen, not measured",
            Self::Schematic => "a drawing without dimensions",
            Self::Told => "passed on by word, or trim still on",
        }
    }
}

/// Where a component or a bare stretch is, as it was entered.
#[derive(Debug, Clone, PartialEq)]
pub enum Place {
    /// Two stations on a span, `from_mm` ≤ `to_mm`, arc length from its foot.
    OnSpan {
        span: String,
        from_mm: f64,
        to_mm: f64,
    },
    /// Two points in the frame.
    Points([Point; 2]),
}

/// An officer's word that a bare finding stands although a component overlaps it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Resolved {
    pub by: String,
    pub on: time::Date,
}

/// "This component is here."
#[derive(Debug, Clone, PartialEq)]
pub struct ComponentReport {
    /// The component's id on this card: its own, or "the same as …".
    pub component: String,
    pub kind: Kind,
    pub place: Place,
    /// Half the thickness across, mm; `None` reports the kind's default.
    pub radius_mm: Option<f64>,
    pub bag: Option<Bag>,
    /// Seat whose belt this is, for example `front-left`.
    pub belt_seat: Option<String>,
    pub steel: Steel,
    pub gas: Gas,
}

/// What is known of a reinforcement's steel.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Steel {
    pub uts_mpa: Option<f64>,
    pub thickness_mm: Option<f64>,
    pub layers: Option<u32>,
    pub perimeter_mm: Option<f64>,
}

impl Steel {
    /// Tensile strength, MPa.
    pub const UTS_MPA: std::ops::RangeInclusive<f64> = 1.0..=5_000.0;
    /// Of one sheet, mm.
    pub const THICKNESS_MM: std::ops::RangeInclusive<f64> = 0.1..=100.0;
    /// Sheets one on another.
    pub const LAYERS: std::ops::RangeInclusive<i64> = 1..=50;
    /// Round the section, mm.
    pub const PERIMETER_MM: std::ops::RangeInclusive<f64> = 1.0..=10_000.0;
}

impl Gas {
    /// Filling pressure, MPa.
    pub const PRESSURE_MPA: std::ops::RangeInclusive<f64> = 0.0..=250.0;
    pub const VOLUME_CM3: std::ops::RangeInclusive<f64> = 0.0..=1_000_000.0;
}

/// What is known of a cylinder's content.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Gas {
    pub pressure_mpa: Option<f64>,
    pub volume_cm3: Option<f64>,
    pub gas: Option<String>,
}

/// "Trim off, bare from here to here." Says nothing about steel.
#[derive(Debug, Clone, PartialEq)]
pub struct BareReport {
    pub span: String,
    pub from_mm: f64,
    pub to_mm: f64,
    pub depth: Depth,
    pub resolved: Option<Resolved>,
}

/// What a finding states.
#[derive(Debug, Clone, PartialEq)]
pub enum Report {
    Component(ComponentReport),
    Bare(BareReport),
}

/// One dated statement by one member about one car.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    pub id: String,
    pub report: Report,
    pub source: Source,
    /// The finding's own bound ±mm in place of the source's.
    pub within_mm: Option<f64>,
    pub observed_on: time::Date,
    pub by: Option<String>,
    /// The department's own label of the car looked at.
    pub car: Option<String>,
    /// The variant of the car looked at.
    pub observed: Variant,
    pub status: Status,
    pub note: Option<String>,
    /// Id of the finding this one corrects; for the reader, only `status` acts.
    pub supersedes: Option<String>,
    /// Why it was withdrawn or declined.
    pub reason: Option<String>,
}

impl Finding {
    /// Bounds ±mm a finding may give of its own.
    pub const WITHIN_MM: std::ops::RangeInclusive<f64> = 5.0..=1000.0;

    /// Bound ±a in mm on the error of each end.
    pub fn bound_mm(&self) -> f64 {
        self.within_mm.unwrap_or(self.source.bound_mm())
    }

    /// The same as an offer: what others decided about it elsewhere does not count.
    #[must_use]
    pub fn as_offered(mut self) -> Self {
        self.status = Status::Offered;
        self.reason = None;
        if let Report::Bare(bare) = &mut self.report {
            bare.resolved = None;
        }
        self
    }

    /// Whether both state the same of the same look, however they are numbered and
    /// wherever they stand.
    pub fn repeats(&self, other: &Self) -> bool {
        self.stated() == other.stated()
    }

    /// The finding without its numbers and without what was decided about it.
    fn stated(&self) -> Self {
        let mut stated = self.clone().as_offered();
        stated.id.clear();
        stated.supersedes = None;
        if let Report::Component(report) = &mut stated.report {
            report.component.clear();
        }
        stated
    }

    /// Whether it acts on the zones at all.
    pub fn acts(&self) -> bool {
        matches!(self.status, Status::Accepted | Status::Offered)
    }
}
