//! What every store must do, whatever database is behind it: each test opens an
//! empty one and speaks to it through `Store` alone. `file` holds what concerns
//! the SQLite file itself.

pub mod annotations;
mod archive_notes;
mod archives;
mod audit;
mod cards;
mod deciding;
mod drafts;
mod file;
mod findings;
mod leaving;
mod lineage;
mod note_photos;
mod photo_files;
mod plan_settings;
mod reviews;
pub mod sharing;
mod statuses;
mod together;

use pillarbook::domain::body::{Measured, StyleId};
use pillarbook::domain::finding::{
    BareReport, ComponentReport, Depth, Finding, Gas, Place, Report, Source, Status, Steel,
};
use pillarbook::domain::kind::Kind;
use pillarbook::domain::role::{Role, Roles};
use pillarbook::domain::vehicle::{Drive, Variant, Vehicle, Years};
use pillarbook::store::{Actor, CardDetails, CardId, StatusChange, Store};
use std::collections::BTreeMap;
use std::path::PathBuf;
use time::OffsetDateTime;
use time::macros::{date, datetime};

pub const NOW: OffsetDateTime = datetime!(2026-03-05 10:00:00.25 UTC);

/// An empty store in a directory that goes with it.
pub struct Empty {
    pub store: Store,
    pub path: PathBuf,
    pub directory: tempfile::TempDir,
}

pub async fn empty() -> Empty {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("pillarbook.db");
    let store = Store::open(path.to_str().unwrap()).await.unwrap();
    Empty {
        store,
        path,
        directory,
    }
}

/// A member of a new department.
pub async fn member_of(store: &Store, department: &str) -> Actor {
    let department = store.create_department(department, NOW).await.unwrap();
    let member = store.create_member(&department.id, "Ada Fenn", NOW).await;
    member.unwrap().unwrap()
}

/// One more officer of a department.
pub async fn officer_of(store: &Store, of: &Actor, name: &str) -> Actor {
    let roles = Roles::from_iter([Role::Officer]);
    let made = store.create_member_with(&of.department, name, roles, NOW);
    made.await.unwrap().unwrap()
}

pub fn details() -> CardDetails {
    CardDetails {
        vehicle: Vehicle {
            make: Some("Corvel".into()),
            model: Some("Tarn".into()),
            years: Some(Years {
                first: 2019,
                last: 2023,
            }),
            body_style: StyleId::Sedan,
            drive: Some(Drive::Petrol),
            wheel: None,
            roof: None,
            region: Some("US".into()),
            hold_time_s: None,
        },
        measured: Measured {
            length_mm: Some(4700.5),
            landmarks: BTreeMap::from([("b-pillar-foot.left".into(), [Some(1250.0), None, None])]),
            ..Measured::default()
        },
        identify: Some("Three slats in the grille.".into()),
        power_off: Vec::new(),
        glass: BTreeMap::new(),
    }
}

pub fn component(id: &str, component: &str, from_mm: f64, to_mm: f64) -> Finding {
    Finding {
        id: id.into(),
        report: Report::Component(ComponentReport {
            component: component.into(),
            kind: Kind::Pretensioner,
            place: Place::OnSpan {
                span: "b-pillar.left".into(),
                from_mm,
                to_mm,
            },
            radius_mm: Some(25.0),
            bag: None,
            belt_seat: Some("front-left".into()),
            steel: Steel::default(),
            gas: Gas::default(),
        }),
        source: Source::Measured,
        within_mm: None,
        observed_on: date!(2026 - 03 - 04),
        by: Some("Ada Fenn".into()),
        car: Some("yard 14".into()),
        observed: Variant {
            year: Some(2021),
            ..Variant::default()
        },
        status: Status::Accepted,
        note: None,
        supersedes: None,
        reason: None,
    }
}

pub fn bare(id: &str, status: Status) -> Finding {
    Finding {
        report: Report::Bare(BareReport {
            span: "b-pillar.left".into(),
            from_mm: 320.0,
            to_mm: 700.0,
            depth: Depth::Through,
            resolved: None,
        }),
        status,
        ..component(id, "", 0.0, 0.0)
    }
}

/// The status of a finding in a list.
pub fn status_of(findings: &[Finding], id: &str) -> Status {
    findings.iter().find(|f| f.id == id).unwrap().status
}

/// A card of the local member with these findings, at revision 2.
pub async fn card_with(store: &Store, findings: &[Finding]) -> (Actor, CardId) {
    let actor = store.ensure_local(NOW).await.unwrap();
    let card = store.create_card(&actor, &details(), NOW).await.unwrap();
    store
        .add_findings(&actor, &card.id, Some(1), findings, NOW)
        .await
        .unwrap();
    (actor, card.id)
}

/// A change of status.
pub fn to(finding: &str, status: Status, reason: Option<&str>) -> StatusChange {
    StatusChange {
        finding: finding.into(),
        status,
        reason: reason.map(str::to_owned),
    }
}

/// The findings of a card as they stand now.
pub async fn findings(store: &Store, actor: &Actor, card: &CardId) -> Vec<Finding> {
    let card = store.card(&actor.department, card).await.unwrap();
    card.unwrap().card.findings
}
