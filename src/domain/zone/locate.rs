//! Findings put on the fitted body. A station up to 100 mm outside its span is
//! clamped to it with a warning; further out, or on a span the body style does
//! not have, is an error.

use super::blade::BladeSpan;
use super::error::{PlaceError, PlaceProblem};
use super::result::Warning;
use super::say;
use crate::domain::finding::{BareReport, ComponentReport, Finding, Place, Report};
use crate::domain::fusion::located::{Located, OnSpan};

/// How far outside its span a recorded station is still read, mm.
pub const CLAMP_MM: f64 = 100.0;

/// A bare finding with its stations on the fitted span.
#[derive(Debug, Clone, Copy)]
pub struct LocatedBare<'a> {
    pub finding: &'a Finding,
    pub report: &'a BareReport,
    pub place: OnSpan,
}

/// Every acting finding, placed; in the order of (`observed_on`, id).
#[derive(Debug, Default)]
pub struct LocatedFindings<'a> {
    pub components: Vec<(Located<'a>, &'a ComponentReport)>,
    pub bare: Vec<LocatedBare<'a>>,
    pub warnings: Vec<Warning>,
}

/// Places every acting finding; all misplaced ones are named.
pub fn locate<'a>(
    findings: &'a [Finding],
    spans: &[BladeSpan],
) -> Result<LocatedFindings<'a>, Vec<PlaceError>> {
    let mut acting: Vec<usize> = (0..findings.len())
        .filter(|&i| findings[i].acts())
        .collect();
    acting.sort_by(|&i, &j| {
        let key = |f: &'a Finding| (f.observed_on, f.id.as_str());
        key(&findings[i]).cmp(&key(&findings[j]))
    });
    let mut located = LocatedFindings::default();
    let mut errors = Vec::new();
    for index in acting {
        if let Err(problems) = located.place(index, &findings[index], spans) {
            errors.extend(problems);
        }
    }
    if errors.is_empty() {
        Ok(located)
    } else {
        Err(errors)
    }
}

impl<'a> LocatedFindings<'a> {
    fn place(
        &mut self,
        index: usize,
        finding: &'a Finding,
        spans: &[BladeSpan],
    ) -> Result<(), Vec<PlaceError>> {
        match &finding.report {
            Report::Component(report) => {
                let (on_span, ends) = match &report.place {
                    Place::OnSpan {
                        span,
                        from_mm,
                        to_mm,
                    } => {
                        let at = self.stations(index, finding, span, [*from_mm, *to_mm], spans)?;
                        let line = &spans[at.span].span.line;
                        (Some(at), [line.point_at(at.from), line.point_at(at.to)])
                    }
                    Place::Points(ends) => (None, *ends),
                };
                self.components.push((
                    Located {
                        finding,
                        on_span,
                        ends,
                    },
                    report,
                ));
            }
            Report::Bare(report) => {
                let stations = [report.from_mm, report.to_mm];
                let place = self.stations(index, finding, &report.span, stations, spans)?;
                self.bare.push(LocatedBare {
                    finding,
                    report,
                    place,
                });
            }
        }
        Ok(())
    }

    fn stations(
        &mut self,
        index: usize,
        finding: &Finding,
        name: &str,
        recorded: [f64; 2],
        spans: &[BladeSpan],
    ) -> Result<OnSpan, Vec<PlaceError>> {
        let error = |end, problem| PlaceError {
            index,
            finding: finding.id.clone(),
            end,
            problem,
        };
        let Some(span) = spans.iter().position(|s| s.span.id == name) else {
            return Err(vec![error(
                None,
                PlaceProblem::UnknownSpan {
                    span: name.to_owned(),
                },
            )]);
        };
        let length = spans[span].length();
        let outside: Vec<_> = (0..2)
            .filter(|&end| !(-CLAMP_MM..=length + CLAMP_MM).contains(&recorded[end]))
            .map(|end| {
                let (span, station_mm) = (name.to_owned(), recorded[end]);
                error(
                    Some(end),
                    PlaceProblem::Outside {
                        span,
                        station_mm,
                        length_mm: length,
                    },
                )
            })
            .collect();
        if !outside.is_empty() {
            return Err(outside);
        }
        let [from, to] = recorded.map(|s| s.clamp(0.0, length));
        if [from, to] != recorded {
            self.warnings
                .push(say::station_clamped(&finding.id, spans[span].span, length));
        }
        Ok(OnSpan { span, from, to })
    }
}
