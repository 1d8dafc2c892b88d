"""A span as the zone mathematics sees it: vertices, arc length, half-depths."""

import numpy as np


class Span:
    def __init__(self, given):
        self.id = given["id"]
        self.vertices = np.array(given["centreline_mm"], float)
        self.half_depth = np.array(given["half_depth_mm"], float)
        step = np.diff(self.vertices, axis=0)
        self.lengths = np.linalg.norm(step, axis=1)
        self.directions = step / self.lengths[:, None]
        self.stations = np.concatenate([[0.0], np.cumsum(self.lengths)])
        self.length = float(self.stations[-1])
        # Section 6: h of a piece is the larger of its two ends.
        self.piece_h = np.maximum(self.half_depth[:-1], self.half_depth[1:])

    def at(self, s):
        """The point at station s, clamped to the span."""
        s = min(max(s, 0.0), self.length)
        return np.array([np.interp(s, self.stations, self.vertices[:, i]) for i in range(3)])

    def between(self, a, b):
        """The piece of centreline between two stations, as points."""
        inner = [v for v, s in zip(self.vertices, self.stations) if a < s < b]
        return np.array([self.at(a), *inner, self.at(b)])

    def h_at(self, s):
        return float(np.interp(s, self.stations, self.half_depth))

    def largest_h(self, a, b):
        """Largest half-depth along the centreline from a to b, of every piece it touches."""
        inside = [h for h, s in zip(self.half_depth, self.stations) if a <= s <= b]
        return max([self.h_at(a), self.h_at(b), *inside])

    def bends(self):
        """Angle in radians at each vertex; none at foot and head."""
        theta = np.zeros(len(self.vertices))
        d = self.directions
        for i in range(1, len(d)):
            theta[i] = np.arctan2(np.linalg.norm(np.cross(d[i - 1], d[i])), d[i - 1] @ d[i])
        return theta
