//! A plan from a card: three touches, a look that makes it anew, an own order
//! that is flagged and never changed, bad answers kept as typed.

use super::reader::{Raw, Reader};
use super::site::details;
use axum::http::StatusCode;
use axum::http::header::LOCATION;
use pillarbook::domain::body::{StyleId, style};
use pillarbook::domain::opening::{Care, Resting};
use time::OffsetDateTime;

/// Never said of a place or of a car (whole words, in any case).
const NEVER_SAID: [&str; 5] = ["safe", "safely", "ready", "recommended", "recommend"];

const SIDE: &str = "seat=front-left&care=gentle&hand=yes&open=side-removal.left";

struct Crew {
    reader: Reader,
    page: String,
}

impl Crew {
    async fn at(model: &str) -> Self {
        let reader = Reader::demo().await;
        let page = format!("{}/plan", reader.card_of(model).await);
        Self { reader, page }
    }

    /// A sedan of which nothing is recorded: every cut is to be looked at first.
    async fn at_an_unseen_car() -> Self {
        let reader = Reader::empty().await;
        let now = OffsetDateTime::now_utc();
        let card = reader
            .store
            .create_card(&reader.actor, &details(), now)
            .await;
        let page = format!("/cards/{}/plan", card.unwrap().id);
        Self { reader, page }
    }

    async fn get(&self, query: &str) -> Raw {
        self.reader.get(&format!("{}?{query}", self.page)).await
    }

    /// Presses a button of a form that carries the address, and follows it.
    async fn press(&self, ask: &str, fields: &[(&str, &str)]) -> (String, Raw) {
        let mut all = vec![("ask", ask)];
        all.extend(fields);
        let sent = self.get(&super::site::encoded(&all)).await;
        assert_eq!(sent.status, StatusCode::SEE_OTHER, "{}", sent.words("main"));
        let to = sent.header(LOCATION).to_owned();
        let path = to.split('#').next().unwrap();
        (to.clone(), self.reader.get(path).await)
    }
}

/// The address that the forms of the open opening carry.
fn carried(page: &Raw) -> String {
    page.attributes("#moves input[name=ask]", "value").remove(0)
}

fn step_ids(page: &Raw) -> Vec<String> {
    let ids = page.attributes(".step", "id").into_iter();
    ids.map(|id| id.trim_start_matches("s-").to_owned())
        .collect()
}

fn says_nothing_forbidden(page: &Raw, where_: &str) {
    let words = page.words("body").to_lowercase();
    let said: Vec<&str> = words.split(|c: char| !c.is_alphabetic()).collect();
    for word in NEVER_SAID {
        assert!(!said.contains(&word), "{where_} says {word}");
    }
    for odd in ["NaN", "None", "Some(", "{{"] {
        assert!(!page.text().contains(odd), "{where_} prints {odd}");
    }
    let mut ids = page.attributes("[id]", "id");
    let all = ids.len();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), all, "{where_} repeats an id");
}

#[tokio::test]
async fn three_touches_lead_to_a_plan_for_every_care_and_resting() {
    let crew = Crew::at("Marram").await;
    let asked = crew.get("").await;
    assert_eq!(asked.status, StatusCode::OK);
    assert_eq!(asked.count("input[type=radio][name=seat]"), 5);
    assert_eq!(asked.count("input[type=radio][name=care]"), Care::ALL.len());
    for care in Care::ALL {
        for resting in Resting::ALL {
            let query = format!("seat=front-left&care={care}&resting={resting}");
            let page = crew.get(&query).await;
            assert_eq!(page.status, StatusCode::OK, "{query}");
            assert!(page.count(".openings a") >= 1, "{query}");
            assert!(page.count(".step") >= 3, "{query}");
            assert_eq!(page.count(".step .crew"), page.count(".step .inside"));
            assert_eq!(page.count(".step .exit-now"), page.count(".step"));
            says_nothing_forbidden(&page, &query);
        }
    }
}

#[tokio::test]
async fn the_immediate_way_stands_beside_the_first_one() {
    let crew = Crew::at("Marram").await;
    let page = crew.get("seat=front-left&care=gentle").await;
    let leading = page.words(".leading").to_lowercase();
    assert!(leading.contains("first by what was asked"), "{leading}");
    assert!(leading.contains("immediate"), "{leading}");
}

