//! What is asked and answered in words, each phrased once for the pages of a
//! plan. Nothing is called safe, ready or recommended.

use crate::domain::card::PowerSource;
use crate::domain::frame::Side;
use crate::domain::kind::Bag;
use crate::domain::opening::template::{Act, ContactKind};
use crate::domain::opening::{
    Answer, Care, Contact, CutStatus, Fired, Isolated, Resting, ToolFit, Trapped,
};
use crate::web::reading::Reading;
use crate::web::say;

/// Where the card stands, in one line.
pub fn stand(reading: &Reading) -> String {
    match &reading.stand {
        Some(stand) => format!(
            "Revision {} · {} · {} · {}",
            stand.revision,
            say::day(stand.date),
            stand.department_name,
            stand.review
        ),
        None => "Body style only: nobody has looked at this car".to_owned(),
    }
}

pub const fn care(care: Care) -> &'static str {
    match care {
        Care::OwnWayOut => "By their own way",
        Care::Gentle => "Gentle",
        Care::Now => "Now",
    }
}

pub const fn care_means(care: Care) -> &'static str {
    match care {
        Care::OwnWayOut => "They can move, and come out coached.",
        Care::Gentle => "Least movement. Room to handle them in line.",
        Care::Now => "Minutes count. The way out with the least steps.",
    }
}

pub const fn trapped(trapped: Trapped) -> &'static str {
    match trapped {
        Trapped::Not => "not trapped",
        Trapped::BySpace => "by lack of space",
        Trapped::Pinned => "pinned",
    }
}

pub const fn contact(contact: Contact) -> &'static str {
    match contact {
        Contact::Side => "side of the car",
        Contact::Door => "door",
        Contact::Dash => "dash",
        Contact::Column => "steering column",
        Contact::Pedals => "pedals",
        Contact::SeatBack => "seat-back",
        Contact::Roof => "roof",
        Contact::Belt => "belt",
        Contact::Object => "an object",
    }
}

pub const fn answer(answer: Answer) -> &'static str {
    match answer {
        Answer::Yes => "yes",
        Answer::No => "no",
        Answer::Unknown => "unknown",
    }
}

pub const fn resting(resting: Resting) -> &'static str {
    match resting {
        Resting::Wheels => "its wheels",
        Resting::Left => "its left side",
        Resting::Right => "its right side",
        Resting::Roof => "its roof",
    }
}

pub const fn fired(fired: Fired) -> &'static str {
    match fired {
        Fired::No => "not fired",
        Fired::Once => "fired once",
        Fired::Unknown => "unknown",
    }
}

pub const fn isolated(isolated: Isolated) -> &'static str {
    match isolated {
        Isolated::Yes => "done",
        Isolated::No => "not done",
        Isolated::Unknown => "unknown",
        Isolated::NotFitted => "not fitted",
    }
}

pub const fn source(source: PowerSource) -> &'static str {
    match source {
        PowerSource::Main12v => "12 V, main battery",
        PowerSource::Second12v => "12 V, second battery",
        PowerSource::HighVoltage => "high voltage",
        PowerSource::FortyEightVolt => "48 V",
        PowerSource::KeyAway => "key out of range",
        PowerSource::ChargerOut => "charger unplugged",
    }
}

/// A bag in words; the belt's and the outside ones say so.
pub fn bag(bag: Bag) -> String {
    match bag {
        Bag::Belt => "bag in the belt".to_owned(),
        Bag::External => "bag outside the car".to_owned(),
        other => format!("{} bag", other.word().replace('-', " ")),
    }
}

pub const fn status(status: CutStatus) -> &'static str {
    match status {
        CutStatus::SeenBare => "seen bare",
        CutStatus::LookFirst => "look first",
        CutStatus::LikelyOccupied => "likely occupied",
        CutStatus::Blocked => "blocked",
    }
}

/// The class of a status's flag: how heavy its edge is, never a colour alone.
pub const fn status_edge(status: CutStatus) -> &'static str {
    match status {
        CutStatus::SeenBare => "thin",
        CutStatus::LookFirst => "dashed",
        CutStatus::LikelyOccupied => "expect",
        CutStatus::Blocked => "nocut double",
    }
}

pub const fn fit(fit: ToolFit) -> &'static str {
    match fit {
        ToolFit::EstimateFits => "by estimate within its rated force",
        ToolFit::Near => "near its rated force",
        ToolFit::MayStall => "may stall",
        ToolFit::Unknown => "fit unknown",
    }
}

pub const fn act(act: Act) -> &'static str {
    match act {
        Act::Stabilise => "Stabilise",
        Act::Shore => "Shore",
        Act::Isolate => "Isolate",
        Act::ManageGlass => "Manage glass",
        Act::Expose => "Trim off and look",
        Act::Cut => "Cut",
        Act::Spread => "Spread",
        Act::Ram => "Ram",
        Act::Crush => "Crush",
        Act::SeverBelt => "Sever the belt",
        Act::Support => "Hold",
        Act::Displace => "Move",
        Act::Lift => "Lift",
        Act::Cover => "Cover",
    }
}

pub const fn contact_kind(kind: ContactKind) -> &'static str {
    match kind {
        ContactKind::SpreaderTip => "spreader tip",
        ContactKind::RamFoot => "ram foot",
        ContactKind::Crib => "crib",
        ContactKind::Strut => "strut",
        ContactKind::LiftPoint => "lift point",
    }
}

pub const fn side(side: Option<Side>) -> &'static str {
    match side {
        Some(Side::Left) => "left",
        Some(Side::Right) => "right",
        _ => "",
    }
}
