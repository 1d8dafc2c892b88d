"""Stations at which a cut is in a keep-out, by direct numeric minimisation.

The distance between the disc of a cut and a straight piece of body is convex in the station
and in the place on the body. So: the nearest station first, then bisection outward for the
station where the distance reaches R, each distance itself a golden-section minimum over the
body. Nothing of this follows the formulas for the ends that the service uses.
"""

import numpy as np

GOLDEN = (5**0.5 - 1) / 2


def _golden(f, lo, hi, steps=32):
    """Minimiser of a convex f on [lo, hi], for many problems at once."""
    a, b = lo.copy(), hi.copy()
    x1, x2 = b - GOLDEN * (b - a), a + GOLDEN * (b - a)
    f1, f2 = f(x1), f(x2)
    for _ in range(steps):
        left = f1 <= f2
        b, a = np.where(left, x2, b), np.where(left, a, x1)
        x1, x2 = np.where(left, b - GOLDEN * (b - a), x2), np.where(left, x1, a + GOLDEN * (b - a))
        fresh = f(np.where(left, x1, x2))
        f1, f2 = np.where(left, fresh, f2), np.where(left, f1, fresh)
    x = 0.5 * (a + b)
    # The ends belong to the body.
    for end in (lo, hi):
        x = np.where(f(end) <= f(x), end, x)
    return x


class Pairs:
    """Straight pieces of spans against straight pieces of bodies, of many questions at once."""

    NAMES = ("question", "piece", "disc", "reach", "a0", "a1", "r0", "dr")

    def __init__(self, questions):
        parts = [self._part(q, *question) for q, question in enumerate(questions)]
        for i, name in enumerate(self.NAMES):
            setattr(self, name, np.concatenate([p[i] for p in parts]) if parts else np.zeros(0))

    @staticmethod
    def _part(q, span, body, reach, tip):
        n, m = len(span.lengths), max(len(body) - 1, 1)
        i, j = (g.ravel() for g in np.meshgrid(np.arange(n), np.arange(m), indexing="ij"))
        q0, q1 = body[j], body[np.minimum(j + 1, len(body) - 1)]
        origin, axis = span.vertices[i], span.directions[i]
        p0, p1 = q0 - origin, q1 - origin
        a0, a1 = np.einsum("ij,ij->i", p0, axis), np.einsum("ij,ij->i", p1, axis)
        r0 = p0 - a0[:, None] * axis
        dr = (p1 - a1[:, None] * axis) - r0
        one = np.ones(len(i))
        return one.astype(int) * q, i, span.piece_h[i] + tip, one * reach, a0, a1, r0, dr

    def keep(self, mask):
        for name in self.NAMES:
            setattr(self, name, getattr(self, name)[mask])

    def axial(self, u):
        return self.a0 + u * (self.a1 - self.a0)

    def excess(self, u):
        """How far the body's point stands outside the disc's cylinder."""
        radial = np.linalg.norm(self.r0 + u[:, None] * self.dr, axis=1)
        return np.maximum(0.0, radial - self.disc)

    def distance(self, s):
        def squared(u):
            return (self.axial(u) - s) ** 2 + self.excess(u) ** 2

        u = _golden(squared, np.zeros_like(s), np.ones_like(s))
        return np.sqrt(squared(u))


def raw_intervals(questions):
    """(question, piece, low, high) of each pair that blocks anything, in the piece's stations."""
    pairs = Pairs(questions)
    if not len(pairs.piece):
        return []
    nearest = _golden(pairs.excess, np.zeros_like(pairs.a0), np.ones_like(pairs.a0), 60)
    met = pairs.excess(nearest) <= pairs.reach
    if not met.any():
        return []
    pairs.keep(met)
    start = pairs.axial(nearest[met])
    ends = []
    for sign in (-1.0, 1.0):
        inside = start.copy()
        outside = np.minimum(pairs.a0, pairs.a1) - pairs.reach - 1.0
        if sign > 0:
            outside = np.maximum(pairs.a0, pairs.a1) + pairs.reach + 1.0
        for _ in range(26):
            middle = 0.5 * (inside + outside)
            hit = pairs.distance(middle) <= pairs.reach
            inside, outside = np.where(hit, middle, inside), np.where(hit, outside, middle)
        ends.append(outside)
    return zip(pairs.question.tolist(), pairs.piece.tolist(), ends[0].tolist(), ends[1].tolist())


def far_apart(span, body, room):
    low = np.maximum(span.vertices.min(0), body.min(0))
    high = np.minimum(span.vertices.max(0), body.max(0))
    return float(np.linalg.norm(np.maximum(low - high, 0.0))) > room


def widths(span, tip):
    """w of each vertex: how far a cut's disc swings over at a bend; none at foot and head."""
    bends, h = span.bends(), span.piece_h
    w = np.zeros(len(bends))
    for v in range(1, len(bends) - 1):
        w[v] = (max(h[v - 1], h[v]) + tip) * np.tan(bends[v] / 2)
    return w


class Solver:
    """Asked twice: the first time it only notes the questions, then all are solved at once."""

    def __init__(self):
        self.questions, self.answers = {}, None

    def blocked(self, span, body, reach, tip):
        """Blocked stations of the span as a list of (low, high), with the rule at bends."""
        key = (span.id, body.tobytes(), reach, tip)
        if self.answers is not None:
            return self.answers[key]
        self.questions[key] = (span, body, reach, tip)
        return []

    def solve(self):
        self.answers = {key: [] for key in self.questions}
        near = []
        for key, (span, body, reach, tip) in self.questions.items():
            # Chords leave their axis at bends: a margin beyond R + h + t + w is harmless.
            room = reach + span.piece_h.max() + tip + widths(span, tip).max() + 1.0
            if not far_apart(span, body, room):
                near.append(key)
        for q, piece, low, high in raw_intervals([self.questions[k] for k in near]):
            span, _, _, tip = self.questions[near[q]]
            interval = counted(span, piece, low, high, widths(span, tip))
            if interval:
                self.answers[near[q]].append(interval)


def counted(span, piece, low, high, w):
    """The part of a piece's interval that counts on the span, by the rule at bends."""
    length, foot, head = span.lengths[piece], w[piece], w[piece + 1]
    if high < -foot or low > length + head:
        return None
    a, b = low, high
    if low < 0:
        b = max(b, foot)
    if high > length:
        a = min(a, length - head)
    a, b = max(a, 0.0), min(b, length)
    return (span.stations[piece] + a, span.stations[piece] + b) if a <= b else None