#[tokio::test]
async fn a_plan_carries_its_cautions_its_revision_and_the_stop_word() {
    let crew = Crew::at("Marram").await;
    let page = crew.get(SIDE).await;
    let said = page.words("main");
    for caution in [
        "crash damage moves parts and datums",
        "Expose and look before every cut",
        "Local procedures and the officer’s judgement come first",
        "Agree on a stop word",
        "The medic says go",
        "treat as live",
        "Revision ",
    ] {
        let found = said.to_lowercase().contains(&caution.to_lowercase());
        assert!(found, "{caution} is not in: {said}");
    }
    for caution in ["Schematic", "Expose and look before every cut", "Revision "] {
        let drawn = page.words(".on-side figure svg");
        assert!(
            drawn.contains(caution),
            "{caution} is not on the drawing: {drawn}"
        );
    }
}

#[tokio::test]
async fn the_numbers_in_the_drawing_are_the_steps() {
    let crew = Crew::at("Marram").await;
    let page = crew.get(SIDE).await;
    let ids = step_ids(&page);
    let foot = ids.iter().position(|id| id == "part-b-foot").unwrap() + 1;
    let key = page.words(".on-side figure svg text");
    assert!(
        key.contains(&format!("| {foot} ")),
        "{foot} is not in {key}"
    );
    let strip = page.words("#s-part-b-foot .strip text");
    assert!(
        strip.contains(&format!("| {foot}")),
        "{foot} is not in {strip}"
    );
}

#[tokio::test]
async fn an_answer_that_cannot_be_read_is_named_and_what_was_typed_stays() {
    let crew = Crew::at("Marram").await;
    for (query, field, said) in [
        ("care=now&seat=sunbed", "seat", "no such seat"),
        (
            "seat=front-left&care=rough",
            "care",
            "not one of the choices",
        ),
        ("care=now&go=1", "seat", "touch the seat"),
        ("seat=front-left&go=1", "care", "one of the three"),
        (
            "seat=front-left&care=now&off=left&off=right&off=front&off=rear",
            "off",
            "no side is within reach",
        ),
        (
            "seat=front-left&care=now&resting=left&off=right&off=front&off=rear",
            "off",
            "no side is within reach",
        ),
        (
            "seat=front-left&care=now&tool-1-kind=cutter&tool-1-force=500000",
            "tool-1-force",
            "kN, not N",
        ),
        (
            "seat=front-left&care=now&tool-1-kind=cutter&tool-1-force=-3",
            "tool-1-force",
            "will not do",
        ),
        (
            "seat=front-left&care=now&iso-12v-main=no&iso-12v-main-at=7",
            "iso-12v-main-at",
            "only for what is done",
        ),
        (
            "seat=front-left&care=now&iso-hv-at=2199-01-01T00:00:00Z",
            "iso-hv-at",
            "has not come yet",
        ),
        (
            "seat=front-left&care=now&iso-hv-at=10:02",
            "iso-hv-at",
            "how many minutes ago",
        ),
        (
            "seat=front-left&care=now&iso-48v-at=1441",
            "iso-48v-at",
            "from 0 to 1440",
        ),
        ("seat=front-left&care=now&year=soon", "year", ""),
        (
            "seat=front-left&care=now&look=b-pillar.left:380:99999:bare",
            "look",
            "mm long",
        ),
        (
            "seat=front-left&care=now&look=nonsense",
            "look",
            "a look reads",
        ),
    ] {
        let page = crew.get(query).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{query}");
        let summary = page.words(".errors");
        assert!(summary.contains(said), "{query}: {summary}");
        let links = page.attributes(".errors a", "href");
        assert!(links.contains(&format!("#f-{field}")), "{query}: {links:?}");
        let aim = format!("[id='f-{field}']");
        assert_eq!(page.count(&aim), 1, "{query}: nothing at {aim}");
    }
    let page = crew
        .get("seat=front-left&care=now&tool-1-kind=cutter&tool-1-force=500000")
        .await;
    let kept = page.attributes("[name='tool-1-force']", "value");
    assert_eq!(kept, ["500000"]);
    assert_eq!(page.count("[name=seat][value=front-left][checked]"), 1);
}

