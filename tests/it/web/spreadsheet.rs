//! Findings from a spreadsheet: from the file to the findings on the card.

use super::site::{Answer, Site};
use axum::http::StatusCode;
use pillarbook::domain::finding::{Report, Status};

const HEAD: &str =
    "Kind,How deep,Span,From mm,To mm,How it was learnt,Day,Who looked,Which car,Same part as";
const PART: &str = "pretensioner,,b-pillar.left,80,210,measured,2026-03-04,Ada Fenn,yard 14,";
const BARE: &str = ",through,b-pillar.left,400,700,seen,2026-03-04,Ada Fenn,yard 14,";

fn table(rows: &[&str]) -> String {
    format!("{HEAD}\n{}\n", rows.join("\n"))
}

async fn send(site: &Site, text: &str) -> Answer {
    let file = Some(("findings.csv", text.as_bytes()));
    site.upload(&site.at("/import"), &[("act", "read")], file)
        .await
}

/// Records what waits, as the page shown offers it.
async fn save(site: &Site, page: &Answer, more: &[(&str, &str)]) -> Answer {
    let (version, revision) = (page.version(), page.value("revision"));
    let mut fields = vec![
        ("act", "save"),
        ("version", version.as_str()),
        ("revision", revision.as_str()),
    ];
    fields.extend(more);
    site.post(&site.at("/import"), &fields).await
}

async fn shown(site: &Site) -> Answer {
    site.get(&site.at("/import")).await
}

#[tokio::test]
async fn a_file_is_shown_before_it_is_recorded_all_at_once() {
    let site = Site::new().await;
    let sent = send(&site, &table(&[PART, BARE])).await;
    assert_eq!(
        (sent.status, sent.location),
        (StatusCode::SEE_OTHER, site.at("/import"))
    );
    let page = shown(&site).await;
    assert_eq!(page.status, StatusCode::OK);
    let rows = page.text(".sheet-rows");
    for said in [
        "Row 2",
        "becomes f1",
        "belt pretensioner",
        "new part c1",
        "Row 3",
        "becomes f2",
    ] {
        assert!(rows.contains(said), "{said} is not in {rows}");
    }
    assert!(rows.contains("waits for a second person"));
    assert!(page.text(".changes").contains("grows by"));
    assert_eq!(
        site.stored().await.card.findings.len(),
        0,
        "nothing is recorded yet"
    );

    let saved = save(&site, &page, &[]).await;
    assert_eq!(
        (saved.status, saved.location),
        (StatusCode::SEE_OTHER, site.at("/findings"))
    );
    let stored = site.stored().await;
    let all = &stored.card.findings;
    assert_eq!(
        (all.len(), stored.revision),
        (2, 2),
        "one revision for all of them"
    );
    assert_eq!(
        (all[0].status, all[1].status),
        (Status::Accepted, Status::Offered)
    );
    assert_eq!(all[0].by.as_deref(), Some("Ada Fenn"));
    assert_eq!(
        shown(&site).await.count("[name=file]"),
        1,
        "nothing waits any more"
    );
    let again = save(&site, &page, &[]).await;
    assert_eq!(again.status, StatusCode::PRECONDITION_FAILED);
    assert_eq!(site.stored().await.card.findings.len(), 2);
}

#[tokio::test]
async fn one_bad_row_is_named_and_nothing_waits() {
    let site = Site::new().await;
    let bad = "inflator,,b-pilar.left,80,210,told,2026-03-04,Ada Fenn,,";
    let text = table(&[PART, bad]);
    let answer = send(&site, &text).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let said = answer.text(".sheet-faults");
    assert!(
        said.contains("Row 3, column C (Span)") && said.contains("b-pillar.left"),
        "{said}"
    );
    assert!(answer.text(".errors").contains("1 row cannot be taken"));
    assert!(
        answer.text(".sheet-rows").contains("Row 2"),
        "the good one is shown too"
    );
    assert_eq!(
        answer.value("text"),
        text,
        "it can be put right in the page"
    );
    assert_eq!(
        save(&site, &answer_of_nothing(&site).await, &[])
            .await
            .status,
        StatusCode::PRECONDITION_FAILED
    );
    assert_eq!(site.stored().await.card.findings.len(), 0);

    let put_right = answer.value("text").replace("b-pilar", "b-pillar");
    let pasted = [("act", "read"), ("text", put_right.as_str())];
    let sent = site
        .upload(&site.at("/import"), &pasted, Some(("", b"")))
        .await;
    assert_eq!(sent.status, StatusCode::SEE_OTHER);
    let saved = save(&site, &shown(&site).await, &[]).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    assert_eq!(site.stored().await.card.findings.len(), 2);
}

/// A page to record from, of a table that was discarded since.
async fn answer_of_nothing(site: &Site) -> Answer {
    send(site, &table(&[PART])).await;
    let page = shown(site).await;
    site.post(&site.at("/import"), &[("act", "discard")]).await;
    page
}

