"""Bodies of a component and what they block, mark and void (design section 5.5 to 5.7, 6).

A body is either a piece of one span ("placed" there) or the straight segment between two
points. Each has its own k times sigma; the radius and clearance may be its own (offers).
"""

from dataclasses import dataclass, field

import numpy as np

from .fusion import own_place, own_sigma, radius
from .tables import clearance, is_material, quantile


@dataclass
class Body:
    place: tuple
    radius: float
    clearance: float
    k_sigma: float
    sigma: float
    finding: str | None = None
    offered: bool = False
    grown: float = 0.0
    points: np.ndarray = field(default=None)

    def __post_init__(self):
        if self.place[0] == "span":
            self.points = self.place[1].between(self.place[2], self.place[3])
        else:
            self.points = np.array(self.place[1:3], float)

    @property
    def keep_out(self):
        return self.radius + self.clearance + self.k_sigma

    def keeps_out(self, span, solver, tip, nudge=0.0):
        """Stations of the span that the keep-out blocks; nudge makes R a hair larger."""
        reach = self.keep_out + self.grown + nudge
        if self.place[0] == "points":
            return solver.blocked(span, self.points, reach, tip)
        _, home, a, b = self.place
        if home.id == span.id:
            return [(a - reach, b + reach), *solver.blocked(span, self.points, reach, tip)]
        return solver.blocked(span, self.points, reach + home.largest_h(a, b), tip)

    def occupies(self, span, solver, tip, nudge=0.0):
        """Stations that the part itself may take: for material, and for voiding a bare finding."""
        if self.place[0] == "points":
            return solver.blocked(span, self.points, self.radius + self.k_sigma + self.grown + nudge, tip)
        _, home, a, b = self.place
        return [(a - self.k_sigma, b + self.k_sigma)] if home.id == span.id else []


def fused_bodies(fused):
    """Rule 6: one piece of one span; or the fused segment and every span finding's own piece."""
    common = dict(
        radius=fused["radius"],
        clearance=fused["clearance"] or 0.0,
        k_sigma=fused["k"] * fused["sigma"],
        sigma=fused["sigma"],
    )
    if fused["place"][0] == "span":
        return [Body(place=fused["place"], **common)]
    on_spans = [(i, p) for i, p in zip(fused["ids"], fused["places"]) if p[0] == "span"]
    grown = max((p[1].largest_h(p[2], p[3]) for _, p in on_spans), default=0.0)
    segment = Body(place=fused["place"], grown=grown, **common)
    return [segment, *(Body(place=p, finding=i, **common) for i, p in on_spans)]


def disputed_bodies(fused, findings, policy):
    """Rule 5: every finding's own, with its own sigma, the component's k and largest radius."""
    if not fused["disagree"]:
        return []
    made = []
    for finding, place in zip(findings, fused["places"]):
        sigma = own_sigma(finding, policy)
        made.append(
            Body(
                place=place,
                radius=fused["radius"],
                clearance=fused["clearance"] or 0.0,
                k_sigma=fused["k"] * sigma,
                sigma=sigma,
                finding=finding["id"],
            )
        )
    return made


def offered_body(finding, spans, policy):
    """Rule 7: an offer's own keep-out, k of its own place's d."""
    place = own_place(finding, spans)
    sigma = own_sigma(finding, policy)
    k = quantile(policy["coverage"], 2 if place[0] == "span" else 6)
    own = 0.0 if is_material(finding["kind"]) else clearance(finding["kind"], policy)
    return Body(
        place=place,
        radius=radius(finding),
        clearance=own,
        k_sigma=k * sigma,
        sigma=sigma,
        finding=finding["id"],
        offered=True,
    )
