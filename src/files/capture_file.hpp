// A capture: bytes as they left an instrument, with how they came and what they mean. NAME.json tells about NAME.bin.
// Keys: driver, start (boundary | mid-line), options, chunks (sizes of the reads), requests_hex (what the host sent), expect,
// and for people source, kind, notes, line.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "core/format.hpp"

namespace halfturn {

struct Capture {
    std::string name;
    std::string driver;                 // format id
    Start start = Start::boundary;
    Settings settings;                  // numbers as shortest text, lists joined by commas
    std::vector<std::size_t> chunks;    // add up to the number of bytes
    std::vector<std::string> requests;  // as bytes
    std::string bytes;
    std::string json;                   // the whole description, for those who look at more
};

// Reads NAME.json and the NAME.bin beside it. Throws BadInput naming the file and the key.
Capture read_capture(const std::string& json_path);

}  // namespace halfturn
