"""The peer of the zones benchmark: keep-outs buffered, united, and every span
clipped against them with shapely, vectorised, 16 segments a quarter circle.

Reads {"spans": [[[x, z], …], …], "bodies": [{"ends": …, "radius": …}, …]} and
prints the median time of one pass in seconds."""

import json
import statistics
import sys
import time

import shapely

with open(sys.argv[1], encoding="utf-8") as task_file:
    task = json.load(task_file)


def one_pass():
    spans = [shapely.LineString(s) for s in task["spans"]]
    bodies = [shapely.LineString(b["ends"]) for b in task["bodies"]]
    radii = [b["radius"] for b in task["bodies"]]
    keep_outs = shapely.buffer(bodies, radii, quad_segs=16)
    blocked = shapely.union_all(keep_outs)
    shapely.prepare(blocked)
    return shapely.intersection(spans, blocked)


one_pass()
times = []
for _ in range(200):
    start = time.perf_counter()
    one_pass()
    times.append(time.perf_counter() - start)
print(statistics.median(times))
