// value-unit: "12.34 mm" CRLF, as a small board behind a caliper prints it; in inches four figures after the point in
// steps of half a thousandth. A "?" CR is answered with a value at once.
#include "core/number_text.hpp"
#include "practice/instruments/instrument.hpp"
#include "practice/instruments/rounding.hpp"

namespace halfturn::practice {
namespace {

class ValueUnit : public Instrument {
public:
    explicit ValueUnit(OptionReader& options)
        : inch_(options.choice("unit", "mm", {"mm", "in"}) == "in"),
          resolution_mm_(options.number("resolution", 0.01, 0.0001, 1)) {}

    std::string print(const Shown& shown) override {
        if (inch_) return fixed_text(to_nearest(shown.value / 25.4, 0.0005), 4) + " in\r\n";
        return fixed_text(to_nearest(shown.value, resolution_mm_), decimals_for(resolution_mm_)) + " mm\r\n";
    }
    std::optional<std::string> answer(std::string_view command, const Shown& shown) override {
        if (command != "?") return {};
        return print(shown);
    }
    void press_unit_key() override { inch_ = !inch_; }

private:
    bool inch_;
    double resolution_mm_;
};

}  // namespace

extern const InstrumentKind value_unit;
const InstrumentKind value_unit = {"value-unit", {Measure::screw_travel, Measure::ring_travel},
    115200, 10, 10, 0.02, 0.003, 0.002, 0.05, 0.004, "?\r", 0.1,
    [](OptionReader& options) -> std::unique_ptr<Instrument> { return std::make_unique<ValueUnit>(options); }};

}  // namespace halfturn::practice
