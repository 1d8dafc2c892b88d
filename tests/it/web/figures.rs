//! What the recorded figures of a part come to, on its card and not on its sheet.

use super::reader::Reader;

/// The demo's card of a model, and its sheet.
async fn card_and_sheet(model: &str) -> [String; 2] {
    let reader = Reader::demo().await;
    let address = reader.card_of(model).await;
    let card = reader.get(&address).await.words("details.part");
    let sheet = reader.get(&format!("{address}/print")).await.words("body");
    [card, sheet]
}

#[tokio::test]
async fn a_reinforcement_with_its_figures_shows_its_force_band_without_a_tool() {
    let [card, sheet] = card_and_sheet("Marram").await;
    // A = 1.8 · 310 · 2 = 1,116 mm²; 0.577 and 0.8 of 1,500 MPa: 965.9 and 1,339.2 kN.
    assert!(
        card.contains("Force to shear it, estimate: 965 to 1340 kN, from 1500 MPa, 2 layers of 1.8 mm, 310 mm around."),
        "{card}"
    );
    for granted in [
        "pivoting cutter crushes first",
        "severed in one stroke need their forces together",
    ] {
        assert!(card.contains(granted), "{granted}: {card}");
    }
    assert!(!sheet.contains("Force to shear"), "{sheet}");
}

#[tokio::test]
async fn a_reinforcement_with_a_figure_missing_says_which() {
    let [card, _] = card_and_sheet("Marram").await;
    assert!(
        card.contains("Force to shear it: unknown, perimeter not recorded."),
        "{card}"
    );
}

#[tokio::test]
async fn a_cylinder_shows_its_stored_energy_to_trainers_and_not_on_the_sheet() {
    let [card, sheet] = card_and_sheet("Ivel").await;
    // 70 MPa · 60 L of hydrogen, γ 1.41: (70 − 0.101325) · 60,000 / 0.41 = 10.23 MJ;
    // 70 · 60,000 / 0.41 · [1 − (0.101325/70)^0.29078] = 8.71 MJ.
    for said in [
        "Stored gas energy, for trainers",
        "8.7 MJ by isentropic expansion, 10 MJ by Brode, from 70 MPa, 60 L, hydrogen, γ 1.41. This says nothing about how far fragments reach.",
        "P₁V/(γ − 1)",
        "Ideal gas at 20 °C",
        "what burning gives is not in it",
        "Unknown: volume not recorded.",
    ] {
        assert!(card.contains(said), "{said}: {card}");
    }
    assert!(
        !sheet.contains("Stored gas energy") && !sheet.contains("Brode"),
        "{sheet}"
    );
}

#[tokio::test]
async fn a_mixture_shows_a_band_and_a_liquid_fill_is_refused_with_its_reason() {
    let [card, _] = card_and_sheet("Tarn").await;
    // Isentropic, 45 MPa · 40 cm³: argon 2,700 J · 0.9127, nitrogen 4,500 J · 0.8247.
    for said in [
        "2.5 to 3.7 kJ by isentropic expansion",
        "from 45 MPa, 40 cm³, argon/nitrogen, γ 1.40 to 1.67.",
        "4.1 kJ by isentropic expansion, 4.5 kJ by Brode, from 60 MPa, 50 cm³, helium, γ 1.67.",
        "Unknown: carbon dioxide is liquid or dense in a cylinder",
    ] {
        assert!(card.contains(said), "{said}: {card}");
    }
}

#[tokio::test]
async fn a_card_without_such_figures_shows_neither() {
    let reader = Reader::empty().await;
    let card = reader.get("/body-styles/sedan").await.words("main");
    assert!(!card.contains("Force to shear") && !card.contains("Stored gas energy"));
}
