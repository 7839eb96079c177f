#include "review/finding_words.hpp"

#include "core/number_text.hpp"

namespace halfturn::review {

std::string rates_words(const std::optional<Rates>& rates) {
    if (!rates) return "not yet known";
    const auto percent = [](int of, int all) {
        const double share = all > 0 ? 100.0 * of / all : 0;
        return fixed_text(share, share > 0 && share < 10 ? 1 : 0) + " %";
    };
    std::string text = "said of " + percent(rates->false_alarms, rates->without) + " of " + std::to_string(rates->without) +
                       " simulated jobs without it";
    if (rates->with > 0) text += "; missed in " + percent(rates->missed, rates->with) + " of " + std::to_string(rates->with) + " with it";
    return text;
}

}  // namespace halfturn::review
