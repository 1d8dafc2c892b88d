//! Findings from a spreadsheet: rows, cells, and what is said of a bad one.

use pillarbook::contract::table::{self, Onto, Part, ReadTable, Separator, TableError};
use pillarbook::domain::body::{StyleId, fit, style};
use pillarbook::domain::card::Card;
use pillarbook::domain::finding::{Depth, Finding, Place, Report, Source, Status};
use pillarbook::domain::kind::{Bag, Kind};
use pillarbook::domain::vehicle::{Drive, Vehicle};
use proptest::prelude::*;
use time::macros::date;

pub const HEAD: &str = "Kind,How deep,Span,Taken from,From mm,To mm,How it was learnt,Day,Which car,Same part as,Thickness across mm";

pub fn card() -> Card {
    Card::unrecorded(Vehicle::of_style(StyleId::Sedan))
}

pub fn read_on(card: &Card, bytes: &[u8]) -> Result<ReadTable, TableError> {
    let body = fit(style(card.vehicle.body_style), &card.measured).unwrap();
    let onto = Onto {
        card,
        body: &body,
        today: date!(2026 - 03 - 05),
    };
    table::read(bytes, &onto)
}

pub fn read(text: &str) -> ReadTable {
    read_on(&card(), text.as_bytes()).unwrap()
}

/// Each fault as the page says it.
pub fn said(text: &str) -> Vec<String> {
    let read = read(text);
    read.faults.iter().map(ToString::to_string).collect()
}

pub fn findings(text: &str) -> Vec<Finding> {
    let read = read(text);
    assert_eq!(read.faults, [], "{text}");
    read.rows.into_iter().map(|row| row.finding).collect()
}

fn stations(finding: &Finding) -> (String, f64, f64) {
    match &finding.report {
        Report::Bare(b) => (b.span.clone(), b.from_mm, b.to_mm),
        Report::Component(c) => match &c.place {
            Place::OnSpan {
                span,
                from_mm,
                to_mm,
            } => (span.clone(), *from_mm, *to_mm),
            Place::Points(_) => panic!("a table states no points"),
        },
    }
}

#[test]
fn a_part_and_a_bare_stretch_are_read_from_their_rows() {
    let text = format!(
        "{HEAD}\n\
         Belt pretensioner,,\"B-pillar, left\",,80,210,Measured,2026-03-04,yard 14,,50\n\
         ,through,b-pillar.left,foot,320,700,seen,2026-03-04,yard 14,,\n"
    );
    let all = findings(&text);
    let Report::Component(part) = &all[0].report else {
        panic!("a part")
    };
    assert_eq!(
        (part.kind, part.radius_mm),
        (Kind::Pretensioner, Some(25.0))
    );
    assert_eq!(part.component, "", "numbered by the card");
    assert_eq!(stations(&all[0]), ("b-pillar.left".to_owned(), 80.0, 210.0));
    assert_eq!(
        (all[0].source, all[0].status),
        (Source::Measured, Status::Accepted)
    );
    let Report::Bare(bare) = &all[1].report else {
        panic!("bare")
    };
    assert_eq!(
        (bare.depth, all[1].status),
        (Depth::Through, Status::Offered)
    );
    assert_eq!(bare.resolved, None);
}

#[test]
fn stations_from_the_head_are_kept_from_the_foot() {
    let body = fit(style(StyleId::Sedan), &card().measured).unwrap();
    let whole = body.span("b-pillar.left").unwrap().line.length();
    let row = "inflator,,b-pillar.left,head,100,250.5,told,2026-03-04,,,";
    let all = findings(&format!("{HEAD}\n{row}\n"));
    let (_, from, to) = stations(&all[0]);
    assert!((from - (whole - 250.5)).abs() < 1e-9 && (to - (whole - 100.0)).abs() < 1e-9);
}

#[test]
fn a_semicolon_sheet_has_decimal_commas_a_bom_and_dos_line_ends() {
    let head = HEAD.replace(',', ";");
    let text = format!(
        "\u{feff}{head}\r\ninflator;;roof-rail.left;;80,5;3 1/8 in;told;2026-03-04;;;\r\n\r\n"
    );
    let wrong = said(&text);
    assert!(wrong[0].contains("swap the two figures"), "{wrong:?}");
    let all = findings(&text.replace("3 1/8 in", "8 1/4 in"));
    let (span, from, to) = stations(&all[0]);
    assert_eq!((span.as_str(), from), ("roof-rail.left", 80.5));
    assert!((to - 209.55).abs() < 1e-9);
    assert_eq!(read(&text).separator, Separator::Semicolon);
}

#[test]
fn cells_pasted_from_a_sheet_are_separated_by_tabs() {
    let head = HEAD.replace(',', "\t");
    let text = format!("{head}\ninflator\t\trocker.left\t\t80\t210\ttold\t2026-03-04\t\t\t\n");
    assert_eq!(findings(&text).len(), 1);
}

#[test]
fn rows_are_counted_as_the_sheet_counts_them() {
    let head = format!("{HEAD},Note");
    let text = format!(
        "{head}\n\n# a remark\n\
         inflator,,b-pillar.left,,80,210,told,2026-03-04,,,,\"two\nlines\"\n\
         inflator,,nowhere,,80,210,told,2026-03-04,,,,\n"
    );
    let read = read(&text);
    assert_eq!(read.rows[0].number, 4);
    assert_eq!(read.rows[0].finding.note.as_deref(), Some("two\nlines"));
    assert_eq!(read.faults[0].row, 5);
}

