// The compact samples of a job in the store: written beside the recording, made again from the events at any time, read back
// whole or as a screen needs them. Nothing here is the record: losing all of it loses nothing.
//   JobSamples samples(store, job);
//   samples.draw(0, from_ns, to_ns, 1200);
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "record/reader.hpp"
#include "samples/block.hpp"
#include "samples/columns.hpp"
#include "samples/pyramid.hpp"
#include "watch/decoded_reading.hpp"

namespace halfturn::record {

// Gathers a job's decoded readings and writes their blocks a few hundred kilobytes at a time, each time in a transaction of
// its own. Belongs to one thread.
class SampleWriter {
public:
    // Throws away what an earlier attempt left for this job.
    SampleWriter(Database& db, std::int64_t job, const SetUp& set_up, Origin origin);

    void add(const DecodedReading& reading) { builder_.add(reading); }
    bool wants_to_write() const { return waiting_bytes_ >= write_at_; }
    void write();   // throws SqlError
    // Writes what is left, the pyramids, and the mark that the samples are whole. `events`: how many the job has.
    void finish(std::int64_t events);

private:
    static constexpr std::size_t write_at_ = std::size_t{256} << 10;
    struct Channel { std::int64_t samples = 0, first_ns = 0, last_ns = 0; };
    void write_waiting();
    void write_pyramids();

    Database& db_;
    const std::int64_t job_;
    const SetUp set_up_;
    std::vector<samples::Block> blocks_;
    std::vector<samples::OddReading> odd_;
    std::vector<Channel> channels_;
    std::vector<std::int64_t> numbers_;  // of each channel's last block
    std::size_t waiting_bytes_ = 0;
    bool began_ = false;
    samples::BlockBuilder builder_;
};

// Are the job's samples whole? False for a job that runs, was cut off, or was recorded by an older program.
bool has_samples(Store& store, std::int64_t job);

// Makes the samples anew from the stored events. Throws Failure when those can't be read or the store can't be written to,
// BadInput when the set-up names a format this program does not have.
void make_samples(Store& store, const JobRow& job);

// Makes the samples anew in memory and names a table in which the stored ones differ; empty when none does, or none are stored.
// Throws as make_samples does.
std::string samples_differ(Store& store, const JobRow& job);

// Goes through a channel's samples from from_ns on and before to_ns, a block at a time, in order.
class SampleCursor {
public:
    // `set_up` must live as long as this.
    SampleCursor(Database& db, std::int64_t job, const SetUp& set_up, std::uint16_t channel, Instant from_ns, Instant to_ns);
    bool next();  // false after the last. Throws Failure naming the block that can't be read
    std::span<const std::int64_t> at_ns() const { return std::span(decoded_.at_ns).subspan(first_, past_ - first_); }
    // As the judge used them: N, mm or turns.
    std::span<const double> values() const { return std::span(values_).subspan(first_, past_ - first_); }

private:
    const std::int64_t job_;
    const ChannelSetUp& channel_;
    const std::uint16_t number_;
    const Instant from_ns_, to_ns_;
    Statement read_;
    samples::Decoded decoded_;
    std::vector<double> values_;
    std::size_t first_ = 0, past_ = 0;
};

// A job's samples to read: those of the store, or where it has none, made in memory from its events.
class JobSamples {
public:
    JobSamples(Store& store, const JobRow& job);  // throws as make_samples does

    const SetUp& set_up() const { return set_up_; }

    struct Extent {
        std::int64_t samples = 0;
        Instant first_ns = 0, last_ns = 0;
    };
    Extent extent(std::uint16_t channel);
    // From the first sample to the last, at once however many there are; nothing for a channel without any.
    struct Span {
        Instant first_ns = 0, last_ns = 0;
    };
    std::optional<Span> span(std::uint16_t channel);

    // `channel` must be one of the set-up's.
    SampleCursor cursor(std::uint16_t channel, Instant from_ns, Instant to_ns) { return {db(), job_, set_up_, channel, from_ns, to_ns}; }
    using Sink = std::function<void(std::span<const std::int64_t> at_ns, std::span<const double> values)>;
    void for_each(std::uint16_t channel, Instant from_ns, Instant to_ns, const Sink& sink);

    // The stretch from_ns … to_ns as `columns` columns. Where a pyramid's buckets are at most an eighth of a column wide they
    // are used, else the samples themselves; so nothing is drawn farther than an eighth of a column from its place.
    std::vector<samples::Column> draw(std::uint16_t channel, Instant from_ns, Instant to_ns, std::size_t columns);

private:
    Database& db() { return made_ ? *made_ : store_.database(); }
    bool draw_from_pyramid(std::uint16_t channel, Instant from_ns, Instant to_ns, samples::Columns& columns);

    Store& store_;
    const std::int64_t job_;
    const SetUp set_up_;
    std::optional<Database> made_;
};

}  // namespace halfturn::record
