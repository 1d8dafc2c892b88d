-- Where a card came from that was brought in with an archive, so that a later
-- archive of the same card is told from a new card; and the archive that a member
-- has sent and not yet taken in.

CREATE TABLE card_origins (
    department_id     TEXT    NOT NULL,
    card_id           TEXT    NOT NULL PRIMARY KEY,
    -- Ids of the book it came from, which may be on another server.
    origin_department TEXT    NOT NULL CHECK (origin_department <> ''),
    origin_card       TEXT    NOT NULL CHECK (origin_card <> ''),
    -- As the archive called that department.
    origin_name       TEXT    NOT NULL,
    UNIQUE (department_id, origin_department, origin_card),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id)
) STRICT, WITHOUT ROWID;

-- One a member, written over by the next: nobody's record.
CREATE TABLE waiting_archives (
    department_id TEXT    NOT NULL,
    member_id     TEXT    NOT NULL,
    name          TEXT    NOT NULL,
    bytes         BLOB    NOT NULL,
    sent_at       INTEGER NOT NULL,
    PRIMARY KEY (department_id, member_id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT;
