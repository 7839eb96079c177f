#include "drivers/shared/replay.hpp"

#include <algorithm>
#include <array>

#include "core/failure.hpp"
#include "core/framer.hpp"
#include "core/nearest_word.hpp"
#include "drivers/shared/options.hpp"

namespace halfturn {
namespace {

// The option keys of the contracts: a capture may carry any of them to describe the set-up it came from.
constexpr std::array<std::string_view, 24> contract_options = {
    "unit",      "decimal",  "layout",     "order", "use",  "complement",      "counts_per_inch", "count_mm",
    "counts_per_turn", "index_channel", "compression_sign", "checksum", "digit_order", "fields", "encoding", "width_bits",
    "type",      "per_frame_order", "per_frame_type", "slave", "id", "prefix", "poll", "parmrk"};

}  // namespace

const Format& need_format(std::string_view id) {
    if (const Format* format = find_format(id)) return *format;
    std::vector<std::string> ids;
    for (const Format* format : all_formats()) ids.emplace_back(format->id);
    const std::string near = nearest_word(id, ids);
    std::string list;
    for (const auto& known : ids) list += (list.empty() ? "" : ", ") + known;
    throw BadInput("there is no format \"" + std::string(id) + "\"; " +
                   (near.empty() ? "known are " + list : "did you mean \"" + near + "\"?"));
}

Played settings_for(const Format& format, const Settings& settings, bool drop_unused) {
    Played played;
    for (const auto& [key, value] : settings) {
        const bool known = std::find(format.settings.begin(), format.settings.end(), key) != format.settings.end();
        if (!known && key == "parmrk") {
            const auto marked = flag_from(value);
            if (!marked) throw BadInput("setting parmrk = \"" + value + "\" can't be used; give true or false");
            played.marked = *marked;
            continue;
        }
        const bool of_contract = std::find(contract_options.begin(), contract_options.end(), key) != contract_options.end();
        if (known || key == "poll" || key == "unit" || !drop_unused || !of_contract) played.settings.emplace(key, value);
    }
    return played;
}

void replay(const Capture& capture, bool drop_unused, const std::function<void(const Item&)>& sink) {
    const Format& format = need_format(capture.driver);
    const Played played = settings_for(format, capture.settings, drop_unused);
    Framer framer(format, played.settings, capture.start, played.marked);
    const Framer::Sink each = [&](const Item& item, std::size_t) { sink(item); };
    const bool in_step = capture.requests.size() == capture.chunks.size();
    if (!in_step)
        for (const auto& request : capture.requests) framer.sent(request);
    std::string_view rest = capture.bytes;
    for (std::size_t i = 0; i < capture.chunks.size(); ++i) {
        if (in_step && !capture.requests[i].empty()) framer.sent(capture.requests[i]);
        framer.feed(rest.substr(0, capture.chunks[i]), each);
        rest.remove_prefix(capture.chunks[i]);
    }
    framer.end(each);
}

}  // namespace halfturn
