#include "drivers/shared/format_list.hpp"

#include <algorithm>

namespace halfturn {

const std::vector<const Format*>& all_formats() {
    static const std::vector<const Format*> formats = [] {
        auto list = listed_formats();
        std::sort(list.begin(), list.end(), [](const Format* a, const Format* b) { return a->id < b->id; });
        return list;
    }();
    return formats;
}

const Format* find_format(std::string_view id) {
    const auto& formats = all_formats();
    const auto found = std::lower_bound(formats.begin(), formats.end(), id,
                                        [](const Format* format, std::string_view wanted) { return format->id < wanted; });
    return found != formats.end() && (*found)->id == id ? *found : nullptr;
}

}  // namespace halfturn
