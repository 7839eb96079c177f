#include "command/terminal/qr_square.hpp"

#include <vector>

#include "files/sibling_program.hpp"

namespace halfturn::command {
namespace {

constexpr int margin = 4;  // modules, ISO/IEC 18004 section 9.1
constexpr std::string_view black_on_white = "\x1b[30;107m", as_before = "\x1b[0m";

std::vector<std::string> rows_of(std::string_view text) {
    std::vector<std::string> rows;
    const std::string all = run_sibling("halfturn-paper", {"qr"}, std::string(text));
    for (std::size_t at = 0, end; (end = all.find('\n', at)) != std::string::npos; at = end + 1) rows.push_back(all.substr(at, end - at));
    return rows;
}

}  // namespace

std::string qr_square(std::string_view text) {
    const std::vector<std::string> rows = rows_of(text);
    const int width = static_cast<int>(rows.size());
    const auto dark = [&](int row, int column) {
        if (row < 0 || column < 0 || row >= width || column >= width) return false;
        return rows[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)] == '1';
    };
    std::string out;
    for (int row = -margin; row < width + margin; row += 2) {
        out += black_on_white;
        for (int column = -margin; column < width + margin; ++column) {
            const bool upper = dark(row, column), lower = dark(row + 1, column);
            out += upper ? (lower ? "█" : "▀") : (lower ? "▄" : " ");
        }
        out += as_before;
        out += '\n';
    }
    return out;
}

}  // namespace halfturn::command
