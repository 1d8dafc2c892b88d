"""Blocked stations by brute force, and of lines through buffers.

Brute force: every disc of a cut is sampled as a cloud of points, so is the body, and the least
distance between the clouds decides. Sampling overstates a distance by at most `slack`, so the
true blocked set lies between what is found at R and at R + slack: both are kept.
Planar: with h = t = 0 in a plane, the blocked part of a line is its part inside the body's
buffer, computed by shapely (256 segments a quarter circle).
"""

import json

import numpy as np
from scipy.spatial import cKDTree
from shapely.geometry import LineString, Point

STEP = 2.0  # between stations, mm
DISC = 7.0  # between samples of a disc
BODY = 2.0  # between samples of a body
SLACK = DISC / 2**0.5 + BODY / 2


def disc_cloud(radius):
    """Offsets (e1, e2) of a square grid inside the disc, its rim included."""
    n = int(np.ceil(radius / DISC))
    grid = np.stack(np.meshgrid(*[np.arange(-n, n + 1) * DISC] * 2), -1).reshape(-1, 2)
    rim = np.linspace(0, 2 * np.pi, max(8, int(2 * np.pi * radius / DISC) + 1))
    ring = radius * np.stack([np.cos(rim), np.sin(rim)], -1)
    return np.concatenate([grid[np.linalg.norm(grid, axis=1) <= radius], ring])


def body_cloud(points):
    parts = [np.array([points[0]])]
    for a, b in zip(points, points[1:]):
        n = max(2, int(np.linalg.norm(b - a) / BODY) + 2)
        parts.append(a + np.linspace(0, 1, n)[:, None] * (b - a))
    return np.concatenate(parts)


def blocked(line, half, body, reach, tip):
    """Intervals of stations, sampled, with the rule at bends of design section 6."""
    tree = cKDTree(body_cloud(body))
    steps = np.diff(line, axis=0)
    lengths = np.linalg.norm(steps, axis=1)
    axes = steps / lengths[:, None]
    h = np.maximum(half[:-1], half[1:])
    found = []
    for i, length in enumerate(lengths):
        w = [0.0, 0.0]
        for end, other in ((0, i - 1), (1, i + 1)):
            if 0 <= other < len(lengths):
                angle = np.arccos(np.clip(axes[i] @ axes[other], -1, 1))
                w[end] = (max(h[i], h[other]) + tip) * np.tan(angle / 2)
        e1 = np.linalg.svd(axes[i][None])[2][1]
        e2 = np.cross(axes[i], e1)
        cloud = disc_cloud(h[i] + tip) @ np.stack([e1, e2])
        s = np.arange(-w[0], length + w[1] + STEP, STEP).clip(max=length + w[1])
        near = np.array([tree.query(line[i] + x * axes[i] + cloud)[0].min() for x in s])
        hit = s[near <= reach]
        if not len(hit):
            continue
        a, b = hit.min(), hit.max()
        if a < 0:
            b = max(b, w[0])
        if b > length:
            a = min(a, length - w[1])
        start = lengths[:i].sum()
        found.append([round(start + max(a, 0.0), 6), round(start + min(b, length), 6)])
    return found


def case(rng, n):
    bends = n % 4
    heading = rng.normal(size=3)
    heading /= np.linalg.norm(heading)
    line = [np.zeros(3)]
    for _ in range(bends + 1):
        heading = heading + rng.normal(size=3) * 0.07
        heading /= np.linalg.norm(heading)
        line.append(line[-1] + heading * rng.uniform(80, 220))
    line = np.array(line)
    half = rng.uniform(15, 45, len(line))
    tip, reach = rng.uniform(0, 40), rng.uniform(40, 160)
    middle = line[0] + (line[-1] - line[0]) * rng.uniform(-0.1, 1.1)
    centre = middle + rng.normal(size=3) * rng.choice([10.0, 60.0, 120.0])
    along = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    kind = ["free", "parallel", "point", "on the line", "bent"][n % 5]
    if kind == "free":
        body = [centre, centre + rng.normal(size=3) * 90]
    elif kind == "parallel":
        body = [centre, centre + along * rng.uniform(20, 150)]
    elif kind == "point":
        body = [centre, centre]
    elif kind == "on the line":
        body = [line[0] + along * 10, line[0] + along * 60]
    else:
        body = [centre, centre + rng.normal(size=3) * 60, centre + rng.normal(size=3) * 90]
    return kind, line, half, np.array(body), reach, tip


def planar(rng):
    line = np.array([[0.0, 0.0], [rng.uniform(300, 900), 0.0]])
    line[1, 1] = rng.uniform(-200, 200)
    body = rng.uniform([-100, -150], [800, 150], (int(rng.integers(2, 4)), 2))
    reach = rng.uniform(30, 150)
    shape = LineString(line).intersection(LineString(body).buffer(reach, quad_segs=256))
    parts = getattr(shape, "geoms", [shape]) if not shape.is_empty else []
    whole = LineString(line)
    found = sorted([sorted(whole.project(Point(c)) for c in (p.coords[0], p.coords[-1])) for p in parts])
    flat = lambda points: [[round(float(x), 6), round(float(y), 6), 0.0] for x, y in points]
    return {"line": flat(line), "body": flat(body), "reach": round(float(reach), 6),
            "blocked": [[round(float(x), 4) for x in pair] for pair in found]}


def main():
    rng = np.random.default_rng(4130)
    brute = []
    for n in range(60):
        kind, *exact = case(rng, n)
        # Rounded first, so that both programs are asked the very same question.
        line, half, body, reach, tip = (np.round(x, 3) for x in exact)
        brute.append({
            "kind": kind, "line": line.tolist(), "half_depth": half.tolist(), "body": body.tolist(),
            "reach": float(reach), "tip": float(tip),
            "at_least": blocked(line, half, body, reach, tip),
            "at_most": blocked(line, half, body, reach + SLACK, tip),
        })
    print(json.dumps({"step": STEP, "brute_force": brute, "planar": [planar(rng) for _ in range(60)]}))


main()
