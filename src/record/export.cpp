#include "record/export.hpp"

#include <algorithm>
#include <limits>
#include <optional>
#include <span>

#include "core/json_writer.hpp"
#include "core/put_number.hpp"
#include "core/sha256.hpp"
#include "record/sample_store.hpp"

namespace halfturn::record {
namespace {

// Nanoseconds in a larger unit, exactly: no double in between.
std::string exact_text(Instant nanoseconds, Instant unit, int decimals) {
    const bool negative = nanoseconds < 0;
    std::uint64_t size = negative ? 0 - static_cast<std::uint64_t>(nanoseconds) : static_cast<std::uint64_t>(nanoseconds);
    std::string rest = std::to_string(size % static_cast<std::uint64_t>(unit));
    rest.insert(0, static_cast<std::size_t>(decimals) - rest.size(), '0');
    while (!rest.empty() && rest.back() == '0') rest.pop_back();
    return (negative ? "-" : "") + std::to_string(size / static_cast<std::uint64_t>(unit)) + (rest.empty() ? "" : "." + rest);
}

std::string_view act_word(Act act) {
    switch (act) {
        case Act::begin: return "begin";
        case Act::zero: return "zero";
        case Act::acknowledge: return "acknowledge";
        case Act::silence: return "silence";
        case Act::flat: return "flat";
        case Act::end: return "end";
        case Act::note: return "note";
        default: return "skipped";
    }
}

std::string_view port_word(PortState state) {
    return state == PortState::opened ? "opened" : state == PortState::lost ? "lost" : "closed";
}

std::string_view recording_word(Recording state) {
    return state == Recording::on ? "on" : state == Recording::late ? "late" : "stopped";
}

// Collects small pieces, so that the sink is not called for each.
class Gathered {
public:
    explicit Gathered(const TextSink& out) : out_(out) {}
    void add(std::string_view text) {
        text_ += text;
        if (text_.size() > 60000) flush();
    }
    void flush() {
        if (!text_.empty()) out_(text_);
        text_.clear();
    }

private:
    const TextSink& out_;
    std::string text_;
};

}  // namespace

std::string EventLog::port_name(std::uint16_t port) const {
    return port < ports_.size() ? ports_[port].name : std::to_string(port);
}

std::string EventLog::plain(std::uint16_t port, const std::string& bytes) {
    if (port >= ports_.size() || !ports_[port].marked) return bytes;
    int& seen = escapes_[port];
    std::string out;
    for (const char c : bytes) {
        if (seen == 0 && c == '\xFF') seen = 1;
        else if (seen == 1 && c == '\0') seen = 2;
        else {
            out += seen == 2 ? '\0' : c;  // FF FF is a real FF
            seen = 0;
        }
    }
    return out;
}

std::string EventLog::line(const Event& event) {
    JsonWriter json;
    json.object().key("t_ms").raw(exact_text(event.at, 1'000'000, 6));
    const auto with_text = [&](std::string_view key, const std::string& text) {
        if (!text.empty()) json.put(key, std::string_view(text));
    };
    if (const auto* arrived = std::get_if<BytesArrived>(&event.what)) {
        json.put("port", port_name(arrived->port)).put("hex", to_hex(plain(arrived->port, arrived->bytes)));
    } else if (const auto* sent = std::get_if<BytesSent>(&event.what)) {
        json.put("port", port_name(sent->port)).put("sent_hex", to_hex(sent->bytes));
    } else if (const auto* change = std::get_if<PortChanged>(&event.what)) {
        json.put("port", port_name(change->port)).put("state", port_word(change->state));
        with_text("detail", change->detail);
        if (change->port < escapes_.size()) escapes_[change->port] = 0;
    } else if (const auto* did = std::get_if<OperatorDid>(&event.what)) {
        json.put("operator", act_word(did->act));
        with_text("text", did->text);
    } else if (const auto* recorder = std::get_if<RecorderState>(&event.what)) {
        json.put("recorder", recording_word(recorder->state));
        with_text("detail", recorder->detail);
    } else if (const auto* slept = std::get_if<Suspended>(&event.what)) {
        json.key("suspended_ms").raw(exact_text(slept->asleep, 1'000'000, 6));
    } else if (const auto* counted = std::get_if<LineErrorsCounted>(&event.what)) {
        json.put("port", port_name(counted->port)).key("line_errors").object();
        for (const auto& [name, count] : line_error_counts(counted->more)) json.put(name, static_cast<std::int64_t>(count));
        json.end();
    } else return {};
    return json.end().take() + "\n";
}

void export_event_log(Store& store, const JobRow& job, const TextSink& out) {
    EventLog log(read_set_up(store, job.number));
    Gathered gathered(out);
    for_each_event(store, job.number, [&](const Event& event) {
        gathered.add(log.line(event));
        return true;
    });
    gathered.flush();
}

namespace {

// One column of the table: a channel, read along with the others.
class Column {
public:
    Column(JobSamples& samples, std::uint16_t channel, double divisor)
        : cursor_(samples.cursor(channel, std::numeric_limits<Instant>::min() / 2, std::numeric_limits<Instant>::max())),
          divisor_(divisor) {
        step_block();
    }
    bool over() const { return over_; }
    Instant at() const { return times_[next_]; }
    char* put(char* to) {
        to = put_number_text(to, divisor_ == 1 ? values_[next_] : values_[next_] / divisor_);
        if (++next_ == times_.size()) step_block();
        return to;
    }

private:
    void step_block() {
        over_ = !cursor_.next();
        next_ = 0;
        times_ = cursor_.at_ns();
        values_ = cursor_.values();
    }

