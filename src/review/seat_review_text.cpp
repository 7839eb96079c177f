#include <algorithm>
#include <cmath>

#include "core/folded_text.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "review/finding_words.hpp"
#include "review/seat_review.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

constexpr int rows = 7, columns_per_cell = 2;

std::string labelled(const std::string& label, const std::string& text) {
    constexpr std::size_t width = 14;
    return folded_text(text, label + std::string(label.size() < width ? width - label.size() : 1, ' '),
                       std::string(width, ' '));
}

std::string found_text(const Found& f) {
    std::string text = "  " + std::string(strength_name(f.strength)) + ": " + std::string(f.info.title) +
                       " (" + std::string(f.info.id) + ")\n";
    if (f.info.id == nothing_unusual_id) text = "  " + std::string(f.info.title) + "\n";
    text += folded_text(f.answer.says, "    ", "    ");
    for (const auto what : f.info.look_at)
        text += folded_text(std::string(what), "    look at: ", "             ");
    return text + folded_text(rates_words(f.rates), "    how sure: ", "              ");
}

}  // namespace

std::string profile_sketch(const SeatProfile& profile) {
    if (!profile.drawable()) return {};
    double most = 1.5;
    for (const ProfilePoint& p : profile.points) most = std::max(most, std::min(p.relative * 1.15, 4.0));
    const double per_row = most / rows;
    std::string text;
    for (int row = rows - 1; row >= 0; --row) {
        const double low = row * per_row, high = low + per_row;
        const bool has_one = low <= 1 && 1 < high;
        text += has_one           ? "  mean |"
                : row == 0        ? "     0 |"
                : row == rows - 1 ? "  " + fixed_text(most, 1) + "x |"
                                  : "       |";
        std::string line;
        for (const ProfilePoint& p : profile.points) {
            const bool value = p.relative >= low && (p.relative < high || row == rows - 1);
            const bool band = p.low < high && p.high >= low;
            for (int i = 0; i < columns_per_cell; ++i) line += value ? "█" : band ? "░" : " ";
        }
        while (!line.empty() && line.back() == ' ') line.pop_back();
        text += line + "\n";
    }
    const std::size_t width = profile.points.size() * columns_per_cell;
    const double length = profile.points.back().depth_mm + profile.points.front().depth_mm;
    const std::string end = fixed_text(length, 1) + " mm deep";
    text += "       +" + std::string(width, '-') + "\n";
    return text + "        mouth" + std::string(width - 5 - end.size(), ' ') + end + "\n";
}

std::string seat_review_text(const SeatReview& review) {
    const SeatProfile& p = review.profile;
    std::string text = "What the curve says about the seat\n\n";
    if (p.known) {
        if (p.drawable())
            text += "Grip along the depth, over its mean (█; ░ where it may lie, 95 in 100)\n" +
                    profile_sketch(p) + "\n";
        text += labelled("shape", p.says);
        if (p.drawable())
            text += labelled("resolution",
                             "details of " + fixed_text(p.resolved_mm, 1) + " mm; the instruments could show " +
                                 fixed_text(p.instruments_mm, 2) + " mm at best, by " + p.instruments_because +
                                 (review.work == Work::out ? "; the first " + fixed_text(review.unseen_mm, 2) +
                                                                 " mm went in the jump at release"
                                                           : ""));
        if (p.ripple.known)
            text += labelled("once per turn", "± " + fixed_text(100 * p.ripple.share, 1) +
                                                  " % of the force (standard uncertainty " +
                                                  fixed_text(100 * p.ripple.u_share, 1) + " %)");
        if (review.difference.known)
            text += labelled("other way", review.difference.says + " (" + review.compared_with + ")");
    } else {
        text += labelled("profile", "can't be read: " + p.why_not);
    }
    text += labelled("fit",
                     review.fit.known ? review.fit.says : "can't be read backwards: " + review.fit.why_not);
    if (review.fit.over_sliding)
        text += labelled("release/slide", fixed_text(*review.fit.over_sliding, 2) + " ± " +
                                              fixed_text(1.96 * *review.fit.over_sliding_u, 2) +
                                              "; clean seats show 1.1 to 1.5");
    if (!review.history.says.empty()) text += labelled("this seat", review.history.says);
    text += "\nFindings\n";
    for (const Found& f : review.findings.found) text += found_text(f);
    for (const Found& f : review.findings.open)
        text += folded_text(std::string(f.info.title) + ": " + f.answer.says, "  can't tell: ", "    ");
    return text;
}

}  // namespace halfturn::review
