-- Passkeys: a second way in beside the password. Nothing here is a secret: the
-- device keeps the private key, and the public one can only check what it signs.
CREATE TABLE passkeys (
    department_id TEXT    NOT NULL,
    id            TEXT    NOT NULL PRIMARY KEY,
    member_id     TEXT    NOT NULL,
    -- What the device calls it (hex); one on the whole server.
    handle        TEXT    NOT NULL UNIQUE,
    -- The member's own name for it.
    label         TEXT    NOT NULL,
    -- The name of the service it was made under; it opens no other.
    party         TEXT    NOT NULL,
    -- Public key, counter and flags, as the library that checks them writes them.
    public_half   TEXT    NOT NULL,
    made_at       INTEGER NOT NULL,
    last_used_at  INTEGER,
    -- When its counter went back: there may be a copy, and it opens nothing more.
    doubted_at    INTEGER,
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

CREATE INDEX passkeys_of_member ON passkeys (member_id);
