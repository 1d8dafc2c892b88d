-- Who sees which card, who may offer to it, and links that open one card.
--
-- A card is its department's own until it says otherwise. Partnership by itself
-- shows nothing: each card says how far it reaches.

CREATE TABLE partnerships (
    asker_id    TEXT    NOT NULL REFERENCES departments (id),
    asked_id    TEXT    NOT NULL REFERENCES departments (id),
    asked_by    TEXT    NOT NULL,
    asked_at    INTEGER NOT NULL,
    -- Both sides have to want it.
    accepted_by TEXT,
    accepted_at INTEGER CHECK ((accepted_by IS NULL) = (accepted_at IS NULL)),
    PRIMARY KEY (asker_id, asked_id),
    CHECK (asker_id <> asked_id),
    FOREIGN KEY (asker_id, asked_by) REFERENCES members (department_id, id),
    FOREIGN KEY (asked_id, accepted_by) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

-- One between two departments, whoever asked first.
CREATE UNIQUE INDEX one_partnership_between_two
    ON partnerships (MIN(asker_id, asked_id), MAX(asker_id, asked_id));

CREATE VIEW partners AS
    SELECT asker_id AS department_id, asked_id AS partner_id FROM partnerships
     WHERE accepted_at IS NOT NULL
    UNION ALL
    SELECT asked_id, asker_id FROM partnerships WHERE accepted_at IS NOT NULL;

-- How far a card reaches; no row: no further than its department.
CREATE TABLE card_visibility (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL PRIMARY KEY,
    visibility    TEXT    NOT NULL CHECK (visibility IN ('partners', 'everyone')),
    member_id     TEXT    NOT NULL,
    set_at        INTEGER NOT NULL,
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

-- The cards of others that a department may read.
CREATE VIEW readable_cards AS
    SELECT p.partner_id AS reader_id, v.card_id FROM card_visibility v
      JOIN partners p ON p.department_id = v.department_id
     WHERE v.visibility = 'partners'
    UNION ALL
    SELECT d.id, v.card_id FROM card_visibility v
      JOIN departments d ON d.id <> v.department_id
     WHERE v.visibility = 'everyone';

-- A member of a partner as the owner's book names them: every row of a card
-- names a member of the card's own department. A guest has no role and cannot
-- sign in.
CREATE TABLE guests (
    department_id      TEXT NOT NULL,
    member_id          TEXT NOT NULL PRIMARY KEY,
    home_department_id TEXT NOT NULL,
    home_member_id     TEXT NOT NULL,
    UNIQUE (department_id, home_member_id),
    CHECK (department_id <> home_department_id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id),
    FOREIGN KEY (home_department_id, home_member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

-- Links that open one card, read-only, to whoever holds them. Only the SHA-256
-- of what stands in the link is kept.
CREATE TABLE share_links (
    department_id  TEXT    NOT NULL,
    id             TEXT    NOT NULL PRIMARY KEY,
    card_id        TEXT    NOT NULL,
    secret_sha256  TEXT    NOT NULL UNIQUE,
    -- For whom, in the maker's words.
    label          TEXT    NOT NULL,
    made_by        TEXT    NOT NULL,
    made_at        INTEGER NOT NULL,
    expires_at     INTEGER NOT NULL CHECK (expires_at > made_at),
    revoked_at     INTEGER,
    opened         INTEGER NOT NULL DEFAULT 0 CHECK (opened >= 0),
    last_opened_at INTEGER,
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, made_by) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

CREATE INDEX share_links_of_card ON share_links (department_id, card_id);

-- Whoever could read every card of a department becomes its partner, and its
-- cards reach its partners: nobody reads more or less than before.
INSERT INTO partnerships (asker_id, asked_id, asked_by, asked_at, accepted_by, accepted_at)
    SELECT r.department_id, r.reader_id, r.member_id, r.granted_at, m.id, r.granted_at
      FROM readers r
      JOIN members m ON m.department_id = r.reader_id
       AND m.id = (SELECT MIN(f.id) FROM members f WHERE f.department_id = r.reader_id)
     WHERE r.department_id < r.reader_id
        OR NOT EXISTS (SELECT 1 FROM readers b
                        WHERE b.department_id = r.reader_id AND b.reader_id = r.department_id);

INSERT INTO card_visibility (department_id, card_id, visibility, member_id, set_at)
    SELECT c.department_id, c.id, 'partners', MIN(r.member_id), MIN(r.granted_at)
      FROM cards c JOIN readers r ON r.department_id = c.department_id
     GROUP BY c.department_id, c.id;

DROP TABLE readers;
