-- What a department has set for its plans: openings of its own in the form of
-- the catalogue, its tools, and the order rules it has switched off. They change
-- what a crew is shown, so they are never written over: each change is a new
-- version with who made it and when, and the newest is in force.

CREATE TABLE plan_settings (
    department_id TEXT    NOT NULL REFERENCES departments (id),
    version       INTEGER NOT NULL CHECK (version >= 1),
    member_id     TEXT    NOT NULL,
    set_at        INTEGER NOT NULL,
    openings      TEXT    NOT NULL,
    tools         TEXT    NOT NULL,
    rules_off     TEXT    NOT NULL,
    PRIMARY KEY (department_id, version),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER plan_settings_stay BEFORE UPDATE ON plan_settings
BEGIN SELECT RAISE(ABORT, 'settings for plans are never edited'); END;
CREATE TRIGGER plan_settings_are_kept BEFORE DELETE ON plan_settings
BEGIN SELECT RAISE(ABORT, 'settings for plans are never removed'); END;
