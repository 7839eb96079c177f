-- Compact samples: what each channel's instrument printed, decoded, for drawing and for plain SQL. All of it is derived from
-- the events and can be made again from them at any time (`halfturn rejudge JOB --samples`); no hash covers it, and rows may
-- be deleted. A job has its samples when it has a row in sample_sets; a job that was cut off, or that an older program
-- recorded, gets them then.
--
-- Everything here can be read in any sqlite3 shell (3.25 or newer), without the program:
--   SELECT * FROM samples WHERE job = 17 AND channel = 0;            every sample; tens of microseconds each
--   SELECT * FROM sample_ranges WHERE job = 17 AND channel = 0;      lowest and highest of each block, at once
--   SELECT * FROM pyramid WHERE job = 17 AND channel = 0 AND level = 1;   lowest and highest over equal spans of time
--   SELECT * FROM odd_readings WHERE job = 17;                       what was read but not used, and why
-- The program reads the same rows some thousand times faster.
--
-- Channels count from 0 in the set-up's list. `value` is what the judge used: N, mm or turns above the job's zero, to the
-- last bit; NULL for a calibration of a higher degree than 5. Times are ns of steady time since the job began; a live job's
-- are rounded down to the microsecond, as no serial line is that steady (the events keep the nanosecond).
--
-- PACKED NUMBERS. n numbers of b bits each (0 to 56), highest bit first, one after the other, filled up to a whole byte, and
-- 7 bytes of zeros. With u(i) the i-th of them, from 0, the number it stands for is
--   kind 0   base + ((i * slope) >> 16) + u(i)            >> rounds down
--   kind 1   base + i * slope + u(1) + u(2) + … + u(i)
-- sample_blocks.packed has the times, in tick_ns, and after them the digits, in 10^-decimals of the unit as printed.

CREATE TABLE sample_sets (
    job          INTEGER PRIMARY KEY REFERENCES jobs (number),
    made_utc_ms  INTEGER NOT NULL,
    judge        TEXT NOT NULL,          -- version of the judge whose decoding, gates and zeroes they rest on
    events       INTEGER NOT NULL        -- how many of the job's events they cover
) STRICT;

CREATE TABLE sample_channels (
    job       INTEGER NOT NULL REFERENCES jobs (number),
    channel   INTEGER NOT NULL,
    measures  TEXT NOT NULL,             -- 'force', 'screw-travel', 'ring-travel', 'turns'
    value_in  TEXT NOT NULL,             -- 'N', 'mm', 'turns'
    divisor   REAL NOT NULL,             -- counts a turn of a counter; else 1
    sign      REAL NOT NULL,
    degree    INTEGER NOT NULL,          -- of the calibration; above 5: c0 to c5 don't tell it all
    c0 REAL, c1 REAL, c2 REAL, c3 REAL, c4 REAL, c5 REAL,
    PRIMARY KEY (job, channel)
) STRICT, WITHOUT ROWID;

CREATE TABLE sample_blocks (
    job          INTEGER NOT NULL REFERENCES jobs (number),
    channel      INTEGER NOT NULL,
    first_ns     INTEGER NOT NULL,
    number       INTEGER NOT NULL,       -- 1, 2, 3, … in its channel
    last_ns      INTEGER NOT NULL,
    samples      INTEGER NOT NULL,       -- 1 to 4096
    low          REAL,                   -- lowest and highest value
    high         REAL,
    unit         TEXT NOT NULL,          -- as printed
    decimals     INTEGER NOT NULL,
    per_unit     REAL NOT NULL,          -- 10^decimals
    factor       REAL NOT NULL,          -- unit to N or mm; 1 for counts
    zero         REAL NOT NULL,          -- value = calibrated - zero + carried
    carried      REAL NOT NULL,
    tick_ns      INTEGER NOT NULL,
    time_kind    INTEGER NOT NULL,
    time_base    INTEGER NOT NULL,
    time_slope   INTEGER NOT NULL,
    time_bits    INTEGER NOT NULL,
    digit_kind   INTEGER NOT NULL,
    digit_base   INTEGER NOT NULL,
    digit_slope  INTEGER NOT NULL,
    digit_bits   INTEGER NOT NULL,
    packed       BLOB NOT NULL,
    UNIQUE (job, channel, first_ns, number)
) STRICT;

