#include "record/export.hpp"

#include <algorithm>

#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "core/sha256.hpp"
#include "record/rejudge.hpp"

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

void export_samples_csv(Store& store, const JobRow& job, const TextSink& out) {
    const SetUp set_up = read_set_up(store, job.number);
    const auto has = [&](Measure measure) {
        return std::any_of(set_up.channels.begin(), set_up.channels.end(),
                           [&](const ChannelSetUp& channel) { return channel.measures == measure; });
    };
    const bool force = has(Measure::force), screw = has(Measure::screw_travel), ring = has(Measure::ring_travel);
    const bool turns = has(Measure::turns) || (screw && set_up.pitch_mm > 0);
    Gathered gathered(out);
    gathered.add(std::string("t_s") + (force ? ",force_N" : "") + (turns ? ",turns" : "") + (screw ? ",screw_travel_mm" : "") +
                 (ring ? ",ring_travel_mm" : "") + "\r\n");
    judge_again(store, job, [&](const Sample& sample) {
        std::string row = exact_text(sample.at, nanoseconds_per_second, 9);
        const auto cell = [&](bool column, bool fresh, double value) {
            if (!column) return;
            row += ',';
            if (fresh) row += number_text(value);
        };
        cell(force, sample.force_known && sample.force_fresh, sample.force_N);
        cell(turns, sample.screw_known && sample.screw_fresh, sample.turns);
        cell(screw, sample.screw_mm_known && sample.screw_mm_fresh, sample.screw_mm);
        cell(ring, sample.ring_known && sample.ring_fresh, sample.ring_mm);
        gathered.add(row + "\r\n");
    });
    gathered.flush();
}

}  // namespace halfturn::record
