//! The book as it lies in its file: every row of every table, so that a test can
//! tell what a request changed, wherever that was.

use super::County;
use sqlx::Row;
use sqlx::sqlite::{SqliteConnectOptions, SqlitePool};
use std::collections::{BTreeMap, BTreeSet};

/// Rows as text, by table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rows(pub BTreeMap<String, BTreeSet<String>>);

/// What looking and signing in leave behind, and what counts.
const TRACES: [&str; 2] = ["sessions", "sign_in_failures"];

impl County {
    /// The whole book, but for the traces of who looked.
    pub async fn rows(&self) -> Rows {
        let options = SqliteConnectOptions::new().filename(&self.path);
        let pool = SqlitePool::connect_with(options).await.unwrap();
        let names =
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'";
        let mut all = BTreeMap::new();
        for table in sqlx::query(names).fetch_all(&pool).await.unwrap() {
            let table: String = table.get(0);
            if TRACES.contains(&table.as_str()) {
                continue;
            }
            let rows = rows_of(&pool, &table).await;
            all.insert(table, rows);
        }
        pool.close().await;
        Rows(all)
    }

    /// What the database says of its own file: "ok".
    pub async fn check(&self) -> String {
        let options = SqliteConnectOptions::new().filename(&self.path);
        let pool = SqlitePool::connect_with(options).await.unwrap();
        let said = sqlx::query("PRAGMA integrity_check").fetch_one(&pool).await;
        said.unwrap().get(0)
    }
}

async fn rows_of(pool: &SqlitePool, table: &str) -> BTreeSet<String> {
    let columns = format!("SELECT name FROM pragma_table_info('{table}')");
    let columns = sqlx::query(sqlx::AssertSqlSafe(columns))
        .fetch_all(pool)
        .await;
    let columns: Vec<String> = columns.unwrap().iter().map(|row| row.get(0)).collect();
    let parts: Vec<String> = columns
        .iter()
        .map(|c| format!("'{c}=' || COALESCE(quote({c}), 'NULL')"))
        .collect();
    let all = format!("SELECT {} FROM {table}", parts.join(" || char(10) || "));
    let all = sqlx::query(sqlx::AssertSqlSafe(all)).fetch_all(pool).await;
    all.unwrap().iter().map(|row| row.get(0)).collect()
}

impl Rows {
    /// What is in one and not in the other, by table.
    pub fn difference(&self, after: &Self) -> String {
        let mut said = String::new();
        for (table, rows) in &self.0 {
            for gone in rows.difference(&after.0[table]) {
                said += &format!("\n- {table}: {gone}");
            }
            for new in after.0[table].difference(rows) {
                said += &format!("\n+ {table}: {new}");
            }
        }
        said
    }
}
