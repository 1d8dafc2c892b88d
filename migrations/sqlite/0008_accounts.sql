-- Who may sign in, and what they may do. Of everything secret only a hash is
-- kept: argon2id of passwords, which people choose, and SHA-256 of what the
-- program draws (256 random bits), which nobody can guess back.

-- A member who left keeps their name beside what they did.
ALTER TABLE members ADD COLUMN left_at INTEGER;

CREATE TABLE member_roles (
    department_id TEXT NOT NULL,
    member_id     TEXT NOT NULL,
    role          TEXT NOT NULL CHECK (role IN ('member', 'officer', 'trainer', 'keeper')),
    PRIMARY KEY (member_id, role),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

-- Until now one member did everything; the others recorded.
INSERT INTO member_roles (department_id, member_id, role)
    SELECT department_id, id, 'member' FROM members
    UNION ALL SELECT department_id, id, 'officer' FROM members WHERE local = 1
    UNION ALL SELECT department_id, id, 'trainer' FROM members WHERE local = 1
    UNION ALL SELECT department_id, id, 'keeper' FROM members WHERE local = 1;

CREATE TABLE credentials (
    department_id TEXT    NOT NULL,
    member_id     TEXT    NOT NULL PRIMARY KEY,
    -- In lower case; one on the whole server.
    sign_in_name  TEXT    NOT NULL UNIQUE,
    password_hash TEXT    NOT NULL,
    changed_at    INTEGER NOT NULL,
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

CREATE TABLE sessions (
    department_id      TEXT    NOT NULL,
    id                 TEXT    NOT NULL PRIMARY KEY,
    member_id          TEXT    NOT NULL,
    secret_sha256      TEXT    NOT NULL UNIQUE,
    -- The secret before the last change, which answers that were under way still carry.
    old_secret_sha256  TEXT    UNIQUE,
    secret_changed_at  INTEGER NOT NULL,
    -- A second secret that stays with the browser: somebody has signed in there.
    device_sha256      TEXT    NOT NULL,
    -- What the member sees of it in the list: the browser's own words.
    agent              TEXT    NOT NULL,
    began_at           INTEGER NOT NULL,
    last_seen_at       INTEGER NOT NULL,
    ended_at           INTEGER,
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

CREATE INDEX sessions_of_member ON sessions (member_id);

-- Links that work once: the first set-up, an invitation, a forgotten password.
CREATE TABLE once_links (
    id            TEXT    NOT NULL PRIMARY KEY,
    purpose       TEXT    NOT NULL CHECK (purpose IN ('set-up', 'invitation', 'reset')),
    secret_sha256 TEXT    NOT NULL UNIQUE,
    department_id TEXT    REFERENCES departments (id),
    -- Whom a reset is for; whom a set-up or an invitation made.
    member_id     TEXT,
    -- What an invitation gives: name and roles, as JSON.
    offer         TEXT    NOT NULL,
    made_by       TEXT,
    made_at       INTEGER NOT NULL,
    expires_at    INTEGER NOT NULL CHECK (expires_at > made_at),
    used_at       INTEGER,
    revoked_at    INTEGER,
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id),
    FOREIGN KEY (department_id, made_by) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

-- Keys for programs. Each acts as a member of its own, without a password.
CREATE TABLE api_keys (
    department_id TEXT    NOT NULL,
    id            TEXT    NOT NULL PRIMARY KEY,
    member_id     TEXT    NOT NULL UNIQUE,
    secret_sha256 TEXT    NOT NULL UNIQUE,
    label         TEXT    NOT NULL,
    made_by       TEXT    NOT NULL,
    made_at       INTEGER NOT NULL,
    expires_at    INTEGER NOT NULL CHECK (expires_at > made_at),
    last_used_at  INTEGER,
    revoked_at    INTEGER,
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id),
    FOREIGN KEY (department_id, made_by) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

-- Failed sign-ins, by account and by address, to slow down who guesses.
CREATE TABLE sign_in_failures (
    what    TEXT    NOT NULL PRIMARY KEY,
    count   INTEGER NOT NULL CHECK (count > 0),
    last_at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
