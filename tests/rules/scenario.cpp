#include "rules/scenario.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <fstream>
#include <map>
#include <optional>
#include <random>
#include <stdexcept>
#include <utility>

#include "core/number_text.hpp"
#include "ports/log_events.hpp"
#include "ports/log_port.hpp"

namespace halfturn::test {
namespace {

struct Wire { std::string port; double rate; };
struct Happening { double t_s; std::vector<std::string> words; };

std::vector<std::string> words_of(const std::string& text) {
    std::vector<std::string> words;
    std::string word;
    for (const char c : text + " ") {
        if (c != ' ' && c != '\t' && c != '\r') word += c;
        else if (!word.empty()) words.push_back(std::exchange(word, ""));
    }
    return words;
}

class Reader {
public:
    explicit Reader(const std::string& path) {
        out_.file = path;
        SetUp& s = out_.set_up;
        s.pitch_mm = 1.25;
        s.stiffness_N_per_mm = {16000, 20000, 24000};
        s.stiffness_measured = true;
        s.force_limit_N = 5000;
        s.break_loose_N = {430, 970, 2600};
        s.seat_length_mm = 7;
        s.fastest_turns_per_s = 0.5;
        s.grip_fall = {{0, 1}, {5.6, 0.34}, {7, 0}};
        std::ifstream in(path);
        if (!in) throw std::runtime_error(path + ": can't be opened");
        for (std::string line; std::getline(in, line);) {
            ++line_;
            const std::string text = line.substr(0, line.find('#'));
            const auto words = words_of(text);
            if (words.empty()) continue;
            if (words[0] == "@") happening(words);
            else if (const auto equals = text.find('='); equals != std::string::npos)
                key(words_of(text.substr(0, equals)), words_of(text.substr(equals + 1)));
            else point(words);
        }
    }

    Scenario scenario() {
        if (points_.size() < 2) fail("needs at least two points of the curve");
        if (log_rate_ > 0) as_csv();
        else as_wires();
        return std::move(out_);
    }

private:
    [[noreturn]] void fail(const std::string& what) const {
        throw std::runtime_error(out_.file + ":" + std::to_string(line_) + ": " + what);
    }
    double number(const std::string& word) const {
        const auto value = parse_number(word);
        if (!value) fail("\"" + word + "\" is no number");
        return *value;
    }

    void key(const std::vector<std::string>& names, const std::vector<std::string>& values) {
        if (names.size() != 1) fail("one name before =");
        const std::string& name = names[0];
        if (name == "fires") {
            for (const auto& word : values) {
                const auto less = word.find('<');
                out_.expected.fires.push_back({word.substr(0, less), less == std::string::npos ? 1e9 : number(word.substr(less + 1))});
            }
            return;
        }
        if (values.empty()) fail(name + " has no value");
        SetUp& s = out_.set_up;
        const auto band = [&](Band& b) {
            if (values.size() != 3) fail(name + " needs low, mid and high");
            b = {number(values[0]), number(values[1]), number(values[2])};
        };
        if (name == "work") s.work = values[0] == "in" ? Work::in : Work::out;
        else if (name == "pitch_mm") s.pitch_mm = number(values[0]);
        else if (name == "stiffness_N_per_mm") {
            band(s.stiffness_N_per_mm);
            s.stiffness_measured = s.stiffness_N_per_mm.mid > 0;
        }
        else if (name == "band_N") band(s.break_loose_N);
        else if (name == "limit_N") s.force_limit_N = number(values[0]);
        else if (name == "fastest_turns_per_s") s.fastest_turns_per_s = number(values[0]);
        else if (name == "seat_mm") s.seat_length_mm = number(values[0]);
        else if (name == "log") log_rate_ = number(values[0]);
        else if (name == "wire" && values.size() == 2) wires_.push_back({values[0], number(values[1])});
        else if (name == "noise_N") noise_N_ = number(values[0]);
        else if (name == "call") out_.expected.call = values[0];
        else if (name == "phase") out_.expected.phase = values[0];
        else if (name == "release_N" && values[0] == "none") out_.expected.no_release = true;
        else if (name == "release_N" && values.size() == 2) {
            out_.expected.releases = true;
            out_.expected.release_low_N = number(values[0]);
            out_.expected.release_high_N = number(values[1]);
        } else if (name == "columns") columns_ = values;
        else fail("no such key: " + name);
    }

