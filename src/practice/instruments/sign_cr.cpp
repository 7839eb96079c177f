// sign-cr: "+12.34" CR without a unit, 4800 Bd 7E2, asked by "?" CR. OUT1 and OUT0 switch sending by itself on and off,
// UNI? tells the unit, SET? the settings; what it does not know is ERR1.
#include "core/number_text.hpp"
#include "practice/instruments/instrument.hpp"
#include "practice/instruments/rounding.hpp"

namespace halfturn::practice {
namespace {

class SignCr : public Instrument {
public:
    explicit SignCr(OptionReader& options)
        : inch_(options.choice("unit", "mm", {"mm", "in"}) == "in"),
          streams_(options.choice("mode", "poll", {"poll", "stream"}) == "stream"),
          resolution_mm_(options.number("resolution", 0.01, 0.0001, 1)) {}

    std::string print(const Shown& shown) override {
        const double step = inch_ ? 0.0005 : resolution_mm_;
        const double value = to_nearest(inch_ ? shown.value / 25.4 : shown.value, step);
        const std::string text = fixed_text(value, decimals_for(step));
        return (text.front() == '-' ? text : "+" + text) + "\r";
    }
    std::optional<std::string> answer(std::string_view command, const Shown& shown) override {
        if (command == "?" || command == "PRI") return print(shown);
        if (command == "OUT1" || command == "OUT0") {
            streams_ = command == "OUT1";
            return {};
        }
        if (command == "MM" || command == "IN") {
            inch_ = command == "IN";
            return {};
        }
        if (command == "UNI?") return inch_ ? "IN\r" : "MM\r";
        if (command == "SET?") return std::string(inch_ ? "IN" : "MM") + " RES2 REF1 B1\r";
        return "ERR1\r";
    }
    void press_unit_key() override { inch_ = !inch_; }
    bool streams() const override { return streams_; }

private:
    bool inch_, streams_;
    double resolution_mm_;
};

}  // namespace

extern const InstrumentKind sign_cr;
const InstrumentKind sign_cr = {"sign-cr", {Measure::screw_travel, Measure::ring_travel},
    4800, 11, 10, 0.02, 0.003, 0.002, 0.05, 0.006, "?\r", 0.1,
    [](OptionReader& options) -> std::unique_ptr<Instrument> { return std::make_unique<SignCr>(options); }};

}  // namespace halfturn::practice
