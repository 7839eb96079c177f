// libFuzzer target over every format: no bytes may crash a decoder, and no cutting may change what it makes of them.
// Built with clang and -DHALFTURN_FUZZ=ON; the corpus is formats.corpus beside this file.
//   build/fuzz_formats -max_total_time=60 tests/fuzz/formats.corpus
// Input: byte 0 chooses format and settings; byte 1 bit 0 start in mid-line, bit 1 marked bytes, the other bits the size of the
// second play's reads; the rest are the instrument's bytes.
#include <algorithm>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "core/framer.hpp"
#include "core/item_json.hpp"

namespace {

using namespace halfturn;

// A few settings for each format that has or needs some; the empty ones are tried with every format.
const std::vector<std::pair<std::string_view, Settings>> settings = {
    {"counts-csv", {{"fields", "us,raw"}}},
    {"counts-csv", {{"fields", "ms,value,unit,raw"}}},
    {"counts-csv", {{"fields", "raw"}, {"encoding", "offset24"}}},
    {"eq-reversed", {{"digit_order", "low_first"}}},
    {"eq-reversed", {{"digit_order", "high_first"}, {"unit", "kg"}}},
    {"sync2x24-hex", {{"order", "abs,rel"}, {"counts_per_inch", "20480"}}},
    {"sync2x24-hex", {{"order", "rel,abs"}, {"counts_per_inch", "999983"}, {"complement", "ones"}}},
    {"sync24-bits", {{"layout", "start_bit"}, {"unit", "in"}}},
    {"swabc", {{"checksum", "false"}}},
    {"ask-unit", {{"unit", "N"}}},
    {"hdr-comma", {{"decimal", "auto"}}},
    {"value-text", {{"decimal", "comma"}}},
    {"modbus-rtu", {{"type", "int32"}, {"order", "cdab"}}},
    {"modbus-rtu", {{"type", "float32"}, {"order", "abcd"}, {"slave", "1"}}},
    {"described", {{"instrument", "status-letter-six"}}},
    {"described", {{"instrument", "soh-stx-frame"}}},
    {"described", {{"instrument", "modbus-float-block"}}},
    {"described", {{"instrument", "modbus-weight-status"}}},
};

struct Choice {
    const Format* format;
    Settings set;
};

const std::vector<Choice>& choices() {
    static const std::vector<Choice> all = [] {
        std::vector<Choice> list;
        for (const Format* format : all_formats()) {
            const auto id = format->id;
            if (id != "eq-reversed" && id != "sync2x24-hex" && id != "modbus-rtu" && id != "described") list.push_back({format, {}});
        }
        for (const auto& [id, set] : settings) list.push_back({find_format(id), set});
        return list;
    }();
    return all;
}

std::string play(const Choice& choice, Start start, bool marked, std::string_view bytes, std::size_t read_size) {
    Framer framer(*choice.format, choice.set, start, marked);
    std::string out;
    const Framer::Sink sink = [&](const Item& item, std::size_t) { out += item_json(item, *choice.format) + "\n"; };
    for (; !bytes.empty(); bytes.remove_prefix(std::min(read_size, bytes.size()))) framer.feed(bytes.substr(0, read_size), sink);
    framer.end(sink);
    return out;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size < 2) return 0;
    const Choice& choice = choices()[data[0] % choices().size()];
    const Start start = (data[1] & 1) != 0 ? Start::mid_line : Start::boundary;
    const bool marked = (data[1] & 2) != 0;
    const std::string_view bytes(reinterpret_cast<const char*>(data) + 2, size - 2);
    const std::string whole = play(choice, start, marked, bytes, bytes.size() + 1);
    if (play(choice, start, marked, bytes, 1) == whole && play(choice, start, marked, bytes, (data[1] >> 2) + 1u) == whole) return 0;
    std::fprintf(stderr, "%.*s: cutting the bytes changed the items\n", static_cast<int>(choice.format->id.size()), choice.format->id.data());
    std::abort();
}
