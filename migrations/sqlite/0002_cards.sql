-- A card is a row that says where it stands (`cards`) and append-only tables
-- that say how it came there. Anything it ever said can be read again: a
-- revision names the details and the policy in force, and each finding and each
-- status carries the revision it came with.

CREATE TABLE cards (
    department_id    TEXT    NOT NULL REFERENCES departments (id),
    id               TEXT    NOT NULL PRIMARY KEY,
    revision         INTEGER NOT NULL CHECK (revision >= 1),
    details_revision INTEGER NOT NULL CHECK (details_revision BETWEEN 1 AND revision),
    finding_count    INTEGER NOT NULL DEFAULT 0 CHECK (finding_count >= 0),
    created_at       INTEGER NOT NULL,
    updated_at       INTEGER NOT NULL,
    UNIQUE (department_id, id)
) STRICT;

CREATE INDEX cards_by_change ON cards (department_id, updated_at, id);

CREATE TABLE card_revisions (
    department_id    TEXT    NOT NULL,
    card_id          TEXT    NOT NULL,
    revision         INTEGER NOT NULL CHECK (revision >= 1),
    details_revision INTEGER NOT NULL CHECK (details_revision BETWEEN 1 AND revision),
    -- 0 while the department has set none: the defaults.
    policy_version   INTEGER NOT NULL CHECK (policy_version >= 0),
    at               INTEGER NOT NULL,
    member_id        TEXT    NOT NULL,
    -- As it was then: a member may change their name.
    member_name      TEXT    NOT NULL,
    summary          TEXT    NOT NULL,
    PRIMARY KEY (card_id, revision),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

-- Vehicle, measurements and words: written anew when one of them changes.
CREATE TABLE card_details (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    make          TEXT,
    model         TEXT,
    first_year    INTEGER,
    last_year     INTEGER,
    body_style    TEXT    NOT NULL,
    drive         TEXT,
    wheel         TEXT,
    roof          TEXT,
    region        TEXT,
    hold_time_s   INTEGER,
    measured      TEXT    NOT NULL,
    identify      TEXT,
    power_off     TEXT    NOT NULL,
    glass         TEXT    NOT NULL,
    annotations   TEXT    NOT NULL,
    reviews       TEXT    NOT NULL,
    PRIMARY KEY (card_id, revision),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id)
) STRICT, WITHOUT ROWID;
