-- Whether a second person was asked for and there was none. That who changed a
-- finding also recorded it does not say so: where nobody else is asked for, they
-- may.
DROP TRIGGER finding_status_stays;

ALTER TABLE finding_status
    ADD COLUMN single_handed INTEGER NOT NULL DEFAULT 0 CHECK (single_handed IN (0, 1));

-- Until now only an acceptance of one's own finding was always one.
UPDATE finding_status AS s SET single_handed = 1
 WHERE s.status = 'accepted'
   AND s.member_id = (SELECT f.member_id FROM findings f
                       WHERE f.card_id = s.card_id AND f.id = s.finding_id
                         AND f.report = 'bare' AND f.revision < s.revision);

CREATE TRIGGER finding_status_stays BEFORE UPDATE ON finding_status
BEGIN SELECT RAISE(ABORT, 'a status is never edited'); END;
