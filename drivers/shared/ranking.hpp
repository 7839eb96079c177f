// Which formats fit bytes that were only listened to: a pure function of the bytes. Each format reads them with the usual
// values of its settings; what it makes sense of is weighed by how much it would have refused. Not a format itself.
//
//   for (const Fit& fit : rank_formats(heard)) …   // best first; empty when nothing fits
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/format.hpp"

namespace halfturn {

struct Fit {
    const Format* format = nullptr;
    Settings settings;               // tried beside the format's defaults; what nothing on the wire tells is in `open`
    std::vector<std::string> open;   // setting keys that listening can't decide: the user must know them
    int readings = 0, faults = 0, rejects = 0;
    double share = 0;                // of the bytes that were judged (not banners), how many stand in readings and faults
    double bits_per_byte = 0;        // how strict the format is: 8 when no other byte could stand there, 0 when any could
    double bits = 0;                 // evidence: strictness of what was read, less what was refused
};

// Formats that made at least one reading or fault out of the bytes, best first. Bytes as they left the wire (not marked by
// PARMRK); those of a 7-bit instrument read as 8 bits are ranked without the parity. Only the first `most_ranked_bytes` are
// looked at.
//
// Method: minimum description length (Rissanen 1978). A byte that is read counts log2(256 / n) bits, n being how many of the
// 256 bytes could have stood in its place without a reject, tried on the bytes themselves; each reject counts against it. So
// a format with a checksum outranks one that takes any number, and neither needs a table of who is stricter than whom.
std::vector<Fit> rank_formats(std::string_view bytes);
constexpr std::size_t most_ranked_bytes = 2048;

// True when `fit` and the best one differ so little that listening can't tell them apart: both read as many bytes, and the
// strictness differs by less than a bit a byte.
bool as_good(const Fit& fit, const Fit& best);

// The parity that all of these bytes have in eight bits, when that can be no chance: a 7-bit instrument read as 8 bits.
// parity none: they are no such bytes.
Parity seven_bit_parity(std::string_view bytes);

// Bytes without the escapes of PARMRK (FF 00 x, FF FF), and how many were marked as wrong.
struct Unmarked {
    std::string bytes;
    std::size_t wrong = 0;
};
Unmarked without_marks(std::string_view marked);

}  // namespace halfturn
