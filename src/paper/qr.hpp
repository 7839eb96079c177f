// A text as a QR code (ISO/IEC 18004), as plain modules for whoever shows it.
#pragma once

#include <string>

namespace halfturn::paper {

// Rows of '1' (dark) and '0', each with its end of line, without the margin of four modules that the standard asks for.
// Throws BadInput when the text does not fit a code.
std::string qr_modules(const std::string& text);

}  // namespace halfturn::paper
