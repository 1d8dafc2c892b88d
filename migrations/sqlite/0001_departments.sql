-- Departments and their members come first: every other row names the
-- department it belongs to, so that accounts can be added without moving data.
--
-- Only 64-bit integers, doubles and text, times as UTC milliseconds: the same
-- statements then run on PostgreSQL (BIGINT, DOUBLE PRECISION, TEXT there).

CREATE TABLE departments (
    id          TEXT    NOT NULL PRIMARY KEY,
    name        TEXT    NOT NULL UNIQUE,
    -- The one department that serves while there are no accounts.
    local       INTEGER NOT NULL DEFAULT 0 CHECK (local IN (0, 1)),
    created_at  INTEGER NOT NULL
) STRICT;

CREATE UNIQUE INDEX one_local_department ON departments (local) WHERE local = 1;

CREATE TABLE members (
    department_id TEXT    NOT NULL REFERENCES departments (id),
    id            TEXT    NOT NULL PRIMARY KEY,
    name          TEXT    NOT NULL,
    local         INTEGER NOT NULL DEFAULT 0 CHECK (local IN (0, 1)),
    created_at    INTEGER NOT NULL,
    -- What others point to, so that a member can only act for their own department.
    UNIQUE (department_id, id)
) STRICT;

-- Who else may read a department's cards. Reading only: every write asks for
-- the owner.
CREATE TABLE readers (
    department_id TEXT    NOT NULL REFERENCES departments (id),
    reader_id     TEXT    NOT NULL REFERENCES departments (id),
    member_id     TEXT    NOT NULL,
    granted_at    INTEGER NOT NULL,
    PRIMARY KEY (department_id, reader_id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

-- A policy is never overwritten: a card at an old revision is read with the
-- policy that was in force then.
CREATE TABLE policies (
    department_id TEXT    NOT NULL REFERENCES departments (id),
    version       INTEGER NOT NULL CHECK (version >= 1),
    member_id     TEXT    NOT NULL,
    set_at        INTEGER NOT NULL,
    body          TEXT    NOT NULL,
    PRIMARY KEY (department_id, version),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;
