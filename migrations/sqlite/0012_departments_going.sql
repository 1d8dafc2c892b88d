-- A department that wants to be forgotten: asked for by a keeper, done after a
-- time in which any keeper may call it off. Only then, and only for that
-- department, do the tables that keep every record let go of it. The day is
-- checked by the database's own clock, and the time between is at least 30 days.

CREATE TABLE departments_going (
    department_id TEXT    NOT NULL PRIMARY KEY REFERENCES departments (id) ON DELETE CASCADE,
    asked_by      TEXT    NOT NULL,
    asked_at      INTEGER NOT NULL,
    due_at        INTEGER NOT NULL CHECK (due_at - asked_at >= 30 * 86400000)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER departments_going_stay BEFORE UPDATE ON departments_going
BEGIN SELECT RAISE(ABORT, 'the day of a deletion is never moved'); END;

-- Those whose day has come.
CREATE VIEW departments_due AS
    SELECT department_id FROM departments_going
     WHERE due_at <= CAST(unixepoch('now', 'subsec') * 1000 AS INTEGER);

-- What remains of one: no person, no card.
CREATE TABLE departments_gone (
    id         TEXT    NOT NULL PRIMARY KEY,
    name       TEXT    NOT NULL,
    asked_at   INTEGER NOT NULL,
    removed_at INTEGER NOT NULL,
    members    INTEGER NOT NULL CHECK (members >= 0),
    cards      INTEGER NOT NULL CHECK (cards >= 0),
    revisions  INTEGER NOT NULL CHECK (revisions >= 0),
    findings   INTEGER NOT NULL CHECK (findings >= 0)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER departments_gone_stay BEFORE UPDATE ON departments_gone
BEGIN SELECT RAISE(ABORT, 'what remains of a department is never edited'); END;
CREATE TRIGGER departments_gone_are_kept BEFORE DELETE ON departments_gone
BEGIN SELECT RAISE(ABORT, 'what remains of a department is never removed'); END;

-- Photos of a department that is gone, whose files lie beside the database and
-- are still to be removed: a name alone, drawn by the program.
CREATE TABLE photo_files_left (
    name TEXT NOT NULL PRIMARY KEY
) STRICT, WITHOUT ROWID;

-- A guest stays named in the owner's book when their own department goes: who
-- looked at which car is part of what a finding says, and a zone may rest on it.
CREATE TABLE guests_after (
    department_id      TEXT NOT NULL,
    member_id          TEXT NOT NULL PRIMARY KEY,
    -- Where they are at home; nothing once that department is gone.
    home_department_id TEXT,
    home_member_id     TEXT CHECK ((home_member_id IS NULL) = (home_department_id IS NULL)),
    UNIQUE (department_id, home_member_id),
    CHECK (department_id <> home_department_id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id),
    FOREIGN KEY (home_department_id, home_member_id) REFERENCES members (department_id, id)
        ON DELETE SET NULL
) STRICT, WITHOUT ROWID;

INSERT INTO guests_after (department_id, member_id, home_department_id, home_member_id)
    SELECT department_id, member_id, home_department_id, home_member_id FROM guests;
DROP TABLE guests;
ALTER TABLE guests_after RENAME TO guests;

-- Deleting a department deletes this first; nothing else may.
CREATE TRIGGER departments_are_kept BEFORE DELETE ON departments
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.id)
BEGIN SELECT RAISE(ABORT, 'a department is not removed before its day'); END;

DROP TRIGGER findings_are_kept;
CREATE TRIGGER findings_are_kept BEFORE DELETE ON findings
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'a finding is never removed'); END;

DROP TRIGGER finding_status_is_kept;
CREATE TRIGGER finding_status_is_kept BEFORE DELETE ON finding_status
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'a status is never removed'); END;

DROP TRIGGER finding_resolutions_are_kept;
CREATE TRIGGER finding_resolutions_are_kept BEFORE DELETE ON finding_resolutions
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'a resolution is never removed'); END;

DROP TRIGGER card_details_are_kept;
CREATE TRIGGER card_details_are_kept BEFORE DELETE ON card_details
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'details are never removed'); END;

DROP TRIGGER card_revisions_are_kept;
CREATE TRIGGER card_revisions_are_kept BEFORE DELETE ON card_revisions
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'a revision is never removed'); END;

DROP TRIGGER policies_are_kept;
CREATE TRIGGER policies_are_kept BEFORE DELETE ON policies
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'a policy is never removed'); END;

DROP TRIGGER plan_settings_are_kept;
CREATE TRIGGER plan_settings_are_kept BEFORE DELETE ON plan_settings
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'settings for plans are never removed'); END;

DROP TRIGGER audit_is_kept;
CREATE TRIGGER audit_is_kept BEFORE DELETE ON audit
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'the audit is never removed'); END;

DROP TRIGGER annotations_are_kept;
CREATE TRIGGER annotations_are_kept BEFORE DELETE ON annotations
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'a note is never removed'); END;

DROP TRIGGER annotation_standing_is_kept;
CREATE TRIGGER annotation_standing_is_kept BEFORE DELETE ON annotation_standing
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'where a note stood is never removed'); END;

DROP TRIGGER photos_are_kept;
CREATE TRIGGER photos_are_kept BEFORE DELETE ON photos
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'the record of a photo is never removed'); END;

DROP TRIGGER photo_removals_are_kept;
CREATE TRIGGER photo_removals_are_kept BEFORE DELETE ON photo_removals
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'a removal is never removed'); END;

-- The audit is read in time's order.
DROP INDEX audit_in_order;
CREATE INDEX audit_in_order ON audit (department_id, at, id);
