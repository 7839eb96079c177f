#include "command/terminal/qr_square.hpp"

#include <qrencode.h>

#include <memory>

namespace halfturn::command {
namespace {

constexpr int margin = 4;  // modules, ISO/IEC 18004 section 9.1
constexpr std::string_view black_on_white = "\x1b[30;107m", as_before = "\x1b[0m";

}  // namespace

std::string qr_square(std::string_view text) {
    const std::string ended(text);
    const std::unique_ptr<QRcode, decltype(&QRcode_free)> code(QRcode_encodeString8bit(ended.c_str(), 0, QR_ECLEVEL_L), &QRcode_free);
    if (!code) return {};
    const auto dark = [&](int row, int column) {
        if (row < 0 || column < 0 || row >= code->width || column >= code->width) return false;
        return (code->data[row * code->width + column] & 1) != 0;
    };
    std::string out;
    for (int row = -margin; row < code->width + margin; row += 2) {
        out += black_on_white;
        for (int column = -margin; column < code->width + margin; ++column) {
            const bool upper = dark(row, column), lower = dark(row + 1, column);
            out += upper ? (lower ? "█" : "▀") : (lower ? "▄" : " ");
        }
        out += as_before;
        out += '\n';
    }
    return out;
}

}  // namespace halfturn::command
