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

// A line that breaks the pattern of 7-bit bytes is looked at as usual.
bool TextLines::is_wrong_parity(std::string_view line_and_end, Items& items, Reads& reads) {
    const Parity parity = parity_of(line_and_end);
    if (parity == Parity::none) return false;
    if (parity != wrong_parity_) {
        const std::string stripped = without_bit_7(line_and_end);
        std::string_view line = without_leading_ends(stripped);
        while (!line.empty() && is_line_end(line.back())) line.remove_suffix(1);
        if (line.empty() || !reads.understands(line)) return false;
    }
    items.push_back(wrong_line_settings(parity, wrong_parity_));
    return true;
}

void TextLines::look_behind_noise(std::string_view text, std::size_t before, Items& items, const Reads& reads) {
    for (std::size_t i = before; i < items.size(); ++i)
        if (!std::holds_alternative<Reject>(items[i])) return;
    while (!text.empty() && begins_with_noise(text)) text.remove_prefix(1);
    if (text.empty()) return;
    for (Item& item : reads.trial(text))
        if (const auto* fault = std::get_if<Fault>(&item); fault && !is_advisory(fault->code)) items.push_back(std::move(item));
}

std::size_t TextLines::take_uncommon(std::string_view head, bool ended, Items& items, Reads& reads) {
    if (skip_ != Skip::nothing) return skip(head, ended, items, reads);
    const std::string_view near = head.substr(0, longest_);  // no further: behind it may lie megabytes of NULs
    const std::string_view line = without_leading_ends(near);
    const std::size_t begin = near.size() - line.size();
    if (begin >= longest_ || (line.empty() && ended)) return begin;
    for (std::size_t at = 0; at < line.size(); ++at) {
        if (is_line_end_with_parity(line[at]) && is_wrong_parity(line.substr(0, at + 1), items, reads)) return begin + at + 1;
        if (!is_line_end(line[at])) continue;
        const std::string_view text = line.substr(0, at);
        if (is_wrong_parity(text, items, reads)) return begin + at + 1;
        const std::size_t before = items.size();
        reads.line(text, items);
        if (begins_with_noise(text)) look_behind_noise(text, before, items, reads);
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
            after_parity_end_ = parity_of(visible.substr(0, at + 1)) != Parity::none;
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
