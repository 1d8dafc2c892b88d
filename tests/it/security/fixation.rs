//! Sessions: nobody chooses another's, and what ends one ends it everywhere.

use super::county::{County, FORM, asked, encoded};
use crate::web::door::{Answered, PASSWORD, answer};
use axum::body::Body;
use axum::http::{Method, header};
use pillarbook::secret;

async fn sent(county: &County, path: &str, fields: &[(&str, &str)], cookie: &str) -> Answered {
    let request = asked(None, Method::POST, path)
        .header(header::CONTENT_TYPE, FORM)
        .header(header::COOKIE, cookie)
        .body(Body::from(encoded(fields)));
    answer(&county.router, request.unwrap()).await
}

/// Who a cookie stands for, by the account's page.
async fn name_of(county: &County, secret: &str) -> Option<String> {
    let request = asked(None, Method::GET, "/account")
        .header(header::COOKIE, format!("session={secret}"))
        .body(Body::empty());
    let page = answer(&county.router, request.unwrap()).await;
    assert!(
        page.cookies.is_empty(),
        "looking gives nobody a cookie: {:?}",
        page.cookies
    );
    let heading = page.body.split("<h1>").nth(1)?;
    Some(heading.split("</h1>").next().unwrap().to_owned())
}

/// An address one signs in by, what is sent to it, and who that is.
type Way<'a> = (&'a str, &'a [(&'a str, &'a str)], &'a str);

const NEW: &str = "barrel quarry thistle oar";

#[tokio::test]
async fn whoever_begins_gets_a_session_that_nobody_knew_before() {
    let county = &County::new().await;
    let (home, stranger) = (&county.home, &county.stranger);
    let ada = [("name", "ada.oakmere"), ("password", PASSWORD)];
    let joins = [
        ("member", "Di Holt"),
        ("name", "di.holt"),
        ("password", NEW),
        ("again", NEW),
    ];
    let resets = [("password", NEW), ("again", NEW)];
    let invitation = format!("/invitations/{}", home.invitation);
    let reset = format!("/resets/{}", home.reset);
    let doors: [Way<'_>; 3] = [
        ("/sign-in", &ada, "Ada Oakmere"),
        (&invitation, &joins, "Di Holt"),
        (&reset, &resets, "Bo Oakmere"),
    ];
    for (path, fields, who) in doors {
        // One that is nobody's, and the attacker's own, put into the browser before.
        let mine = sent(
            county,
            "/sign-in",
            &[("name", "bo.saltby"), ("password", PASSWORD)],
            "",
        )
        .await;
        let mine = mine.cookie("session").unwrap().to_owned();
        let nobodys = secret::draw();
        assert_eq!(name_of(county, &nobodys).await, None);
        let cookie = format!("session={nobodys}; session={mine}");
        let begun = sent(county, path, fields, &cookie).await.expect(303);
        let session = begun.cookie("session").unwrap();
        assert!(session != mine && session != nobodys, "{path}");
        assert_eq!(
            name_of(county, session).await.as_deref(),
            Some(who),
            "{path}"
        );
        assert_eq!(name_of(county, &nobodys).await, None, "{path}");
        assert_eq!(
            name_of(county, &mine).await,
            None,
            "the one before ended: {path}"
        );
    }
    let untouched = name_of(county, &stranger.second.session).await;
    assert_eq!(untouched.as_deref(), Some("Bo Saltby"));
}

#[tokio::test]
async fn signing_out_ends_the_session_and_the_next_is_another() {
    let county = &County::new().await;
    let ada = [("name", "ada.oakmere"), ("password", PASSWORD)];
    let first = sent(county, "/sign-in", &ada, "").await;
    let first = first.cookie("session").unwrap().to_owned();
    let out = sent(county, "/sign-out", &[], &format!("session={first}"))
        .await
        .expect(303);
    assert_eq!(out.cookie("session"), Some(""));
    assert_eq!(name_of(county, &first).await, None);
    let next = sent(county, "/sign-in", &ada, &format!("session={first}")).await;
    assert_ne!(next.cookie("session").unwrap(), first);
    assert_eq!(name_of(county, &first).await, None);
}

#[tokio::test]
async fn a_new_password_and_a_reset_end_every_other_session() {
    let county = &County::new().await;
    let second = &county.home.second;
    let change = [
        ("do", "password"),
        ("old", PASSWORD),
        ("password", NEW),
        ("again", NEW),
    ];
    let elsewhere = sent(
        county,
        "/sign-in",
        &[("name", "bo.oakmere"), ("password", PASSWORD)],
        "",
    )
    .await;
    let elsewhere = elsewhere.cookie("session").unwrap();
    county.post(second, "/account", &change).await.expect(303);
    assert_eq!(name_of(county, elsewhere).await, None);
    assert!(
        name_of(county, &second.session).await.is_some(),
        "the one it was done in"
    );
    let resets = [
        ("password", "gravel lantern pewter dune"),
        ("again", "gravel lantern pewter dune"),
    ];
    let reset = format!("/resets/{}", county.home.reset);
    sent(county, &reset, &resets, "").await;
    assert_eq!(name_of(county, &second.session).await, None);
}

#[tokio::test]
async fn no_other_site_signs_a_browser_in_or_out() {
    let county = &County::new().await;
    let theirs = [("name", "bo.saltby"), ("password", PASSWORD)];
    for (path, fields) in [("/sign-in", &theirs[..]), ("/sign-out", &[])] {
        for origin in ["https://evil.example", "null", "http://localhost:8081"] {
            let mut request = asked(Some(&county.home.chief), Method::POST, path)
                .header(header::CONTENT_TYPE, FORM)
                .body(Body::from(encoded(fields)))
                .unwrap();
            request
                .headers_mut()
                .insert(header::ORIGIN, origin.parse().unwrap());
            let refused = answer(&county.router, request).await.expect(403);
            assert_eq!(refused.cookies, Vec::<String>::new(), "{path} {origin}");
        }
    }
    let still = name_of(county, &county.home.chief.session).await;
    assert_eq!(still.as_deref(), Some("Ada Oakmere"));
}
