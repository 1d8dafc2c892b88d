//! How far the sources of power are made dead, and how long the restraint system
//! may stay live: counted from the last isolation done, by the card's own figure,
//! never a class default. It never says that the system is dead.

use crate::domain::card::{Card, PowerSource};
use crate::domain::opening::ask::{Ask, Isolated, Isolation};
use crate::domain::opening::result::{IsolationLine, Restraints};
use crate::domain::vehicle::Drive;
use time::{OffsetDateTime, UtcOffset};

const LIVE: &str = "treat as live";
const ELAPSED: &str = "hold time elapsed, still keep clear";

/// Sources in the order they are made dead. Of what is taken apart, 12 V comes
/// first, its negative pole first. Charging plug and key come before it: neither
/// needs a tool or the hood open, a plug that still charges keeps the high-voltage
/// side up whatever is cut, and a key in reach can wake the car again. Nothing is
/// lost by it: windows and seats were used before any of them.
pub const MADE_DEAD_IN_ORDER: [PowerSource; 6] = [
    PowerSource::ChargerOut,
    PowerSource::KeyAway,
    PowerSource::Main12v,
    PowerSource::Second12v,
    PowerSource::FortyEightVolt,
    PowerSource::HighVoltage,
];

/// Whether a source may be there: what a drive cannot have is left out unless the
/// card names it or somebody has answered for it. An unknown drive is planned as
/// battery drive.
pub fn applies(source: PowerSource, card: &Card, ask: &Ask) -> bool {
    let drive = ask.variant.drive.or(card.vehicle.drive);
    let burns_only = matches!(drive, Some(Drive::Petrol | Drive::Diesel | Drive::Gas));
    let high_voltage = matches!(source, PowerSource::HighVoltage | PowerSource::ChargerOut);
    let named = card.power_off.iter().any(|p| p.what == source);
    named || ask.isolation.contains_key(&source) || !(burns_only && high_voltage)
}

/// The isolation list and the hold time of an ask on a card.
pub fn restraints(card: &Card, ask: &Ask) -> Restraints {
    let sources = MADE_DEAD_IN_ORDER
        .into_iter()
        .filter(|s| applies(*s, card, ask));
    let list: Vec<(PowerSource, Isolation)> = sources
        .map(|source| (source, answer(ask, source)))
        .collect();
    let elapsed_s = elapsed_s(&list, ask.now);
    Restraints {
        hold_time_s: card.vehicle.hold_time_s,
        elapsed_s,
        say: say(card.vehicle.hold_time_s, elapsed_s),
        isolation: list
            .into_iter()
            .map(|(what, isolation)| IsolationLine {
                what,
                say: line(isolation),
            })
            .collect(),
    }
}

fn answer(ask: &Ask, source: PowerSource) -> Isolation {
    let unknown = Isolation {
        state: Isolated::Unknown,
        at: None,
    };
    ask.isolation.get(&source).copied().unwrap_or(unknown)
}

/// Seconds since the last isolation done. `None`: something that may be fitted
/// is not known to be off, a time is missing, or lies ahead of `now`. A charging
/// plug counts: while it is in, the high-voltage side, and through its converter
/// the 12 V side, may be fed. The key alone feeds nothing once every source is off,
/// so leaving it unanswered stops no count; taken away late, it does count.
fn elapsed_s(list: &[(PowerSource, Isolation)], now: Option<OffsetDateTime>) -> Option<i64> {
    let feeds = |s: PowerSource| s != PowerSource::KeyAway;
    let mut last: Option<OffsetDateTime> = None;
    for (source, isolation) in list {
        match (isolation.state, isolation.at) {
            (Isolated::Yes, Some(at)) => last = Some(last.map_or(at, |l| l.max(at))),
            (Isolated::NotFitted, _) => {}
            _ if feeds(*source) => return None,
            _ => {}
        }
    }
    let seconds = (now? - last?).whole_seconds();
    (seconds >= 0).then_some(seconds)
}

fn say(hold_time_s: Option<u32>, elapsed_s: Option<i64>) -> String {
    match (hold_time_s, elapsed_s) {
        (Some(hold), Some(elapsed)) if elapsed >= i64::from(hold) => ELAPSED.to_owned(),
        (Some(hold), Some(elapsed)) => format!("{LIVE}: {elapsed} s of {hold} s"),
        _ => LIVE.to_owned(),
    }
}