CREATE TABLE odd_readings (
    job      INTEGER NOT NULL REFERENCES jobs (number),
    channel  INTEGER NOT NULL,
    at_ns    INTEGER NOT NULL,
    printed  TEXT NOT NULL,
    unit     TEXT NOT NULL,
    why      TEXT NOT NULL               -- 'spike', 'unconfirmed', 'wrong-unit', 'not-live', 'no-number'
) STRICT;
CREATE INDEX odd_readings_by_job ON odd_readings (job, channel, at_ns);

-- Level 0 has about 16 samples a bucket, each further level is four times as wide. A page is 1000 buckets, each u16 lowest and
-- u16 highest, high byte first, counting `step` from `base`, rounded outwards; FFFF 0000 where no sample lies. A channel of
-- fewer than 16384 samples has none.
CREATE TABLE pyramid_pages (
    job       INTEGER NOT NULL REFERENCES jobs (number),
    channel   INTEGER NOT NULL,
    level     INTEGER NOT NULL,
    page      INTEGER NOT NULL,
    first_ns  INTEGER NOT NULL,          -- where its first bucket begins
    width_ns  INTEGER NOT NULL,          -- of a bucket
    base      REAL NOT NULL,
    step      REAL NOT NULL,
    packed    BLOB NOT NULL,
    UNIQUE (job, channel, level, page)
) STRICT;

CREATE VIEW sample_ranges AS
SELECT job, channel, measures, first_ns, last_ns, samples, low, high, value_in
FROM sample_blocks JOIN sample_channels USING (job, channel);

