//! Command lines as people type them: answered, or refused with words that mend them. The corpus is
//! `tests/people/commands.toml`.

use crate::workbench::Workbench;
use toml::Table;

fn words<'a>(case: &'a Table, key: &str) -> Vec<&'a str> {
    let all = case.get(key).and_then(toml::Value::as_array);
    all.map(|all| all.iter().filter_map(toml::Value::as_str).collect())
        .unwrap_or_default()
}

#[test]
fn command_lines_are_answered_or_refused_with_words_that_mend_them() {
    let corpus: Table = include_str!("../people/commands.toml").parse().unwrap();
    let cases = corpus["command"].as_array().unwrap();
    assert!(cases.len() >= 20, "the corpus grows, and is not thinned");
    for case in cases.iter().filter_map(toml::Value::as_table) {
        let bench = Workbench::with_scene();
        let ran = bench.run(words(case, "args"));
        let refused = words(case, "refused");
        if refused.is_empty() {
            ran.done();
        } else {
            ran.refused();
        }
        for wanted in refused {
            ran.tells(wanted);
        }
        for wanted in words(case, "says") {
            ran.says(wanted);
        }
    }
}
