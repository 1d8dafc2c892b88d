//! `/body-styles`: the twelve, for a car nobody has recorded.

use super::results::StyleRow;
use crate::domain::body::StyleId;
use askama::Template;
use askama_web::WebTemplate;

/// All body styles.
#[derive(Template, WebTemplate)]
#[template(path = "find/styles.html")]
pub struct StylesPage {
    pub styles: Vec<StyleRow>,
}

/// `GET /body-styles`
pub async fn show_styles() -> StylesPage {
    StylesPage {
        styles: StyleId::ALL.iter().map(|s| StyleRow::of(*s)).collect(),
    }
}
