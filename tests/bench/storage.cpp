// What it costs to keep a job, beside the plainest way to do the same: bytes appended to a file, a row a sample. And what the
// compact samples take and give.
#include <fcntl.h>
#include <fmt/format.h>
#include <sqlite3.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <limits>
#include <random>
#include <stdexcept>

#include "bench/bench.hpp"
#include "core/number_text.hpp"
#include "core/sha256.hpp"
#include "record/recorder.hpp"
#include "record/sample_store.hpp"
#include "screen/served_bench.hpp"
#include "watch/judge.hpp"

namespace halfturn::bench {
namespace {

namespace fs = std::filesystem;
using namespace record;

// A force cell that prints tenths of a newton a thousand times a second: noise of four steps, times that jitter by 50 µs.
constexpr double noise_steps = 4, jitter_us = 50;
constexpr std::size_t samples_a_commit = 100;

struct PlainRow {
    std::int64_t at_ns;
    double force_N;
};

class Readings {
public:
    std::pair<Instant, std::int64_t> next() {
        ++count_;
        const double pull = 4000 * std::sin(static_cast<double>(count_) / 60'000);
        const Instant at = static_cast<Instant>(count_) * 1'000'000 + static_cast<Instant>(1000 * std::floor(jitter_us * normal_(random_)));
        last_ = std::max(last_, at);
        return {last_, std::llround(pull + noise_steps * normal_(random_))};
    }

private:
    std::mt19937_64 random_{17};
    std::normal_distribution<double> normal_;
    std::int64_t count_ = 0;
    Instant last_ = 1;
};

// Shannon's entropy of normal noise in whole steps: log2(sd sqrt(2 pi e)) bits.
double entropy_bits(double sd) { return std::log2(sd * std::sqrt(2 * M_PI * M_E)); }

SetUp force_alone() {
    SetUp set_up;
    PortSetUp port;
    port.name = "force";
    port.format = "bare-value";
    port.settings = {{"unit", "N"}};
    port.start = Start::boundary;
    set_up.ports = {port};
    ChannelSetUp force;
    force.unit = Unit::N;
    force.capacity = 5000;
    set_up.channels = {force};
    return set_up;
}

std::string line_of(std::int64_t tenths) { return fixed_text(static_cast<double>(tenths) / 10, 1) + "\n"; }

class File {
public:
    explicit File(const std::string& path) : fd_(::open(path.c_str(), O_CREAT | O_RDWR | O_TRUNC | O_CLOEXEC, 0600)) {
        if (fd_ < 0) throw std::runtime_error("can't make " + path);
    }
    ~File() { ::close(fd_); }
    File(const File&) = delete;
    File& operator=(const File&) = delete;
    void append(const void* bytes, std::size_t size) {
        if (::write(fd_, bytes, size) != static_cast<ssize_t>(size)) throw std::runtime_error("a short write");
    }
    void sync() { ::fdatasync(fd_); }
    int fd() const { return fd_; }

private:
    int fd_;
};

struct Cost {
    double wall_ms = 0, processor_ms_used = 0;
};

template <typename Work>
Cost cost_of(Work&& work) {
    const double before = processor_ms();
    const double wall = milliseconds(work);
    return {wall, processor_ms() - before};
}

// ---- durable recording ------------------------------------------------------------------------------------------------

Cost plain_append(std::size_t commits) {
    File file(scratch_file("plain-append.bin"));
    Readings readings;
    std::vector<PlainRow> rows;
    for (std::size_t i = 0; i < commits * samples_a_commit; ++i) {
        const auto [at, tenths] = readings.next();
        rows.push_back({at, static_cast<double>(tenths) / 10});
    }
    return cost_of([&] {
        for (std::size_t commit = 0; commit < commits; ++commit) {
            file.append(&rows[commit * samples_a_commit], samples_a_commit * sizeof(PlainRow));
            file.sync();
        }
    });
}

struct Kept {
    Cost cost;
    double pages = 0;    // written to the log, a commit
    double hash_us = 0;  // of hashing a commit's events
};

// Events into the store, block by block, as the recorder's thread writes them.
Kept store_append(std::size_t commits) {
    Store store = Store::open(scratch_file("append.db"), Mode::write);
    OpenJob job = store.begin_job(force_alone(), Origin::live);
    Readings readings;
    std::uint64_t seq = 0;
    std::vector<std::string> blocks(commits);
    for (std::string& block : blocks)
        for (std::size_t i = 0; i < samples_a_commit; ++i) {
            const auto [at, tenths] = readings.next();
            append_event_bytes({++seq, at, BytesArrived{0, line_of(tenths)}}, block);
        }
    Kept kept;
    int pages = 0, most = 0;
    sqlite3_db_status(store.database().handle(), SQLITE_DBSTATUS_CACHE_WRITE, &pages, &most, 1);
    kept.cost = cost_of([&] {
        for (const std::string& block : blocks) store.add_block(job, block);
    });
    sqlite3_db_status(store.database().handle(), SQLITE_DBSTATUS_CACHE_WRITE, &pages, &most, 0);
    kept.pages = pages / static_cast<double>(commits);
    kept.hash_us = 1e3 / static_cast<double>(commits) * milliseconds([&] {
        for (const std::string& block : blocks) keep(sha256(block));
    });
    return kept;
}

Cost row_a_sample(std::size_t rows) {
    sqlite3* db = nullptr;
    sqlite3_open(scratch_file("rows.db").c_str(), &db);
    sqlite3_exec(db, "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; CREATE TABLE samples (at_ns INTEGER, force_N REAL)",
                 nullptr, nullptr, nullptr);
    sqlite3_stmt* add = nullptr;
    sqlite3_prepare_v2(db, "INSERT INTO samples VALUES (?, ?)", -1, &add, nullptr);
    Readings readings;
    const Cost cost = cost_of([&] {
        for (std::size_t i = 0; i < rows; ++i) {
            const auto [at, tenths] = readings.next();
            sqlite3_bind_int64(add, 1, at);
            sqlite3_bind_double(add, 2, static_cast<double>(tenths) / 10);
            sqlite3_step(add);
            sqlite3_reset(add);
        }
    });
    sqlite3_finalize(add);
    sqlite3_close(db);
    return cost;
}

void measure_recording(Figures& figures) {
    constexpr std::size_t commits = 400, rows = 1000;
    // In turns, so that what else the machine does falls on all alike.
    std::vector<double> ratio_plain, ratio_rows, ratio_processor;
    Cost plain, ours, single;
    Kept kept;
    for (int round = 0; round < 5; ++round) {
        plain = plain_append(commits);
        fs::remove(scratch_file("append.db"));
        kept = store_append(commits);
        ours = kept.cost;
        single = row_a_sample(rows);
        fs::remove(scratch_file("rows.db"));
        ratio_plain.push_back(plain.wall_ms / ours.wall_ms);
        ratio_rows.push_back(single.wall_ms / rows / (ours.wall_ms / (commits * samples_a_commit)));
        ratio_processor.push_back(ours.processor_ms_used / plain.processor_ms_used);
    }
    figures.add({"durable recording, of appending 16 bytes a sample and fdatasync", Goal::at_least, 0.9,
                 quantile(ratio_plain, 0.5), "x", shown(ours.wall_ms / commits, "ms a commit"),
                 shown(plain.wall_ms / commits, "ms a commit"),
                 fmt::format("100 samples a commit; ours keeps the raw line, a hash, an index and a log that survives a torn "
                             "write: {:.1f} pages a commit",
                             kept.pages)});
    figures.add({"durable recording, of a committed row a sample", Goal::at_least, 20, quantile(ratio_rows, 0.5), "x",
                 shown(1e3 * ours.wall_ms / (commits * samples_a_commit), "us a sample"),
                 shown(1e3 * single.wall_ms / rows, "us a sample"), ""});
    figures.add(
        {"processor time of a commit of 100 ms at 1 kHz, of the plain append's", Goal::at_most, 1.8,
         quantile(ratio_processor, 0.5), "x", shown(ours.processor_ms_used / commits, "ms a commit"),
         shown(plain.processor_ms_used / commits, "ms a commit"),
         fmt::format("ours writes 30 bytes a sample for 16, in whole pages, each twice (log, then file); of it hashing {:.1f} us",
                     kept.hash_us)});
}

// ---- compact samples ----------------------------------------------------------------------------------------------------

// Pages of the file that a table and its index take.
double bytes_of(Database& db, const std::string& table) {
    return static_cast<double>(db.number("SELECT coalesce(sum(pgsize), 0) FROM dbstat WHERE name = '" + table +
                                         "' OR name = 'sqlite_autoindex_" + table + "_1'"));
}

// The whole way: events recorded, judged, their readings compacted beside.
void measure_size(Figures& figures) {
    constexpr std::int64_t count = 500'000;
    const std::string path = scratch_file("job.db");
    {
        Recorder recorder(path, force_alone());
        Judge judge(force_alone());
        judge.set_reading_sink([&](const DecodedReading& reading) { recorder.add_reading(reading); });
        Readings readings;
        for (std::uint64_t seq = 1; seq <= count; ++seq) {
            const auto [at, tenths] = readings.next();
            const Event event{seq, at, BytesArrived{0, line_of(tenths)}};
            recorder.add(event);
            judge.on(event);
            if (seq % samples_a_commit == 0) recorder.wait_until_recorded(std::chrono::seconds(10));
        }
        if (!recorder.finish("measured", {})) throw std::runtime_error("the job was not recorded");
    }
    Store store = Store::open(path, Mode::write);
    Database& db = store.database();
    db.execute("PRAGMA wal_checkpoint(TRUNCATE)");
    const auto file = static_cast<double>(fs::file_size(path));
    const double blocks = bytes_of(db, "sample_blocks"), pyramid = bytes_of(db, "pyramid_pages");
    const double entropy = entropy_bits(noise_steps) + entropy_bits(jitter_us);
    figures.add({"compact samples, with their share of pages and index", Goal::at_most, 2.0, blocks / count, "B/sample",
                 shown(blocks / count, "B/sample"), shown(file / count, "B/sample for the whole file"),
                 "500000 samples at 1 kHz; the raw events make up the rest"});
    figures.add({"the same, of the noise's entropy", Goal::at_most, 1.5, 8 * blocks / count / entropy, "x",
                 shown(8 * blocks / count, "bit/sample"), shown(entropy, "bit/sample"),
                 "normal noise of 4 steps in the force and of 50 us in the time"});
    figures.add({"the pyramid, of the file", Goal::at_most, 2, 100 * pyramid / file, "%", shown(pyramid / count, "B/sample"), "", ""});
}

// A job of ten million samples, as its compact samples alone.
void measure_reading(Figures& figures) {
    constexpr std::int64_t count = 10'000'000;
    const SetUp set_up = force_alone();
    Store store = Store::open(scratch_file("long.db"), Mode::write);
    OpenJob job = store.begin_job(set_up, Origin::live);
    Instant end_ns = 0;
    {
        File plain(scratch_file("plain.bin"));
        SampleWriter writer(store.database(), job.number, set_up, Origin::live);
        Readings readings;
        std::vector<PlainRow> rows;
        for (std::int64_t i = 0; i < count; ++i) {
            const auto [at, tenths] = readings.next();
            DecodedReading reading;
            reading.unit = Unit::N;
            reading.decimals = 1;
            reading.printed = normalised(tenths, -1);
            reading.at = end_ns = at;
            reading.accepted = static_cast<std::uint64_t>(i + 1);
            writer.add(reading);
            if (writer.wants_to_write()) writer.write();
            rows.push_back({at, static_cast<double>(tenths) / 10});
            if (rows.size() == 4096 || i + 1 == count) {
                plain.append(rows.data(), rows.size() * sizeof(PlainRow));
                rows.clear();
            }
        }
        writer.finish(0);
        plain.sync();
    }
    store.end_job(job, "measured", {});
    JobSamples samples(store, find_job(store, "1"));

    struct Range {
        double low = std::numeric_limits<double>::infinity(), high = -low;
        void take(double value) { low = std::min(low, value), high = std::max(high, value); }
    };
    std::vector<double> scan_ms, plain_ms;
    for (int round = 0; round < 7; ++round) {
        scan_ms.push_back(milliseconds([&] {
            Range range;
            samples.for_each(0, 0, end_ns + 1, [&](auto, auto values) {
                for (const double value : values) range.take(value);
            });
            keep(range.low);
        }));
        plain_ms.push_back(milliseconds([&] {
            const int fd = ::open(scratch_file("plain.bin").c_str(), O_RDONLY | O_CLOEXEC);
            std::vector<PlainRow> rows(4096);
            Range range;
            for (ssize_t got; (got = ::read(fd, rows.data(), rows.size() * sizeof(PlainRow))) > 0;)
                for (std::size_t i = 0; i < static_cast<std::size_t>(got) / sizeof(PlainRow); ++i) range.take(rows[i].force_N);
            ::close(fd);
            keep(range.low);
        }));
    }
    const double scan = quantile(scan_ms, 0.5), plain = quantile(plain_ms, 0.5);
    figures.add({"a full scan of the samples, of reading 16 plain bytes a sample", Goal::at_least, 0.8, plain / scan, "x",
                 shown(scan, "ms"), shown(plain, "ms"), "10 million samples, lowest and highest; both from the page cache"});

    constexpr std::size_t columns = 1200;
    std::vector<double> screen_ms;
    for (int round = 0; round < 50; ++round)
        screen_ms.push_back(milliseconds([&] { keep(samples.draw(0, 0, end_ns + 1, columns).size()); }));
    figures.add({"the whole job on one screen, of a full scan", Goal::at_most, 1.0 / 500, quantile(screen_ms, 0.5) / scan, "x",
                 shown(quantile(screen_ms, 0.5), "ms"), shown(scan, "ms"), "10 million samples in 1200 columns"});
    {
        const test::ServedBench bench(scratch_file("long.db"));
        std::vector<double> asked_ms;
        for (int round = 0; round < 40; ++round)
            asked_ms.push_back(milliseconds([&] { keep(bench.get("/data/review/readings/1?columns=1200").body.size()); }));
        figures.add({"the same as the review page is given it, p95", Goal::at_most, 50, quantile(asked_ms, 0.95), "ms",
                     shown(quantile(asked_ms, 0.5), "ms at the median"), "",
                     "question and answer over HTTP, the store opened for each"});
    }

    std::mt19937_64 random(5);
    std::vector<double> zoom_ms;
    for (int round = 0; round < 400; ++round) {
        const auto span = static_cast<Instant>(
            std::exp(std::uniform_real_distribution<>(std::log(1e8), std::log(static_cast<double>(end_ns)))(random)));
        const auto from = static_cast<Instant>(std::uniform_real_distribution<>(0, static_cast<double>(end_ns - span))(random));
        double best = std::numeric_limits<double>::infinity();
        for (int again = 0; again < 3; ++again)
            best = std::min(best, milliseconds([&] { keep(samples.draw(0, from, from + span, columns).size()); }));
        zoom_ms.push_back(best);
    }
    figures.add({"any zoom, the slowest of 400, of a full scan", Goal::at_most, 1.0 / 50, quantile(zoom_ms, 1) / scan, "x",
                 shown(quantile(zoom_ms, 1), "ms"), shown(scan, "ms"),
                 "1200 columns, nothing drawn more than an eighth of a column from its place; best of three each"});
}

}  // namespace

void measure_storage(Figures& figures) {
    measure_recording(figures);
    measure_size(figures);
    measure_reading(figures);
}

}  // namespace halfturn::bench
