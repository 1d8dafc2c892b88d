"""Quantiles from scipy, rectangular bounds, and published examples of combining measurements.

The examples' inputs and what was printed with them are transcribed; each names its source.
"""

import json

import numpy as np
from scipy import stats


def combined(values, sigmas):
    x, s = np.array(values), np.array(sigmas)
    w = s**-2.0
    mean, chi2 = (w * x).sum() / w.sum(), None
    chi2 = (w * (x - mean) ** 2).sum()
    scale = max(1.0, (chi2 / (len(x) - 1)) ** 0.5)
    return {"mean": mean, "sigma": w.sum() ** -0.5, "chi2": chi2, "birge": scale,
            "scaled": scale * w.sum() ** -0.5}


EXAMPLES = [
    {
        "name": "two values of a public physics essay on scatter beyond the stated errors",
        "values": [10, 30], "sigmas": [4, 5],
        "printed": {"mean": [17.80, 0.005], "sigma": [3.12, 0.005]},
    },
    {
        "name": "charged-kaon mass, Particle Data Group (inputs from memory), no value left out",
        "values": [493.696, 493.636, 493.640, 493.670, 493.657, 493.691],
        "sigmas": [0.007, 0.011, 0.054, 0.029, 0.020, 0.040],
        "printed": {"mean": [493.677, 0.0005]},
    },
    {
        "name": "charged-kaon mass without the value PDG leaves out of the scale: S = 2.4 printed",
        "values": [493.696, 493.636, 493.670, 493.657, 493.691],
        "sigmas": [0.007, 0.011, 0.029, 0.020, 0.040],
        "printed": {"mean": [493.677, 0.0006], "birge": [2.4, 0.05], "scaled": [0.013, 0.0005]},
    },
    {
        "name": "Metrologia 41 (2004) 132-136, as in the statsmodels test class TestMetaK1",
        "values": [61.00, 61.40, 62.21, 62.30, 62.34, 62.60, 62.70, 62.84, 65.90],
        "sigmas": [v**0.5 for v in
                   (0.2025, 1.2100, 0.0900, 0.2025, 0.3844, 0.5625, 0.0676, 0.0225, 1.8225)],
        "printed": {"mean": [62.583397, 1e-6], "sigma": [0.107846, 1e-6], "scaled": [0.189889, 1e-6],
                    "chi2": [24.80189774, 1e-6]},
    },
]


def main():
    examples = []
    for example in EXAMPLES:
        made = combined(example["values"], example["sigmas"])
        for figure, (value, within) in example["printed"].items():
            assert abs(made[figure] - value) <= within, (example["name"], figure, made[figure])
        examples.append({**example, "computed": {k: round(float(v), 9) for k, v in made.items()}})
    quantiles = [
        {"coverage": c, "two_stations": round(float(stats.norm.ppf(0.5 + c / 2)), 10),
         "two_points": round(float(stats.chi2.ppf(c, 3) ** 0.5), 10)}
        for c in (0.95, 0.99, 0.999)
    ]
    # JCGM 100:2008 4.3.7 example (printed 0.23) and 4.3.8 (printed 0.15), both from memory.
    rectangular = [
        {"half_width": 0.40, "printed": 0.23, "sigma": round(float(stats.uniform(-0.4, 0.8).std()), 9)},
        {"half_width": 0.26, "printed": 0.15, "sigma": round(float(stats.uniform(16.4, 0.52).std()), 9)},
    ]
    print(json.dumps({"quantiles": quantiles, "rectangular": rectangular, "combined": examples}, indent=1))


main()
