"""Random sets of order rules, and what networkx says of each: can the steps be put in order at all,
in which (the smallest free step first), which steps a circle holds up, and which pairs of the steps
as written stand the wrong way round.

A rule binds each step its `first` takes to each its `then` takes, whatever their acts; a step may
also name another that it waits for. No step waits for itself.
"""

import json
import random

import networkx as nx

ACTS = ["support", "expose", "cut", "spread", "lift"]
SETS = 120


def selector(draw, steps):
    if draw.random() < 0.15:
        return {"acts": sorted(draw.sample(ACTS, draw.randint(1, 2)))}
    return {"ids": sorted(s["id"] for s in draw.sample(steps, draw.randint(1, min(2, len(steps)))))}


def takes(chosen, step):
    return step["act"] in chosen["acts"] if "acts" in chosen else step["id"] in chosen["ids"]


def rule_set(draw, n):
    steps = [{"id": f"step-{i:02}", "act": draw.choice(ACTS), "before": []} for i in range(n)]
    # Half of the sets follow a hidden order, else a circle would be all but sure.
    hidden = draw.sample(range(n), n) if draw.random() < 0.5 else None
    rules = []
    for r in range(draw.randint(0, 4 * n if hidden else n)):
        first, then = selector(draw, steps), selector(draw, steps)
        pairs = bound(first, then, steps)
        if hidden and any(hidden[a] > hidden[b] for a, b in pairs):
            continue
        rules.append({"id": f"rule-{r:02}", "first": first, "then": then})
    for then in range(n):
        first = draw.randrange(n)
        if first != then and draw.random() < 0.2 and (not hidden or hidden[first] < hidden[then]):
            # Named twice now and then: it is still one step to wait for.
            steps[then]["before"] = [steps[first]["id"]] * draw.randint(1, 2)
    return steps, rules


def bound(first, then, steps):
    return [(a, b) for a, s in enumerate(steps) for b, t in enumerate(steps)
            if a != b and takes(first, s) and takes(then, t)]


def verdict(steps, rules):
    graph = nx.DiGraph()
    graph.add_nodes_from(range(len(steps)))
    late = set()
    for rule in rules:
        pairs = bound(rule["first"], rule["then"], steps)
        graph.add_edges_from(pairs)
        late |= {(rule["id"], a, b) for a, b in pairs if a > b}
    place = {s["id"]: i for i, s in enumerate(steps)}
    graph.add_edges_from((place[f], i) for i, s in enumerate(steps) for f in s["before"])
    acyclic = nx.is_directed_acyclic_graph(graph)
    in_circles = {n for c in nx.strongly_connected_components(graph) if len(c) > 1 for n in c}
    return {
        "edges": sorted(map(list, graph.edges)) if acyclic else None,
        "order": list(nx.lexicographical_topological_sort(graph)) if acyclic else None,
        "held_up": sorted(in_circles.union(*(nx.descendants(graph, n) for n in in_circles))),
        # The rule and the step that comes too early, with the first it should wait for.
        "broken": sorted([rule, min(a for r, a, b in late if (r, b) == (rule, then)), then]
                         for rule, then in {(r, b) for r, _, b in late}),
    }


def main():
    draw = random.Random(20260305)
    sets = []
    for _ in range(SETS):
        steps, rules = rule_set(draw, draw.randint(1, 14))
        sets.append({"steps": steps, "rules": rules, **verdict(steps, rules)})
    in_order = sum(s["order"] is not None for s in sets)
    assert SETS / 4 < in_order < SETS * 3 / 4, in_order
    print("[\n" + ",\n".join(json.dumps(s, sort_keys=True, separators=(",", ":")) for s in sets) + "\n]")


main()
