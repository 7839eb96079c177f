#include "record/sample_store.hpp"

#include <algorithm>
#include <cmath>

#include "record/rejudge.hpp"
#include "record/schema.hpp"
#include "record/wall_clock.hpp"
#include "watch/judge.hpp"

namespace halfturn::record {
namespace {

constexpr std::size_t most_columns_in_schema = 6;
constexpr std::int64_t buckets_a_column = 8;
constexpr std::string_view tables[] = {"sample_sets", "sample_channels", "sample_blocks", "odd_readings", "pyramid_pages"};

void forget(Database& db, std::int64_t job) {
    for (const std::string_view table : tables) {
        Statement remove(db, "DELETE FROM " + std::string(table) + " WHERE job = ?");
        remove.bind(1, job).run();
    }
}

void insert_channels(Database& db, std::int64_t job, const SetUp& set_up) {
    Statement add(db, "INSERT INTO sample_channels VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
    for (std::size_t i = 0; i < set_up.channels.size(); ++i) {
        const ChannelSetUp& channel = set_up.channels[i];
        const bool counter = channel.measures == Measure::turns;
        std::vector<double> c = channel.coefficients;
        if (c.empty()) c = {0, 1};
        add.bind(1, job).bind(2, static_cast<std::int64_t>(i)).bind(3, measure_name(channel.measures));
        add.bind(4, channel.measures == Measure::force ? std::string_view("N") : counter ? "turns" : "mm");
        add.bind_real(5, counter ? channel.counts_per_turn : 1.0).bind_real(6, channel.sign);
        add.bind(7, static_cast<std::int64_t>(c.size()) - 1);
        c.resize(most_columns_in_schema, 0);
        for (std::size_t k = 0; k < most_columns_in_schema; ++k) add.bind_real(8 + static_cast<int>(k), c[k]);
        add.run();
    }
}

void insert_block(Statement& add, std::int64_t job, std::int64_t number, const samples::Block& block) {
    int at = 0;
    const auto integer = [&](std::int64_t value) { add.bind(++at, value); };
    const auto real = [&](double value) { add.bind_real(++at, value); };
    const auto how = [&](const samples::How& packed) {
        integer(static_cast<std::int64_t>(packed.kind));
        integer(packed.base);
        integer(packed.slope);
        integer(packed.bits);
    };
    integer(job), integer(block.channel), integer(block.first_ns), integer(number), integer(block.last_ns);
    integer(static_cast<std::int64_t>(block.count));
    real(block.low), real(block.high);
    add.bind(++at, unit_name(block.unit));
    integer(block.decimals);
    real(to_double({1, static_cast<std::int8_t>(block.decimals)}));
    real(block.factor), real(block.zero), real(block.carried);
    integer(block.tick_ns);
    how(block.time), how(block.digits);
    add.bind_blob(++at, block.packed);
    add.run();
}

constexpr std::string_view block_columns =
    "SELECT number, first_ns, last_ns, samples, decimals, factor, zero, carried, tick_ns, time_kind, time_base, time_slope, "
    "time_bits, digit_kind, digit_base, digit_slope, digit_bits, packed FROM sample_blocks ";

samples::Block block_from(const Statement& row, std::uint16_t channel) {
    samples::Block block;
    block.channel = channel;
    block.first_ns = row.integer(1);
    block.last_ns = row.integer(2);
    block.count = static_cast<std::size_t>(row.integer(3));
    block.decimals = static_cast<int>(row.integer(4));
    block.factor = row.real(5);
    block.zero = row.real(6);
    block.carried = row.real(7);
    block.tick_ns = row.integer(8);
    const auto how = [&](int at) {
        return samples::How{row.integer(at) == 0 ? samples::Kind::line : samples::Kind::steps, row.integer(at + 1), row.integer(at + 2),
                            static_cast<int>(row.integer(at + 3))};
    };
    block.time = how(9);
    block.digits = how(13);
    block.packed = row.blob(17);
    return block;
}

[[noreturn]] void unreadable(std::int64_t job, std::uint16_t channel, const std::string& what) {
    throw Failure(what + " of channel " + std::to_string(channel) + " of job " + std::to_string(job) +
                  " can't be read: `halfturn rejudge " + std::to_string(job) + " --samples` makes the samples anew");
}

// The newest block that begins at or before this; ties at its beginning are read along.
std::int64_t first_block_for(Database& db, std::int64_t job, std::uint16_t channel, Instant from_ns) {
    Statement find(db, "SELECT coalesce(max(first_ns), -1) FROM sample_blocks WHERE job = ? AND channel = ? AND first_ns < ?");
    find.bind(1, job).bind(2, std::int64_t{channel}).bind(3, from_ns);
    return find.row() ? find.integer(0) : -1;
}

}  // namespace

SampleWriter::SampleWriter(Database& db, std::int64_t job, const SetUp& set_up, Origin origin)
    : db_(db),
      job_(job),
      set_up_(set_up),
      channels_(set_up.channels.size()),
      numbers_(set_up.channels.size(), 0),
      builder_(set_up, origin == Origin::log ? samples::Clock::exact : samples::Clock::microseconds,
               [this](samples::Block&& block) {
                   Channel& channel = channels_[block.channel];
                   if (channel.samples == 0) channel.first_ns = block.first_ns;
                   channel.samples += static_cast<std::int64_t>(block.count);
                   channel.last_ns = block.last_ns;
                   waiting_bytes_ += block.packed.size() + sizeof block;
                   blocks_.push_back(std::move(block));
               },
               [this](const samples::OddReading& reading) {
                   waiting_bytes_ += sizeof reading;
                   odd_.push_back(reading);
               }) {}

void SampleWriter::write() {
    Transaction transaction(db_);
    write_waiting();
    transaction.commit();
}

void SampleWriter::write_waiting() {
    if (!began_) {
        forget(db_, job_);
        insert_channels(db_, job_, set_up_);
    }
    began_ = true;
    if (!blocks_.empty()) {
        Statement add(db_, "INSERT INTO sample_blocks VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
        for (const samples::Block& block : blocks_) insert_block(add, job_, ++numbers_[block.channel], block);
    }
    if (!odd_.empty()) {
        Statement add(db_, "INSERT INTO odd_readings VALUES (?, ?, ?, ?, ?, ?)");
        for (const samples::OddReading& odd : odd_) {
            const std::string printed = to_text(odd.printed);
            add.bind(1, job_).bind(2, std::int64_t{odd.channel}).bind(3, odd.at_ns).bind(4, std::string_view(printed));
            add.bind(5, unit_name(odd.unit)).bind(6, odd.why).run();
        }
    }
    blocks_.clear();
    odd_.clear();
    waiting_bytes_ = 0;
}

void SampleWriter::write_pyramids() {
    Statement add(db_, "INSERT INTO pyramid_pages VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)");
    for (std::size_t i = 0; i < channels_.size(); ++i) {
        const Channel& channel = channels_[i];
        const samples::Ground ground = samples::ground_for(channel.first_ns, channel.last_ns, channel.samples);
        if (ground.levels == 0) continue;
        const auto number = static_cast<std::uint16_t>(i);
        samples::PyramidBuilder pyramid(ground, [&](const samples::Page& page) {
            add.bind(1, job_).bind(2, std::int64_t{number}).bind(3, std::int64_t{page.level}).bind(4, page.number);
            add.bind(5, page.first_ns)
                .bind(6, page.width_ns)
                .bind_real(7, page.base)
                .bind_real(8, page.step)
                .bind_blob(9, page.packed)
                .run();
        });
        for (SampleCursor cursor(db_, job_, set_up_, number, channel.first_ns, channel.last_ns + 1); cursor.next();)
            for (std::size_t k = 0; k < cursor.at_ns().size(); ++k) pyramid.add(cursor.at_ns()[k], cursor.values()[k]);
        pyramid.end();
    }
}

void SampleWriter::finish(std::int64_t events) {
    builder_.end();
    Transaction transaction(db_);
    write_waiting();
    write_pyramids();
    Statement mark(db_, "INSERT INTO sample_sets (job, made_utc_ms, judge, events) VALUES (?, ?, ?, ?)");
    mark.bind(1, job_).bind(2, now_utc_ms()).bind(3, judge_version).bind(4, events).run();
    transaction.commit();
}

bool has_samples(Store& store, std::int64_t job) {
    Database& db = store.database();
    if (db.number("SELECT count(*) FROM sqlite_schema WHERE name = 'sample_sets'") == 0) return false;
    Statement find(db, "SELECT 1 FROM sample_sets WHERE job = ?");
    find.bind(1, job);
    return find.row();
}

namespace {

void derive(Store& store, Database& target, const JobRow& job, const SetUp& set_up) {
    need_formats(set_up, job.number);
    SampleWriter writer(target, job.number, set_up, job.origin);
    Judge judge(set_up);
    judge.set_reading_sink([&](const DecodedReading& reading) { writer.add(reading); });
    std::int64_t events = 0;
    for_each_event(store, job.number, [&](const Event& event) {
        judge.on(event);
        ++events;
        if (writer.wants_to_write()) writer.write();
        return true;
    });
    writer.finish(events);
}

}  // namespace

void make_samples(Store& store, const JobRow& job) {
    if (store.read_only()) throw Failure("can't keep samples: the store " + store.path() + " is opened for reading only");
    derive(store, store.database(), job, read_set_up(store, job.number));
}

namespace {

// Rows of one table for one job, in the order of their keys, without the time they were made.
struct JobTable {
    std::string_view name, columns, order;
};
constexpr JobTable compared[] = {
    {"sample_sets", "events", "1"},
    {"sample_channels", "channel, measures, value_in, divisor, sign, degree, c0, c1, c2, c3, c4, c5", "1"},
    {"sample_blocks",
     "channel, number, first_ns, last_ns, samples, low, high, unit, decimals, per_unit, factor, zero, carried, tick_ns, time_kind, "
     "time_base, time_slope, time_bits, digit_kind, digit_base, digit_slope, digit_bits, packed",
     "1, 2"},
    {"odd_readings", "channel, at_ns, printed, unit, why", "rowid"},
    {"pyramid_pages", "channel, level, page, first_ns, width_ns, base, step, packed", "1, 2, 3"}};

bool same_value(const Statement& one, const Statement& other, int column) {
    const char kind = one.kind(column);
    if (kind != other.kind(column)) return false;
    if (kind == 'i') return one.integer(column) == other.integer(column);
    if (kind == 'r') return one.real(column) == other.real(column);
    return kind == 'n' || one.blob(column) == other.blob(column);
}

bool same_rows(Database& stored, Database& made, std::int64_t job, const JobTable& table) {
    const std::string sql = "SELECT " + std::string(table.columns) + " FROM " + std::string(table.name) + " WHERE job = ? ORDER BY " +
                            std::string(table.order);
    Statement one(stored, sql), other(made, sql);
    one.bind(1, job), other.bind(1, job);
    while (true) {
        const bool more = one.row();
        if (more != other.row()) return false;
        if (!more) return true;
        for (int i = 0; i < one.columns(); ++i)
            if (!same_value(one, other, i)) return false;
    }
}

}  // namespace

std::string samples_differ(Store& store, const JobRow& job) {
    if (!has_samples(store, job.number)) return {};
    Database made = Database::in_memory();
    upgrade(made, schemas());
    derive(store, made, job, read_set_up(store, job.number));
    for (const JobTable& table : compared)
        if (!same_rows(store.database(), made, job.number, table))
            return std::string(table.name);
    return {};
}

SampleCursor::SampleCursor(Database& db, std::int64_t job, const SetUp& set_up, std::uint16_t channel, Instant from_ns, Instant to_ns)
    : job_(job), channel_(set_up.channels.at(channel)), number_(channel), from_ns_(from_ns), to_ns_(to_ns),
      read_(db, std::string(block_columns) + "WHERE job = ? AND channel = ? AND first_ns >= ? AND first_ns < ? ORDER BY first_ns, number") {
    read_.bind(1, job).bind(2, std::int64_t{channel}).bind(3, first_block_for(db, job, channel, from_ns)).bind(4, to_ns);
}

bool SampleCursor::next() {
    while (read_.row()) {
        const samples::Block block = block_from(read_, number_);
        if (block.last_ns < from_ns_) continue;
        if (!samples::decode(block, decoded_)) unreadable(job_, number_, "block " + std::to_string(read_.integer(0)));
        samples::Scale(channel_, block).all(decoded_.digits, values_);
        const auto before = [&](Instant at) {
            return static_cast<std::size_t>(std::lower_bound(decoded_.at_ns.begin(), decoded_.at_ns.end(), at) - decoded_.at_ns.begin());
        };
        first_ = block.first_ns < from_ns_ ? before(from_ns_) : 0;
        past_ = block.last_ns >= to_ns_ ? before(to_ns_) : decoded_.at_ns.size();
        if (first_ < past_) return true;
    }
    return false;
}

JobSamples::JobSamples(Store& store, const JobRow& job) : store_(store), job_(job.number), set_up_(read_set_up(store, job.number)) {
    if (has_samples(store, job_)) return;
    made_.emplace(Database::in_memory());
    upgrade(*made_, schemas());
    derive(store, *made_, job, set_up_);
}

JobSamples::Extent JobSamples::extent(std::uint16_t channel) {
    Statement find(db(),
                   "SELECT coalesce(sum(samples), 0), coalesce(min(first_ns), 0), coalesce(max(last_ns), 0) FROM sample_blocks WHERE "
                   "job = ? AND channel = ?");
    find.bind(1, job_).bind(2, std::int64_t{channel});
    if (!find.row()) return {};
    return {find.integer(0), find.integer(1), find.integer(2)};
}

std::optional<JobSamples::Span> JobSamples::span(std::uint16_t channel) {
    const auto at = [&](const char* sql) -> std::optional<Instant> {
        Statement find(db(), sql);
        find.bind(1, job_).bind(2, std::int64_t{channel});
        return find.row() ? std::optional(find.integer(0)) : std::nullopt;
    };
    const auto first = at("SELECT first_ns FROM sample_blocks WHERE job = ? AND channel = ? ORDER BY first_ns, number LIMIT 1");
    const auto last = at("SELECT last_ns FROM sample_blocks WHERE job = ? AND channel = ? ORDER BY first_ns DESC, number DESC LIMIT 1");
    if (!first || !last) return {};
    return Span{*first, *last};
}

void JobSamples::for_each(std::uint16_t channel, Instant from_ns, Instant to_ns, const Sink& sink) {
    if (channel >= set_up_.channels.size()) return;
    for (SampleCursor read = cursor(channel, from_ns, to_ns); read.next();) sink(read.at_ns(), read.values());
}

std::vector<samples::Column> JobSamples::draw(std::uint16_t channel, Instant from_ns, Instant to_ns, std::size_t columns) {
    samples::Columns drawn(from_ns, std::max(to_ns, from_ns + 1), std::max<std::size_t>(columns, 1));
    if (!draw_from_pyramid(channel, from_ns, to_ns, drawn))
        for_each(channel, from_ns, to_ns, [&](std::span<const std::int64_t> at_ns, std::span<const double> values) {
            for (std::size_t i = 0; i < at_ns.size(); ++i) drawn.add(at_ns[i], values[i], values[i]);
        });
    return drawn.all();
}

bool JobSamples::draw_from_pyramid(std::uint16_t channel, Instant from_ns, Instant to_ns, samples::Columns& columns) {
    const auto widest = static_cast<std::int64_t>(columns.column_ns() / static_cast<double>(buckets_a_column));
    std::int64_t level = -1, width_ns = 0, origin_ns = 0;
    {
        Statement find(db(),
                       "SELECT level, width_ns, first_ns - page * width_ns * ?4 FROM pyramid_pages WHERE job = ?1 AND channel = ?2 AND "
                       "level = ?3 LIMIT 1");
        find.bind(1, job_).bind(2, std::int64_t{channel}).bind(4, samples::buckets_a_page);
        for (std::int64_t tried = 0;; ++tried) {
            find.bind(3, tried);
            if (!find.row() || find.integer(1) > widest) break;
            level = tried;
            width_ns = find.integer(1);
            origin_ns = find.integer(2);
            find.reset();
        }
        find.reset();
    }
    if (level < 0) return false;
    const auto page_of = [&](Instant at) { return (at - origin_ns) / (width_ns * samples::buckets_a_page); };
    Statement read(db(),
                   "SELECT page, first_ns, width_ns, base, step, packed FROM pyramid_pages WHERE job = ? AND channel = ? AND level = ? "
                   "AND page BETWEEN ? AND ? ORDER BY page");
    read.bind(1, job_).bind(2, std::int64_t{channel}).bind(3, level).bind(4, page_of(from_ns)).bind(5, page_of(to_ns));
    while (read.row()) {
        const samples::PageView page{read.integer(1), read.integer(2), read.real(3), read.real(4), read.blob(5)};
        if (!page.whole()) unreadable(job_, channel, "page " + std::to_string(read.integer(0)) + " of the pyramid");
        page.for_each([&](Instant at_ns, double low, double high) { columns.add(std::max(at_ns, from_ns), low, high); }, from_ns, to_ns);
    }
    return true;
}

}  // namespace halfturn::record
