// The tables of the index, and the number of this layout.
#pragma once

#include <string_view>

namespace halfturn::review {

constexpr int index_application_id = 0x68747869;  // "htxi"
constexpr int index_layout_number = 2;            // raise it with any change below: the index is then made anew

constexpr std::string_view index_layout = R"sql(
-- The index of a store's jobs, beside it as FILE-index. Derived data: any program may delete it at any time.
-- PRAGMA user_version is the layout's number; another number, and the index is made anew.
CREATE TABLE state (
    id        INTEGER PRIMARY KEY CHECK (id = 1),
    bench_id  TEXT NOT NULL,     -- of the store it belongs to
    looks     TEXT NOT NULL,     -- look_version() of the findings in it
    seen      INTEGER NOT NULL,  -- the store's chain was followed up to this link
    link      BLOB NOT NULL      -- that link's hash
) STRICT;
CREATE TABLE jobs (
    number          INTEGER PRIMARY KEY,
    started_utc_ms  INTEGER NOT NULL,
    over            INTEGER NOT NULL,  -- 0 while it runs
    work            TEXT NOT NULL,
    call            TEXT NOT NULL,
    item            TEXT NOT NULL COLLATE NOCASE,
    seat            TEXT NOT NULL COLLATE NOCASE,
    set_name        TEXT NOT NULL COLLATE NOCASE,
    who             TEXT NOT NULL COLLATE NOCASE,
    bearing         TEXT NOT NULL COLLATE NOCASE,
    rig             TEXT NOT NULL COLLATE NOCASE,
    signed_off      INTEGER NOT NULL,
    set_aside       INTEGER NOT NULL,
    looked_at       INTEGER NOT NULL
) STRICT;
-- Apart from the jobs, so that going through those touches few pages of the file.
CREATE TABLE features (
    job             INTEGER PRIMARY KEY,
    features        BLOB NOT NULL      -- PullFeatures, as this machine holds doubles; NaN: not known
) STRICT;
CREATE INDEX jobs_by_start ON jobs (started_utc_ms);
CREATE INDEX jobs_by_call ON jobs (call);
CREATE INDEX jobs_by_item ON jobs (item);
CREATE INDEX jobs_by_seat ON jobs (seat);
CREATE INDEX jobs_by_set ON jobs (set_name);
CREATE INDEX jobs_by_who ON jobs (who);
CREATE INDEX jobs_by_bearing ON jobs (bearing);
CREATE INDEX jobs_by_rig ON jobs (rig);
CREATE INDEX jobs_to_look_at ON jobs (over) WHERE looked_at = 0;
CREATE TABLE warnings (id TEXT NOT NULL, job INTEGER NOT NULL, PRIMARY KEY (id, job)) STRICT, WITHOUT ROWID;
CREATE INDEX warnings_by_job ON warnings (job);
CREATE TABLE findings (id TEXT NOT NULL, job INTEGER NOT NULL, says TEXT NOT NULL, PRIMARY KEY (id, job)) STRICT, WITHOUT ROWID;
CREATE INDEX findings_by_job ON findings (job);
CREATE VIRTUAL TABLE texts USING fts5 (names, says, notes, seen, tokenize = "unicode61 remove_diacritics 2", prefix = '2 3');
)sql";

}  // namespace halfturn::review
