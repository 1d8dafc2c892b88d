-- A database as version 7 of the tables left it: one card, two findings, and a
-- neighbour that may read it. Written by that version, so not to be edited.
BEGIN TRANSACTION;
CREATE TABLE _sqlx_migrations (
    version BIGINT PRIMARY KEY,
    description TEXT NOT NULL,
    installed_on TIMESTAMP NOT NULL DEFAULT CURRENT_TIMESTAMP,
    success BOOLEAN NOT NULL,
    checksum BLOB NOT NULL,
    execution_time BIGINT NOT NULL
);
INSERT INTO "_sqlx_migrations" VALUES(1,'departments','2026-11-25 18:22:48',1,X'A743C88EB2BEEBF6E79FFBF35D9B05F3AF731FF1658A4737A7FF6564803CDAF7F5A269B9703BC7AA602C2350792D2655',398574);
INSERT INTO "_sqlx_migrations" VALUES(2,'cards','2026-11-25 18:22:48',1,X'A2DD9A7F3231077FE0464AC66A825829170E17EE734B54DC44E35FBD56CAB225B0266B2E63FFBF032D7F06C86E19491D',302812);
INSERT INTO "_sqlx_migrations" VALUES(3,'findings','2026-11-25 18:22:48',1,X'D6C274C941AF98204E24AC8A6AA06834B191E0F7A94D8722AF58EBB3F5C8EB82451CDB786EDEAFCE6F37F7CC6F602C9E',291605);
INSERT INTO "_sqlx_migrations" VALUES(4,'audit','2026-11-25 18:22:48',1,X'EF95A76C32153EBBEF786FC3A25D10EF672DA962D500E6268F796A8D959820A2837F43DA20ABDB9122461AD458584729',159919);
INSERT INTO "_sqlx_migrations" VALUES(5,'append only','2026-11-25 18:22:48',1,X'AD10B0325235E4D7F957442B5A49ABB046C45394B9960F85C8D1FDD43050B99AC8E8EB0D3C69E91C54288D9C7627619C',445674);
INSERT INTO "_sqlx_migrations" VALUES(6,'drafts','2026-11-25 18:22:48',1,X'3B97EA375CEF8B61294961BBE18013EA890EF818A05A4F084ABE8BB47398762ACFE487F030DA9E0D9D89895B8E7D7B54',137085);
INSERT INTO "_sqlx_migrations" VALUES(7,'plan settings','2026-11-25 18:22:48',1,X'E06B2E3FCF8EF25CF9ABE79A2B3A533FDCDF1A3F041ECFA862C9FF8817EFA172AFAAA7FA047D576AF727AF7E6739C51F',171976);
CREATE TABLE audit (
    department_id TEXT    NOT NULL REFERENCES departments (id),
    id            TEXT    NOT NULL PRIMARY KEY,
    at            INTEGER NOT NULL,
    member_id     TEXT    NOT NULL,
    member_name   TEXT    NOT NULL,
    card_id       TEXT,
    action        TEXT    NOT NULL,
    detail        TEXT    NOT NULL,
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT;
INSERT INTO "audit" VALUES('01a213f2-300a-770d-a293-37464a5740aa','01a213f2-300a-770d-a293-3749749a95cb',1795630968842,'01a213f2-300a-770d-a293-37478d1491b1','Local member','01a213f2-300a-770d-a293-3748874fb11c','card-imported','{"findings":2,"revision":1}');
CREATE TABLE card_details (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    make          TEXT,
    model         TEXT,
    first_year    INTEGER,
    last_year     INTEGER,
    body_style    TEXT    NOT NULL,
    drive         TEXT,
    wheel         TEXT,
    roof          TEXT,
    region        TEXT,
    hold_time_s   INTEGER,
    measured      TEXT    NOT NULL,
    identify      TEXT,
    power_off     TEXT    NOT NULL,
    glass         TEXT    NOT NULL,
    annotations   TEXT    NOT NULL,
    reviews       TEXT    NOT NULL,
    PRIMARY KEY (card_id, revision),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id)
) STRICT, WITHOUT ROWID;
INSERT INTO "card_details" VALUES('01a213f2-300a-770d-a293-37464a5740aa','01a213f2-300a-770d-a293-3748874fb11c',1,'Corvel','Tarn',2019,2023,'sedan','petrol',NULL,NULL,'US',NULL,'{"length_mm":4700.5,"wheelbase_mm":null,"width_mm":null,"height_mm":null,"landmarks":{}}','Three slats in the grille.','[]','{}','[{"text":"Harness runs low here.","colour":"red"},"a line",7,""]','[]');
CREATE TABLE card_revisions (
    department_id    TEXT    NOT NULL,
    card_id          TEXT    NOT NULL,
    revision         INTEGER NOT NULL CHECK (revision >= 1),
    details_revision INTEGER NOT NULL CHECK (details_revision BETWEEN 1 AND revision),
    -- 0 while the department has set none: the defaults.
    policy_version   INTEGER NOT NULL CHECK (policy_version >= 0),
    at               INTEGER NOT NULL,
    member_id        TEXT    NOT NULL,
    -- As it was then: a member may change their name.
    member_name      TEXT    NOT NULL,
    summary          TEXT    NOT NULL,
    PRIMARY KEY (card_id, revision),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;
INSERT INTO "card_revisions" VALUES('01a213f2-300a-770d-a293-37464a5740aa','01a213f2-300a-770d-a293-3748874fb11c',1,1,0,1795630968842,'01a213f2-300a-770d-a293-37478d1491b1','Local member','card imported with 2 findings');
CREATE TABLE cards (
    department_id    TEXT    NOT NULL REFERENCES departments (id),
    id               TEXT    NOT NULL PRIMARY KEY,
    revision         INTEGER NOT NULL CHECK (revision >= 1),
    details_revision INTEGER NOT NULL CHECK (details_revision BETWEEN 1 AND revision),
    finding_count    INTEGER NOT NULL DEFAULT 0 CHECK (finding_count >= 0),
    created_at       INTEGER NOT NULL,
    updated_at       INTEGER NOT NULL,
    UNIQUE (department_id, id)
) STRICT;
INSERT INTO "cards" VALUES('01a213f2-300a-770d-a293-37464a5740aa','01a213f2-300a-770d-a293-3748874fb11c',1,1,2,1795630968842,1795630968842);
CREATE TABLE departments (
    id          TEXT    NOT NULL PRIMARY KEY,
    name        TEXT    NOT NULL UNIQUE,
    -- The one department that serves while there are no accounts.
    local       INTEGER NOT NULL DEFAULT 0 CHECK (local IN (0, 1)),
    created_at  INTEGER NOT NULL
) STRICT;
INSERT INTO "departments" VALUES('01a213f2-300a-770d-a293-37464a5740aa','Local department',1,1795630968842);
INSERT INTO "departments" VALUES('019b0000-0000-7000-8000-000000000001','Saltby',0,1795630968842);
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
CREATE TABLE finding_resolutions (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    finding_id    TEXT    NOT NULL,
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    resolved_by   TEXT,
    resolved_on   TEXT    CHECK ((resolved_by IS NULL) = (resolved_on IS NULL)),
    at            INTEGER NOT NULL,
    member_id     TEXT    NOT NULL,
    PRIMARY KEY (card_id, finding_id, revision),
    FOREIGN KEY (card_id, finding_id) REFERENCES findings (card_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;
CREATE TABLE finding_status (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    finding_id    TEXT    NOT NULL,
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    status        TEXT    NOT NULL,
    reason        TEXT,
    at            INTEGER NOT NULL,
    member_id     TEXT    NOT NULL,
    member_name   TEXT    NOT NULL,
    PRIMARY KEY (card_id, finding_id, revision),
    FOREIGN KEY (card_id, finding_id) REFERENCES findings (card_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;
INSERT INTO "finding_status" VALUES('01a213f2-300a-770d-a293-37464a5740aa','01a213f2-300a-770d-a293-3748874fb11c','b1',1,'offered',NULL,1795630968842,'01a213f2-300a-770d-a293-37478d1491b1','Local member');
INSERT INTO "finding_status" VALUES('01a213f2-300a-770d-a293-37464a5740aa','01a213f2-300a-770d-a293-3748874fb11c','f1',1,'accepted',NULL,1795630968842,'01a213f2-300a-770d-a293-37478d1491b1','Local member');
CREATE TABLE findings (
    department_id TEXT    NOT NULL,
    card_id       TEXT    NOT NULL,
    id            TEXT    NOT NULL CHECK (id <> ''),
    -- The revision it came with, and its place among those that came together.
    revision      INTEGER NOT NULL CHECK (revision >= 1),
    position      INTEGER NOT NULL CHECK (position >= 0),
    -- Who recorded it; `by` in the body is who looked at the car.
    member_id     TEXT    NOT NULL,
    recorded_at   INTEGER NOT NULL,
    report        TEXT    NOT NULL CHECK (report IN ('component', 'bare')),
    component     TEXT    CHECK ((report = 'component') = (component IS NOT NULL)),
    kind          TEXT    CHECK ((report = 'component') = (kind IS NOT NULL)),
    depth         TEXT    CHECK ((report = 'bare') = (depth IS NOT NULL)),
    -- A span with two stations in mm, or two points.
    span          TEXT,
    from_mm       REAL    CHECK ((span IS NULL) = (from_mm IS NULL)),
    to_mm         REAL    CHECK ((span IS NULL) = (to_mm IS NULL)),
    points        TEXT    CHECK ((span IS NULL) = (points IS NOT NULL)),
    source        TEXT    NOT NULL,
    observed_on   TEXT    NOT NULL,
    car           TEXT,
    supersedes    TEXT,
    -- What only some findings have: radius, bag, steel, gas, variant, note …
    rest          TEXT    NOT NULL,
    PRIMARY KEY (card_id, id),
    FOREIGN KEY (department_id, card_id) REFERENCES cards (department_id, id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT;
INSERT INTO "findings" VALUES('01a213f2-300a-770d-a293-37464a5740aa','01a213f2-300a-770d-a293-3748874fb11c','f1',1,0,'01a213f2-300a-770d-a293-37478d1491b1',1795630968842,'component','c1','pretensioner',NULL,'b-pillar.left',80.0,210.0,NULL,'measured','2026-03-04','yard 14',NULL,'{"within_mm":null,"by":"Ada Fenn","observed":{"year":null,"drive":null,"wheel":null,"roof":null,"region":null},"note":null,"radius_mm":25.0,"bag":null,"belt_seat":null,"steel":{"uts_mpa":null,"thickness_mm":null,"layers":null,"perimeter_mm":null},"gas":{"pressure_mpa":null,"volume_cm3":null,"gas":null}}');
INSERT INTO "findings" VALUES('01a213f2-300a-770d-a293-37464a5740aa','01a213f2-300a-770d-a293-3748874fb11c','b1',1,1,'01a213f2-300a-770d-a293-37478d1491b1',1795630968842,'bare',NULL,NULL,'through','b-pillar.left',320.0,700.0,NULL,'measured','2026-03-04','yard 14',NULL,'{"within_mm":null,"by":"Ada Fenn","observed":{"year":null,"drive":null,"wheel":null,"roof":null,"region":null},"note":null,"radius_mm":null,"bag":null,"belt_seat":null,"steel":{"uts_mpa":null,"thickness_mm":null,"layers":null,"perimeter_mm":null},"gas":{"pressure_mpa":null,"volume_cm3":null,"gas":null}}');
CREATE TABLE members (
    department_id TEXT    NOT NULL REFERENCES departments (id),
    id            TEXT    NOT NULL PRIMARY KEY,
    name          TEXT    NOT NULL,
    local         INTEGER NOT NULL DEFAULT 0 CHECK (local IN (0, 1)),
    created_at    INTEGER NOT NULL,
    -- What others point to, so that a member can only act for their own department.
    UNIQUE (department_id, id)
) STRICT;
INSERT INTO "members" VALUES('01a213f2-300a-770d-a293-37464a5740aa','01a213f2-300a-770d-a293-37478d1491b1','Local member',1,1795630968842);
INSERT INTO "members" VALUES('019b0000-0000-7000-8000-000000000001','019b0000-0000-7000-8000-000000000002','Bo Marr',0,1795630968842);
CREATE TABLE plan_settings (
    department_id TEXT    NOT NULL REFERENCES departments (id),
    version       INTEGER NOT NULL CHECK (version >= 1),
    member_id     TEXT    NOT NULL,
    set_at        INTEGER NOT NULL,
    openings      TEXT    NOT NULL,
    tools         TEXT    NOT NULL,
    rules_off     TEXT    NOT NULL,
    PRIMARY KEY (department_id, version),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;
CREATE TABLE policies (
    department_id TEXT    NOT NULL REFERENCES departments (id),
    version       INTEGER NOT NULL CHECK (version >= 1),
    member_id     TEXT    NOT NULL,
    set_at        INTEGER NOT NULL,
    body          TEXT    NOT NULL,
    PRIMARY KEY (department_id, version),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;
CREATE TABLE readers (
    department_id TEXT    NOT NULL REFERENCES departments (id),
    reader_id     TEXT    NOT NULL REFERENCES departments (id),
    member_id     TEXT    NOT NULL,
    granted_at    INTEGER NOT NULL,
    PRIMARY KEY (department_id, reader_id),
    FOREIGN KEY (department_id, member_id) REFERENCES members (department_id, id)
) STRICT, WITHOUT ROWID;
INSERT INTO "readers" VALUES('01a213f2-300a-770d-a293-37464a5740aa','019b0000-0000-7000-8000-000000000001','01a213f2-300a-770d-a293-37478d1491b1',1795630968842);
CREATE UNIQUE INDEX one_local_department ON departments (local) WHERE local = 1;
CREATE INDEX cards_by_change ON cards (department_id, updated_at, id);
CREATE INDEX findings_in_order ON findings (department_id, card_id, revision, position);
CREATE INDEX audit_in_order ON audit (department_id, id);
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
CREATE TRIGGER plan_settings_stay BEFORE UPDATE ON plan_settings
BEGIN SELECT RAISE(ABORT, 'settings for plans are never edited'); END;
CREATE TRIGGER plan_settings_are_kept BEFORE DELETE ON plan_settings
BEGIN SELECT RAISE(ABORT, 'settings for plans are never removed'); END;
COMMIT;
