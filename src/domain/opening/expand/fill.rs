//! Filling a form in for one car and one side: `{side}`, `{far}`, `{door}` and
//! what added steps name. A place on a span across the car is written for the
//! left; made on the right, its ends change places.

use crate::domain::body::{FittedBody, SpanGroup};
use crate::domain::frame::Side;
use crate::domain::opening::template::{
    At, ContactForm, NeedOf, On, PanelForm, PanelPoint, SpanForm, StepForm,
};

/// What stands for each `{name}` in a form.
#[derive(Debug, Clone, Default)]
pub struct Words(Vec<(&'static str, String)>);

impl Words {
    /// The words of an opening made on a side.
    pub fn of(side: Side, door: &str) -> Self {
        Self::default()
            .with("side", side.word())
            .with("far", side.mirrored().word())
            .with("door", door)
    }

    pub fn with(mut self, name: &'static str, word: impl Into<String>) -> Self {
        self.0.push((name, word.into()));
        self
    }

    pub fn text(&self, text: &str) -> String {
        self.0.iter().fold(text.to_owned(), |text, (name, word)| {
            text.replace(&format!("{{{name}}}"), word)
        })
    }

    fn texts(&self, texts: &[String]) -> Vec<String> {
        texts.iter().map(|t| self.text(t)).collect()
    }

    pub fn step(&self, form: &StepForm) -> StepForm {
        StepForm {
            id: self.text(&form.id),
            act: form.act,
            on: self.on(&form.on),
            only: form.only.iter().map(|n| self.need(n)).collect(),
            contacts: form.contacts.iter().map(|c| self.contact(c)).collect(),
            tool: form.tool,
            before: self.texts(&form.before),
            moves: self.texts(&form.moves),
            beside: self.texts(&form.beside),
            gate: form.gate,
            opens: form.opens.as_deref().map(|t| self.text(t)),
            crew: self.text(&form.crew),
            inside: self.text(&form.inside),
            stop: form.stop.as_deref().map(|t| self.text(t)),
        }
    }

    pub fn need(&self, need: &NeedOf) -> NeedOf {
        match need {
            NeedOf::Span(id) => NeedOf::Span(self.text(id)),
            NeedOf::NoSpan(id) => NeedOf::NoSpan(self.text(id)),
            NeedOf::NoDoor(id) => NeedOf::NoDoor(self.text(id)),
            NeedOf::Pane(id) => NeedOf::Pane(self.text(id)),
            NeedOf::Door { id, hinges } => NeedOf::Door {
                id: self.text(id),
                hinges: hinges.clone(),
            },
            NeedOf::BPillar(_) | NeedOf::SeatRow(_) | NeedOf::SteeringWheel => need.clone(),
        }
    }

    fn on(&self, on: &On) -> On {
        match on {
            On::Nothing => On::Nothing,
            On::Part(id) => On::Part(self.text(id)),
            On::Span(form) => On::Span(self.span(form)),
            On::Panel(form) => On::Panel(PanelForm {
                name: self.text(&form.name),
                from: self.point(&form.from),
                to: self.point(&form.to),
                depth_mm: form.depth_mm,
            }),
        }
    }

    fn span(&self, form: &SpanForm) -> SpanForm {
        SpanForm {
            id: self.text(&form.id),
            ..form.clone()
        }
    }

    fn point(&self, form: &PanelPoint) -> PanelPoint {
        PanelPoint {
            span: self.text(&form.span),
            ..form.clone()
        }
    }

    fn contact(&self, form: &ContactForm) -> ContactForm {
        ContactForm {
            kind: form.kind,
            name: self.text(&form.name),
            span: self.span(&form.span),
            half_width_mm: form.half_width_mm,
        }
    }
}

/// Turns every place on a span across the car to the other end.
pub fn turn(form: &mut StepForm, body: &FittedBody) {
    match &mut form.on {
        On::Span(span) => turn_span(span, body),
        On::Panel(panel) => {
            for point in [&mut panel.from, &mut panel.to] {
                if lies_across(&point.span, body) {
                    point.share = 1.0 - point.share;
                }
            }
        }
        On::Nothing | On::Part(_) => {}
    }
    for contact in &mut form.contacts {
        turn_span(&mut contact.span, body);
    }
}

fn turn_span(form: &mut SpanForm, body: &FittedBody) {
    if lies_across(&form.id, body) {
        form.at = match form.at {
            At::FromFoot { at, range } => At::FromHead { at, range },
            At::FromHead { at, range } => At::FromFoot { at, range },
            At::Share { at, range } => At::Share {
                at: 1.0 - at,
                range: [1.0 - range[1], 1.0 - range[0]],
            },
        };
    }
}

fn lies_across(span: &str, body: &FittedBody) -> bool {
    body.span(span)
        .is_some_and(|s| s.group == SpanGroup::Cross && s.side == Side::Centre)
}
