-- What a member has entered and not yet saved, so that a reload, a flat battery
-- or a closed page loses nothing. One a member, card and kind of work. A draft
-- is nobody's finding: it is written over and removed freely, and no zone is
-- computed from it but the member's own preview.

CREATE TABLE drafts (
    department_id TEXT    NOT NULL,
    member_id     TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    work          TEXT    NOT NULL CHECK (work <> ''),
    -- One more with each change: two pages of one member cannot write over each
    -- other unseen.
    version       INTEGER NOT NULL CHECK (version >= 1),
    body          TEXT    NOT NULL,
    updated_at    INTEGER NOT NULL,
    PRIMARY KEY (department_id, member_id, card_id, work),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;
