"""Every figure of the service's answer against the second implementation's.

Two programs agree when figures are within 0.02 mm. An interval that close to its bend test, a
gap that close to 1 mm and a grazing keep-out may differ by more: those are told by computing
again with R a hair larger and smaller, and are counted, never hidden.
"""

import numpy as np

from .fusion import radius
from .tables import KINDS

NEAR = 0.021


def close(a, b, tolerance=NEAR):
    if a is None or b is None:
        return a is None and b is None
    return abs(float(a) - float(b)) <= tolerance


def point_close(a, b):
    return all(close(x, y) for x, y in zip(np.ravel(a), np.ravel(b)))


class Report:
    def __init__(self):
        self.differences, self.figures = [], 0

    def check(self, ok, what, ours, theirs):
        self.figures += 1
        if not ok:
            self.differences.append(f"{what}: reference {ours}, service {theirs}")


def place_figures(place):
    if place[0] == "span":
        _, span, a, b = place
        return span.id, a, b, [span.at(a), span.at(b)]
    return None, None, None, [place[1], place[2]]


def compare_place(report, what, place, given):
    span, a, b, ends = place_figures(place)
    report.check(span == given["span"], f"{what} span", span, given["span"])
    report.check(close(a, given["from_mm"]), f"{what} from_mm", a, given["from_mm"])
    report.check(close(b, given["to_mm"]), f"{what} to_mm", b, given["to_mm"])
    report.check(point_close(ends, given["ends_mm"]), f"{what} ends_mm", ends, given["ends_mm"])


def compare_keep_out(report, what, body, given):
    compare_place(report, what, body.place, given)
    for name, value, near in (
        ("radius_mm", body.radius, NEAR),
        ("sigma_mm", body.sigma, 0.002),
        ("keep_out_mm", body.keep_out, NEAR),
        ("grown_mm", body.grown or None, NEAR),
    ):
        report.check(close(value, given.get(name), near),
                     f"{what} {name}", value, given.get(name))


def assumed(findings):
    """Whether the printed radius is a default; None where a given one ties with a default."""
    largest = max(radius(f) for f in findings)
    at = [f.get("radius_mm") is None for f in findings if abs(radius(f) - largest) < 1e-9]
    if largest == 0 and all(KINDS[f["kind"]][0] is None for f in findings):
        return False
    return at[0] if len(set(at)) == 1 else None


def compare_component(report, item, given):
    what = f"component {given['id']}"
    fused, offers = item["fused"], item["offers"]
    ids = [f["id"] for f in item["accepted"]]
    left = list(given["keep_outs"])
    for body in [*item["bodies"], *offers]:
        same = [k for k in left if k["finding"] == body.finding and k["offered"] == body.offered]
        # A mixed component in dispute lists a finding twice: by the fused R and by its own.
        found = min(same, key=lambda k: abs(k["keep_out_mm"] - body.keep_out), default=None)
        report.check(found is not None, f"{what} keep_outs of {body.finding}", "one", "none")
        if found:
            left.remove(found)
            compare_keep_out(report, f"{what} keep_out of {body.finding}", body, found)
    report.check(not left, f"{what} keep_outs", "no more", left)
    report.check(given["offered"] == (fused is None), f"{what} offered", fused is None, given["offered"])
    if fused is None:
        least = min(offers, key=lambda b: (-b.keep_out, b.finding))
        compare_keep_out(report, what, least, given)
        return
    compare_keep_out(report, what, item["bodies"][0], given)
    simple = {
        "kind": fused["kind"], "class": "no-cut" if fused["no_cut"] else "material",
        "clearance_mm": fused["clearance"], "groups": fused["groups"], "dof": fused["dof"],
        "single_source": fused["groups"] == 1, "disputed": bool(fused["disagree"]),
    }
    for name, value in simple.items():
        report.check(value == given[name], f"{what} {name}", value, given.get(name))
    is_default = assumed(item["accepted"])
    if is_default is not None:
        report.check(is_default == given["radius_assumed"], f"{what} radius_assumed", is_default, given["radius_assumed"])
    for name, near in (("chi2", 0.002), ("birge", 0.002), ("k", 0.0002)):
        report.check(close(fused[name], given[name], near + 1e-6 * abs(fused[name])), f"{what} {name}", fused[name], given[name])
    report.check(set(ids) <= set(given["findings"]), f"{what} findings", ids, given["findings"])
    ours = {frozenset(p[:2]): p[2] for p in fused["disagree"]}
    theirs = {frozenset((d["a"], d["b"])): d["mm"] for d in given["disagree"]}
    report.check(set(ours) == set(theirs), f"{what} disagree", ours, theirs)
    for pair in set(ours) & set(theirs):
        report.check(close(ours[pair], theirs[pair]), f"{what} disagree {set(pair)}", ours[pair], theirs[pair])


