-- A finding is written once and never edited. Where it stands is a log beside
-- it: the newest line up to a revision is what counted at that revision.

CREATE TABLE findings (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    id            TEXT    NOT NULL CHECK (id <> ''),
    -- The revision it came with, and its place among those that came together.
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    position      INTEGER NOT NULL CHECK (position >= 0),
    -- Who recorded it; `by` in the body is who looked at the car.
    member_id     TEXT    NOT NULL,
    recorded_at   INTEGER NOT NULL,
    report        TEXT    NOT NULL CHECK (report IN ('component', 'bare')),
    component     TEXT    CHECK ((report = 'component') = (component IS NOT NULL)),
    kind          TEXT    CHECK ((report = 'component') = (kind IS NOT NULL)),
    depth         TEXT    CHECK ((report = 'bare') = (depth IS NOT NULL)),
    -- A span with two stations in mm, or two points.
    span          TEXT,
    from_mm       REAL    CHECK ((span IS NULL) = (from_mm IS NULL)),
    to_mm         REAL    CHECK ((span IS NULL) = (to_mm IS NULL)),
    points        TEXT    CHECK ((span IS NULL) = (points IS NOT NULL)),
    source        TEXT    NOT NULL,
    observed_on   TEXT    NOT NULL,
    car           TEXT,
    supersedes    TEXT,
    -- What only some findings have: radius, bag, steel, gas, variant, note …
    rest          TEXT    NOT NULL,
    PRIMARY KEY (card_id, id),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT;

CREATE INDEX findings_in_order ON findings (department_id, card_id, revision, position);

CREATE TABLE finding_status (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    finding_id    TEXT    NOT NULL,
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    status        TEXT    NOT NULL,
    reason        TEXT,
    at            INTEGER NOT NULL,
    member_id     TEXT    NOT NULL,
    member_name   TEXT    NOT NULL,
    PRIMARY KEY (card_id, finding_id, revision),
    FOREIGN KEY (card_id, finding_id) REFERENCES findings (card_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

-- An officer's word on a bare finding that a component overlaps; a line without
-- a name takes it back.
CREATE TABLE finding_resolutions (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    finding_id    TEXT    NOT NULL,
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    resolved_by   TEXT,
    resolved_on   TEXT    CHECK ((resolved_by IS NULL) = (resolved_on IS NULL)),
    at            INTEGER NOT NULL,
    member_id     TEXT    NOT NULL,
    PRIMARY KEY (card_id, finding_id, revision),
    FOREIGN KEY (card_id, finding_id) REFERENCES findings (card_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;
