-- What a photo's file holds, so that who fetches it can tell that it is whole.
-- Of photos kept before this it is not known.
ALTER TABLE photos ADD COLUMN sha256 TEXT CHECK (LENGTH(sha256) = 64);

-- Beside those of departments that are gone: files of photos that were taken out
-- of their card, and files written for a note that never came to hold them. They
-- are tried until they are gone; the last kind not before its note had its time.
ALTER TABLE photo_files_left ADD COLUMN not_before INTEGER NOT NULL DEFAULT 0;