def runs_that_differ(ours, theirs, length):
    """Longest stretch of stations on which class or material differ."""
    cuts = sorted({0.0, length, *(t.low for t in ours), *(t["from_mm"] for t in theirs)})
    worst, current, where = 0.0, 0.0, None
    for a, b in zip(cuts, cuts[1:]):
        middle = 0.5 * (a + b)
        one = next((t for t in ours if t.low <= middle <= t.high), None)
        other = next((t for t in theirs if t["from_mm"] <= middle <= t["to_mm"]), None)
        same = one and other and one.cls == other["class"] and list(one.material) == other["material"]
        current = 0.0 if same else current + b - a
        if current > worst:
            worst, where = current, (b, one and (one.cls, one.material), other and (other["class"], other["material"]))
    return worst, where


def compare_span(report, zones, given):
    what, span = f"span {given['id']}", zones.spans[given["id"]]
    tiles, stretches = zones.tiles[span.id], given["stretches"]
    report.check(close(span.length, given["length_mm"]), f"{what} length_mm", span.length, given["length_mm"])
    ends = [0.0, *(t["to_mm"] for t in stretches)]
    report.check([t["from_mm"] for t in stretches] == ends[:-1] and ends[-1] == given["length_mm"],
                 f"{what} tiling", given["length_mm"], ends)
    worst, where = runs_that_differ(tiles, stretches, span.length)
    report.check(worst <= NEAR, f"{what} stretches differ over {worst:.3f} mm", where and where[:2], where)
    for t in stretches:
        same = [o for o in tiles if o.cls == t["class"] and min(o.high, t["to_mm"]) - max(o.low, t["from_mm"]) > NEAR]
        ours = {i: mm for o in same for i, mm in o.because.items()}
        report.check(t["because"] == sorted(set(t["because"])), f"{what} because sorted", "sorted", t["because"])
        for i in set(ours) ^ set(t["because"]):
            report.check(ours.get(i, 0.0) <= 2 * NEAR and i in ours, f"{what} because at {t['from_mm']}", ours, t["because"])
    compare_gaps(report, what, zones, given)


def compare_gaps(report, what, zones, given):
    ours, theirs = list(zones.gaps[given["id"]]), list(given["gaps"])
    for g in list(ours):
        match = next((t for t in theirs if t["class"] == g[2] and close(t["from_mm"], g[0]) and close(t["to_mm"], g[1])), None)
        if match:
            theirs.remove(match)
            ours.remove(g)
            report.figures += 2
    ours = [g for g in ours if g[1] - g[0] > 1.0 + 2 * NEAR]
    theirs = [t for t in theirs if t["to_mm"] - t["from_mm"] > 1.0 + 2 * NEAR]
    report.check(not ours and not theirs, f"{what} gaps", ours, theirs)
    allowed = zones.middle[given["id"]]
    fine = any(close(given["middle_mm"], m) for m in allowed) if allowed else given["middle_mm"] is None
    if allowed and not fine and max((g[1] - g[0] for g in zones.gaps[given["id"]]), default=0) < 1.05:
        fine = True
    report.check(fine, f"{what} middle_mm", allowed, given["middle_mm"])


def compare(zones, given):
    report = Report()
    by_id = {c["id"]: c for c in given["components"]}
    report.check(sorted(by_id) == sorted(zones.components), "components", sorted(zones.components), sorted(by_id))
    for name in set(by_id) & set(zones.components):
        compare_component(report, zones.components[name], by_id[name])
    for span in given["spans"]:
        compare_span(report, zones, span)
    bare = {b["finding"]: b for b in given["bare"]}
    report.check(set(bare) == set(zones.bare), "bare", set(zones.bare), set(bare))
    for name in set(bare) & set(zones.bare):
        span, a, b = zones.bare[name]
        g = bare[name]
        report.check((span, True, True) == (g["span"], close(a, g["from_mm"]), close(b, g["to_mm"])),
                     f"bare {name}", zones.bare[name], g)
    compare_warnings(report, zones, given["warnings"])
    return report


def compare_warnings(report, zones, given):
    """Warnings that follow from what was compared already: each told, and no other."""
    told = {(w["code"], i) for w in given for i in w["ids"]}
    codes = {"disputed": lambda f: f["disagree"], "kinds-differ": lambda f: len(f["kinds"]) > 1,
             "single-source": lambda f: f["groups"] == 1}
    for code, holds in codes.items():
        for name, item in zones.components.items():
            wanted = bool(item["fused"] and holds(item["fused"]))
            if item["fused"] or code == "disputed":
                report.check(((code, name) in told) == wanted, f"warning {code} {name}", wanted, not wanted)
    for name, why in zones.void.items():
        report.check((why, name) in told, f"warning {why} {name}", why, sorted(c for c, i in told if i == name))
