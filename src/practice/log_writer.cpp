#include "practice/log_writer.hpp"

#include <algorithm>
#include <cmath>

#include "core/json_writer.hpp"

namespace halfturn::practice {
namespace {

constexpr double zeroes_at_s = 1.8, begins_at_s = 2.2, hand_at_s = 2.5;
constexpr double looks_every_s = 0.005;

std::string hex(std::string_view bytes) {
    constexpr std::string_view digits = "0123456789abcdef";
    std::string text;
    text.reserve(2 * bytes.size());
    for (const char c : bytes) {
        const auto byte = static_cast<unsigned char>(c);
        text += digits[byte >> 4];
        text += digits[byte & 15];
    }
    return text;
}

class LogLines : public Listener {
public:
    explicit LogLines(const Bench& bench) : bench_(bench), open_(bench.stations().size(), false) {}

    void bytes(std::size_t port, const Batch& batch) override {
        begin(batch.t_s).put("port", bench_.stations()[port].name()).put("hex", hex(batch.bytes));
        end();
    }
    void state(std::size_t port, double t_s, PortState state) override {
        const char* name = state == PortState::opened ? "opened" : state == PortState::lost ? "lost" : "closed";
        open_[port] = state == PortState::opened;
        begin(t_s).put("port", bench_.stations()[port].name()).put("state", name);
        end();
    }
    bool is_open(std::size_t port) const { return open_[port]; }
    void sent(std::size_t port, double t_s, std::string_view bytes) {
        begin(t_s).put("port", bench_.stations()[port].name()).put("sent_hex", hex(bytes));
        end();
    }
    void operator_did(double t_s, const char* act) {
        begin(t_s).put("operator", act);
        end();
    }
    // Lines in the order of time; ports are heard one after the other, so their times may cross by a fraction of a tick.
    std::string take() {
        std::stable_sort(lines_.begin(), lines_.end(), [](const Line& a, const Line& b) { return a.t_s < b.t_s; });
        std::string text;
        for (const auto& line : lines_) text += line.text;
        return text;
    }

private:
    struct Line { double t_s; std::string text; };

    JsonWriter& begin(double t_s) {
        lines_.push_back({t_s, {}});
        return json_.object().put("t_ms", std::round(t_s * 1e6) / 1e3);
    }
    void end() { lines_.back().text = json_.end().take() + "\n"; }

    const Bench& bench_;
    std::vector<bool> open_;
    JsonWriter json_;
    std::vector<Line> lines_;
};

}  // namespace

std::string run_to_log(Bench& bench, const LogWish& wish) {
    LogLines lines(bench);
    const std::size_t ports = bench.stations().size();
    std::vector<double> ask_next_s(ports, 0.01);
    for (std::size_t i = 0; i < ports; ++i) {
        bench.open(i);
        lines.state(i, 0, PortState::opened);
    }
    bool zeroed = false, begun = false, told = false;
    std::size_t next_word = 0;
    while (!bench.done() && bench.t_s() < wish.longest_s) {
        bench.advance(bench.t_s() + looks_every_s, lines);
        const double t_s = bench.t_s();
        if (!zeroed && t_s >= zeroes_at_s) lines.operator_did(t_s, "zero"), zeroed = true;
        if (!begun && t_s >= begins_at_s) lines.operator_did(t_s, "begin"), begun = true;
        if (!told && t_s >= hand_at_s) bench.go(), told = true;
        for (; next_word < wish.words.size() && wish.words[next_word].first <= t_s; ++next_word)
            bench.hear(wish.words[next_word].second);
        for (std::size_t i = 0; i < ports; ++i) {
            const auto every_s = bench.stations()[i].asked_every_s();
            if (!every_s || t_s < ask_next_s[i]) continue;
            ask_next_s[i] += *every_s;
            if (!lines.is_open(i)) continue;
            lines.sent(i, t_s, bench.stations()[i].ask());
            bench.receive(i, bench.stations()[i].ask());
        }
    }
    lines.operator_did(bench.t_s(), "end");
    for (std::size_t i = 0; i < ports; ++i) lines.state(i, bench.t_s(), PortState::closed);
    return lines.take();
}

}  // namespace halfturn::practice
