-- Photos that belong to inspections: the file's bytes as they were given, once each. An entry of the kind 'inspection' names
-- its photo by the SHA-256 in its json; the chain covers the row with all its bytes:
--   photo        photos: id, made_utc_ms, media_type, sha256, bytes

CREATE TABLE photos (
    id           INTEGER PRIMARY KEY,
    made_utc_ms  INTEGER NOT NULL,
    media_type   TEXT NOT NULL CHECK (media_type IN ('image/jpeg', 'image/png', 'image/webp')),
    sha256       BLOB NOT NULL UNIQUE CHECK (length(sha256) = 32),
    bytes        BLOB NOT NULL CHECK (length(bytes) <= 8388608)
) STRICT;

CREATE TRIGGER photos_stay_u BEFORE UPDATE ON photos BEGIN SELECT RAISE(ABORT, 'a photo is never changed'); END;
CREATE TRIGGER photos_stay_d BEFORE DELETE ON photos BEGIN SELECT RAISE(ABORT, 'a photo is never deleted'); END;
CREATE TRIGGER photos_stay_i BEFORE INSERT ON photos
WHEN EXISTS (SELECT 1 FROM photos WHERE id = NEW.id OR sha256 = NEW.sha256)
BEGIN SELECT RAISE(ABORT, 'a photo is never replaced'); END;