#[tokio::test]
async fn a_look_makes_the_plan_anew_at_its_step_and_can_be_taken_away() {
    let crew = Crew::at_an_unseen_car().await;
    let before = crew.get(SIDE).await;
    let (step, from, to) = first_look(&before);
    let fields = [
        ("look_step", step.as_str()),
        ("look_span", from.0.as_str()),
        ("look_from", from.1.as_str()),
        ("look_to", to.as_str()),
        ("look_end", "foot"),
        ("look_found", "bare"),
    ];
    let (address, after) = crew.press(&carried(&before), &fields).await;
    assert!(address.ends_with(&format!("#s-{step}")), "{address}");
    assert_eq!(after.count("#looks li"), 1);
    assert!(after.words("#looks").contains("bare"));
    assert_eq!(after.words(&format!("#s-{step} h3 .flag")), "seen bare");
    assert_ne!(before.words(&format!("#s-{step} h3 .flag")), "seen bare");
    let offer = after.attributes("#looks a.button", "href").remove(0);
    let form = crew.reader.get(&offer).await;
    assert_eq!(form.status, StatusCode::OK);
    assert_eq!(form.count("[name=what][value=bare][checked]"), 1);
    let drop = after.attributes("#looks button", "value").remove(0);
    let (_, again) = crew
        .press(&carried(&after), &[("drop", drop.as_str())])
        .await;
    assert_eq!(again.count("#looks li"), 0);
    assert_eq!(step_ids(&again), step_ids(&before));
}

/// The first cut to be looked at: its step, span and stations as filled in.
fn first_look(page: &Raw) -> (String, (String, String), String) {
    let ids = step_ids(page).into_iter();
    let step = ids
        .filter(|id| page.words(&format!("#s-{id} h3")).contains("Cut: "))
        .find(|id| page.words(&format!("#s-{id} h3 .flag")) == "look first")
        .expect("a cut to be looked at first");
    let field = |name: &str| {
        let own = format!("#s-{step} [name={name}]");
        page.attributes(&own, "value").remove(0)
    };
    let (span, from, to) = (field("look_span"), field("look_from"), field("look_to"));
    (step, (span, from), to)
}

#[tokio::test]
async fn a_look_that_cannot_be_read_stays_in_its_form() {
    let crew = Crew::at_an_unseen_car().await;
    let before = crew.get(SIDE).await;
    let (step, (span, _), _) = first_look(&before);
    for (from, to, kind, found, said) in [
        ("3,5", "500", "", "bare", "comma"),
        ("500", "400", "", "bare", "not beyond where it begins"),
        ("100", "9000", "", "bare", "not on it"),
        ("100", "300", "", "part", "choose what is there"),
    ] {
        let fields = super::site::encoded(&[
            ("ask", carried(&before).as_str()),
            ("look_step", step.as_str()),
            ("look_span", span.as_str()),
            ("look_from", from),
            ("look_to", to),
            ("look_kind", kind),
            ("look_found", found),
        ]);
        let page = crew.get(&fields).await;
        assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY, "{said}");
        let form = page.words(&format!("#s-{step} .look"));
        assert!(form.contains(said), "{said} is not in {form}");
        let typed = page.attributes(&format!("#s-{step} [name=look_from]"), "value");
        assert_eq!(typed, [from]);
        assert_eq!(page.count(&format!("#s-{step} details.look[open]")), 1);
    }
}

#[tokio::test]
async fn an_own_order_is_flagged_with_its_reason_and_never_changed() {
    let crew = Crew::at("Marram").await;
    let made = crew.get(SIDE).await;
    assert_eq!(made.count(".flagged"), 0);
    let mut page = made;
    let order = step_ids(&page);
    let head = order.iter().position(|id| id == "part-b-head").unwrap();
    let foot = order.iter().position(|id| id == "part-b-foot").unwrap();
    assert!(foot < head, "the foot is parted first");
    for _ in foot..head {
        let steps = step_ids(&page).join(",");
        let fields = [("steps", steps.as_str()), ("move", "part-b-head:up")];
        page = crew.press(&carried(&page), &fields).await.1;
    }
    let mut own = order.clone();
    let moved = own.remove(head);
    own.insert(foot, moved);
    assert_eq!(step_ids(&page), own, "the order is as it was made by hand");
    let flag = page.words("#s-part-b-head .flagged");
    assert!(flag.contains("Out of order"), "{flag}");
    assert!(page.words("#open .notice").contains("Own order"));
    let reason = page.attributes("#s-part-b-head .flagged input[type=text]", "name");
    let fields = [(reason[0].as_str(), "the foot is buried")];
    let (_, kept) = crew
        .press(&format!("{}&go=1", carried(&page)), &fields)
        .await;
    assert!(
        kept.words("#s-part-b-head .flagged")
            .contains("the foot is buried")
    );
    assert_eq!(step_ids(&kept), own);
    let back = page.attributes("#open .notice a", "href").remove(0);
    let again = crew.reader.get(back.split('#').next().unwrap()).await;
    assert_eq!(step_ids(&again), order);
    assert_eq!(again.count(".flagged"), 0);
}

