#include "review/run_rules.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace halfturn::review {
namespace {

struct Named {
    RunRule rule;
    std::string_view id, words;
};
constexpr std::array named{
    Named{RunRule::beyond_limits, "beyond-limits", "more than 3 sigma from the centre"},
    Named{RunRule::one_side, "one-side", "a long row on one side of the centre"},
    Named{RunRule::rising_or_falling, "rising-or-falling", "six in a row, each higher or each lower than the one before"},
    Named{RunRule::alternating, "alternating", "fourteen in a row, up and down by turns"},
    Named{RunRule::two_of_three, "two-of-three", "two of three more than 2 sigma out on one side"},
    Named{RunRule::four_of_five, "four-of-five", "four of five more than 1 sigma out on one side"},
    Named{RunRule::hugging, "hugging", "fifteen in a row within 1 sigma of the centre"},
    Named{RunRule::avoiding, "avoiding", "eight in a row more than 1 sigma out, on both sides"},
};

// How many values up to each one, itself among them, the condition has held without a break.
template <class Holds>
std::vector<std::size_t> in_a_row(std::size_t count, Holds holds) {
    std::vector<std::size_t> lengths(count, 0);
    for (std::size_t i = 0; i < count; ++i)
        if (holds(i)) lengths[i] = i > 0 ? lengths[i - 1] + 1 : 1;
    return lengths;
}

class Finder {
public:
    Finder(const std::vector<double>& values, const std::vector<bool>& gaps) : x_(values), gap_(gaps) {}

    std::vector<Run> take() {
        std::stable_sort(runs_.begin(), runs_.end(), [](const Run& a, const Run& b) { return a.seen < b.seen; });
        return std::move(runs_);
    }

    void find(RunRule rule, std::size_t one_side_length) {
        for (const double side : {1.0, -1.0}) switch (rule) {
                case RunRule::beyond_limits: some_of(rule, 1, 1, 3, side); break;
                case RunRule::one_side: row(rule, one_side_length, [&](std::size_t i) { return side * x_[i] > 0; }); break;
                case RunRule::two_of_three: some_of(rule, 2, 3, 2, side); break;
                case RunRule::four_of_five: some_of(rule, 4, 5, 1, side); break;
                case RunRule::rising_or_falling: steps(rule, 6, [&](std::size_t i) { return side * step(i) > 0; }); break;
                case RunRule::alternating:
                    // Told by the side of its first step, so that each zigzag is found once.
                    steps(rule, 14, [&](std::size_t i) { return side * step(i) * (i % 2 == 0 ? 1 : -1) > 0; });
                    break;
                case RunRule::hugging:
                    if (side > 0) row(rule, 15, [&](std::size_t i) { return std::fabs(x_[i]) < 1; });
                    break;
                case RunRule::avoiding:
                    if (side > 0) avoiding();
                    break;
            }
    }

private:
    double step(std::size_t i) const { return x_[i] - x_[i - 1]; }

    void add(RunRule rule, std::size_t from, std::size_t at) {
        // A pattern that goes on is the same one; so is one that overlaps.
        for (auto run = runs_.rbegin(); run != runs_.rend() && run->rule == rule; ++run)
            if (run->to + 1 >= at && run->from <= from && same_side(*run, at)) {
                run->to = at;
                return;
            }
        runs_.push_back({rule, from, at, at});
    }
    bool same_side(const Run& run, std::size_t at) const {
        const bool by_side = run.rule == RunRule::beyond_limits || run.rule == RunRule::one_side ||
                             run.rule == RunRule::two_of_three || run.rule == RunRule::four_of_five;
        return !by_side || (x_[run.seen] > 0) == (x_[at] > 0);
    }

    template <class Holds>
    void row(RunRule rule, std::size_t length, Holds holds) {
        const auto lengths = in_a_row(x_.size(), holds);
        for (std::size_t i = 0; i < x_.size(); ++i)
            if (lengths[i] >= length) add(rule, i + 1 - lengths[i], i);
    }

    // length values are length - 1 steps, none of them across a gap.
    template <class Holds>
    void steps(RunRule rule, std::size_t length, Holds holds) {
        const auto lengths = in_a_row(x_.size(), [&](std::size_t i) { return i > 0 && !gap_[i] && holds(i); });
        for (std::size_t i = 0; i < x_.size(); ++i)
            if (lengths[i] + 1 >= length) add(rule, i - lengths[i], i);
    }

    // At least `least` of the `among` values up to and with i lie beyond `sigmas` on this side, and i is one of them.
    void some_of(RunRule rule, std::size_t least, std::size_t among, double sigmas, double side) {
        const auto beyond = [&](std::size_t i) { return side * x_[i] > sigmas; };
        for (std::size_t i = 0; i < x_.size(); ++i) {
            if (!beyond(i)) continue;
            std::size_t count = 0, first = i;
            for (std::size_t j = i + 1 >= among ? i + 1 - among : 0; j <= i; ++j)
                if (beyond(j)) count += 1, first = std::min(first, j);
            if (count >= least) add(rule, first, i);
        }
    }

    void avoiding() {
        constexpr std::size_t length = 8;
        const auto lengths = in_a_row(x_.size(), [&](std::size_t i) { return std::fabs(x_[i]) > 1; });
        for (std::size_t i = 0; i < x_.size(); ++i) {
            if (lengths[i] < length) continue;
            const std::size_t from = i + 1 - lengths[i];
            const auto first = x_.begin() + static_cast<std::ptrdiff_t>(i + 1 - length),
                       last = x_.begin() + static_cast<std::ptrdiff_t>(i + 1);
            const auto above = std::count_if(first, last, [](double x) { return x > 0; });
            // All on one side is another rule's.
            if (above > 0 && above < static_cast<std::ptrdiff_t>(length)) add(RunRule::avoiding, from, i);
        }
    }

    const std::vector<double>& x_;
    const std::vector<bool>& gap_;
    std::vector<Run> runs_;
};

}  // namespace

std::string_view run_rule_id(RunRule rule) { return named[static_cast<std::size_t>(rule)].id; }
std::string_view run_rule_words(RunRule rule) { return named[static_cast<std::size_t>(rule)].words; }

std::optional<RunRule> run_rule_from_id(std::string_view id) {
    for (const Named& one : named)
        if (one.id == id) return one.rule;
    return {};
}

RunRules usual_rules() { return {{RunRule::beyond_limits, RunRule::one_side}}; }

RunRules all_rules() {
    RunRules all;
    for (const Named& one : named) all.rules.push_back(one.rule);
    return all;
}

std::vector<Run> find_runs(const std::vector<double>& values, const std::vector<bool>& gap_before, const RunRules& rules) {
    Finder finder(values, gap_before);
    for (const RunRule rule : rules.rules) finder.find(rule, rules.one_side_length);
    return finder.take();
}

}  // namespace halfturn::review
