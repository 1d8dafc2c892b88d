//! A step on its way from form to plan: filled in for one car and one side, not
//! yet placed or sorted.

use super::template::StepForm;

/// One step of an opening made for a car.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Every `{side}`, `{far}` and `{door}` filled in.
    pub form: StepForm,
    /// Why it is there, when it was not written in the opening itself.
    pub because: Vec<String>,
    /// Seat whose belt it severs, for a belt step.
    pub belt_seat: Option<String>,
    /// Spans that carry that belt's anchor or pretensioner.
    pub belt_spans: Vec<String>,
    /// Station of its cut along its span once placed, mm.
    pub station_mm: Option<f64>,
    /// Length of that span, mm; known once placed.
    pub span_mm: Option<f64>,
}

impl From<StepForm> for Step {
    /// A step that the opening itself has: nothing has been added to it yet.
    fn from(form: StepForm) -> Self {
        Self {
            form,
            because: Vec::new(),
            belt_seat: None,
            belt_spans: Vec::new(),
            station_mm: None,
            span_mm: None,
        }
    }
}
