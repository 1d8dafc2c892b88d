//! From the findings on one component to the component and its keep-outs.

use super::blade::BladeSpan;
use super::keep_out::{Body, Volume};
use crate::domain::finding::{ComponentReport, Status};
use crate::domain::frame::Point;
use crate::domain::fusion::estimate::own_sigma;
use crate::domain::fusion::located::{OnSpan, shared_span};
use crate::domain::fusion::{Disagreement, Located, disagreements, fuse, speaking_groups};
use crate::domain::kind::{Kind, KindClass};
use crate::domain::name::Name;
use crate::domain::policy::Policy;

/// A finding of a component: where, and what it reports.
pub type Report<'a> = (Located<'a>, &'a ComponentReport);

/// A component with every keep-out it has, before anything is rounded.
#[derive(Debug)]
pub struct Assessed<'a> {
    pub id: Name,
    /// Accepted and offered, by (`observed_on`, id).
    pub reports: Vec<Report<'a>>,
    pub agreement: Agreement,
    pub kinds: Vec<Kind>,
    pub kind: Kind,
    pub radius_assumed: bool,
    pub disagree: Vec<Disagreement>,
    /// The fused one first, if any finding is accepted.
    pub volumes: Vec<Volume>,
}

/// How many groups there are and how well they agree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Agreement {
    pub groups: usize,
    pub chi2: f64,
    pub dof: usize,
    pub birge: f64,
}

/// Where fusion puts a component.
struct Fused {
    body: Body,
    sigma: f64,
    k: f64,
    grown_mm: Option<f64>,
    agreement: Agreement,
}

/// What every keep-out of the accepted findings shares.
struct Nature {
    kinds: Vec<Kind>,
    kind: Kind,
    clearance_mm: Option<f64>,
    material: bool,
    radius_mm: f64,
    radius_assumed: bool,
}

/// Assesses the findings on one component; at least one.
pub fn assess<'a>(
    id: &str,
    reports: Vec<Report<'a>>,
    policy: &Policy,
    spans: &[BladeSpan],
) -> Assessed<'a> {
    let accepted: Vec<usize> = (0..reports.len())
        .filter(|&i| reports[i].0.finding.status == Status::Accepted)
        .collect();
    let of_accepted: Vec<Report> = accepted.iter().map(|&i| reports[i]).collect();
    let mut volumes = Vec::new();
    let mut disagree = Vec::new();
    let mut agreement = Agreement {
        groups: 0,
        chi2: 0.0,
        dof: 0,
        birge: 1.0,
    };
    let counting = if of_accepted.is_empty() {
        &reports
    } else {
        &of_accepted
    };
    let nature = Nature::of(counting, policy);
    if !of_accepted.is_empty() {
        let located: Vec<Located> = of_accepted.iter().map(|r| r.0).collect();
        let fused = fuse_findings(&located, policy, spans);
        agreement = fused.agreement;
        disagree = disagreements(&located);
        let own = if disagree.is_empty() {
            &[][..]
        } else {
            &accepted[..]
        };
        volumes = accepted_volumes(&reports, &accepted, own, fused, &nature, policy, spans);
        disagree
            .iter_mut()
            .for_each(|d| (d.a, d.b) = (accepted[d.a], accepted[d.b]));
    }
    for (i, report) in reports.iter().enumerate() {
        if report.0.finding.status == Status::Offered {
            volumes.push(offered_volume(i, report, policy, spans));
        }
    }
    let Nature {
        kinds,
        kind,
        radius_assumed,
        ..
    } = nature;
    Assessed {
        id: id.into(),
        reports,
        agreement,
        kinds,
        kind,
        radius_assumed,
        disagree,
        volumes,
    }
}

impl Assessed<'_> {
    /// No finding on it is accepted yet.
    pub fn only_offered(&self) -> bool {
        self.volumes.iter().all(|v| v.offered)
    }

    /// The keep-out its printed figures are those of: the fused one, or of an
    /// only-offered component the largest (ties: the lower finding id).
    pub fn leading(&self) -> &Volume {
        let mut lead = &self.volumes[0];
        if self.only_offered() {
            for v in &self.volumes[1..] {
                let lower = self.finding_id(v) < self.finding_id(lead);
                let larger = v.keep_out_mm() > lead.keep_out_mm();
                if larger || (v.keep_out_mm() == lead.keep_out_mm() && lower) {
                    lead = v;
                }
            }
        }
        lead
    }

    /// Id of the finding a keep-out is of; `None` for the fused one.
    pub fn finding_id(&self, volume: &Volume) -> Option<&str> {
        volume
            .finding
            .map(|i| self.reports[i].0.finding.id.as_str())
    }
}

impl Nature {
    /// The largest clearance and radius of all reports; its kind is printed.
    fn of(reports: &[Report], policy: &Policy) -> Self {
        let mut kinds: Vec<Kind> = reports.iter().map(|r| r.1.kind).collect();
        kinds.sort_by_key(|k| k.word());
        kinds.dedup();
        let mut kind = kinds[0];
        for &other in &kinds[1..] {
            if policy.clearance_mm(other) > policy.clearance_mm(kind) {
                kind = other;
            }
        }
        let reported = |r: &Report| r.1.radius_mm.unwrap_or(r.1.kind.default_radius_mm());
        let radius_mm = reports.iter().map(reported).fold(0.0, f64::max);
        let measured = reports.iter().any(|r| r.1.radius_mm == Some(radius_mm));
        Self {
            kind,
            clearance_mm: policy.clearance_mm(kind),
            material: kinds.iter().any(|k| k.class() == KindClass::Material),
            radius_mm,
            radius_assumed: !measured && radius_mm > 0.0,
            kinds,
        }
    }

