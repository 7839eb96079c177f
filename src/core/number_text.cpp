#include "core/number_text.hpp"

#include <array>
#include <charconv>
#include <cmath>

namespace halfturn {
namespace {

template <class... Format>
std::string through_to_chars(double value, Format... format) {
    std::array<char, 400> buffer{};
    const auto result = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, format...);
    return std::string(buffer.data(), result.ptr);
}

std::string_view without_plus(std::string_view text) {
    if (text.size() > 1 && text.front() == '+' && text[1] != '-') text.remove_prefix(1);
    return text;
}

}  // namespace

std::string number_text(double value) {
    if (!std::isfinite(value)) return "null";
    if (value == 0) return "0";
    const double size = std::fabs(value);
    if (size >= 1e-5 && size < 1e15) return through_to_chars(value, std::chars_format::fixed);
    return through_to_chars(value);
}

std::string fixed_text(double value, int decimals) {
    if (!std::isfinite(value)) return "?";
    std::string text = through_to_chars(value, std::chars_format::fixed, decimals);
    if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
    return text;
}

std::string figures_text(double value, int figures) {
    if (!std::isfinite(value)) return "?";
    if (value == 0) return "0";
    const int decade = static_cast<int>(std::floor(std::log10(std::fabs(value))));
    const int decimals = figures - 1 - decade;
    if (decimals >= 0) return fixed_text(value, decimals);
    const double step = std::pow(10.0, -decimals);
    return fixed_text(std::round(value / step) * step, 0);
}

std::optional<double> parse_number(std::string_view text) {
    text = without_plus(text);
    double value = 0;
    const auto result = std::from_chars(text.data(), text.data() + text.size(), value);
    if (result.ec != std::errc{} || result.ptr != text.data() + text.size() || !std::isfinite(value)) return {};
    return value;
}

std::optional<std::int64_t> parse_integer(std::string_view text) {
    text = without_plus(text);
    std::int64_t value = 0;
    const auto result = std::from_chars(text.data(), text.data() + text.size(), value);
    if (result.ec != std::errc{} || result.ptr != text.data() + text.size()) return {};
    return value;
}

}  // namespace halfturn
