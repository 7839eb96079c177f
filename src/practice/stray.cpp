#include "practice/stray.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include "core/number_text.hpp"
#include "practice/random.hpp"

namespace halfturn::practice {
namespace {

double cosine(double deg) { return std::cos(deg * std::numbers::pi / 180); }

std::string_view take_word(std::string_view& text) {
    const auto end = std::min(text.find(' '), text.size());
    const auto word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    return word;
}

}  // namespace

StrayCell::StrayCell(std::uint64_t seed) {
    Random random(seed, "stray loads");
    percent_per_mm_ = random.between(0.04, 0.12);
    percent_at_10_mm_ = random.between(-0.1, 0.1);
    highest_deg_ = random.between(0, 360);
    N_per_N_ = random.between(0.005, 0.02);
    side_deg_ = random.between(0, 360);
    N_per_Nm_ = random.between(-2, 2);
}

bool StrayCell::disturb(std::string_view words) {
    const auto what = take_word(words);
    const std::array<std::optional<double>, 2> given = {parse_number(take_word(words)), parse_number(words)};
    const bool round = what == "eccentric" || what == "side-load";
    if (!round && what != "torsion" && what != "none") return false;
    if ((what != "none" && !given[0]) || (round && !given[1])) return false;
    offset_mm_ = side_N_ = torque_Nm_ = 0;
    if (what == "eccentric") offset_mm_ = *given[0], offset_deg_ = *given[1];
    if (what == "side-load") side_N_ = *given[0], pushed_deg_ = *given[1];
    if (what == "torsion") torque_Nm_ = *given[0];
    return true;
}

double StrayCell::shows_N(double force_N) const {
    const double percent =
        percent_per_mm_ * offset_mm_ * cosine(offset_deg_ - highest_deg_) + percent_at_10_mm_ * offset_mm_ * offset_mm_ / 100;
    // Nothing twists or pushes a cell that is loose.
    const double besides_N = force_N > 1 ? N_per_N_ * side_N_ * cosine(pushed_deg_ - side_deg_) + N_per_Nm_ * torque_Nm_ : 0;
    return force_N * (1 + percent / 100) + besides_N;
}

}  // namespace halfturn::practice
