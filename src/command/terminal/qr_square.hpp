// An address as a QR code (ISO/IEC 18004) for a terminal: half blocks, black on white by escape sequences, so that it can be
// scanned from a dark terminal and from a light one.
#pragma once

#include <string>
#include <string_view>

namespace halfturn::command {

// Lines with their ends, with the margin of four modules that the standard asks for. Throws Failure when halfturn-paper, which
// knows the code, is not there or the text does not fit one.
std::string qr_square(std::string_view text);

}  // namespace halfturn::command
