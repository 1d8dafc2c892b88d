-- Notes beside a card, replies to them, and photos that hang on either. A remark
-- is written once and never edited; where it stands is a log beside it, as with
-- findings. Every write is a revision of its card.

CREATE TABLE annotations (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    id            TEXT    NOT NULL CHECK (id <> ''),
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    position      INTEGER NOT NULL CHECK (position >= 0),
    -- The note this answers; what it is about is then that note's.
    reply_to      TEXT,
    target        TEXT    NOT NULL
                  CHECK (target IN ('card', 'station', 'place', 'arrow', 'finding', 'reply')),
    -- A span and a station in mm, …
    span          TEXT    CHECK ((target = 'station') = (span IS NOT NULL)),
    at_mm         REAL    CHECK ((span IS NULL) = (at_mm IS NULL)),
    -- … or a picture with one place or two, mm along its axes, …
    picture       TEXT    CHECK ((target IN ('place', 'arrow')) = (picture IS NOT NULL)),
    spots         TEXT    CHECK ((picture IS NULL) = (spots IS NULL)),
    label         TEXT    CHECK ((target = 'arrow') = (label IS NOT NULL)),
    -- … or a finding.
    finding_id    TEXT    CHECK ((target = 'finding') = (finding_id IS NOT NULL)),
    text          TEXT    NOT NULL CHECK (text <> ''),
    -- Whose words they are: of a card that was brought in, not who brought it.
    by_name       TEXT,
    by_department TEXT,
    written_on    TEXT    NOT NULL,
    member_id     TEXT    NOT NULL,
    recorded_at   INTEGER NOT NULL,
    CHECK ((target = 'reply') = (reply_to IS NOT NULL)),
    PRIMARY KEY (card_id, id),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (card_id, reply_to) REFERENCES annotations (card_id, id),
    FOREIGN KEY (card_id, finding_id) REFERENCES findings (card_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT;

CREATE INDEX annotations_in_order ON annotations (department_id, card_id, revision, position);

CREATE TABLE annotation_standing (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    annotation_id TEXT    NOT NULL,
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    standing      TEXT    NOT NULL,
    reason        TEXT,
    -- Who decided and when; none of how it was written.
    settled_by    TEXT,
    settled_on    TEXT    CHECK ((settled_by IS NULL) = (settled_on IS NULL)),
    member_id     TEXT    NOT NULL,
    PRIMARY KEY (card_id, annotation_id, revision),
    FOREIGN KEY (card_id, annotation_id) REFERENCES annotations (card_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

-- The pictures themselves lie beside the database under these names, which the
-- program draws and never takes from outside.
CREATE TABLE photos (
    name          TEXT    NOT NULL PRIMARY KEY,
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    annotation_id TEXT    NOT NULL,
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    alt           TEXT    NOT NULL CHECK (alt <> ''),
    width_px      INTEGER NOT NULL CHECK (width_px > 0),
    height_px     INTEGER NOT NULL CHECK (height_px > 0),
    member_id     TEXT    NOT NULL,
    recorded_at   INTEGER NOT NULL,
    FOREIGN KEY (card_id, annotation_id) REFERENCES annotations (card_id, id),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

CREATE INDEX photos_of_card ON photos (department_id, card_id);

-- A photo that shows what no photo may is taken out for every revision; that it
-- was there, and why it went, stays.
CREATE TABLE photo_removals (
    department_id TEXT    NOT NULL,
    name          TEXT    NOT NULL PRIMARY KEY REFERENCES photos (name),
    reason        TEXT    NOT NULL CHECK (reason <> ''),
    member_id     TEXT    NOT NULL,
    removed_at    INTEGER NOT NULL,
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER annotations_stay BEFORE UPDATE ON annotations
BEGIN SELECT RAISE(ABORT, 'a note is never edited'); END;
CREATE TRIGGER annotations_are_kept BEFORE DELETE ON annotations
BEGIN SELECT RAISE(ABORT, 'a note is never removed'); END;

CREATE TRIGGER annotation_standing_stays BEFORE UPDATE ON annotation_standing
BEGIN SELECT RAISE(ABORT, 'where a note stood is never edited'); END;
CREATE TRIGGER annotation_standing_is_kept BEFORE DELETE ON annotation_standing
BEGIN SELECT RAISE(ABORT, 'where a note stood is never removed'); END;

CREATE TRIGGER photos_stay BEFORE UPDATE ON photos
BEGIN SELECT RAISE(ABORT, 'the record of a photo is never edited'); END;
CREATE TRIGGER photos_are_kept BEFORE DELETE ON photos
BEGIN SELECT RAISE(ABORT, 'the record of a photo is never removed'); END;

CREATE TRIGGER photo_removals_stay BEFORE UPDATE ON photo_removals
BEGIN SELECT RAISE(ABORT, 'a removal is never edited'); END;
CREATE TRIGGER photo_removals_are_kept BEFORE DELETE ON photo_removals
BEGIN SELECT RAISE(ABORT, 'a removal is never removed'); END;

-- What a card file brought before notes were read was kept as it came; it
-- becomes a note on the whole card, word for word.
INSERT INTO annotations (department_id, card_id, id, revision, position, target, text,
        written_on, member_id, recorded_at)
    SELECT d.department_id, d.card_id, 'n' || (j.key + 1), d.revision, j.key, 'card',
           CASE WHEN j.type = 'object' AND json_type(j.value, '$.text') = 'text'
                 AND TRIM(json_extract(j.value, '$.text')) <> ''
                THEN json_extract(j.value, '$.text') ELSE j.value END,
           strftime('%Y-%m-%d', v.at / 1000, 'unixepoch'), v.member_id, v.at
      FROM cards c
      JOIN card_details d ON d.card_id = c.id AND d.revision = c.details_revision
      JOIN card_revisions v ON v.card_id = d.card_id AND v.revision = d.revision
      JOIN json_each(d.annotations) j
     WHERE TRIM(COALESCE(j.value, '')) <> '';

INSERT INTO annotation_standing (department_id, card_id, annotation_id, revision, standing, member_id)
    SELECT department_id, card_id, id, revision, 'open', member_id FROM annotations;