    void happening(const std::vector<std::string>& words) {
        if (words.size() < 3) fail("@ time what");
        happenings_.push_back({number(words[1]), {words.begin() + 2, words.end()}});
    }

    void point(const std::vector<std::string>& words) {
        if (columns_.empty() || words.size() != columns_.size()) fail("a point needs the values of all columns");
        std::vector<double> point;
        for (const auto& word : words) point.push_back(number(word));
        if (!points_.empty() && point[0] < points_.back()[0]) fail("time goes back");
        points_.push_back(std::move(point));
    }

    std::optional<std::size_t> column(const std::string& name) const {
        const auto found = std::find(columns_.begin(), columns_.end(), name);
        if (found == columns_.end()) return {};
        return static_cast<std::size_t>(found - columns_.begin());
    }

    double value_at(std::size_t column, double t_s) const {
        for (std::size_t i = 1; i < points_.size(); ++i) {
            const auto &a = points_[i - 1], &b = points_[i];
            if (t_s > b[0]) continue;
            const double span = b[0] - a[0];
            return span > 0 ? a[column] + (b[column] - a[column]) * (t_s - a[0]) / span : b[column];
        }
        return points_.back()[column];
    }

    double noisy(const std::string& name, double value) { return name == "force_N" ? value + noise_N_ * noise_(random_) : value; }

    void as_csv() {
        std::string text;
        for (const auto& name : columns_) text += (text.empty() ? "" : ",") + name;
        text += "\n";
        const double end = points_.back()[0];
        for (int row = 0; row / log_rate_ <= end + 1e-9; ++row) {
            const double t_s = row / log_rate_;
            text += number_text(std::round(t_s * 1e6) / 1e6);
            for (std::size_t i = 1; i < columns_.size(); ++i) {
                double value = noisy(columns_[i], value_at(i, t_s));
                bool quiet = false;
                for (const Happening& h : happenings_) {
                    const auto& w = h.words;
                    if (w.size() < 3 || w[1] != columns_[i] || t_s < h.t_s) continue;
                    if (w[0] == "quiet") quiet = quiet || t_s < h.t_s + number(w[2]);
                    if (w[0] == "offset") value += number(w[2]);
                    if (w[0] == "spike" && t_s < h.t_s + 1 / log_rate_ - 1e-9) value = number(w[2]);
                }
                text += "," + (quiet ? std::string() : number_text(std::round(value * 1e4) / 1e4));
            }
            text += "\n";
        }
        CsvLog log = read_csv_log(text, out_.file);
        out_.set_up.ports = {log.port};
        out_.set_up.channels = log.channels;
        out_.events = log.events();
    }

    void add_wire(const Wire& wire) {
        SetUp& s = out_.set_up;
        PortSetUp port;
        ChannelSetUp channel;
        port.name = wire.port;
        port.start = Start::boundary;
        port.silence_s = 1;
        channel.port = static_cast<std::uint16_t>(s.ports.size());
        channel.readings_per_s = wire.rate;
        if (wire.port == "force") {
            port.format = "hdr-comma";
            channel.measures = Measure::force;
            channel.unit = Unit::N;
        } else if (wire.port == "counter") {
            port.format = "axis-semi";
            channel.measures = Measure::turns;
            channel.counts_per_turn = 1200;
            channel.index = "X";
        } else if (wire.port == "caliper" || wire.port == "ring") {
            port.format = "value-unit";
            channel.measures = wire.port == "ring" ? Measure::ring_travel : Measure::screw_travel;
            channel.unit = Unit::mm;
            channel.least_count = 0.01;
        } else {
            fail("no such wire: " + wire.port);
        }
        s.ports.push_back(port);
        s.channels.push_back(channel);
    }

