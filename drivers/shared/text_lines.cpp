#include "drivers/shared/text_lines.hpp"

#include <string>

namespace halfturn {
namespace {

bool is_line_end(char c) { return c == '\r' || c == '\n'; }
// CR from an even-parity and LF from an odd-parity 7-bit instrument.
bool is_line_end_with_parity(char c) { return c == '\x8D' || c == '\x8A'; }

std::string_view without_leading_ends(std::string_view text) {
    while (!text.empty() && (is_line_end(text.front()) || text.front() == '\0')) text.remove_prefix(1);
    return text;
}

}  // namespace

TextLines::Parity7 TextLines::parity_of(std::string_view text) {
    bool even = true, odd = true, high = false;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        const bool is_odd = std::popcount(byte) % 2 == 1;
        even = even && !is_odd;
        odd = odd && is_odd;
        high = high || byte >= 0x80;
    }
    if (!high) return Parity7::none;
    return even ? Parity7::even : odd ? Parity7::odd : Parity7::none;
}

// Every byte of one parity, and without bit 7 a line this format knows: that is no accident. Said once; from then on such
// lines are dropped. A line that breaks the pattern is looked at as usual.
bool TextLines::is_wrong_parity(std::string_view line_and_end, Items& items, Reads& reads) {
    const Parity7 parity = parity_of(line_and_end);
    if (parity == Parity7::none) return false;
    if (parity == wrong_parity_) {
        items.emplace_back(Reject{"line_settings"});
        return true;
    }
    std::string stripped(line_and_end);
    for (char& c : stripped) c = static_cast<char>(c & 0x7F);
    std::string_view line = without_leading_ends(stripped);
    while (!line.empty() && is_line_end(line.back())) line.remove_suffix(1);
    if (line.empty() || !reads.understands(line)) return false;
    wrong_parity_ = parity;
    items.emplace_back(Fault{FaultCode::line_settings, parity == Parity7::even ? "7-bit even parity data read as 8 bits"
                                                                               : "7-bit odd parity data read as 8 bits"});
    return true;
}

std::size_t TextLines::take_uncommon(std::string_view head, bool ended, Items& items, Reads& reads) {
    if (skip_ != Skip::nothing) return skip(head, ended, items, reads);
    const std::string_view visible = without_leading_ends(head);
    const std::size_t begin = head.size() - visible.size();
    if (begin >= longest_ || (visible.empty() && ended)) return std::min(begin, longest_);
    const std::string_view line = visible.substr(0, longest_ - begin);
    for (std::size_t at = 0; at < line.size(); ++at) {
        if (is_line_end_with_parity(line[at]) && is_wrong_parity(line.substr(0, at + 1), items, reads)) return begin + at + 1;
        if (!is_line_end(line[at])) continue;
        if (!is_wrong_parity(line.substr(0, at), items, reads)) reads.line(line.substr(0, at), items);
        return begin + at + 1;
    }
    if (head.size() < longest_) return 0;
    // Nothing of this format is that long. What follows up to the next end belongs to it too: its tail may look like a line.
    items.emplace_back(Reject{"length"});
    skip_ = Skip::overlong;
    return longest_;
}

// Drops everything up to the first line end. A 7-bit instrument's line end may have bit 7 set and would never be seen: it
// does not end the skipping, but a whole line between two of them may prove the wrong line settings.
std::size_t TextLines::skip(std::string_view head, bool ended, Items& items, Reads& reads) {
    const std::string_view visible = head.substr(0, longest_);
    for (std::size_t at = 0; at < visible.size(); ++at) {
        if (is_line_end_with_parity(visible[at])) {
            const bool whole = after_parity_end_;
            after_parity_end_ = parity_of(visible.substr(0, at + 1)) != Parity7::none;
            if (whole && is_wrong_parity(visible.substr(0, at + 1), items, reads)) skip_ = Skip::nothing;
            return at + 1;
        }
        if (!is_line_end(visible[at])) continue;
        if (at > 0 && skip_ == Skip::to_first_line) items.emplace_back(Reject{"presync"});
        skip_ = Skip::nothing;
        return at + 1;
    }
    if (visible.size() < longest_ && !ended) return 0;
    after_parity_end_ = false;
    if (ended && skip_ == Skip::to_first_line) items.emplace_back(Reject{"presync"});
    return visible.size();
}

}  // namespace halfturn
