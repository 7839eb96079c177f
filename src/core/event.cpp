#include "core/event.hpp"

#include "core/little_endian.hpp"

namespace halfturn {
namespace {

constexpr std::uint32_t line_errors_bytes = 20;

struct Parts {
    std::uint16_t port = 0;
    std::uint8_t code = 0;
    std::string_view payload;
};

template <class... Overloads>
struct Overloaded : Overloads... { using Overloads::operator()...; };
template <class... Overloads>
Overloaded(Overloads...) -> Overloaded<Overloads...>;

}  // namespace

void append_event_bytes(const Event& event, std::string& out) {
    std::string numbers;
    const Parts parts = std::visit(
        Overloaded{
            [](const BytesArrived& e) { return Parts{e.port, 0, e.bytes}; },
            [](const BytesSent& e) { return Parts{e.port, 0, e.bytes}; },
            [](const PortChanged& e) { return Parts{e.port, static_cast<std::uint8_t>(e.state), e.detail}; },
            [](const OperatorDid& e) { return Parts{0, static_cast<std::uint8_t>(e.act), e.text}; },
            [](const RecorderState& e) { return Parts{0, static_cast<std::uint8_t>(e.state), e.detail}; },
            [&](const Suspended& e) {
                append_little_endian(numbers, static_cast<std::uint64_t>(e.asleep));
                return Parts{0, 0, numbers};
            },
            [](const Tick&) { return Parts{}; },
            [&](const LineErrorsCounted& e) {
                for (const std::uint32_t count : {e.more.framing, e.more.parity, e.more.overrun, e.more.buffer_overrun, e.more.breaks})
                    append_little_endian(numbers, count);
                return Parts{e.port, 0, numbers};
            },
        },
        event.what);
    std::array<char, event_header_bytes> head;
    put_little_endian(&head[0], event.seq);
    put_little_endian(&head[8], static_cast<std::uint64_t>(event.at));
    put_little_endian(&head[16], static_cast<std::uint8_t>(event.what.index()));
    put_little_endian(&head[17], parts.port);
    put_little_endian(&head[19], parts.code);
    put_little_endian(&head[20], static_cast<std::uint32_t>(parts.payload.size()));
    out.append(head.data(), head.size());
    out += parts.payload;
}

bool take_event(std::string_view& bytes, Event& event) {
    if (bytes.size() < event_header_bytes) return false;
    const auto kind = read_little_endian<std::uint8_t>(bytes, 16);
    const auto port = read_little_endian<std::uint16_t>(bytes, 17);
    const auto code = read_little_endian<std::uint8_t>(bytes, 19);
    const auto length = read_little_endian<std::uint32_t>(bytes, 20);
    if (bytes.size() - event_header_bytes < length) return false;
    const std::string payload(bytes.substr(event_header_bytes, length));
    What what;
    switch (kind) {
        case 0: what = BytesArrived{port, payload}; break;
        case 1: what = BytesSent{port, payload}; break;
        case 2:
            if (code > static_cast<std::uint8_t>(PortState::closed)) return false;
            what = PortChanged{port, static_cast<PortState>(code), payload};
            break;
        case 3:
            if (code > static_cast<std::uint8_t>(Act::skipped)) return false;
            what = OperatorDid{static_cast<Act>(code), payload};
            break;
        case 4:
            if (code > static_cast<std::uint8_t>(Recording::stopped)) return false;
            what = RecorderState{static_cast<Recording>(code), payload};
            break;
        case 5:
            if (length != 8) return false;
            what = Suspended{static_cast<Instant>(read_little_endian<std::uint64_t>(payload, 0))};
            break;
        case 6: what = Tick{}; break;
        case 7: {
            if (length != line_errors_bytes) return false;
            const auto count = [&](std::size_t i) { return read_little_endian<std::uint32_t>(payload, 4 * i); };
            what = LineErrorsCounted{port, {count(0), count(1), count(2), count(3), count(4)}};
            break;
        }
        default: return false;
    }
    event.seq = read_little_endian<std::uint64_t>(bytes, 0);
    event.at = static_cast<Instant>(read_little_endian<std::uint64_t>(bytes, 8));
    event.what = std::move(what);
    bytes.remove_prefix(event_header_bytes + length);
    return true;
}

std::array<std::pair<std::string_view, std::uint32_t>, 5> line_error_counts(const LineErrors& errors) {
    return {{{"framing", errors.framing},
             {"parity", errors.parity},
             {"overrun", errors.overrun},
             {"buffer_overrun", errors.buffer_overrun},
             {"breaks", errors.breaks}}};
}

std::string line_errors_text(const LineErrors& errors) {
    static constexpr std::array<const char*, 5> names = {"framing error", "parity error", "overrun", "buffer overrun", "break"};
    const auto counts = line_error_counts(errors);
    std::string text;
    for (std::size_t i = 0; i < counts.size(); ++i)
        if (const std::uint32_t count = counts[i].second; count > 0)
            text += (text.empty() ? "" : ", ") + std::to_string(count) + " " + names[i] + (count == 1 ? "" : "s");
    return text;
}

}  // namespace halfturn