    std::string printed(const Wire& wire, double t_s) {
        const auto find = [&](const char* name) {
            const auto found = column(name);
            if (!found) fail("wire " + wire.port + " needs the column " + name);
            return value_at(*found, t_s);
        };
        double value = 0;
        if (wire.port == "force") value = noisy("force_N", find("force_N"));
        if (wire.port == "counter") value = find("turns");
        if (wire.port == "caliper") value = column("screw_travel_mm") ? find("screw_travel_mm") : find("turns") * out_.set_up.pitch_mm;
        if (wire.port == "ring") value = find("ring_travel_mm");
        std::string unit = "mm";
        for (const Happening& h : happenings_) {
            const auto& w = h.words;
            if (w.size() < 3 || w[1] != wire.port || t_s < h.t_s) continue;
            const bool now = t_s < h.t_s + 1 / wire.rate - 1e-9;
            if (w[0] == "quiet" && t_s < h.t_s + number(w[2])) return {};
            if (w[0] == "offset") value += number(w[2]);
            if (w[0] == "spike" && now) value = number(w[2]);
            if (w[0] == "unit") unit = w[2];
            if (w[0] == "say" && now) return fmt::format("{}\r\n", fmt::join(w.begin() + 2, w.end(), " "));
        }
        if (wire.port == "force") return fmt::format("ST,GS,{:+08.1f} N\r\n", value);
        if (wire.port == "counter") return fmt::format("X{};", std::floor(value * 1200 + 1e-9));
        return unit == "in" ? fmt::format("{:.4f} in\r\n", value / 25.4) : fmt::format("{:.2f} mm\r\n", value);
    }

    void as_wires() {
        struct Due { double t_s; What what; };
        std::vector<Due> due;
        for (const Wire& wire : wires_) add_wire(wire);
        bool begins = false;
        for (const Happening& h : happenings_) {
            const std::string& what = h.words[0];
            static const std::map<std::string, Act> acts = {{"zero", Act::zero}, {"begin", Act::begin}, {"acknowledge", Act::acknowledge},
                                                            {"flat", Act::flat}, {"end", Act::end}};
            begins = begins || what == "begin";
            if (const auto act = acts.find(what); act != acts.end()) due.push_back({h.t_s, OperatorDid{act->second, {}}});
            else if (what == "recorder-stopped") due.push_back({h.t_s, RecorderState{Recording::stopped, "the disk is full"}});
            else if (what == "lost" || what == "opened")
                due.push_back({h.t_s, PortChanged{port_of(h.words.at(1)), what == "lost" ? PortState::lost : PortState::opened, {}}});
            else if (what != "quiet" && what != "unit" && what != "offset" && what != "spike" && what != "say")
                fail("no such happening: " + what);
        }
        const double end = points_.back()[0];
        for (const Wire& wire : wires_)
            for (int i = 0; (i + 0.37) / wire.rate <= end; ++i) {
                const double t_s = (i + 0.37) / wire.rate;
                std::string bytes = printed(wire, t_s);
                if (!bytes.empty()) due.push_back({t_s, BytesArrived{port_of(wire.port), std::move(bytes)}});
            }
        std::stable_sort(due.begin(), due.end(), [](const Due& a, const Due& b) { return a.t_s < b.t_s; });
        const EventSink keep = [this](const Event& event) { out_.events.push_back(event); };
        LogEvents events(keep);
        if (!begins) events.add(0, OperatorDid{Act::begin, {}});
        for (const Due& d : due) events.add(from_seconds(d.t_s), d.what);
        events.add(from_seconds(end), OperatorDid{Act::end, {}});
    }

    std::uint16_t port_of(const std::string& name) const {
        for (std::size_t i = 0; i < wires_.size(); ++i)
            if (wires_[i].port == name) return static_cast<std::uint16_t>(i);
        fail("no such wire: " + name);
    }

    Scenario out_;
    std::size_t line_ = 0;
    double log_rate_ = 0, noise_N_ = 0;
    std::vector<Wire> wires_;
    std::vector<std::string> columns_;
    std::vector<std::vector<double>> points_;
    std::vector<Happening> happenings_;
    std::mt19937 random_{7};
    std::normal_distribution<double> noise_;
};

}  // namespace

Scenario read_scenario(const std::string& path) { return Reader(path).scenario(); }

}  // namespace halfturn::test