#[tokio::test]
async fn what_is_no_table_is_said_beside_its_field() {
    let site = Site::new().await;
    let at = site.at("/import");
    let workbook = site
        .upload(&at, &[("act", "read")], Some(("book.xlsx", b"PK\x03\x04")))
        .await;
    assert_eq!(workbook.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        workbook
            .fault("file")
            .contains("save the sheet as CSV in UTF-8")
    );
    let none = site
        .upload(&at, &[("act", "read"), ("text", "")], None)
        .await;
    assert!(none.fault("file").contains("choose a file"));
    let pasted = site
        .upload(&at, &[("act", "read"), ("text", "\"open")], None)
        .await;
    assert!(pasted.fault("text").contains("never closed"));
    assert_eq!(pasted.value("text"), "\"open");
    let large = vec![b'x'; 600 * 1024];
    let large = site
        .upload(&at, &[("act", "read")], Some(("large.csv", &large)))
        .await;
    assert!(large.fault("file").contains("512 KiB"));
    let huge = vec![b'x'; 5 << 20];
    let huge = site
        .upload(&at, &[("act", "read")], Some(("huge.csv", &huge)))
        .await;
    assert_eq!(huge.status, StatusCode::PAYLOAD_TOO_LARGE);
    let nonsense = site.post(&at, &[("act", "delete")]).await;
    assert_eq!(nonsense.status, StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn a_card_that_moved_on_is_shown_again_before_anything_is_recorded() {
    let site = Site::new().await;
    send(&site, &table(&[PART])).await;
    let page = shown(&site).await;
    let new = finding_of(&site).await;
    site.store
        .add_findings(
            &site.actor,
            &site.card,
            None,
            &[new],
            time::OffsetDateTime::now_utc(),
        )
        .await
        .unwrap();
    let refused = save(&site, &page, &[]).await;
    assert_eq!(refused.status, StatusCode::PRECONDITION_FAILED);
    assert!(refused.text(".errors").contains("card changed"));
    assert!(
        refused.text(".sheet-rows").contains("becomes f2"),
        "numbered anew"
    );
    assert_eq!(site.stored().await.card.findings.len(), 1);
    assert_eq!(
        save(&site, &refused, &[]).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(site.stored().await.card.findings.len(), 2);
}

/// The finding of the usual row, as the store would hold it.
async fn finding_of(site: &Site) -> pillarbook::domain::finding::Finding {
    use pillarbook::contract::table::{Onto, read};
    use pillarbook::domain::body::{fit, style};
    let card = site.stored().await.card;
    let body = fit(style(card.vehicle.body_style), &card.measured).unwrap();
    let today = time::OffsetDateTime::now_utc().date();
    let onto = Onto {
        card: &card,
        body: &body,
        today,
    };
    let text = table(&[PART]).replace("yard 14", "yard 9");
    read(text.as_bytes(), &onto).unwrap().rows.remove(0).finding
}

#[tokio::test]
async fn what_takes_no_cut_away_is_recorded_only_when_it_was_seen() {
    let site = Site::new().await;
    let wide = "pretensioner,,b-pillar.left,80,500,seen,2026-03-01,Ada Fenn,yard 1,";
    send(&site, &table(&[wide])).await;
    save(&site, &shown(&site).await, &[]).await;
    let narrow = "pretensioner,,b-pillar.left,80,460,measured,2026-03-04,Ada Fenn,yard 1,c1";
    send(&site, &table(&[narrow])).await;
    let page = shown(&site).await;
    assert!(page.text(".changes").contains("shrinks by"));
    assert!(page.text(".sheet-rows").contains("the same part as c1"));
    let refused = save(&site, &page, &[]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(site.stored().await.card.findings.len(), 1);
    let saved = save(&site, &refused, &[("shrink_seen", "yes")]).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER);
    let stored = site.stored().await;
    let Report::Component(part) = &stored.card.findings[1].report else {
        panic!("a part")
    };
    assert_eq!(part.component, "c1");
}

#[tokio::test]
async fn rows_with_one_label_become_one_part_and_a_repeated_row_is_told() {
    let site = Site::new().await;
    let row = |car: &str| {
        format!("inflator,,roof-rail.left,300,420,measured,2026-03-04,Ada Fenn,{car},long one")
    };
    let (first, second) = (row("yard 1"), row("yard 2"));
    send(&site, &table(&[&first, &second, PART])).await;
    save(&site, &shown(&site).await, &[]).await;
    let stored = site.stored().await;
    let parts: Vec<&str> = stored
        .card
        .findings
        .iter()
        .filter_map(|f| match &f.report {
            Report::Component(part) => Some(part.component.as_str()),
            Report::Bare(_) => None,
        })
        .collect();
    assert_eq!(parts, ["c1", "c1", "c2"]);
    send(&site, &table(&[PART])).await;
    assert!(
        shown(&site)
            .await
            .text(".sheet-rows")
            .contains("recorded already as f3")
    );
}

#[tokio::test]
async fn markup_and_formulas_in_cells_stay_text() {
    let site = Site::new().await;
    let hostile = "<img src=x onerror=alert(1)>";
    let row = format!("inflator,,b-pillar.left,80,210,told,2026-03-04,{hostile},=HYPERLINK(1),");
    send(&site, &table(&[&row])).await;
    let page = shown(&site).await;
    assert_eq!(page.count("[onerror], img[src=x]"), 0);
    assert!(page.text(".sheet-rows").contains(hostile));
    save(&site, &page, &[]).await;
    assert_eq!(
        site.stored().await.card.findings[0].car.as_deref(),
        Some("=HYPERLINK(1)")
    );
    let bad = format!("{hostile},,b-pillar.left,80,210,told,2026-03-04,,,");
    let answer = send(&site, &table(&[&bad])).await;
    assert_eq!(answer.count("[onerror], img[src=x]"), 0);
    assert!(answer.text(".sheet-faults").contains(hostile));
}

#[tokio::test]
async fn the_template_is_a_table_and_the_page_lists_the_words() {
    let site = Site::new().await;
    let template = site.get(&site.at("/import/template.csv")).await;
    assert_eq!(template.status, StatusCode::OK);
    assert!(template.text("body").contains("Taken from"));
    let page = shown(&site).await;
    let words = page.text(".sheet-words");
    for word in [
        "gas-cylinder",
        "roof-rail.left",
        "curtain",
        "front-left",
        "schematic",
    ] {
        assert!(words.contains(word), "{word}");
    }
}
