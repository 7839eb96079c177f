#include "paper/qr.hpp"

#include <qrencode.h>

#include <memory>

#include "core/failure.hpp"

namespace halfturn::paper {

std::string qr_modules(const std::string& text) {
    const std::unique_ptr<QRcode, decltype(&QRcode_free)> code(QRcode_encodeString8bit(text.c_str(), 0, QR_ECLEVEL_L), &QRcode_free);
    if (!code) throw BadInput("standard input: " + std::to_string(text.size()) + " characters do not fit a QR code");
    std::string rows;
    for (int row = 0; row < code->width; ++row) {
        for (int column = 0; column < code->width; ++column) rows += (code->data[row * code->width + column] & 1) != 0 ? '1' : '0';
        rows += '\n';
    }
    return rows;
}

}  // namespace halfturn::paper
