"""Findings on one component: groups, fusion, disputes (design section 5, rules 1 to 5)."""

import numpy as np

from .tables import BOUND_MM, BY_CAR, KINDS, clearance, is_material, quantile


def bound(finding):
    own = finding.get("within_mm")
    return float(own if own is not None else BOUND_MM[finding["source"]])


def radius(finding):
    own = finding.get("radius_mm")
    return float(own) if own is not None else float(KINDS[finding["kind"]][1])


def status(finding):
    given = finding.get("status")
    return given or ("accepted" if finding["report"] == "component" else "offered")


def order(finding):
    return (finding["observed_on"], finding["id"])


def own_place(finding, spans):
    """('span', span, from, to) clamped to the span, or ('points', p0, p1)."""
    place = finding["place"]
    if place.get("points"):
        return ("points", *(np.array(p, float) for p in place["points"]))
    span = spans[place["span"]]
    a, b = (min(max(float(place[k]), 0.0), span.length) for k in ("from_mm", "to_mm"))
    return ("span", span, a, b)


def point_pair(place):
    if place[0] == "points":
        return place[1], place[2]
    return place[1].at(place[2]), place[1].at(place[3])


def same_span(places):
    return all(p[0] == "span" for p in places) and len({p[1].id for p in places}) == 1


def difference(one, other):
    """Largest coordinate difference of two places, compared by themselves (rule 5)."""
    if same_span([one, other]):
        return max(abs(one[2] - other[2]), abs(one[3] - other[3]))
    (a0, a1), (b0, b1) = point_pair(one), point_pair(other)
    straight = max(np.abs(a0 - b0).max(), np.abs(a1 - b1).max())
    turned = max(np.abs(a0 - b1).max(), np.abs(a1 - b0).max())
    return float(min(straight, turned))


def disputes(findings, places):
    pairs = []
    for i in range(len(findings)):
        for j in range(i + 1, len(findings)):
            far = difference(places[i], places[j])
            if far > bound(findings[i]) + bound(findings[j]) + 30:
                pairs.append((findings[i]["id"], findings[j]["id"], far))
    return pairs


def coordinates(places):
    """Unknowns of every finding (rule 2): two stations, or six coordinates turned alike."""
    if same_span(places):
        return [np.array(p[2:4], float) for p in places]
    pairs = [point_pair(p) for p in places]
    longest = pairs[0]
    for pair in pairs[1:]:
        if np.linalg.norm(pair[1] - pair[0]) > np.linalg.norm(longest[1] - longest[0]) + 0.01:
            longest = pair
    along = longest[1] - longest[0]
    return [
        np.concatenate(pair[::-1] if (pair[1] - pair[0]) @ along < -0.001 else pair)
        for pair in pairs
    ]


def groups(findings, vectors):
    """(mean, bound) of each group, in the order of its first finding (rule 1)."""
    by_key = {}
    for finding, vector in zip(findings, vectors):
        source = finding["source"]
        key = ("car", finding["car"]) if source in BY_CAR else (source, None)
        by_key.setdefault(key, []).append((bound(finding), vector))
    made = []
    for members in by_key.values():
        least = min(a for a, _ in members)
        speaking = {tuple(v) for a, v in members if a == least}
        made.append((np.mean(list(speaking), axis=0), least))
    return made


def fuse(findings, spans, policy):
    """The fused place, its sigma and everything printed beside it. Findings: accepted, ordered."""
    places = [own_place(f, spans) for f in findings]
    vectors = coordinates(places)
    d = len(vectors[0])
    made = groups(findings, vectors)
    weights = np.array([3.0 / a**2 for _, a in made])
    means = np.array([x for x, _ in made])
    fused = (weights[:, None] * means).sum(0) / weights.sum()
    chi2 = float((weights[:, None] * (means - fused) ** 2).sum())
    dof = d * (len(made) - 1)
    birge = max(1.0, (chi2 / dof) ** 0.5) if dof else 1.0
    sigma = float((birge**2 / weights.sum() + policy["car_to_car_mm"] ** 2) ** 0.5)
    kinds = sorted({f["kind"] for f in findings})
    cutting = [k for k in kinds if not is_material(k)]
    kind = min(cutting, key=lambda k: (-clearance(k, policy), k)) if cutting else kinds[0]
    if d == 2:
        place = ("span", places[0][1], float(fused[0]), float(fused[1]))
    else:
        place = ("points", fused[:3], fused[3:])
    return {
        "place": place,
        "places": places,
        "ids": [f["id"] for f in findings],
        "d": d,
        "k": quantile(policy["coverage"], d),
        "sigma": sigma,
        "chi2": chi2,
        "dof": dof,
        "birge": birge,
        "groups": len(made),
        "kind": kind,
        "kinds": kinds,
        "no_cut": bool(cutting),
        "material": any(is_material(k) for k in kinds),
        "clearance": clearance(kind, policy),
        "radius": max(radius(f) for f in findings),
        "disagree": disputes(findings, places),
    }


def own_sigma(finding, policy):
    return float((bound(finding) ** 2 / 3 + policy["car_to_car_mm"] ** 2) ** 0.5)
