"""The tables of the design: kinds, sources, policy defaults, quantiles.

Clearances, radii and bounds are policy defaults from common practice or memory, no source.
"""

from scipy import stats

# kind: (clearance mm, or None for a material; radius mm where a finding gives none)
KINDS = {
    "inflator": (75, 30),
    "gas-cylinder": (75, 35),
    "pretensioner": (50, 35),
    "control-unit": (50, 60),
    "gas-strut": (50, 15),
    "rollover-actuator": (50, 40),
    "column-actuator": (50, 40),
    "hood-actuator": (50, 30),
    "hv-cutoff-charge": (50, 30),
    "crash-sensor": (25, 25),
    "cushion": (25, 40),
    "hv-cable": (100, 25),
    "hv-part": (100, 80),
    "hv-disconnect": (100, 80),
    "hv-battery": (150, 100),
    "fuel-gas-tank": (150, 180),
    "battery-48v": (50, 100),
    "ultracapacitor": (50, 50),
    "fuel-line": (50, 15),
    "fuel-gas-line": (50, 15),
    "fuel-tank": (50, 150),
    "battery-12v": (25, 90),
    "cut-loop": (25, 20),
    "latch-release": (25, 20),
    "reinforcement": (None, 0),
    "magnesium": (None, 0),
    "composite": (None, 0),
}

BOUND_MM = {"measured": 25, "photo": 40, "drawing": 40, "seen": 100, "schematic": 200, "told": 200}
BY_CAR = {"measured", "photo", "seen"}

POLICY = {
    "coverage": 0.99,
    "blade_half_width_mm": 30,
    "tip_reach_mm": 50,
    "lean_deg": 10,
    "car_to_car_mm": 10,
    "clearance_mm": {},
    "cushion": "no-cut",
}


def policy_of(card):
    """The card's policy over the defaults."""
    given = {k: v for k, v in (card.get("policy") or {}).items() if v is not None}
    return {**POLICY, **given}


def quantile(coverage, d):
    """k of design rule 5.4: two-sided normal for two stations, root of chi-square for points."""
    if d == 2:
        return float(stats.norm.ppf(0.5 + coverage / 2))
    return float(stats.chi2.ppf(coverage, 3) ** 0.5)


def is_material(kind):
    return KINDS[kind][0] is None


def clearance(kind, policy):
    return policy["clearance_mm"].get(kind, KINDS[kind][0])
