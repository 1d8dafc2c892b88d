//! Quantiles against scipy, bounds against the examples of JCGM 100:2008, and
//! fusion against published examples of combining measurements.

use super::{kept, list, numbers};
use pillarbook::domain::fusion::{estimate::own_sigma, fuse, group::Group};
use pillarbook::domain::policy::Coverage;

fn near(got: f64, want: f64, within: f64, what: &str) {
    assert!(
        (got - want).abs() <= within,
        "{what}: {got}, expected {want}"
    );
}

#[test]
fn widening_factors_are_the_quantiles_of_scipy() {
    let values = kept("combining");
    for row in list(&values["quantiles"]) {
        let share = row["coverage"].as_f64().unwrap();
        let coverage = Coverage::ALL.iter().find(|c| c.share() == share).unwrap();
        near(
            coverage.k_stations(),
            row["two_stations"].as_f64().unwrap(),
            1e-9,
            "k of stations",
        );
        near(
            coverage.k_points(),
            row["two_points"].as_f64().unwrap(),
            1e-9,
            "k of points",
        );
    }
}

#[test]
fn a_bound_is_taken_as_the_rectangular_distribution_of_the_guide() {
    for row in list(&kept("combining")["rectangular"]) {
        let half = row["half_width"].as_f64().unwrap();
        near(
            own_sigma(half, 0.0),
            row["sigma"].as_f64().unwrap(),
            1e-8,
            "sigma",
        );
        near(
            own_sigma(half, 0.0),
            row["printed"].as_f64().unwrap(),
            0.005,
            "printed sigma",
        );
    }
}

#[test]
fn published_examples_of_combining_measurements_come_out_as_printed() {
    for example in list(&kept("combining")["combined"]) {
        let name = example["name"].as_str().unwrap();
        let want = |figure: &str| example["computed"][figure].as_f64().unwrap();
        // A bound of √3 s has the standard deviation s; both stations take the value.
        let groups: Vec<Group<2>> = numbers(&example["values"])
            .into_iter()
            .zip(numbers(&example["sigmas"]))
            .map(|(x, s)| Group {
                place: [x, x],
                bound: 3f64.sqrt() * s,
            })
            .collect();
        let fused = fuse(&groups, 0.0);
        near(fused.place[0], want("mean"), 1e-6, name);
        near(fused.place[1], want("mean"), 1e-6, name);
        near(fused.chi2, 2.0 * want("chi2"), 1e-4, name);
        near(fused.birge, want("birge"), 1e-6, name);
        near(fused.sigma, want("scaled"), 1e-6, name);
        for (figure, got) in [
            ("mean", fused.place[0]),
            ("birge", fused.birge),
            ("scaled", fused.sigma),
        ] {
            let printed = &example["printed"][figure];
            if !printed.is_null() {
                let [value, within] = [0, 1].map(|i| printed[i].as_f64().unwrap());
                near(got, value, within, name);
            }
        }
    }
}
