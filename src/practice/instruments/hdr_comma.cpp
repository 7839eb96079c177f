// hdr-comma: "ST,GS,+00812.5 N" CRLF: header (ST stable, US unstable, OL out of range), GS for gross, sign and seven
// figures with the point, the unit in two characters. Q, RW and READ ask for a value, Z sets to zero, "?" is its answer to
// what it does not know.
#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <utility>

#include "core/number_text.hpp"
#include "practice/instruments/instrument.hpp"
#include "practice/instruments/rounding.hpp"

namespace halfturn::practice {
namespace {

struct Display {
    std::string_view name, printed;
    double newtons;
    double usual_resolution;
};
constexpr std::array<Display, 4> displays = {{
    {"N", " N", 1, 0.5}, {"kN", "kN", 1000, 0.001}, {"kg", "kg", 9.80665, 0.05}, {"lb", "lb", 4.4482216152605, 0.1}}};
constexpr double stable_within_s = 0.4;

class HdrComma : public Instrument {
public:
    explicit HdrComma(OptionReader& options) {
        const std::string unit = options.choice("unit", "N", {"N", "kN", "kg", "lb"});
        display_ = *std::find_if(displays.begin(), displays.end(), [&](const Display& d) { return d.name == unit; });
        resolution_ = options.number("resolution", display_.usual_resolution, 0.0001, 100);
        capacity_N_ = options.number("capacity_N", 5000, 10, 1e6);
        gain_ = options.number("gain", 0.005, 1e-6, 100);
        comma_ = options.choice("decimal", "point", {"point", "comma"}) == "comma";
        streams_ = options.choice("mode", "stream", {"poll", "stream"}) == "stream";
    }

    std::string print(const Shown& shown) override {
        recent_.push_back(shown);
        while (recent_.front().t_s < shown.t_s - stable_within_s) recent_.pop_front();
        return line(shown.value);
    }

    std::string print_glitch(const Shown&, Random& random) override {
        // The glitch comes behind the filter; of the values that fit the display, one is drawn.
        std::array<double, 24> fitting{};
        int count = 0;
        for (int bits = 10; bits < 24; ++bits) {
            const double value_N = (std::ldexp(1.0, bits) - 1) * gain_;
            if (value_N > 0.1 * capacity_N_ && value_N < 0.95 * capacity_N_)
                fitting[static_cast<std::size_t>(count++)] = value_N;
        }
        if (count == 0) return line(0.9 * capacity_N_);
        return line(fitting[static_cast<std::size_t>(random.pick(0, count - 1))]);
    }

    std::optional<std::string> answer(std::string_view command, const Shown& shown) override {
        if (command == "Q" || command == "RW" || command == "READ") return print(shown);
        if (command == "Z") {
            zero_asked_ = true;
            return "Z\r\n";
        }
        return "?\r\n";
    }
    bool take_zero_request() override { return std::exchange(zero_asked_, false); }
    bool streams() const override { return streams_; }

private:
    std::string line(double value_N) const {
        const int decimals = decimals_for(resolution_);
        const double rounded = to_nearest(value_N / display_.newtons, resolution_);
        std::string figures = fixed_text(std::fabs(rounded), decimals);
        if (decimals == 0) figures += '.';
        const bool over = std::fabs(value_N) > 1.02 * capacity_N_ || figures.size() > 7;
        if (figures.size() < 7) figures.insert(0, 7 - figures.size(), '0');
        if (over) {
            figures.assign(7, ' ');
            figures[static_cast<std::size_t>(6 - decimals)] = '.';
        }
        if (comma_) std::replace(figures.begin(), figures.end(), '.', ',');
        return std::string(over ? "OL" : stable() ? "ST" : "US") + ",GS," + (rounded < 0 ? "-" : "+") + figures +
               std::string(display_.printed) + "\r\n";
    }

    bool stable() const {
        const auto [low, high] = std::minmax_element(recent_.begin(), recent_.end(),
                                                     [](const Shown& a, const Shown& b) { return a.value < b.value; });
        return !recent_.empty() && high->value - low->value < std::max(6.0, 4 * resolution_ * display_.newtons);
    }

    Display display_;
    double resolution_, capacity_N_, gain_;
    bool comma_, streams_, zero_asked_ = false;
    std::deque<Shown> recent_;
};

}  // namespace

extern const InstrumentKind hdr_comma;
const InstrumentKind hdr_comma = {"hdr-comma", {Measure::force},
    38400, 10, 80, 0.03, 0.0005, 0.6, 0.006, 0.002, "Q\r\n", 0.1,
    [](OptionReader& options) -> std::unique_ptr<Instrument> { return std::make_unique<HdrComma>(options); }};

}  // namespace halfturn::practice
