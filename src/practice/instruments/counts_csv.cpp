// counts-csv: lines of comma-separated fields from a bridge board ("12500,459753" CRLF), named by a banner at power-up:
// us or ms since then (micros() wraps at 2^32), a value with its unit, the raw 24-bit count. Counts saturate at the ends.
#include <algorithm>
#include <cmath>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "practice/instruments/instrument.hpp"

namespace halfturn::practice {
namespace {

constexpr double most_counts = 8388607, least_counts = -8388608;  // of 24 bits

class CountsCsv : public Instrument {
public:
    explicit CountsCsv(OptionReader& options) {
        gain_ = options.number("gain", 0.005, -1000, 1000);
        if (gain_ == 0) throw BadInput("counts-csv: gain=0 can't be used; give the newtons (or turns) of one count");
        offset_ = options.number("offset", 84213, least_counts, most_counts);
        clock_s_ = options.number("started_s", 0, 0, 1e9);
        std::string fields = options.text("fields", "us,raw");
        for (std::size_t from = 0; from <= fields.size();) {
            const std::size_t to = std::min(fields.find(',', from), fields.size());
            const std::string field = fields.substr(from, to - from);
            if (field != "us" && field != "ms" && field != "value" && field != "unit" && field != "raw")
                throw BadInput("counts-csv: fields=" + fields + " can't be used; give a list of us, ms, value, unit, raw");
            fields_.push_back(field);
            from = to + 1;
        }
    }

    std::string power_up(double t_s) override {
        // A board that was running before the log began keeps its clock; one that lost power starts again at 0.
        started_s_ = on_before_ ? t_s : t_s - clock_s_;
        on_before_ = true;
        std::string banner;
        for (const auto& field : fields_)
            banner += (banner.empty() ? "" : ",") + (field == "us" ? "t_us" : field == "ms" ? "t_ms" : field == "raw" ? "counts" : field);
        return banner + "\r\n";
    }

    std::string print(const Shown& shown) override {
        return line(shown, std::round(std::clamp(shown.value / gain_ + offset_, least_counts, most_counts)));
    }
    std::string print_glitch(const Shown& shown, Random& random) override {
        return line(shown, std::ldexp(1.0, random.pick(17, 21)) - 1);
    }

private:
    std::string line(const Shown& shown, double counts) const {
        std::string text;
        const double board_s = std::max(0.0, shown.t_s - started_s_);
        for (const auto& field : fields_) {
            if (!text.empty()) text += ',';
            if (field == "us") text += std::to_string(static_cast<std::uint64_t>(board_s * 1e6) & 0xFFFFFFFFULL);
            if (field == "ms") text += std::to_string(static_cast<std::uint64_t>(board_s * 1e3) & 0xFFFFFFFFULL);
            if (field == "value") text += fixed_text((counts - offset_) * gain_ / 9.80665, 2);
            if (field == "unit") text += "kg";
            if (field == "raw") text += fixed_text(counts, 0);
        }
        // Boards that print a unit end their lines with one more comma.
        const bool trailing = std::find(fields_.begin(), fields_.end(), "unit") != fields_.end();
        return text + (trailing ? ",\r\n" : "\r\n");
    }

    double gain_, offset_, clock_s_, started_s_ = 0;
    bool on_before_ = false;
    std::vector<std::string> fields_;
};

}  // namespace

extern const InstrumentKind counts_csv;
const InstrumentKind counts_csv = {"counts-csv", {Measure::force, Measure::turns},
    115200, 10, 80, 0.05, 0.0004, 0.6, 0.009, 0.001, "", 0,
    [](OptionReader& options) -> std::unique_ptr<Instrument> { return std::make_unique<CountsCsv>(options); }};

}  // namespace halfturn::practice