    fn volume(&self, body: Body, finding: Option<usize>, sigma_mm: f64, k: f64) -> Volume {
        Volume {
            body,
            finding,
            offered: false,
            radius_mm: self.radius_mm,
            clearance_mm: self.clearance_mm,
            material: self.material,
            sigma_mm,
            k,
            grown_mm: None,
        }
    }
}

/// The fused keep-out; with it the own pieces where the findings are not all on
/// one span, and every finding's `own` where they are disputed.
fn accepted_volumes(
    reports: &[Report],
    accepted: &[usize],
    own: &[usize],
    fused: Fused,
    nature: &Nature,
    policy: &Policy,
    spans: &[BladeSpan],
) -> Vec<Volume> {
    let (sigma, k) = (fused.sigma, fused.k);
    let mixed = fused.body.on_span.is_none();
    let mut volumes = vec![nature.volume(fused.body, None, sigma, k)];
    volumes[0].grown_mm = fused.grown_mm;
    if mixed {
        for &i in accepted {
            if let Some(place) = reports[i].0.on_span {
                volumes.push(nature.volume(Body::on_span(place, spans), Some(i), sigma, k));
            }
        }
    }
    for &i in own {
        let sigma = own_sigma(reports[i].0.bound(), policy.car_to_car_mm);
        volumes.push(nature.volume(body_of(&reports[i].0, spans), Some(i), sigma, k));
    }
    volumes
}

fn offered_volume(i: usize, report: &Report, policy: &Policy, spans: &[BladeSpan]) -> Volume {
    let nature = Nature::of(std::slice::from_ref(report), policy);
    let sigma = own_sigma(report.0.bound(), policy.car_to_car_mm);
    let k = if report.0.on_span.is_some() {
        policy.coverage.k_stations()
    } else {
        policy.coverage.k_points()
    };
    let body = body_of(&report.0, spans);
    Volume {
        offered: true,
        ..nature.volume(body, Some(i), sigma, k)
    }
}

fn body_of(located: &Located, spans: &[BladeSpan]) -> Body {
    match located.on_span {
        Some(place) => Body::on_span(place, spans),
        None => Body::segment(located.ends),
    }
}

fn fuse_findings(located: &[Located], policy: &Policy, spans: &[BladeSpan]) -> Fused {
    match shared_span(located) {
        Some(span) => fuse_stations(span, located, policy, spans),
        None => fuse_points(located, policy, spans),
    }
}

fn fuse_stations(span: usize, located: &[Located], policy: &Policy, spans: &[BladeSpan]) -> Fused {
    let places: Vec<[f64; 2]> = located
        .iter()
        .filter_map(|l| l.on_span)
        .map(|o| [o.from, o.to])
        .collect();
    let e = fuse(&speaking_groups(located, &places), policy.car_to_car_mm);
    let [from, to] = e.place;
    Fused {
        body: Body::on_span(OnSpan { span, from, to }, spans),
        sigma: e.sigma,
        k: policy.coverage.k_stations(),
        grown_mm: None,
        agreement: Agreement {
            groups: e.groups,
            chi2: e.chi2,
            dof: e.dof,
            birge: e.birge,
        },
    }
}

/// Fusion in the frame. The fused segment is grown by the largest half-depth of
/// the findings' own pieces, whose place across their section is unknown.
fn fuse_points(located: &[Located], policy: &Policy, spans: &[BladeSpan]) -> Fused {
    let places = turned_alike(located);
    let e = fuse(&speaking_groups(located, &places), policy.car_to_car_mm);
    let [x0, y0, z0, x1, y1, z1] = e.place;
    let depths = located
        .iter()
        .filter_map(|l| l.on_span)
        .map(|o| spans[o.span].span.largest_half_depth(o.from, o.to));
    Fused {
        body: Body::segment([Point::new(x0, y0, z0), Point::new(x1, y1, z1)]),
        sigma: e.sigma,
        k: policy.coverage.k_points(),
        grown_mm: depths.reduce(f64::max),
        agreement: Agreement {
            groups: e.groups,
            chi2: e.chi2,
            dof: e.dof,
            birge: e.birge,
        },
    }
}

/// Point pairs, each turned to run the way the longest finding does.
fn turned_alike(located: &[Located]) -> Vec<[f64; 6]> {
    const LONGER_MM: f64 = 0.01;
    const AGAINST_MM2: f64 = -0.001;
    let run = |l: &Located| l.ends[1] - l.ends[0];
    let mut longest = run(&located[0]);
    for l in &located[1..] {
        if run(l).length() > longest.length() + LONGER_MM {
            longest = run(l);
        }
    }
    let pair = |l: &Located| {
        let [p, q] = l.ends;
        let (p, q) = if run(l).dot(longest) < AGAINST_MM2 {
            (q, p)
        } else {
            (p, q)
        };
        [p.x, p.y, p.z, q.x, q.y, q.z]
    };
    located.iter().map(pair).collect()
}
