//! The columns a table of findings may have, as people head them, and the field
//! of the card file that each fills.

use crate::contract::path::{Path, Segment};
use crate::domain::vehicle::words;

words! {
    /// A column, by the header the template gives it.
    Column {
        What = "What was found", Kind = "Kind", Span = "Span", End = "Taken from",
        From = "From mm", To = "To mm",
        FirstX = "First x mm", FirstY = "First y mm", FirstZ = "First z mm",
        SecondX = "Second x mm", SecondY = "Second y mm", SecondZ = "Second z mm",
        Across = "Thickness across mm", Depth = "How deep",
        Source = "How it was learnt", Within = "Within mm", Day = "Day", By = "Who looked",
        Car = "Which car", Part = "Same part as", Bag = "Which bag", Seat = "Belt of seat",
        Year = "Model year", Drive = "Drive", Wheel = "Steering wheel", Roof = "Roof",
        Region = "Region", Strength = "Strength MPa", Sheet = "Sheet thickness mm",
        Layers = "Layers", Round = "Round the section mm", Pressure = "Pressure MPa",
        Volume = "Volume cm3", Gas = "Gas", Note = "Note",
    }
}

impl Column {
    /// Columns that every table has to have, beside those of a place.
    pub(super) const REQUIRED: [Self; 2] = [Self::Source, Self::Day];
    /// A place on a span.
    pub(super) const ON_SPAN: [Self; 3] = [Self::Span, Self::From, Self::To];
    /// A place between two points in the frame: x, y and z of each.
    pub(super) const POINTS: [[Self; 3]; 2] = [
        [Self::FirstX, Self::FirstY, Self::FirstZ],
        [Self::SecondX, Self::SecondY, Self::SecondZ],
    ];

    /// Other headers for the same.
    pub(super) const fn other_names(self) -> &'static [&'static str] {
        match self {
            Self::What => &["what", "report", "found"],
            Self::Kind => &["component kind"],
            Self::Span => &["place"],
            Self::End => &["measured from", "end"],
            Self::From => &["from"],
            Self::To => &["to"],
            Self::FirstX => &["first x", "x1 mm", "x1"],
            Self::FirstY => &["first y", "y1 mm", "y1"],
            Self::FirstZ => &["first z", "z1 mm", "z1"],
            Self::SecondX => &["second x", "x2 mm", "x2"],
            Self::SecondY => &["second y", "y2 mm", "y2"],
            Self::SecondZ => &["second z", "z2 mm", "z2"],
            Self::Across => &["thickness across", "thickness", "across"],
            Self::Depth => &["depth"],
            Self::Source => &["source", "how learnt"],
            Self::Within => &["within"],
            Self::Day => &["date", "observed on"],
            Self::By => &["by", "who"],
            Self::Car => &["car"],
            Self::Part => &["part", "component"],
            Self::Bag => &["bag"],
            Self::Seat => &["belt seat", "seat"],
            Self::Year => &["year"],
            Self::Wheel => &["wheel", "wheel side"],
            Self::Strength => &["strength", "uts mpa"],
            Self::Sheet => &["sheet thickness", "thickness mm"],
            Self::Round => &["round the section", "perimeter mm"],
            Self::Pressure => &["pressure"],
            Self::Volume => &["volume", "volume cm³"],
            Self::Note => &["notes", "remark"],
            Self::Drive | Self::Roof | Self::Region | Self::Layers | Self::Gas => &[],
        }
    }

    /// What to write into it, as the page explains it.
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::What => "part or bare; may be left out where Kind or How deep says it",
            Self::Kind => "of a part: what it is",
            Self::Span => "pillar, rail or sill; blank where the part is given by two points",
            Self::End => {
                "the end of the span that From and To are taken from: foot or head; blank is foot"
            }
            Self::From | Self::To => "a figure in mm, or with its unit: 16 3/8 in, 4½ hands",
            Self::FirstX | Self::SecondX => {
                "of a part beside the spans, one end: behind the front axle, with a minus ahead of it; the six cells of both ends in the place of Span, From and To"
            }
            Self::FirstY | Self::SecondY => {
                "of that end: right of the middle of the car as seated facing forward, with a minus left of it"
            }
            Self::FirstZ | Self::SecondZ => "of that end: above the ground",
            Self::Across => {
                "of a part: in mm or with its unit; blank is its kind’s usual, shown as assumed"
            }
            Self::Depth => {
                "of a bare stretch: skin (the near face seen) or through (looked behind it too)"
            }
            Self::Source => "measured, photo, drawing, seen, schematic or told",
            Self::Within => "own bound, 5 to 1000 mm; blank is the usual of how it was learnt",
            Self::Day => "year-month-day: 2026-03-04",
            Self::By => "name of who looked",
            Self::Car => {
                "your own label of the car, for example yard 14; needed wherever a car was looked at"
            }
            Self::Part => {
                "the number of a part on this card, or one word of your own for rows about one new part; blank is a part of its own"
            }
            Self::Bag => "of an inflator, gas cylinder or folded bag",
            Self::Seat => "of a belt pretensioner",
            Self::Year => "of the car looked at",
            Self::Drive | Self::Wheel | Self::Roof | Self::Region => {
                "of the car looked at; blank is unknown"
            }
            Self::Strength | Self::Sheet | Self::Layers | Self::Round => "of high-strength steel",
            Self::Pressure | Self::Volume | Self::Gas => "of what holds gas",
            Self::Note => "up to 4000 characters",
        }
    }

    /// The column that fills a field of a finding in the card file.
    pub(super) fn of_field(field: &Path) -> Option<Self> {
        let name = field.segments().iter().rev().find_map(|s| match s {
            Segment::Field(name) => Some(name.as_str()),
            Segment::Item(_) => None,
        });
        Some(match name? {
            "report" => Self::What,
            "kind" => Self::Kind,
            "radius_mm" => Self::Across,
            "depth" => Self::Depth,
            "source" => Self::Source,
            "within_mm" => Self::Within,
            "observed_on" => Self::Day,
            "by" => Self::By,
            "car" => Self::Car,
            "component" => Self::Part,
            "bag" => Self::Bag,
            "belt_seat" => Self::Seat,
            "year" => Self::Year,
            "drive" => Self::Drive,
            "wheel" => Self::Wheel,
            "roof" => Self::Roof,
            "region" => Self::Region,
            "uts_mpa" => Self::Strength,
            "thickness_mm" => Self::Sheet,
            "layers" => Self::Layers,
            "perimeter_mm" => Self::Round,
            "pressure_mpa" => Self::Pressure,
            "volume_cm3" => Self::Volume,
            "gas" => Self::Gas,
            "note" => Self::Note,
            _ => return None,
        })
    }
}