    SampleCursor cursor_;
    const double divisor_;
    std::span<const std::int64_t> times_;
    std::span<const double> values_;
    std::size_t next_ = 0;
    bool over_ = false;
};

// To 10 ns: where a log gives two lines the same time, the judge keeps them apart by one.
char* put_seconds(char* to, Instant exactly) {
    const Instant at = exactly / 10;
    constexpr std::uint64_t a_second = nanoseconds_per_second / 10;
    if (at < 0) *to++ = '-';
    const auto size = static_cast<std::uint64_t>(at < 0 ? -at : at);
    return put_decimal_text(to, size / a_second, size % a_second, 8);
}

}  // namespace

void export_samples_csv(Store& store, const JobRow& job, const TextSink& out, bool units_row) {
    JobSamples samples(store, job);
    const SetUp& set_up = samples.set_up();
    const auto channel_of = [&](Measure measure) {
        std::optional<std::uint16_t> found;
        for (std::size_t i = 0; i < set_up.channels.size(); ++i)
            if (set_up.channels[i].measures == measure) found = static_cast<std::uint16_t>(i);
        return found;
    };
    std::vector<Column> columns;
    std::string header = "t_s", units = "s";
    const auto add = [&](std::optional<std::uint16_t> channel, const char* name, const char* unit, double divisor = 1) {
        if (!channel) return;
        columns.emplace_back(samples, *channel, divisor);
        header += std::string(",") + name;
        units += std::string(",") + unit;
    };
    const auto screw = channel_of(Measure::screw_travel);
    add(channel_of(Measure::force), "force_N", "N");
    // Turns come from the counter, else from the caliper on the screw: as the judge has them.
    if (const auto counter = channel_of(Measure::turns)) add(counter, "turns", "1");
    else if (set_up.pitch_mm > 0) add(screw, "turns", "1", set_up.pitch_mm);
    add(screw, "screw_travel_mm", "mm");
    add(channel_of(Measure::ring_travel), "ring_travel_mm", "mm");
    Gathered gathered(out);
    gathered.add(header + "\r\n" + (units_row ? units + "\r\n" : ""));
    std::vector<char> row(most_number_text + columns.size() * (most_number_text + 1) + 2);
    while (true) {
        Instant at = std::numeric_limits<Instant>::max();
        for (const Column& column : columns)
            if (!column.over()) at = std::min(at, column.at());
        if (at == std::numeric_limits<Instant>::max()) break;
        char* to = put_seconds(row.data(), at);
        for (Column& column : columns) {
            *to++ = ',';
            if (!column.over() && column.at() == at) to = column.put(to);
        }
        *to++ = '\r';
        *to++ = '\n';
        gathered.add({row.data(), to});
    }
    gathered.flush();
}

}  // namespace halfturn::record
