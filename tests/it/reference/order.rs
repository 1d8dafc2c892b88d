//! Sorting steps and checking an order against networkx, on random sets of rules:
//! some that can be kept, some that run in a circle.

use super::{kept, list};
use pillarbook::domain::opening::order::{Rule, Rules, check, sort};
use pillarbook::domain::opening::step::Step;
use pillarbook::domain::opening::template::StepForm;
use serde_json::{Value, json};

fn step(value: &Value) -> Step {
    let form: StepForm = serde_json::from_value(json!({
        "id": value["id"], "act": value["act"], "before": value["before"],
        "crew": "works", "inside": "watches",
    }))
    .unwrap();
    form.into()
}

fn rules(set: &Value) -> Rules {
    let rule = |r: &Value| -> Rule {
        serde_json::from_value(json!({
            "id": r["id"], "first": r["first"], "then": r["then"],
            "because": "made up", "source": "made up", "switchable": false,
        }))
        .unwrap()
    };
    let rules: Vec<Rule> = set["rules"].as_array().unwrap().iter().map(rule).collect();
    Rules::of(rules.leak())
}

fn sets() -> Vec<(Vec<Step>, Rules, Value)> {
    let made = kept("order");
    let read = |set: &Value| {
        let steps = list(&set["steps"]).iter().map(step).collect();
        (steps, rules(set), set.clone())
    };
    list(&made).iter().map(read).collect()
}

fn id_of(steps: &[Step], index: &Value) -> String {
    let index = usize::try_from(index.as_u64().unwrap()).unwrap();
    steps[index].form.id.clone()
}

fn ids(steps: &[Step], indexes: &Value) -> Vec<String> {
    list(indexes).iter().map(|i| id_of(steps, i)).collect()
}

#[test]
fn steps_are_sorted_as_networkx_sorts_them_or_held_up_by_the_same_circle() {
    for (n, (steps, rules, set)) in sets().into_iter().enumerate() {
        match sort(steps.clone(), &rules) {
            Ok(sorted) => {
                let got: Vec<String> = sorted.iter().map(|s| s.form.id.clone()).collect();
                assert!(!set["order"].is_null(), "set {n} runs in a circle");
                assert_eq!(got, ids(&steps, &set["order"]), "set {n}");
                assert_eq!(check(&sorted, &rules), [], "set {n}");
                for edge in set["edges"].as_array().into_iter().flatten() {
                    let place = |i: &Value| got.iter().position(|id| *id == id_of(&steps, i));
                    assert!(place(&edge[0]) < place(&edge[1]), "set {n}, {edge}");
                }
            }
            Err(circle) => {
                assert!(set["order"].is_null(), "set {n} can be put in order");
                assert_eq!(circle.0, ids(&steps, &set["held_up"]), "set {n}");
            }
        }
    }
}

#[test]
fn a_given_order_breaks_the_rules_that_networkx_finds_broken() {
    for (n, (steps, rules, set)) in sets().into_iter().enumerate() {
        let named = |id: &String| set["rules"].to_string().contains(&format!("\"{id}\""));
        let mut got: Vec<Value> = check(&steps, &rules)
            .into_iter()
            .filter(|b| named(&b.rule))
            .map(|b| json!([b.rule, b.first, b.then]))
            .collect();
        got.sort_by_key(Value::to_string);
        let mut wanted = set["broken"].as_array().unwrap().clone();
        wanted.sort_by_key(Value::to_string);
        assert_eq!(got, wanted, "set {n}");
    }
}