fn line(isolation: Isolation) -> String {
    match (isolation.state, isolation.at) {
        (Isolated::Yes, Some(at)) => {
            let at = at.to_offset(UtcOffset::UTC);
            let (h, m, s) = at.to_hms();
            format!("done at {h:02}:{m:02}:{s:02} UTC")
        }
        (Isolated::Yes, None) => "done, time unknown".to_owned(),
        (Isolated::No, _) => "not done".to_owned(),
        (Isolated::Unknown, _) => "unknown".to_owned(),
        (Isolated::NotFitted, _) => "not fitted".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::body::StyleId;
    use crate::domain::opening::ask::Care;
    use crate::domain::vehicle::Vehicle;
    use time::macros::datetime;

    fn card(drive: Option<Drive>, hold_time_s: Option<u32>) -> Card {
        Card::unrecorded(Vehicle {
            drive,
            hold_time_s,
            ..Vehicle::of_style(StyleId::Sedan)
        })
    }

    /// Everything a petrol car may have, off at 10:00:00, the second battery later.
    fn all_off() -> Ask {
        let mut ask = Ask::of("front-left", Care::Gentle);
        let off = |at| Isolation {
            state: Isolated::Yes,
            at: Some(at),
        };
        ask.isolation.insert(
            PowerSource::Main12v,
            off(datetime!(2026-03-05 10:00:00 UTC)),
        );
        ask.isolation.insert(
            PowerSource::Second12v,
            off(datetime!(2026-03-05 10:01:00 UTC)),
        );
        let absent = Isolation {
            state: Isolated::NotFitted,
            at: None,
        };
        ask.isolation.insert(PowerSource::FortyEightVolt, absent);
        ask.now = Some(datetime!(2026-03-05 10:03:00 UTC));
        ask
    }

    #[test]
    fn the_count_runs_from_the_last_isolation_done() {
        let found = restraints(&card(Some(Drive::Petrol), Some(300)), &all_off());
        assert_eq!(found.elapsed_s, Some(120));
        assert_eq!(found.say, "treat as live: 120 s of 300 s");
    }

    #[test]
    fn a_hold_time_that_has_run_out_still_says_keep_clear() {
        let found = restraints(&card(Some(Drive::Petrol), Some(120)), &all_off());
        assert_eq!(found.say, "hold time elapsed, still keep clear");
    }

    #[test]
    fn nothing_is_counted_while_anything_is_unknown() {
        let live = |card: &Card, ask: &Ask| restraints(card, ask).say == "treat as live";
        let petrol = card(Some(Drive::Petrol), Some(60));
        assert!(
            live(&card(Some(Drive::Petrol), None), &all_off()),
            "no hold time on the card"
        );
        assert!(
            live(&card(None, Some(60)), &all_off()),
            "an unknown drive may be high voltage"
        );
        for gone in [
            PowerSource::Main12v,
            PowerSource::Second12v,
            PowerSource::FortyEightVolt,
        ] {
            let mut ask = all_off();
            ask.isolation.remove(&gone);
            assert!(live(&petrol, &ask), "{gone}");
        }
        let mut ask = all_off();
        ask.isolation.insert(
            PowerSource::Main12v,
            Isolation {
                state: Isolated::Yes,
                at: None,
            },
        );
        assert!(live(&petrol, &ask), "no time");
        let ahead = Ask {
            now: Some(datetime!(2026-03-05 09:00:00 UTC)),
            ..all_off()
        };
        assert!(live(&petrol, &ahead), "a time ahead of now");
        assert!(
            live(
                &petrol,
                &Ask {
                    now: None,
                    ..all_off()
                }
            ),
            "no clock"
        );
    }

    #[test]
    fn a_drive_that_may_be_plugged_in_lists_charger_and_high_voltage() {
        let listed = |drive| {
            let found = restraints(&card(drive, None), &Ask::of("front-left", Care::Now));
            found.isolation.iter().map(|l| l.what).collect::<Vec<_>>()
        };
        assert!(listed(None).contains(&PowerSource::HighVoltage));
        assert!(listed(Some(Drive::Battery)).contains(&PowerSource::ChargerOut));
        assert!(!listed(Some(Drive::Diesel)).contains(&PowerSource::HighVoltage));
        assert_eq!(listed(None), MADE_DEAD_IN_ORDER);
    }

    #[test]
    fn a_charging_plug_nobody_has_answered_for_is_treated_as_live_and_a_key_is_not() {
        let hybrid = card(Some(Drive::Hybrid), Some(60));
        let mut ask = all_off();
        let off = ask.isolation[&PowerSource::Main12v];
        ask.isolation.insert(PowerSource::HighVoltage, off);
        assert_eq!(
            restraints(&hybrid, &ask).say,
            LIVE,
            "the plug is unanswered"
        );
        let answer = |state, at| Isolation { state, at };
        for left in [Isolated::No, Isolated::Unknown] {
            ask.isolation
                .insert(PowerSource::ChargerOut, answer(left, None));
            assert_eq!(restraints(&hybrid, &ask).say, LIVE, "{left}");
        }
        ask.isolation
            .insert(PowerSource::ChargerOut, answer(Isolated::Yes, off.at));
        assert_eq!(
            restraints(&hybrid, &ask).elapsed_s,
            Some(120),
            "the key alone stops no count"
        );
        let late = Some(datetime!(2026-03-05 10:02:30 UTC));
        ask.isolation
            .insert(PowerSource::KeyAway, answer(Isolated::Yes, late));
        assert_eq!(
            restraints(&hybrid, &ask).elapsed_s,
            Some(30),
            "a key taken away late counts"
        );
    }

    #[test]
    fn what_the_card_names_is_on_the_list_whatever_the_drive() {
        let mut petrol = card(Some(Drive::Petrol), Some(60));
        petrol.power_off.push(crate::domain::card::PowerOff {
            what: PowerSource::HighVoltage,
            where_: "under the hood".to_owned(),
            how: "cut the loop".to_owned(),
        });
        let found = restraints(&petrol, &all_off());
        assert_eq!(
            found.say, LIVE,
            "a high-voltage loop on the card is unanswered"
        );
    }
}
