-- What waits for an officer, and cards an officer has looked over.

-- A withdrawal or a decline that somebody asked for who may not do it: it takes
-- no-cut away. It changes nothing until an officer does it; answered, it is kept.
CREATE TABLE asked_changes (
    department_id TEXT    NOT NULL,
    id            TEXT    NOT NULL PRIMARY KEY,
    card_id       TEXT    NOT NULL,
    finding_id    TEXT    NOT NULL,
    status        TEXT    NOT NULL CHECK (status IN ('declined', 'withdrawn')),
    reason        TEXT    NOT NULL CHECK (reason <> ''),
    member_id     TEXT    NOT NULL,
    asked_at      INTEGER NOT NULL,
    settled_at    INTEGER,
    settled_by    TEXT,
    -- Done or refused, and the officer's words where it was refused.
    done          INTEGER CHECK (done IN (0, 1)),
    answer        TEXT,
    CHECK ((settled_at IS NULL) = (settled_by IS NULL)),
    CHECK ((settled_at IS NULL) = (done IS NULL)),
    FOREIGN KEY (card_id, finding_id) REFERENCES findings (card_id, id),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id),
    FOREIGN KEY (department_id, settled_by) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

CREATE UNIQUE INDEX one_open_ask ON asked_changes (card_id, finding_id)
    WHERE settled_at IS NULL;

-- A card at a revision, looked over by an officer who wrote none of what came
-- since the review before; single-handed where the department is one person.
CREATE TABLE card_reviews (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    single_handed INTEGER NOT NULL CHECK (single_handed IN (0, 1)),
    note          TEXT,
    member_id     TEXT    NOT NULL,
    member_name   TEXT    NOT NULL,
    at            INTEGER NOT NULL,
    PRIMARY KEY (card_id, revision),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER card_reviews_stay BEFORE UPDATE ON card_reviews
BEGIN SELECT RAISE(ABORT, 'a review is never edited'); END;
CREATE TRIGGER card_reviews_are_kept BEFORE DELETE ON card_reviews
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'a review is never removed'); END;

-- After how many days a review is due again; no row: the default. Each change is
-- a new version, as with the other policies.
CREATE TABLE review_policies (
    department_id TEXT    NOT NULL REFERENCES departments (id),
    version       INTEGER NOT NULL CHECK (version >= 1),
    days          INTEGER NOT NULL CHECK (days BETWEEN 1 AND 3650),
    member_id     TEXT    NOT NULL,
    set_at        INTEGER NOT NULL,
    PRIMARY KEY (department_id, version),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER review_policies_stay BEFORE UPDATE ON review_policies
BEGIN SELECT RAISE(ABORT, 'a policy is never edited'); END;
CREATE TRIGGER review_policies_are_kept BEFORE DELETE ON review_policies
WHEN NOT EXISTS (SELECT 1 FROM departments_due d WHERE d.department_id = OLD.department_id)
BEGIN SELECT RAISE(ABORT, 'a policy is never removed'); END;
