-- The halfturn store, schema 1. This comment is the format's documentation.
--
-- One SQLite file in WAL mode; `PRAGMA application_id` is 0x6874726e ("htrn"), `PRAGMA user_version` is the number of the
-- newest schema file applied. A file with a higher number is opened read-only by older programs. Beside FILE stand
-- FILE-wal and FILE-shm (SQLite's; copying FILE alone loses the last rows: use `halfturn export --store-copy`) and
-- FILE-live (empty; a running recorder holds a lock on the byte numbered as its job, so that a job whose recorder died
-- is told from one still running).
--
-- A job is its frozen set-up and its events; all else can be worked out again from those two.
--
-- Times named *_utc_ms are milliseconds since 1970-01-01 UTC by the computer's clock; times named *_ns are nanoseconds of
-- steady time since the job began.
--
-- EVENTS. event_blocks.events is a run of events, each 24 bytes and a payload, little-endian:
--   u64 seq (1, 2, 3, …) · i64 at, ns · u8 kind · u16 port · u8 code · u32 length · length bytes
--   kind 0 bytes arrived · 1 bytes sent · 2 port changed (code 0 opened, 1 lost, 2 closed; payload: detail)
--        3 operator (code 0 begin, 1 zero, 2 acknowledge, 3 silence, 4 flat, 5 end, 6 note, 7 skipped; payload: text)
--        4 recorder (code 0 on, 1 late, 2 stopped; payload: detail) · 5 suspended (payload: i64 ns asleep) · 6 tick
-- `port` counts from 0 in the set-up's list of ports. Blocks are never rewritten. While a job runs, a block is written at
-- least every 100 ms.
--
-- HASHES are SHA-256, 32 bytes.
--   block  = H("halfturn block 1\n", previous, u64 number, u64 first_seq, u64 last_seq, i64 first_ns, i64 last_ns, events)
--            previous: the hash of the block before; for block 1 the `content` of the job's 'job-started' link
--   row    = H("halfturn row 1\n", table, "\n", its columns in the order below), where a column is
--            'n' for NULL · 'i' i64 · 't' u64 length and UTF-8 bytes · 'b' u64 length and bytes
--   link   = H("halfturn chain 1\n", link before (32 zero bytes at first), u64 number, i64 at_utc_ms,
--            u64 length of kind, kind, i64 row, content)
-- The chain has one link for each thing put into the store, in order. What its `content` is the row hash of:
--   store        store: bench_id, created_utc_ms
--   job-started  jobs: number, job_id, started_utc_ms, clock_synchronised, origin, program, work, item, seat, set_name,
--                who, designation, rig, practice
--   set-up       set_ups: job, json
--   job-ended    jobs: number, state, ended_utc_ms, ending, blocks, events, last_hash
--   judgement    judgements: id, job, made_utc_ms, judge, call, fingerprint, json
--   entry        entries: id, job, made_utc_ms, kind, who, item, seat, json
--   certificate  certificates: id, certificate_id, made_utc_ms, json
-- The newest link is the head. Whoever owns the file can rebuild the whole chain, so it shows a change only against a head
-- kept elsewhere: reports and certificates print it, `halfturn verify --head HASH` checks it.

CREATE TABLE store (
    id              INTEGER PRIMARY KEY CHECK (id = 1),
    bench_id        TEXT NOT NULL,       -- made once, at random; part of every job's id
    created_utc_ms  INTEGER NOT NULL
) STRICT;

CREATE TABLE jobs (
    number              INTEGER PRIMARY KEY,
    job_id              TEXT NOT NULL UNIQUE,   -- BENCH-NUMBER-RANDOM: unique among all stores, copies gone their own way too
    started_utc_ms      INTEGER NOT NULL,
    clock_synchronised  INTEGER CHECK (clock_synchronised IN (0, 1)),  -- was the clock set by a time server? NULL: not known
    origin              TEXT NOT NULL CHECK (origin IN ('live', 'log')),
    program             TEXT NOT NULL,          -- version that recorded it
    work                TEXT NOT NULL CHECK (work IN ('out', 'in')),
    item                TEXT NOT NULL,
    seat                TEXT NOT NULL,
    set_name            TEXT NOT NULL,
    who                 TEXT NOT NULL,
    designation         TEXT NOT NULL,
    rig                 TEXT NOT NULL,
    practice            INTEGER NOT NULL CHECK (practice IN (0, 1)),
    -- NULL while it runs:
    state               TEXT NOT NULL CHECK (state IN ('running', 'ended', 'cut-off')),
    ended_utc_ms        INTEGER,                -- stays NULL for a job that was cut off
    ending              TEXT,                   -- how it ended, in words
    blocks              INTEGER,
    events              INTEGER,
    last_hash           BLOB,                   -- hash of the last block, or what block 1 would have had as `previous`
    CHECK ((state = 'running') = (last_hash IS NULL))
) STRICT;
CREATE INDEX jobs_by_seat ON jobs (item, seat);
CREATE INDEX jobs_by_set ON jobs (set_name);

CREATE TABLE set_ups (
    job   INTEGER PRIMARY KEY REFERENCES jobs (number),
    json  TEXT NOT NULL                         -- the whole set-up the judge was given; keys as in the program's SetUp
) STRICT;

CREATE TABLE event_blocks (
    job        INTEGER NOT NULL REFERENCES jobs (number),
    number     INTEGER NOT NULL,                -- 1, 2, 3, … in its job
    first_seq  INTEGER NOT NULL,
    last_seq   INTEGER NOT NULL,
    first_ns   INTEGER NOT NULL,
    last_ns    INTEGER NOT NULL,
    events     BLOB NOT NULL,
    hash       BLOB NOT NULL,
    UNIQUE (job, number)
) STRICT;

-- What a version of the judge made of a job. A newer judge adds its own row beside the old one.
CREATE TABLE judgements (
    id            INTEGER PRIMARY KEY,
    job           INTEGER NOT NULL REFERENCES jobs (number),
    made_utc_ms   INTEGER NOT NULL,
    judge         TEXT NOT NULL,
    call          TEXT NOT NULL,
    fingerprint   TEXT NOT NULL,
    json          TEXT NOT NULL,                -- the judged job as in the contracts
    UNIQUE (job, judge)
) STRICT;

-- What people add: notes, inspections, sign-offs, jobs set aside.
CREATE TABLE entries (
    id            INTEGER PRIMARY KEY,
    job           INTEGER REFERENCES jobs (number),  -- NULL: about a seat, not one job
    made_utc_ms   INTEGER NOT NULL,
    kind          TEXT NOT NULL CHECK (kind IN ('note', 'inspection', 'sign-off', 'set-aside', 'taken-back')),
    who           TEXT NOT NULL,
    item          TEXT NOT NULL,
    seat          TEXT NOT NULL,
    json          TEXT NOT NULL
) STRICT;
CREATE INDEX entries_by_job ON entries (job);
CREATE INDEX entries_by_seat ON entries (item, seat);

CREATE TABLE certificates (
    id              INTEGER PRIMARY KEY,
    certificate_id  TEXT NOT NULL UNIQUE,
    made_utc_ms     INTEGER NOT NULL,
    json            TEXT NOT NULL
) STRICT;

CREATE TABLE chain (
    number     INTEGER PRIMARY KEY,             -- 1, 2, 3, …
    at_utc_ms  INTEGER NOT NULL,
    kind       TEXT NOT NULL,
    row        INTEGER NOT NULL,                -- primary key of the row it covers
    content    BLOB NOT NULL,
    link       BLOB NOT NULL
) STRICT;
CREATE INDEX chain_by_row ON chain (kind, row);

-- What was put in stays as it is. (A guard on INSERT is needed too: INSERT OR REPLACE deletes without a DELETE trigger.)
CREATE TRIGGER store_stays_u BEFORE UPDATE ON store BEGIN SELECT RAISE(ABORT, 'the store''s identity is never changed'); END;
CREATE TRIGGER store_stays_d BEFORE DELETE ON store BEGIN SELECT RAISE(ABORT, 'the store''s identity is never deleted'); END;
CREATE TRIGGER store_stays_i BEFORE INSERT ON store WHEN EXISTS (SELECT 1 FROM store)
BEGIN SELECT RAISE(ABORT, 'the store''s identity is never replaced'); END;

CREATE TRIGGER jobs_stay_d BEFORE DELETE ON jobs BEGIN SELECT RAISE(ABORT, 'a job is never deleted'); END;
CREATE TRIGGER jobs_stay_i BEFORE INSERT ON jobs
WHEN EXISTS (SELECT 1 FROM jobs WHERE number = NEW.number OR job_id = NEW.job_id)
BEGIN SELECT RAISE(ABORT, 'a job is never replaced'); END;
CREATE TRIGGER jobs_stay_u BEFORE UPDATE ON jobs
WHEN NOT (OLD.state = 'running' AND NEW.state <> 'running' AND NEW.number IS OLD.number AND NEW.job_id IS OLD.job_id
    AND NEW.started_utc_ms IS OLD.started_utc_ms AND NEW.clock_synchronised IS OLD.clock_synchronised
    AND NEW.origin IS OLD.origin AND NEW.program IS OLD.program AND NEW.work IS OLD.work AND NEW.item IS OLD.item
    AND NEW.seat IS OLD.seat AND NEW.set_name IS OLD.set_name AND NEW.who IS OLD.who
    AND NEW.designation IS OLD.designation AND NEW.rig IS OLD.rig AND NEW.practice IS OLD.practice)
BEGIN SELECT RAISE(ABORT, 'a job is never changed, except to end it once'); END;

CREATE TRIGGER set_ups_stay_u BEFORE UPDATE ON set_ups BEGIN SELECT RAISE(ABORT, 'a set-up is never changed'); END;
CREATE TRIGGER set_ups_stay_d BEFORE DELETE ON set_ups BEGIN SELECT RAISE(ABORT, 'a set-up is never deleted'); END;
CREATE TRIGGER set_ups_stay_i BEFORE INSERT ON set_ups WHEN EXISTS (SELECT 1 FROM set_ups WHERE job = NEW.job)
BEGIN SELECT RAISE(ABORT, 'a set-up is never replaced'); END;

CREATE TRIGGER event_blocks_stay_u BEFORE UPDATE ON event_blocks BEGIN SELECT RAISE(ABORT, 'events are never changed'); END;
CREATE TRIGGER event_blocks_stay_d BEFORE DELETE ON event_blocks BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END;
CREATE TRIGGER event_blocks_stay_i BEFORE INSERT ON event_blocks
WHEN EXISTS (SELECT 1 FROM event_blocks WHERE job = NEW.job AND number = NEW.number)
    OR (SELECT state FROM jobs WHERE number = NEW.job) IS NOT 'running'
BEGIN SELECT RAISE(ABORT, 'events are never replaced, nor added to a job that is over'); END;

CREATE TRIGGER judgements_stay_u BEFORE UPDATE ON judgements BEGIN SELECT RAISE(ABORT, 'a judgement is never changed'); END;
CREATE TRIGGER judgements_stay_d BEFORE DELETE ON judgements BEGIN SELECT RAISE(ABORT, 'a judgement is never deleted'); END;
CREATE TRIGGER judgements_stay_i BEFORE INSERT ON judgements
WHEN EXISTS (SELECT 1 FROM judgements WHERE id = NEW.id OR (job = NEW.job AND judge = NEW.judge))
BEGIN SELECT RAISE(ABORT, 'a judgement is never replaced'); END;

CREATE TRIGGER entries_stay_u BEFORE UPDATE ON entries BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;
CREATE TRIGGER entries_stay_d BEFORE DELETE ON entries BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END;
CREATE TRIGGER entries_stay_i BEFORE INSERT ON entries WHEN EXISTS (SELECT 1 FROM entries WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'an entry is never replaced'); END;

CREATE TRIGGER certificates_stay_u BEFORE UPDATE ON certificates
BEGIN SELECT RAISE(ABORT, 'a certificate is never changed'); END;
CREATE TRIGGER certificates_stay_d BEFORE DELETE ON certificates
BEGIN SELECT RAISE(ABORT, 'a certificate is never deleted'); END;
CREATE TRIGGER certificates_stay_i BEFORE INSERT ON certificates
WHEN EXISTS (SELECT 1 FROM certificates WHERE id = NEW.id OR certificate_id = NEW.certificate_id)
BEGIN SELECT RAISE(ABORT, 'a certificate is never replaced'); END;

CREATE TRIGGER chain_stays_u BEFORE UPDATE ON chain BEGIN SELECT RAISE(ABORT, 'the chain is never changed'); END;
CREATE TRIGGER chain_stays_d BEFORE DELETE ON chain BEGIN SELECT RAISE(ABORT, 'the chain is never shortened'); END;
CREATE TRIGGER chain_stays_i BEFORE INSERT ON chain WHEN EXISTS (SELECT 1 FROM chain WHERE number = NEW.number)
BEGIN SELECT RAISE(ABORT, 'a link of the chain is never replaced'); END;