#[test]
fn how_a_finding_stands_is_never_taken_from_a_file() {
    let text = format!(
        "{HEAD},Status,Resolved,Supersedes,Colour\n\
         ,through,b-pillar.left,,320,700,seen,2026-03-04,yard 1,,,accepted,A. Fenn,f1,red\n\
         inflator,,b-pillar.left,,80,210,told,2026-03-04,,,,withdrawn,,f2,\n"
    );
    let read = read(&text);
    assert_eq!(
        read.passed_over,
        ["Status", "Resolved", "Supersedes", "Colour"]
    );
    let all: Vec<_> = read.rows.iter().map(|r| &r.finding).collect();
    assert_eq!(all[0].status, Status::Offered);
    assert_eq!(all[1].status, Status::Accepted);
    assert!(
        all.iter()
            .all(|f| f.supersedes.is_none() && f.reason.is_none())
    );
    assert!(matches!(&all[0].report, Report::Bare(b) if b.resolved.is_none()));
}

#[test]
fn rows_share_a_part_by_its_number_or_by_a_word() {
    let mut card = card();
    card.findings = findings(&format!(
        "{HEAD}\ninflator,,b-pillar.left,,80,210,told,2026-03-04,,,\n"
    ));
    let Report::Component(part) = &mut card.findings[0].report else {
        panic!("a part")
    };
    part.component = "c1".to_owned();
    let text = format!(
        "{HEAD}\n\
         inflator,,b-pillar.left,,80,210,seen,2026-03-04,yard 1,C1,\n\
         inflator,,roof-rail.left,,80,210,seen,2026-03-04,yard 1,long one,\n\
         inflator,,roof-rail.left,,80,215,seen,2026-03-04,yard 2,long one,\n\
         inflator,,rocker.left,,80,215,seen,2026-03-04,yard 2,,\n"
    );
    let read = read_on(&card, text.as_bytes()).unwrap();
    let parts: Vec<_> = read.rows.iter().map(|r| r.part.clone()).collect();
    let shared = Part::Shared("long one".to_owned());
    assert_eq!(
        parts,
        [
            Part::SameAs("c1".to_owned()),
            shared.clone(),
            shared,
            Part::New
        ]
    );
}

#[test]
fn every_column_reaches_its_field() {
    let text = "What was found,Kind,Span,From,To,Source,Within mm,Date,By,Car,Bag,Belt of seat,Model year,Drive,Steering wheel,Roof,Region,Strength MPa,Sheet thickness mm,Layers,Round the section mm,Pressure MPa,Volume cm³,Gas,Note\n\
        part,gas-cylinder,roof-rail.left,80,210,photo,30,2026-03-04,Ada Fenn,yard 9,Curtain,Front left,2021,Battery,right,glass,EU,1500,1.6,2,420,62.5,250,argon,'=kept\n";
    let finding = findings(text).remove(0);
    let Report::Component(part) = &finding.report else {
        panic!("a part")
    };
    assert_eq!(
        (part.bag, part.belt_seat.as_deref()),
        (Some(Bag::Curtain), Some("front-left"))
    );
    assert_eq!(
        (part.steel.uts_mpa, part.steel.thickness_mm),
        (Some(1500.0), Some(1.6))
    );
    assert_eq!(
        (part.steel.layers, part.steel.perimeter_mm),
        (Some(2), Some(420.0))
    );
    assert_eq!(
        (part.gas.pressure_mpa, part.gas.volume_cm3),
        (Some(62.5), Some(250.0))
    );
    assert_eq!(part.gas.gas.as_deref(), Some("argon"));
    assert_eq!(
        (finding.within_mm, finding.observed.year),
        (Some(30.0), Some(2021))
    );
    assert_eq!(finding.observed.drive, Some(Drive::Battery));
    assert_eq!(finding.observed.region.as_deref(), Some("EU"));
    assert_eq!(
        (finding.by.as_deref(), finding.car.as_deref()),
        (Some("Ada Fenn"), Some("yard 9"))
    );
    assert_eq!(
        finding.note.as_deref(),
        Some("=kept"),
        "text, whatever a spreadsheet makes of it"
    );
}

#[test]
fn the_template_names_every_column_and_its_example_is_passed_over() {
    let template = table::template();
    assert!(template.contains("invented"));
    assert_eq!(
        read_on(&card(), template.as_bytes()).unwrap_err(),
        TableError::NoRows
    );
    // The same rows without their mark are good ones.
    let example = template.replace("# example, invented, passed over: ", "");
    assert_eq!(findings(&example).len(), 2);
    assert_eq!(read(&example).passed_over, Vec::<String>::new());
}

proptest! {
    #![proptest_config(crate::properties::cases(300))]

    #[test]
    fn no_bytes_bring_the_reader_down(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = read_on(&card(), &bytes);
    }

    #[test]
    fn no_cells_bring_the_reader_down_and_no_row_is_lost(
        cells in prop::collection::vec("[a-c0-9 ,.=\"'\\-é½]{0,9}", 11),
        rows in 1_usize..5,
    ) {
        let quoted: Vec<String> = cells.iter().map(|c| format!("\"{}\"", c.replace('"', "\"\""))).collect();
        let row = quoted.join(",") + "\n";
        let blank = cells.iter().all(|c| c.trim().is_empty());
        match read_on(&card(), format!("{HEAD}\n{}", row.repeat(rows)).as_bytes()) {
            Err(error) => prop_assert!(blank, "{error}"),
            Ok(read) => {
                let mut seen: Vec<usize> = read.faults.iter().map(|f| f.row).chain(read.rows.iter().map(|r| r.number)).collect();
                seen.dedup();
                seen.sort_unstable();
                seen.dedup();
                prop_assert_eq!(seen, (2..2 + rows).collect::<Vec<_>>());
            }
        }
    }
}
