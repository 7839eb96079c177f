#include "ports/log_port.hpp"

#include <boost/json.hpp>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"
#include "core/sha256.hpp"
#include "ports/log_events.hpp"

namespace halfturn {
namespace {

namespace json = boost::json;

constexpr double longest_sleep_s = 10 * 365 * 24 * 3600.0;

struct Where {
    const std::string& file;
    std::size_t line;
    [[nodiscard]] BadInput error(const std::string& what) const {
        return BadInput(file + ":" + std::to_string(line) + ": " + what);
    }
};

Instant time_of(const json::object& row, const Where& where, Instant newest) {
    const json::value* t = row.if_contains("t_ms");
    if (!t || !t->is_number()) throw where.error("t_ms is missing or no number; each line needs the milliseconds since the log began");
    const double ms = t->to_number<double>();
    if (!(ms >= 0 && ms <= longest_log_s * 1000)) throw where.error("t_ms must be from 0 to a week's milliseconds");
    const Instant at = from_seconds(ms / 1000);
    if (at < newest) throw where.error("t_ms goes back in time; lines must stand in the order things happened");
    return at;
}

std::uint16_t port_of(const json::object& row, const SetUp& set_up, const Where& where) {
    const json::value* port = row.if_contains("port");
    if (!port || !port->is_string()) throw where.error("port is missing; it must be the name of a [[port]] in the rig file");
    const std::string name(port->as_string());
    std::vector<std::string> names;
    for (std::size_t i = 0; i < set_up.ports.size(); ++i) {
        if (set_up.ports[i].name == name) return static_cast<std::uint16_t>(i);
        names.push_back(set_up.ports[i].name);
    }
    const std::string near = nearest_word(name, names);
    std::string known;
    for (const auto& n : names) known += (known.empty() ? "" : ", ") + n;
    throw where.error("port \"" + name + "\" is no [[port]] of the rig file" +
                      (!near.empty() ? "; did you mean \"" + near + "\"?" : known.empty() ? " (it has none)" : "; it has " + known));
}

std::string bytes_of(const json::value& hex, std::string_view key, const Where& where) {
    std::string bytes;
    if (!hex.is_string() || !from_hex(std::string(hex.as_string()), bytes))
        throw where.error(std::string(key) + " must be an even number of hex digits");
    return bytes;
}

// A word that goes with the event, for people: "text" or "detail"; may be missing.
std::string text_of(const json::object& row, std::string_view key, const Where& where) {
    const json::value* text = row.if_contains(key);
    if (!text) return {};
    if (!text->is_string()) throw where.error(std::string(key) + " must be a text");
    return std::string(text->as_string());
}

LineErrors line_errors_of(const json::value& row, const Where& where) {
    const auto count = [&](const char* name) -> std::uint32_t {
        const json::value* value = row.is_object() ? row.as_object().if_contains(name) : nullptr;
        boost::system::error_code error;
        const auto whole = value && value->is_number() ? value->to_number<std::uint32_t>(error) : 0;
        if (!value || !value->is_number() || error)
            throw where.error(
                "line_errors must be an object with the counts framing, parity, overrun, buffer_overrun and breaks");
        return whole;
    };
    return {count("framing"), count("parity"), count("overrun"), count("buffer_overrun"), count("breaks")};
}

What what_of(const json::object& row, const SetUp& set_up, const Where& where) {
    if (const auto* act = row.if_contains("operator")) {
        static constexpr std::pair<std::string_view, Act> acts[] = {
            {"begin", Act::begin}, {"zero", Act::zero}, {"acknowledge", Act::acknowledge}, {"end", Act::end},
            {"flat", Act::flat}, {"silence", Act::silence}, {"note", Act::note}, {"skipped", Act::skipped}};
        for (const auto& [name, known] : acts)
            if (act->is_string() && act->as_string() == name) return OperatorDid{known, text_of(row, "text", where)};
        throw where.error("operator must be begin, zero, acknowledge, flat, silence, note, skipped or end");
    }
    // What an exported job has besides, since it may weigh in the verdict.
    if (const auto* state = row.if_contains("recorder")) {
        static constexpr std::pair<std::string_view, Recording> states[] = {
            {"on", Recording::on}, {"late", Recording::late}, {"stopped", Recording::stopped}};
        for (const auto& [name, known] : states)
            if (state->is_string() && state->as_string() == name) return RecorderState{known, text_of(row, "detail", where)};
        throw where.error("recorder must be on, late or stopped");
    }
    if (const auto* slept = row.if_contains("suspended_ms")) {
        const double ms = slept->is_number() ? slept->to_number<double>() : -1;
        if (!(ms >= 0 && ms <= longest_sleep_s * 1000))
            throw where.error("suspended_ms must be a number of milliseconds, at most ten years");
        return Suspended{from_seconds(ms / 1000)};
    }
    if (const auto* errors = row.if_contains("line_errors"))
        return LineErrorsCounted{port_of(row, set_up, where), line_errors_of(*errors, where)};
    if (const auto* hex = row.if_contains("hex")) return BytesArrived{port_of(row, set_up, where), bytes_of(*hex, "hex", where)};
    if (const auto* hex = row.if_contains("sent_hex")) return BytesSent{port_of(row, set_up, where), bytes_of(*hex, "sent_hex", where)};
    if (const auto* state = row.if_contains("state")) {
        const std::uint16_t port = port_of(row, set_up, where);
        const std::string name = state->is_string() ? std::string(state->as_string()) : "";
        const std::string detail = text_of(row, "detail", where);
        if (name == "opened") return PortChanged{port, PortState::opened, detail};
        if (name == "lost") return PortChanged{port, PortState::lost, detail};
        if (name == "closed") return PortChanged{port, PortState::closed, detail};
        throw where.error("state must be opened, lost or closed");
    }
    throw where.error("none of hex, sent_hex, state or operator is there; one of them must say what happened");
}

}  // namespace

std::vector<Event> events_from_json_lines(const std::string& text, const SetUp& set_up, const std::string& name_for_errors) {
    struct Row { Instant at; What what; };
    std::vector<Row> rows;
    bool begins = false, ends = false;
    std::size_t start = 0, line = 0;
    Instant newest = 0;
    while (start < text.size()) {
        std::size_t end = text.find('\n', start);
        if (end == std::string::npos) end = text.size();
        std::string_view one(text.data() + start, end - start);
        start = end + 1;
        ++line;
        if (!one.empty() && one.back() == '\r') one.remove_suffix(1);
        if (one.find_first_not_of(" \t") == std::string_view::npos) continue;
        const Where where{name_for_errors, line};
        boost::system::error_code error;
        const json::value value = json::parse(one, error);
        if (error) throw where.error("not valid JSON (" + error.message() + "); each line must be one JSON object");
        if (!value.is_object()) throw where.error("must be a JSON object such as {\"t_ms\":12.5,\"port\":\"force\",\"hex\":\"53\"}");
        newest = time_of(value.as_object(), where, newest);
        rows.push_back({newest, what_of(value.as_object(), set_up, where)});
        if (const auto* did = std::get_if<OperatorDid>(&rows.back().what)) {
            begins |= did->act == Act::begin;
            ends |= did->act == Act::end;
        }
    }
    if (rows.empty()) throw BadInput(name_for_errors + ": holds no events; each line must be one JSON object");
    std::vector<Event> all;
    const EventSink keep = [&](const Event& event) { all.push_back(event); };
    LogEvents events(keep);
    if (!begins) events.add(0, OperatorDid{Act::begin, {}});
    for (const Row& row : rows) events.add(row.at, row.what);
    if (!ends) events.add(newest, OperatorDid{Act::end, {}});
    return all;
}

}  // namespace halfturn
