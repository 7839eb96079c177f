#include <algorithm>
#include <cmath>

#include "core/number_text.hpp"
#include "curve/doubt.hpp"
#include "review/seat_profile.hpp"

namespace halfturn::review {
namespace {

constexpr double least_difference = 0.05;  // of the mean grip, beyond both bands

std::string percent(double share) { return fixed_text(100 * share, 0) + " %"; }

std::string describe_first(const SeatProfile& p) {
    const std::string u = " (± " + percent(curve::z_975 * p.u_size) + ")";
    const auto between = [&] {
        return fixed_text(p.from_mm, 1) + " to " + fixed_text(p.to_mm, 1) + " mm from the mouth";
    };
    switch (p.shape) {
        case SeatShape::even:
            return "Even: any taper is below " + percent(std::max(least_taper, curve::z_975 * p.u_size)) +
                   " of the mean grip from end to end.";
        case SeatShape::tapered:
            return std::string("Tapered: the grip ") + (p.size > 0 ? "grows" : "falls") +
                   " from the mouth inwards by " + percent(std::fabs(p.size)) + u + " of its mean.";
        case SeatShape::bell_mouthed:
            return "Bell-mouthed: at the mouth " + percent(std::min(p.size, 1.0)) + u +
                   " of the grip is missing, over " + fixed_text(p.to_mm, 1) + " mm.";
        case SeatShape::worn_band:
            return "A worn band: " + percent(std::min(p.size, 1.0)) + u + " of the grip is missing " +
                   between() + ".";
        case SeatShape::burr:
            return "A burr or a high band: " + percent(p.size) + u + " more grip " + between() + ".";
        default:
            return "Can't tell the shape: these readings leave a taper of " +
                   percent(curve::z_975 * p.u_size) + " of the mean grip open.";
    }
}

ProfilePoint blurred(const SeatProfile& profile, double at_mm, double window_mm) {
    ProfilePoint mean{at_mm, 0, 0, 0};
    double count = 0;
    for (const ProfilePoint& p : profile.points) {
        if (std::fabs(p.depth_mm - at_mm) > window_mm / 2 && p.depth_mm != at_mm) continue;
        mean.relative += p.relative, mean.low += p.low, mean.high += p.high, count += 1;
    }
    return {at_mm, mean.relative / count, mean.low / count, mean.high / count};
}

}  // namespace

std::string_view seat_shape_id(SeatShape shape) {
    static constexpr std::string_view ids[] = {"cant-tell",    "even",      "tapered",
                                               "bell-mouthed", "worn-band", "burr"};
    return ids[static_cast<std::size_t>(shape)];
}

std::string_view seat_shape_words(SeatShape shape) {
    static constexpr std::string_view words[] = {"can't tell",   "even",      "tapered",
                                                 "bell-mouthed", "worn band", "burr"};
    return words[static_cast<std::size_t>(shape)];
}

std::string seat_shape_sentence(const SeatProfile& p) {
    std::string text = describe_first(p);
    if (p.or_shapes.empty()) return text;
    text += " It may as well be";
    for (std::size_t i = 0; i < p.or_shapes.size(); ++i)
        text += (i > 0 ? " or " : " ") + std::string(seat_shape_words(p.or_shapes[i]));
    return text + ": these readings can't tell them apart.";
}

ProfileDifference compare_profiles(const SeatProfile& in, const SeatProfile& out) {
    ProfileDifference difference;
    if (!in.drawable() || !out.drawable() || in.points.size() != out.points.size()) return difference;
    difference.known = true;
    // The finer one is blurred to what the coarser one resolves, else a blurred edge would count as a difference.
    const double window_mm = std::max(in.resolved_mm, out.resolved_mm);
    std::size_t apart = 0;
    for (std::size_t j = 0; j < in.points.size(); ++j) {
        const double at_mm = in.points[j].depth_mm;
        const ProfilePoint a = blurred(in, at_mm, window_mm), b = blurred(out, at_mm, window_mm);
        const double gap = std::max(b.low - a.high, a.low - b.high);
        if (gap <= least_difference) continue;
        ++apart;
        if (gap > std::fabs(difference.largest)) {
            difference.largest = b.low > a.high ? gap : -gap;
            difference.at_mm = at_mm;
        }
    }
    difference.share = static_cast<double>(apart) / static_cast<double>(in.points.size());
    if (apart == 0)
        difference.says =
            "Pressed in and pulled out, the grip along the depth is the same within what the readings can "
            "tell.";
    else
        difference.says =
            std::string("Pulled out, the seat grips ") + (difference.largest > 0 ? "harder" : "less") +
            " than when it was pressed in, most at " + fixed_text(difference.at_mm, 1) +
            " mm from the mouth (by at least " + percent(std::fabs(difference.largest)) + " of the mean).";
    return difference;
}

}  // namespace halfturn::review
