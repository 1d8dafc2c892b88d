//! Pages as an attacker reads them: the forms on them and where they lead.

use super::{County, Person, Place};
use crate::web::door::Answered;
use pillarbook::web::who::access::TABLE;
use scraper::{ElementRef, Html, Selector};
use std::collections::{BTreeMap, BTreeSet};

/// A form that changes something, and what it may send.
#[derive(Debug, Clone)]
pub struct Form {
    /// The page it stands on.
    pub page: String,
    pub action: String,
    pub fields: Vec<Field>,
    /// Names and values of the keys that send it; one without a name where no
    /// key has one.
    pub keys: Vec<(String, String)>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Field {
    pub name: String,
    pub kind: Kind,
    /// As the page shows it; empty where nothing is chosen.
    pub value: String,
    /// What could be chosen.
    pub choices: Vec<String>,
    /// How it is typed: `text`, `password`, `date`, `decimal`…
    pub input: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Typed,
    Hidden,
    Chosen,
    Ticked,
    File,
}

fn all<'a>(of: ElementRef<'a>, selector: &str) -> Vec<ElementRef<'a>> {
    of.select(&Selector::parse(selector).unwrap()).collect()
}

/// The forms of a page that are sent by POST.
pub fn forms(path: &str, html: &str) -> Vec<Form> {
    let page = Html::parse_document(html);
    let forms = all(page.root_element(), "form[method=post]");
    let one = |form: ElementRef<'_>| Form {
        page: path.to_owned(),
        action: without_fragment(form.value().attr("action").unwrap_or(path)),
        fields: fields(form),
        keys: keys(form),
    };
    forms.into_iter().map(one).collect()
}

fn without_fragment(address: &str) -> String {
    address.split('#').next().unwrap_or_default().to_owned()
}

fn keys(form: ElementRef<'_>) -> Vec<(String, String)> {
    let keys = all(form, "button, input[type=submit]");
    let named = keys.iter().filter_map(|key| {
        let name = key.value().attr("name")?;
        Some((
            name.to_owned(),
            key.value().attr("value").unwrap_or_default().to_owned(),
        ))
    });
    let named: Vec<_> = named.collect();
    match named.is_empty() {
        true => vec![(String::new(), String::new())],
        false => named,
    }
}

fn fields(form: ElementRef<'_>) -> Vec<Field> {
    let mut fields: Vec<Field> = Vec::new();
    for element in all(form, "input[name], textarea[name], select[name]") {
        let attribute = |name: &str| element.value().attr(name).unwrap_or_default().to_owned();
        let (name, value) = (attribute("name"), attribute("value"));
        let on = element.value().attr("checked").is_some();
        let shown = if on { value.clone() } else { String::new() };
        let (kind, value, choices) = match (element.value().name(), attribute("type").as_str()) {
            ("textarea", _) => (Kind::Typed, element.text().collect(), Vec::new()),
            ("select", _) => {
                let options = all(element, "option");
                let values = options
                    .iter()
                    .map(|o| o.value().attr("value").unwrap_or_default());
                let chosen = all(element, "option[selected]");
                let chosen = chosen.first().and_then(|o| o.value().attr("value"));
                let values: Vec<String> = values.map(str::to_owned).collect();
                (Kind::Chosen, chosen.unwrap_or_default().to_owned(), values)
            }
            (_, "radio") => (Kind::Chosen, shown, vec![value]),
            (_, "checkbox") => (Kind::Ticked, shown, vec![value]),
            (_, "hidden") => (Kind::Hidden, value, Vec::new()),
            (_, "file") => (Kind::File, String::new(), Vec::new()),
            (_, "submit") => continue,
            _ => (Kind::Typed, value, Vec::new()),
        };
        let input = match attribute("inputmode") {
            mode if mode.is_empty() => attribute("type"),
            mode => mode,
        };
        let same = fields
            .iter_mut()
            .find(|f| f.name == name && kind == Kind::Chosen);
        match same {
            Some(same) => {
                same.choices.extend(choices);
                if !value.is_empty() {
                    same.value = value;
                }
            }
            None => fields.push(Field {
                name,
                kind,
                value,
                choices,
                input,
            }),
        }
    }
    fields
}

impl Form {
    /// What sending it by a key sends, with each field as the page shows it.
    pub fn sent(&self, key: &(String, String)) -> Vec<(String, String)> {
        let shown = self
            .fields
            .iter()
            .filter(|f| f.kind != Kind::File && !(f.kind == Kind::Ticked && f.value.is_empty()));
        let mut all: Vec<_> = shown.map(|f| (f.name.clone(), f.value.clone())).collect();
        if !key.0.is_empty() {
            all.push(key.clone());
        }
        all
    }
}

/// An address without what differs from card to card.
pub fn shape(path: &str) -> String {
    let (path, query) = path.split_once('?').unwrap_or((path, ""));
    let mut pieces: Vec<&str> = path.split('/').collect();
    for at in 1..pieces.len() {
        let piece = pieces[at];
        let number = |rest: &str| !rest.is_empty() && rest.bytes().all(|b| b.is_ascii_digit());
        let id = piece.len() >= 32 || piece.strip_prefix(['f', 'n']).is_some_and(number);
        if id || matches!(pieces[at - 1], "spans" | "body-styles") {
            pieces[at] = "*";
        }
    }
    let names: BTreeSet<&str> = query
        .split('&')
        .filter_map(|pair| pair.split('=').next())
        .collect();
    format!(
        "{}?{}",
        pieces.join("/"),
        names.into_iter().collect::<Vec<_>>().join("&")
    )
}

impl County {
    /// Every page that somebody gets: at each address of the table, and at what
    /// those link to; of one shape one.
    pub async fn pages(&self, who: &Person, of: &Place<'_>) -> BTreeMap<String, Answered> {
        let mut next: Vec<String> = TABLE.iter().map(|(p, ..)| self.address(p, of)).collect();
        next.reverse();
        let (mut seen, mut pages) = (BTreeSet::new(), BTreeMap::new());
        while let Some(path) = next.pop() {
            if !seen.insert(shape(&path)) {
                continue;
            }
            let answer = self.get(who, &path).await;
            if is_html(&answer) {
                // Later than what is in the table, so that the table's come first.
                next.splice(0..0, links(&answer.body));
            }
            pages.insert(path, answer);
        }
        pages
    }
}

pub fn is_html(answer: &Answered) -> bool {
    kind_of(answer).starts_with("text/html")
}

pub fn kind_of(answer: &Answered) -> &str {
    let kind = answer.headers.get("content-type");
    kind.map_or("", |kind| kind.to_str().unwrap())
}

fn links(html: &str) -> Vec<String> {
    let page = Html::parse_document(html);
    let mut found = Vec::new();
    for (selector, name) in [
        ("a[href]", "href"),
        ("img[src]", "src"),
        ("link[href]", "href"),
        ("script[src]", "src"),
        ("form[action]:not([method=post])", "action"),
    ] {
        let links = all(page.root_element(), selector);
        let links = links.iter().filter_map(|a| a.value().attr(name));
        let plain = links.map(without_fragment);
        found.extend(plain.filter(|link| link.starts_with('/')));
    }
    found
}
