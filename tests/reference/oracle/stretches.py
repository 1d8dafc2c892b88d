"""Stretches and gaps of one span from its sets of stations (design section 6)."""

from dataclasses import dataclass

import numpy as np

RANKED = ["no-cut", "bare", "expected"]
RUNS = [
    ("bare", {"bare"}),
    ("unproven", {"bare", "unproven"}),
    ("expected", {"bare", "unproven", "expected"}),
]


@dataclass
class Stretch:
    low: float
    high: float
    cls: str
    material: tuple
    because: dict  # id: how many mm of the stretch it covers


def tile(length, layers):
    """layers: class name or 'material' → list of (low, high, id). The stretches, unrounded."""
    cuts = {0.0, length}
    for marks in layers.values():
        for low, high, _ in marks:
            cuts.update(min(max(x, 0.0), length) for x in (low, high))
    cuts = sorted(cuts)
    tiles = []
    for a, b in zip(cuts, cuts[1:]):
        if b - a < 1e-9:
            continue
        middle = 0.5 * (a + b)
        on = {k: {i for low, high, i in v if low <= middle <= high} for k, v in layers.items()}
        cls = next((c for c in RANKED if on.get(c)), "unproven")
        material = tuple(sorted(on.get("material", ())))
        last = tiles[-1] if tiles else None
        if last is None or (last.cls, last.material) != (cls, material):
            last = Stretch(a, a, cls, material, {})
            tiles.append(last)
        for i in on.get(cls, ()):
            last.because[i] = last.because.get(i, 0.0) + b - a
        last.high = b
    return tiles


def runs(tiles, allowed, needed):
    """Maximal runs of the allowed classes that hold some of the needed one."""
    found, current = [], None
    for t in [*tiles, None]:
        if t is not None and t.cls in allowed:
            current = (current[0] if current else t.low, t.high, (current[2] if current else False) or t.cls == needed)
        else:
            if current and current[2]:
                found.append(current[:2])
            current = None
    return found


def gaps(span, tiles, policy):
    """(low, high, class) of every gap of 1 mm or more."""
    found = []
    for needed, allowed in RUNS:
        for run in runs(tiles, allowed, needed):
            found += [(*g, needed) for g in gaps_in(span, run, policy)]
    return sorted(g for g in found if g[1] - g[0] >= 1.0)


def gaps_in(span, run, policy):
    """Stations s with s − b′(s) ≥ start and s + b′(s) ≤ end, piece by piece."""
    tan = np.tan(np.radians(policy["lean_deg"]))
    half = policy["blade_half_width_mm"] + (span.half_depth + policy["tip_reach_mm"]) * tan
    joined = []
    for i in range(len(span.lengths)):
        s0, s1 = span.stations[i], span.stations[i + 1]
        low, high = s0, s1
        # Both conditions are linear in s on one piece: value at the ends must not be negative.
        for f0, f1 in (
            (s0 - half[i] - run[0], s1 - half[i + 1] - run[0]),
            (run[1] - s0 - half[i], run[1] - s1 - half[i + 1]),
        ):
            if f0 < 0 and f1 < 0:
                low, high = 1.0, 0.0
            elif f0 < 0:
                low = max(low, s0 + (s1 - s0) * f0 / (f0 - f1))
            elif f1 < 0:
                high = min(high, s0 + (s1 - s0) * f0 / (f0 - f1))
        if low > high:
            continue
        if joined and low - joined[-1][1] < 1e-9:
            joined[-1][1] = high
        else:
            joined.append([low, high])
    return [tuple(j) for j in joined]


def middle(found):
    """Middle of the widest gap of the best class there is."""
    for cls, _ in RUNS:
        of_class = [g for g in found if g[2] == cls]
        if of_class:
            widest = max(g[1] - g[0] for g in of_class)
            return sorted(
                {round(0.5 * (g[0] + g[1]), 4) for g in of_class if widest - (g[1] - g[0]) < 0.05}
            )
    return []