-- Eight bytes from any place of a blob as one number, by their hexadecimal digits.
CREATE VIEW samples AS
WITH RECURSIVE
    counted (i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM counted WHERE i < 4095),
    cut AS (
        SELECT job, channel, number, unit, decimals, zero, carried, factor, per_unit, tick_ns, time_kind, time_base, time_slope, time_bits,
            digit_kind, digit_base, digit_slope, digit_bits,
            hex(substr(packed, 1 + i * time_bits / 8, 8)) AS time_hex, i * time_bits % 8 AS time_skip,
            hex(substr(packed, 1 + (samples * time_bits + 7) / 8 + 7 + i * digit_bits / 8, 8)) AS digit_hex,
            i * digit_bits % 8 AS digit_skip,
            -- This is i again; as a window's result it keeps SQLite from working out each hex sixteen times below.
            row_number() OVER (PARTITION BY job, channel, number ORDER BY i) - 1 AS i
        FROM sample_blocks JOIN counted ON i < samples),
    taken AS (
        SELECT *,
            CASE WHEN time_bits = 0 THEN 0 ELSE (((instr('123456789ABCDEF', substr(time_hex, 1, 1)) << 60) | (instr('123456789ABCDEF', substr(time_hex, 2, 1)) << 56)
                | (instr('123456789ABCDEF', substr(time_hex, 3, 1)) << 52) | (instr('123456789ABCDEF', substr(time_hex, 4, 1)) << 48)
                | (instr('123456789ABCDEF', substr(time_hex, 5, 1)) << 44) | (instr('123456789ABCDEF', substr(time_hex, 6, 1)) << 40)
                | (instr('123456789ABCDEF', substr(time_hex, 7, 1)) << 36) | (instr('123456789ABCDEF', substr(time_hex, 8, 1)) << 32)
                | (instr('123456789ABCDEF', substr(time_hex, 9, 1)) << 28) | (instr('123456789ABCDEF', substr(time_hex, 10, 1)) << 24)
                | (instr('123456789ABCDEF', substr(time_hex, 11, 1)) << 20) | (instr('123456789ABCDEF', substr(time_hex, 12, 1)) << 16)
                | (instr('123456789ABCDEF', substr(time_hex, 13, 1)) << 12) | (instr('123456789ABCDEF', substr(time_hex, 14, 1)) << 8)
                | (instr('123456789ABCDEF', substr(time_hex, 15, 1)) << 4) | instr('123456789ABCDEF', substr(time_hex, 16, 1))) >> (64 - time_skip - time_bits)) & ((1 << time_bits) - 1) END AS time_off,
            CASE WHEN digit_bits = 0 THEN 0 ELSE (((instr('123456789ABCDEF', substr(digit_hex, 1, 1)) << 60) | (instr('123456789ABCDEF', substr(digit_hex, 2, 1)) << 56)
                | (instr('123456789ABCDEF', substr(digit_hex, 3, 1)) << 52) | (instr('123456789ABCDEF', substr(digit_hex, 4, 1)) << 48)
                | (instr('123456789ABCDEF', substr(digit_hex, 5, 1)) << 44) | (instr('123456789ABCDEF', substr(digit_hex, 6, 1)) << 40)
                | (instr('123456789ABCDEF', substr(digit_hex, 7, 1)) << 36) | (instr('123456789ABCDEF', substr(digit_hex, 8, 1)) << 32)
                | (instr('123456789ABCDEF', substr(digit_hex, 9, 1)) << 28) | (instr('123456789ABCDEF', substr(digit_hex, 10, 1)) << 24)
                | (instr('123456789ABCDEF', substr(digit_hex, 11, 1)) << 20) | (instr('123456789ABCDEF', substr(digit_hex, 12, 1)) << 16)
                | (instr('123456789ABCDEF', substr(digit_hex, 13, 1)) << 12) | (instr('123456789ABCDEF', substr(digit_hex, 14, 1)) << 8)
                | (instr('123456789ABCDEF', substr(digit_hex, 15, 1)) << 4) | instr('123456789ABCDEF', substr(digit_hex, 16, 1))) >> (64 - digit_skip - digit_bits)) & ((1 << digit_bits) - 1) END AS digit_off
        FROM cut),
    summed AS (
        SELECT *,
            CASE time_kind WHEN 0 THEN time_off ELSE sum(CASE WHEN i = 0 OR time_kind = 0 THEN 0 ELSE time_off END) OVER one END AS time_sum,
            CASE digit_kind WHEN 0 THEN digit_off ELSE sum(CASE WHEN i = 0 OR digit_kind = 0 THEN 0 ELSE digit_off END) OVER one END AS digit_sum
        FROM taken
        WINDOW one AS (PARTITION BY job, channel, number ORDER BY i)),
    printed AS (
        SELECT job, channel, number, unit, decimals, zero, carried, factor, per_unit,
            tick_ns * (time_base + time_sum + CASE time_kind WHEN 0 THEN (i * time_slope) >> 16 ELSE i * time_slope END) AS at_ns,
            digit_base + digit_sum + CASE digit_kind WHEN 0 THEN (i * digit_slope) >> 16 ELSE i * digit_slope END AS digits
        FROM summed)
SELECT job, channel, measures, at_ns, digits, decimals, unit,
    CASE WHEN degree <= 5 THEN
        (((((c5 * x + c4) * x + c3) * x + c2) * x + c1) * x + c0) * sign - zero + carried END AS value, value_in
FROM (SELECT *, CAST(digits AS REAL) / per_unit * factor / divisor AS x FROM printed JOIN sample_channels USING (job, channel));

CREATE VIEW pyramid AS
WITH RECURSIVE
    counted (i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM counted WHERE i < 999),
    cut AS (SELECT p.*, i, hex(substr(packed, 1 + 4 * i, 4)) AS h FROM pyramid_pages p JOIN counted ON i < length(packed) / 4)
SELECT job, channel, measures, level, first_ns + i * width_ns AS at_ns, width_ns, base + ((instr('123456789ABCDEF', substr(h, 1, 1)) << 12) | (instr('123456789ABCDEF', substr(h, 2, 1)) << 8)
        | (instr('123456789ABCDEF', substr(h, 3, 1)) << 4) | instr('123456789ABCDEF', substr(h, 4, 1))) * step AS low, base + ((instr('123456789ABCDEF', substr(h, 5, 1)) << 12) | (instr('123456789ABCDEF', substr(h, 6, 1)) << 8)
        | (instr('123456789ABCDEF', substr(h, 7, 1)) << 4) | instr('123456789ABCDEF', substr(h, 8, 1))) * step AS high, value_in
FROM cut JOIN sample_channels USING (job, channel)
WHERE h <> 'FFFF0000';
