// The captures under tests/captures and ways to play them: as recorded, cut anew, damaged, or through another format.
#pragma once

#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "core/framer.hpp"
#include "files/capture_file.hpp"

namespace halfturn::test {

// tests/captures/<driver>/*.json, sorted by path; read once.
struct StoredCapture {
    Capture capture;
    std::filesystem::path path;
};
const std::vector<StoredCapture>& captures();

// One decoded item: its JSON, whether it is a reading, and how many bytes had been taken when it ended.
struct Seen {
    std::string json;
    bool is_reading = false;
    bool is_fault = false;
    std::size_t end = 0;

    friend bool operator==(const Seen&, const Seen&) = default;
};

// Plays `bytes` with reads ending at the positions in `cuts` (ascending; the end of the bytes is always one). Requests keep
// their places in the bytes.
std::vector<Seen> play(const Capture& capture, std::string_view bytes, const std::vector<std::size_t>& cuts = {});

// The same bytes through another format.
std::vector<Seen> play_through(const Format& format, const Settings& settings, const Capture& capture);

// What a reading says, without marks and clocks: value, unit and channel.
std::vector<std::string> reading_texts(const Capture& capture, std::string_view bytes);

inline bool mentions(std::string_view text, std::string_view word) { return text.find(word) != std::string_view::npos; }

}  // namespace halfturn::test
