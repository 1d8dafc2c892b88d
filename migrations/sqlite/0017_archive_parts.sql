-- An archive that waits is kept in pieces: with the photos of a whole book it is
-- larger than one row takes, and than a server holds in memory. What waited before
-- is sent again: it is nobody's record.

DROP TABLE waiting_archives;

CREATE TABLE waiting_archives (
    department_id TEXT    NOT NULL,
    member_id     TEXT    NOT NULL,
    name          TEXT    NOT NULL,
    -- Which pieces are its own.
    upload        TEXT    NOT NULL,
    bytes         INTEGER NOT NULL CHECK (bytes >= 0),
    sent_at       INTEGER NOT NULL,
    PRIMARY KEY (department_id, member_id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT;

-- Written one by one, so that a large one keeps nobody else from writing: the row
-- above comes last and makes them an archive.
CREATE TABLE waiting_archive_parts (
    department_id TEXT    NOT NULL,
    member_id     TEXT    NOT NULL,
    upload        TEXT    NOT NULL,
    part          INTEGER NOT NULL CHECK (part >= 0),
    bytes         BLOB    NOT NULL,
    sent_at       INTEGER NOT NULL,
    PRIMARY KEY (department_id, member_id, upload, part),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT;
