#include "screen/page_act.hpp"

#include <algorithm>
#include <array>

#include "core/failure.hpp"

namespace halfturn::screen {
namespace {

constexpr std::array<std::string_view, 15> page_acts = {"zero", "begin", "acknowledge", "silence",   "flat", "note", "skipped", "end",
                                                        "hold", "skip",  "reference",   "calibrate", "start", "practice", "next"};

}  // namespace

bool is_page_act(std::string_view act) { return std::find(page_acts.begin(), page_acts.end(), act) != page_acts.end(); }

bool same_key(std::string_view a, std::string_view b) {
    if (a.size() != b.size()) return false;
    unsigned char differs = 0;
    for (std::size_t i = 0; i < a.size(); ++i) differs = static_cast<unsigned char>(differs | (a[i] ^ b[i]));
    return differs == 0;
}

std::optional<PageAct> read_page_act(std::string_view json, std::string_view key) {
    if (json.size() > longest_page_act_bytes) return {};
    try {
        const JsonValue value = JsonValue::parse(json, "a page's act");
        PageAct out;
        bool key_fits = false;
        for (const auto& [name, member] : value.members()) {
            if (name == "key") key_fits = same_key(member.text(), key);
            else if (name == "act") out.act = member.text();
            else if (name == "text") out.text = member.text();
            else if (name == "form") out.form = member;
            else return {};
        }
        if (!key_fits || !is_page_act(out.act) || out.text.size() > longest_page_text_bytes) return {};
        return out;
    } catch (const BadInput&) {
        return {};
    }
}

}  // namespace halfturn::screen
