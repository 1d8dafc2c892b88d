//! Who is in the demo, and its card files.

/// A card file of the demo.
#[derive(Debug)]
pub(super) struct DemoCard {
    pub name: &'static str,
    /// Index into [`DEPARTMENTS`].
    pub department: usize,
    pub text: &'static str,
}

/// The three departments of Aldermere County, an invented one, with their
/// members. The first is the local one, its first member the local member.
pub(super) const DEPARTMENTS: [(&str, &[&str]); 3] = [
    (
        "Aldermere Ridge Fire District",
        &[
            "Ines Tolland",
            "Marek Ashby",
            "Wil Carden",
            "Odile Farrow",
            "Petra Lunn",
            "Hale Brockett",
        ],
    ),
    (
        "Saltby Harbour Fire and Rescue",
        &["Rue Pellow", "Tomas Wray"],
    ),
    (
        "Oakmere Vale Volunteer Fire Company",
        &["Dana Birchall", "Joss Okell"],
    ),
];

macro_rules! card {
    ($department:literal, $name:literal) => {
        DemoCard {
            name: $name,
            department: $department,
            text: include_str!(concat!("cards/", $name, ".json")),
        }
    };
}

/// The name of the fullest card: 40 components over every span of an `suv`.
pub const FULLEST: &str = "kestrane-marram-2020";

/// Every card, in the order they are listed.
pub(super) const CARDS: [DemoCard; 20] = [
    card!(0, "corvel-tarn-2019"),
    card!(0, "kestrane-marram-2020"),
    card!(0, "hallenby-ottery-2016"),
    card!(0, "norrick-brack-crew-2018"),
    card!(0, "pellmark-wick-2014"),
    card!(0, "corvel-lynmoor-2021"),
    card!(0, "tuvalo-sedge-2022"),
    card!(0, "norrick-drover-2015"),
    card!(1, "kestrane-quillon-2017"),
    card!(1, "hallenby-sorrel-2015"),
    card!(1, "tuvalo-ivel-2020"),
    card!(1, "pellmark-cobb-2019"),
    card!(1, "norrick-brack-ext-2012"),
    card!(1, "corvel-stour-2013"),
    card!(2, "norrick-pollard-2010"),
    card!(2, "kestrane-thrift-2018"),
    card!(2, "hallenby-dunnock-2011"),
    card!(2, "tuvalo-rill-2021"),
    card!(2, "pellmark-averil-2008"),
    card!(2, "corvel-tarn-2012"),
];

/// The text of a card file of the demo.
pub fn text(name: &str) -> Option<&'static str> {
    let card = CARDS.iter().find(|card| card.name == name)?;
    Some(card.text)
}

/// The names of all card files of the demo.
pub fn names() -> impl Iterator<Item = &'static str> {
    CARDS.iter().map(|card| card.name)
}
