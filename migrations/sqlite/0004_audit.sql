-- Who did what when to which card. Only ever appended to.

CREATE TABLE audit (
    department_id TEXT    NOT NULL REFERENCES departments (id),
    id            TEXT    NOT NULL PRIMARY KEY,
    at            INTEGER NOT NULL,
    member_id     TEXT    NOT NULL,
    member_name   TEXT    NOT NULL,
    card_id       TEXT,
    action        TEXT    NOT NULL,
    detail        TEXT    NOT NULL,
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT;

CREATE INDEX audit_in_order ON audit (department_id, id);
