-- The record of what was found, and of who changed what, is kept by the
-- database itself: no statement, from this program or another, may edit it.

CREATE TRIGGER findings_stay BEFORE UPDATE ON findings
BEGIN SELECT RAISE(ABORT, 'a finding is never edited'); END;
CREATE TRIGGER findings_are_kept BEFORE DELETE ON findings
BEGIN SELECT RAISE(ABORT, 'a finding is never removed'); END;

CREATE TRIGGER finding_status_stays BEFORE UPDATE ON finding_status
BEGIN SELECT RAISE(ABORT, 'a status is never edited'); END;
CREATE TRIGGER finding_status_is_kept BEFORE DELETE ON finding_status
BEGIN SELECT RAISE(ABORT, 'a status is never removed'); END;

CREATE TRIGGER finding_resolutions_stay BEFORE UPDATE ON finding_resolutions
BEGIN SELECT RAISE(ABORT, 'a resolution is never edited'); END;
CREATE TRIGGER finding_resolutions_are_kept BEFORE DELETE ON finding_resolutions
BEGIN SELECT RAISE(ABORT, 'a resolution is never removed'); END;

CREATE TRIGGER card_details_stay BEFORE UPDATE ON card_details
BEGIN SELECT RAISE(ABORT, 'details are never edited'); END;
CREATE TRIGGER card_details_are_kept BEFORE DELETE ON card_details
BEGIN SELECT RAISE(ABORT, 'details are never removed'); END;

CREATE TRIGGER card_revisions_stay BEFORE UPDATE ON card_revisions
BEGIN SELECT RAISE(ABORT, 'a revision is never edited'); END;
CREATE TRIGGER card_revisions_are_kept BEFORE DELETE ON card_revisions
BEGIN SELECT RAISE(ABORT, 'a revision is never removed'); END;

CREATE TRIGGER policies_stay BEFORE UPDATE ON policies
BEGIN SELECT RAISE(ABORT, 'a policy is never edited'); END;
CREATE TRIGGER policies_are_kept BEFORE DELETE ON policies
BEGIN SELECT RAISE(ABORT, 'a policy is never removed'); END;

CREATE TRIGGER audit_stays BEFORE UPDATE ON audit
BEGIN SELECT RAISE(ABORT, 'the audit is never edited'); END;
CREATE TRIGGER audit_is_kept BEFORE DELETE ON audit
BEGIN SELECT RAISE(ABORT, 'the audit is never removed'); END;
