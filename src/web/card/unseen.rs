//! What nobody has looked at, span by span.

use super::ruler::length_of;
use crate::domain::units::Rounding;
use crate::domain::zone::Class;
use crate::web::figures::{amount, short};
use crate::web::reading::Reading;

/// A span with something unseen on it.
#[derive(Debug, Clone, PartialEq)]
pub struct UnseenRow {
    pub href: String,
    pub name: String,
    /// For example `all 1043 mm, 310 of it with something expected`.
    pub text: String,
}

/// Every span with stretches nobody has looked at, most unseen first.
pub fn unseen(reading: &Reading) -> Vec<UnseenRow> {
    let mut rows: Vec<(f64, UnseenRow)> = Vec::new();
    for span in &reading.zones.spans {
        let expected = length_of(span, Class::Expected);
        let all = length_of(span, Class::Unproven) + expected;
        if all <= 0.0 {
            continue;
        }
        let whole = all >= span.length_mm - 0.5;
        let mut text = if whole {
            format!("all {}", short(all, Rounding::Nearest))
        } else {
            let whole = short(span.length_mm, Rounding::Nearest);
            format!("{} of {whole}", amount(all))
        };
        if expected > 0.0 {
            text.push_str(&format!(", something expected on {}", amount(expected)));
        }
        let href = reading.link(&format!("/spans/{}", span.id));
        rows.push((
            all / span.length_mm,
            UnseenRow {
                href,
                name: span.name.to_string(),
                text,
            },
        ));
    }
    rows.sort_by(|a, b| b.0.total_cmp(&a.0));
    rows.into_iter().map(|(_, row)| row).collect()
}