#[tokio::test]
async fn an_order_that_fits_no_opening_is_said_and_the_one_made_here_is_shown() {
    let crew = Crew::at("Marram").await;
    let page = crew.get(&format!("{SIDE}&order=one,two")).await;
    assert_eq!(page.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.words(".errors").contains("Own order"));
    assert!(page.count(".step") > 3);
    let other = crew.get("seat=front-left&care=now&open=balloon").await;
    assert_eq!(other.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(other.words(".errors").contains("balloon"));
}

#[tokio::test]
async fn power_made_dead_now_starts_the_count_and_nothing_says_it_is_over() {
    let crew = Crew::at("Marram").await;
    let mut page = crew.get("seat=front-left&care=now").await;
    let words = page.attributes("#restraints button[name=done]", "value");
    for word in &words {
        let ask = page
            .attributes("#restraints input[name=ask]", "value")
            .remove(0);
        page = crew.press(&ask, &[("done", word.as_str())]).await.1;
    }
    assert_eq!(page.count("#restraints button[name=done]"), 0);
    assert_eq!(page.count("#restraints [data-count]"), 1);
    let said = page.words("#restraints").to_lowercase();
    assert!(said.contains("keep clear"), "{said}");
    says_nothing_forbidden(&page, "isolated");
}

#[tokio::test]
async fn a_body_style_alone_is_planned_too_and_says_that_nobody_looked() {
    let reader = Reader::empty().await;
    for id in StyleId::ALL {
        let seat = &style(*id).seats[0].id;
        let path = format!("/body-styles/{id}/plan");
        let page = reader.get(&path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
        let path = format!("{path}?seat={seat}&care=now");
        let page = reader.get(&path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}");
        let said = page.words("main");
        assert!(said.contains("nobody has looked at this car"), "{path}");
        says_nothing_forbidden(&page, &path);
    }
}

#[tokio::test]
async fn the_picture_of_an_opening_carries_its_cautions_and_numbers() {
    let crew = Crew::at("Marram").await;
    for view in ["left", "top", "frame-left"] {
        let path = crew.page.replace("/plan", "/plan.svg");
        let drawn = crew.reader.get(&format!("{path}?{SIDE}&view={view}")).await;
        assert_eq!(drawn.status, StatusCode::OK, "{view}");
        assert!(drawn.text().contains("Expose and look before every cut"));
        assert!(drawn.text().contains("B-pillar"), "{view}");
        let rooms = drawn.text().contains("room to keep from a bag");
        assert_eq!(rooms, view != "frame-left", "{view}");
    }
    let path = crew.page.replace("/plan", "/plan.svg");
    let refused = crew.reader.get(&format!("{path}?{SIDE}&view=below")).await;
    assert_eq!(refused.status, StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn an_opening_with_no_side_is_drawn_from_both() {
    let crew = Crew::at("Marram").await;
    let roof = "seat=front-left&care=gentle&open=roof-removal";
    for (query, frames) in [(roof, 2), (SIDE, 1)] {
        let page = crew.get(query).await;
        assert_eq!(page.count(".on-side figure"), frames, "{query}");
    }
    let drawn = crew.get(roof).await.words(".on-side figure svg text");
    assert!(drawn.contains("LEFT") && drawn.contains("RIGHT"), "{drawn}");
}

#[tokio::test]
async fn a_force_estimate_says_what_it_takes_for_granted() {
    let crew = Crew::at("Marram").await;
    let page = crew
        .get("seat=front-left&care=gentle&open=roof-removal")
        .await;
    let said = page.words(".step");
    for granted in ["by estimate", "in the notch", "no promise", "crushes first"] {
        assert!(said.contains(granted), "{granted}");
    }
}

#[tokio::test]
async fn an_opening_that_presses_is_not_said_to_touch_nothing() {
    let crew = Crew::at("Marram").await;
    let page = crew.get("seat=front-left&care=gentle").await;
    let said = page.words(".openings");
    assert!(said.contains("nothing cut or pressed"), "{said}");
    assert!(!said.contains("nothing is cut"), "{said}");
}

#[tokio::test]
async fn minutes_ago_are_kept_as_the_moment_they_were() {
    let crew = Crew::at("Marram").await;
    for typed in ["7", "7+min", "7+minutes+ago"] {
        let query = format!("seat=front-left&care=now&iso-hv-at={typed}");
        let sent = crew.get(&format!("{query}&go=1")).await;
        assert_eq!(sent.status, StatusCode::SEE_OTHER, "{typed}");
        let to = sent.header(LOCATION).to_owned();
        assert!(to.contains("iso-hv-at=2") && to.ends_with('Z'), "{to}");
        let page = crew.reader.get(&to).await;
        let said = page.words("#restraints");
        assert!(said.contains("done 7 min 0"), "{said}");
    }
}
