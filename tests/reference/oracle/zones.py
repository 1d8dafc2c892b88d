"""A card's zones, all of design sections 5 and 6, in one pass."""

from . import bodies as make
from .blocked import Solver
from .fusion import fuse, order, own_sigma, status
from .stretches import gaps, middle, tile
from .tables import is_material, policy_of, quantile


def agrees(observed, vehicle, asked=None):
    """Whether a bare finding was made on the variant asked for, or else on the card's vehicle."""
    observed, asked = observed or {}, asked or {}
    for name in ("drive", "wheel", "roof", "region"):
        wanted = asked.get(name) if asked.get(name) is not None else vehicle.get(name)
        if observed.get(name) is not None and wanted is not None and observed[name] != wanted:
            return False
    year = observed.get("year")
    if year is None:
        return True
    if asked.get("year") is not None:
        return year == asked["year"]
    years = vehicle.get("years")
    return years is None or years[0] <= year <= years[1]


class Zones:
    """components: id → figures; layers: span id → class → marks; tiles, gaps, middle by span."""

    def __init__(self, card, spans, expectations, asked=None, nudge=0.0):
        self.card, self.spans, self.asked, self.nudge = card, spans, asked, nudge
        self.policy = policy_of(card)
        self.tip = self.policy["tip_reach_mm"]
        self.solver = Solver()
        self._mark(expectations)
        self.solver.solve()
        self._mark(expectations)
        self.tiles = {i: tile(s.length, self.layers[i]) for i, s in spans.items()}
        self.gaps = {i: gaps(s, self.tiles[i], self.policy) for i, s in spans.items()}
        self.middle = {i: middle(g) for i, g in self.gaps.items()}

    def _mark(self, expectations):
        self.layers = {
            i: {"no-cut": [], "bare": [], "expected": [], "material": []} for i in self.spans
        }
        for item in expectations:
            self.layers[item["span"]]["expected"].append((item["low"], item["high"], item["id"]))
        self.components, self.bare, self.void = {}, {}, {}
        self._components()
        self._bare()

    def _components(self):
        acting = [f for f in self.card["findings"] if status(f) in ("accepted", "offered")]
        by_id = {}
        for finding in sorted((f for f in acting if f["report"] == "component"), key=order):
            by_id.setdefault(finding["component"], []).append(finding)
        located = {
            f["bag"]
            for f in acting
            if status(f) == "accepted" and f.get("kind") in ("inflator", "gas-cylinder") and f.get("bag")
        }
        for component, findings in sorted(by_id.items()):
            self._component(component, findings, located)

    def _component(self, component, findings, located):
        accepted = [f for f in findings if status(f) == "accepted"]
        offered = [f for f in findings if status(f) == "offered"]
        fused, held = None, []
        if accepted:
            fused = fuse(accepted, self.spans, self.policy)
            held = make.fused_bodies(fused) + make.disputed_bodies(fused, accepted, self.policy)
        offers = [make.offered_body(f, self.spans, self.policy) for f in offered]
        self.components[component] = {
            "fused": fused, "bodies": held, "offers": offers, "accepted": accepted, "offered": offered,
        }
        cutting = [f["kind"] for f in findings if not is_material(f["kind"])]
        soft = (
            self.policy["cushion"] == "expected"
            and cutting
            and set(cutting) == {"cushion"}
            and all(f.get("bag") in located for f in findings if f["kind"] == "cushion")
        )
        layer = "expected" if soft else "no-cut"
        blocking = list(held) if fused and fused["no_cut"] else []
        blocking += [b for b, f in zip(offers, offered) if not is_material(f["kind"])]
        marking = list(held) if fused and fused["material"] else []
        # The page is silent on offered materials; the service marks them, which hides nothing.
        marking += [b for b, f in zip(offers, offered) if is_material(f["kind"])]
        for span in self.spans.values():
            marks = self.layers[span.id]
            for body in blocking:
                marks[layer] += [(a, b, component) for a, b in body.keeps_out(span, self.solver, self.tip, self.nudge)]
            for body in marking:
                marks["material"] += [(a, b, component) for a, b in body.occupies(span, self.solver, self.tip, self.nudge)]

    def _bare(self):
        k = quantile(self.policy["coverage"], 2)
        for finding in self.card["findings"]:
            if finding["report"] != "bare" or status(finding) != "accepted" or finding["depth"] != "through":
                continue
            span = self.spans[finding["place"]["span"]]
            a, b = (min(max(float(finding["place"][e]), 0.0), span.length) for e in ("from_mm", "to_mm"))
            if not agrees(finding.get("observed"), self.card["vehicle"], self.asked):
                self.void[finding["id"]] = "variant-differs"
                continue
            if not finding.get("resolved") and self._occupied(span, a, b):
                self.void[finding["id"]] = "contradiction"
                continue
            widening = k * own_sigma(finding, self.policy)
            if a + widening >= b - widening:
                self.void[finding["id"]] = "counts-for-nothing"
                continue
            self.bare[finding["id"]] = (span.id, a + widening, b - widening)
            self.layers[span.id]["bare"].append((a + widening, b - widening, finding["id"]))

    def _occupied(self, span, a, b):
        """Whether an accepted no-cut component's own extent touches these stations."""
        taken = []
        for item in self.components.values():
            if item["fused"] and item["fused"]["no_cut"]:
                for body in item["bodies"]:
                    taken += body.occupies(span, self.solver, self.tip, self.nudge)
        return any(low <= b and a <= high for low, high in taken)

