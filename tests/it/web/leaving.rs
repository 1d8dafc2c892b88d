//! A department that is to be deleted: who may ask, what every page says of it,
//! and what is answered once it is gone.

use super::door::{Door, PASSWORD, Who};
use super::site::Site;
use axum::body::Bytes;
use axum::http::StatusCode;
use pillarbook::domain::role::Role;
use pillarbook::domain::visibility::Visibility;
use pillarbook::store::{COOLING_OFF, PhotoFiles, PhotoSize};
use pillarbook::web::leaving::sweep;
use time::{Duration, OffsetDateTime};

const PAGE: &str = "/department/deletion";
const TOLD: &str = "will be deleted on ";

async fn name(door: &Door) -> String {
    let own = &door.members[&Who::Keeper].department;
    door.store.departments(own).await.unwrap()[0].name.clone()
}

#[tokio::test]
async fn a_keeper_asks_with_the_name_and_the_password_and_every_page_says_the_day() {
    let door = &Door::new().await;
    let name = name(door).await;
    let card = format!("/cards/{}", door.card);
    let pages = [
        card.clone(),
        format!("{card}/history"),
        format!("{card}/plan"),
        "/".to_owned(),
    ];
    let said = async |who: Who, path: &str| door.get(who, path).await.body.contains(TOLD);
    for path in &pages {
        assert!(!said(Who::Member, path).await, "{path}");
    }
    let ask = async |name: &str, password: &str| {
        let fields = [("do", "ask"), ("department", name), ("old", password)];
        door.post(Who::Keeper, PAGE, &fields).await
    };
    let wrong = ask("Another", PASSWORD).await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(wrong.body.contains("not the name of this department"));
    let wrong = ask(&name, "not the password at all").await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(wrong.body.contains("this is not your password"));
    assert!(
        !wrong.body.contains("not the password at all"),
        "passwords do not come back"
    );
    assert!(!said(Who::Keeper, "/").await, "nothing was asked");

    let asked = ask(&name, PASSWORD).await;
    assert_eq!(
        (asked.status, asked.location.as_str()),
        (StatusCode::SEE_OTHER, PAGE)
    );
    for path in &pages {
        for who in [Who::Member, Who::Trainer, Who::Keeper] {
            assert!(said(who, path).await, "{who:?} {path}");
        }
        assert!(!said(Who::Stranger, "/").await);
    }
    let shown = door.get(Who::Keeper, PAGE).await.body;
    assert!(shown.contains("Keeper Fenn asked for it on"), "{shown}");
    let off = door.post(Who::Keeper, PAGE, &[("do", "call-off")]).await;
    assert_eq!(off.location, PAGE);
    for path in &pages {
        assert!(!said(Who::Member, path).await, "{path}");
    }
    let again = door.post(Who::Keeper, PAGE, &[("do", "call-off")]).await;
    assert_eq!(again.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn guesses_at_the_password_are_slowed_down() {
    let door = &Door::new().await;
    let name = name(door).await;
    let fields = [
        ("do", "ask"),
        ("department", name.as_str()),
        ("old", "a guess"),
    ];
    let mut last = StatusCode::OK;
    for _ in 0..9 {
        last = door.post(Who::Keeper, PAGE, &fields).await.status;
    }
    assert_eq!(last, StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test]
async fn the_demos_first_department_stays() {
    let site = Site::new().await;
    let page = site.get(PAGE).await;
    assert!(page.text("main").contains("so it stays"));
    assert_eq!(page.count("form[action='/department/deletion']"), 0);
    let asked = site.post(PAGE, &[("do", "ask"), ("department", "x")]).await;
    assert_eq!(asked.status, StatusCode::FORBIDDEN);
    let leaving = site.store.leaving(&site.actor.department).await.unwrap();
    assert_eq!(leaving, None);
}

#[tokio::test]
async fn once_it_is_gone_nothing_it_gave_out_opens_anything() {
    let door = &Door::new().await;
    let (store, keeper) = (&door.store, &door.members[&Who::Keeper]);
    let stranger = &door.members[&Who::Stranger];
    let now = OffsetDateTime::now_utc();
    store
        .ask_partner(keeper, &stranger.department, now)
        .await
        .unwrap();
    store
        .accept_partner(stranger, &keeper.department, now)
        .await
        .unwrap();
    let card = format!("/cards/{}", door.card);
    store
        .set_visibility(keeper, &door.card, Visibility::Partners, now)
        .await
        .unwrap();
    let until = now + Duration::days(7);
    store
        .make_link(keeper, &door.card, ("a-secret", "Engine 4"), until, now)
        .await
        .unwrap();
    store.ask_to_leave(keeper, now).await.unwrap();
    let partners = door.get(Who::Stranger, "/partners").await.body;
    assert!(partners.contains("copy what you rely on before"));
    let opens = async |who: Who, path: &str| door.get(who, path).await.status;
    assert_eq!(opens(Who::Stranger, &card).await, StatusCode::OK);
    assert_eq!(
        opens(Who::Anonymous, "/shared/a-secret").await,
        StatusCode::OK
    );
    store.call_off_leaving(keeper, now).await.unwrap();
    let long_ago = now - COOLING_OFF;
    store.ask_to_leave(keeper, long_ago).await.unwrap();
    sweep(store, &PhotoFiles::in_memory()).await;

    assert_eq!(opens(Who::Stranger, &card).await, StatusCode::NOT_FOUND);
    let history = format!("{card}/history/1");
    assert_eq!(opens(Who::Stranger, &history).await, StatusCode::NOT_FOUND);
    assert_eq!(
        opens(Who::Anonymous, "/shared/a-secret").await,
        StatusCode::NOT_FOUND
    );
    for who in [Who::Member, Who::Officer, Who::Keeper] {
        assert_eq!(
            opens(who, &card).await,
            StatusCode::SEE_OTHER,
            "{who:?} is signed out"
        );
        let page = door.get(who, &card).await;
        assert!(page.location.starts_with("/sign-in"));
    }
    let program = Who::Program(Role::Keeper);
    assert_eq!(
        opens(program, "/api/v1/cards").await,
        StatusCode::UNAUTHORIZED
    );
    let partners = door.get(Who::Stranger, "/partners").await.body;
    assert!(partners.contains("Departments that were deleted here"));
    let fields = [("name", "keeper.fenn"), ("password", PASSWORD)];
    let signing_in = door.form("/sign-in", &fields, "").await;
    assert_eq!(signing_in.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn the_files_of_its_photos_go_with_it() {
    let door = &Door::new().await;
    let (store, keeper) = (&door.store, &door.members[&Who::Keeper]);
    let photos = PhotoFiles::in_memory();
    let bytes = || Bytes::from_static(b"a picture");
    for name in ["a1b2c3", "e7f8g9"] {
        photos.keep(name, bytes(), bytes()).await.unwrap();
    }
    let now = OffsetDateTime::now_utc();
    crate::store::annotations::note_with_photos(store, keeper, &door.card, "Clip").await;
    store.ask_to_leave(keeper, now - COOLING_OFF).await.unwrap();
    sweep(store, &photos).await;
    let left = async |name: &str| photos.read(name, PhotoSize::Full).await.unwrap().is_some();
    assert!(!left("a1b2c3").await);
    assert!(left("e7f8g9").await, "another department's stays");
    assert!(
        store
            .photo_files_left(OffsetDateTime::now_utc())
            .await
            .unwrap()
            .is_empty()
    );
}
