#include "calibrate/gauge_blocks.hpp"

#include <array>

#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {
namespace {

struct Row {
    double up_to_mm;
    GaugeBlockLimits k, zero, one, two;
};

constexpr std::array<Row, 6> rows{{{10, {0.20, 0.05}, {0.12, 0.10}, {0.20, 0.16}, {0.45, 0.30}},
                                   {25, {0.30, 0.05}, {0.14, 0.10}, {0.30, 0.16}, {0.60, 0.30}},
                                   {50, {0.40, 0.06}, {0.20, 0.10}, {0.40, 0.18}, {0.80, 0.30}},
                                   {75, {0.50, 0.06}, {0.25, 0.12}, {0.50, 0.18}, {1.00, 0.35}},
                                   {100, {0.60, 0.07}, {0.30, 0.12}, {0.60, 0.20}, {1.20, 0.35}},
                                   {150, {0.80, 0.08}, {0.40, 0.14}, {0.80, 0.20}, {1.60, 0.40}}}};

}  // namespace

GaugeBlockLimits gauge_block_limits(const std::string& grade, double length_mm) {
    if (grade != "K" && grade != "0" && grade != "1" && grade != "2")
        throw BadInput("the gauge-block grade must be K, 0, 1 or 2, but is \"" + grade + "\"");
    if (!(length_mm >= 0.5 && length_mm <= rows.back().up_to_mm))
        throw BadInput("gauge-block limits are known from 0.5 to 150 mm, not for " + number_text(length_mm) +
                       " mm; give the blocks' own uncertainty from their certificate");
    for (const auto& row : rows)
        if (length_mm <= row.up_to_mm)
            return grade == "K" ? row.k : grade == "0" ? row.zero : grade == "1" ? row.one : row.two;
    return rows.back().two;
}

}  // namespace halfturn::calibrate
