// A whole small file as bytes, with an error a mechanic understands.
#pragma once

#include <string>

namespace halfturn {

// Throws BadInput when the file can't be read or is larger than `most_bytes`.
std::string whole_file(const std::string& path, std::size_t most_bytes = std::size_t{4} << 20);

}  // namespace halfturn
