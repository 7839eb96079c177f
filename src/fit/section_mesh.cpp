#include "fit/section_mesh.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <utility>

#include "core/failure.hpp"

namespace halfturn::fit {
namespace {

constexpr double same_mm = 1e-5;

std::vector<double> sorted_unique(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    std::vector<double> kept;
    for (const double value : values) {
        if (kept.empty() || value - kept.back() > same_mm) kept.push_back(value);
    }
    return kept;
}

struct FinePoint {
    double at_mm, size_mm;
};

// How far apart lines may be: from each fine point's size upward, and at most largest_mm between low and high.
struct Grading {
    std::vector<FinePoint> fine;
    double growth;
    double largest_mm, low_mm, high_mm;
};

// Lines through every break, spaced by the grading.
std::vector<double> graded_lines(const std::vector<double>& breaks, const Grading& grading) {
    const double growth = grading.growth;
    const auto size_at = [&](double x) {
        double size = grading.largest_mm + growth * std::max({0.0, grading.low_mm - x, x - grading.high_mm});
        for (const FinePoint& f : grading.fine)
            size = std::min(size, f.size_mm + growth * std::abs(x - f.at_mm));
        return size;
    };
    std::vector<double> lines{breaks.front()};
    for (std::size_t i = 1; i < breaks.size(); ++i) {
        const double from = breaks[i - 1], to = breaks[i];
        constexpr int samples = 64;
        std::vector<double> count(samples + 1, 0);  // elements wanted from `from` up to here
        const double step = (to - from) / samples;
        for (int k = 0; k < samples; ++k) {
            count[static_cast<std::size_t>(k) + 1] =
                count[static_cast<std::size_t>(k)] + step / size_at(from + (k + 0.5) * step);
        }
        const int n = std::max(1, static_cast<int>(std::ceil(count.back() - 0.25)));
        std::size_t k = 0;
        for (int j = 1; j < n; ++j) {
            const double want = count.back() * j / n;
            while (count[k + 1] < want) ++k;
            lines.push_back(from +
                            step * (static_cast<double>(k) + (want - count[k]) / (count[k + 1] - count[k])));
        }
        lines.push_back(to);
    }
    return lines;
}

// Builds 8-node cells on a grid of doubled indices (even: corners, odd: middles), making nodes as they are needed.
class GridMesher {
public:
    using Place = std::function<std::pair<double, double>(int i2, int j2)>;  // z, r
    explicit GridMesher(Place place) : place_(std::move(place)) {}

    void add_cell(int i, int j) {
        const int a = 2 * i, b = 2 * j;
        mesh_.quads.push_back({node(a, b), node(a + 2, b), node(a + 2, b + 2), node(a, b + 2), node(a + 1, b),
                               node(a + 2, b + 1), node(a + 1, b + 2), node(a, b + 1)});
    }
    std::size_t node(int i2, int j2) {
        const auto [found, is_new] = nodes_.try_emplace({i2, j2}, mesh_.z_mm.size());
        if (is_new) {
            const auto [z, r] = place_(i2, j2);
            mesh_.z_mm.push_back(z);
            mesh_.r_mm.push_back(r);
        }
        return found->second;
    }
    Mesh take() { return std::move(mesh_); }
    std::size_t last_quad() const { return mesh_.quads.size() - 1; }

private:
    Place place_;
    std::map<std::pair<int, int>, std::size_t> nodes_;
    Mesh mesh_;
};

double line_at(const std::vector<double>& lines, int i2) {
    const auto i = static_cast<std::size_t>(i2 / 2);
    return i2 % 2 == 0 ? lines[i] : 0.5 * (lines[i] + lines[i + 1]);
}

struct Interval {
    double from_mm, to_mm;
};

// Where a cylinder of the seat's diameter between two places lies against a bore of its own size.
std::vector<Interval> contact_of(const HousingSection& housing, double diameter_mm, double ring_from,
                                 double ring_to) {
    std::vector<Interval> contact;
    double from = 0;
    for (const HousingStep& step : housing.steps) {
        const double to = from + step.length_mm;
        const double a = std::max(from, ring_from), b = std::min(to, ring_to);
        if (step.bore_mm == diameter_mm && b - a > same_mm) {
            if (!contact.empty() && a - contact.back().to_mm < same_mm) {
                contact.back().to_mm = b;
            } else {
                contact.push_back({a, b});
            }
        }
        from = to;
    }
    return contact;
}

bool touches(const std::vector<Interval>& contact, double z) {
    return std::any_of(contact.begin(), contact.end(),
                       [z](const Interval& part) { return z > part.from_mm && z < part.to_mm; });
}

void add_housing_breaks(const HousingSection& housing, std::vector<double>& z_breaks) {
    double z = 0;
    z_breaks.push_back(0);
    for (const HousingStep& step : housing.steps) z_breaks.push_back(z += step.length_mm);
}

void mesh_housing(SectionMesh& out, const HousingSection& housing, double seat_diameter_mm,
                  const std::vector<Interval>& contact, const std::vector<double>& z_lines, double B,
                  const SectionFineness& fineness) {
    double length = 0;
    std::vector<double> r_breaks;
    for (const HousingStep& step : housing.steps) {
        length += step.length_mm;
        r_breaks.push_back(step.bore_mm / 2);
        r_breaks.push_back(step.outside_mm / 2);
    }
    const double seat_r = seat_diameter_mm / 2;
    const std::vector<double> r_lines =
        graded_lines(sorted_unique(std::move(r_breaks)), {{{seat_r, 2 * fineness.edge_mm}},
                                                          1.6 * fineness.growth,
                                                          3 * fineness.largest_of_B * B,
                                                          seat_r,
                                                          seat_r + B});
    const auto first = std::lower_bound(z_lines.begin(), z_lines.end(), -same_mm);
    const auto last = std::upper_bound(z_lines.begin(), z_lines.end(), length + same_mm);
    const std::vector<double> lines(first, last);
    GridMesher mesher([&](int i2, int j2) { return std::pair(line_at(lines, i2), line_at(r_lines, j2)); });
    for (int i = 0; i + 1 < static_cast<int>(lines.size()); ++i) {
        const double z = line_at(lines, 2 * i + 1);
        double to = 0;
        const HousingStep* at = &housing.steps.back();
        for (const HousingStep& step : housing.steps) {
            to += step.length_mm;
            if (z < to) {
                at = &step;
                break;
            }
        }
        for (int j = 0; j + 1 < static_cast<int>(r_lines.size()); ++j) {
            const double r = line_at(r_lines, 2 * j + 1);
            if (r < at->bore_mm / 2 || r > at->outside_mm / 2) continue;
            mesher.add_cell(i, j);
            const bool on_seat = std::abs(r_lines[static_cast<std::size_t>(j)] - seat_r) < same_mm &&
                                 at->bore_mm == seat_diameter_mm;
            if (on_seat && touches(contact, z)) {
                out.housing_side_quads.push_back(mesher.last_quad());
                out.housing_sides.push_back({mesher.node(2 * i, 2 * j), mesher.node(2 * i + 1, 2 * j),
                                             mesher.node(2 * i + 2, 2 * j)});
            }
        }
    }
    out.housing = mesher.take();
}

// The ring's outline at an axial place x from its outer face.
class RingOutline {
public:
    explicit RingOutline(const RingSection& ring) : ring_(ring) {
        const double bottom = ring.groove_bottom_mm / 2;
        split_mid_ = bottom + 0.35 * (ring.D_mm / 2 - bottom);
    }
    double outside(double x) const {
        const double from_face = std::min(x, ring_.B_mm - x);
        return ring_.D_mm / 2 - std::max(0.0, ring_.chamfer_mm - from_face);
    }
    // Groove or shoulder, the recess filled up.
    double inside(double x) const {
        const double off = std::abs(x - ring_.B_mm / 2);
        if (off >= ring_.groove_half_width_mm) return ring_.shoulder_mm / 2;
        const double rg = ring_.groove_radius_mm;
        return ring_.groove_bottom_mm / 2 - rg + std::sqrt(rg * rg - off * off);
    }
    // Between the inner and outer rows of elements: starts at the recess, clears the groove.
    double split(double x) const {
        const double from_face = std::min(x, ring_.B_mm - x);
        const double to_groove = ring_.B_mm / 2 - ring_.groove_half_width_mm - ring_.recess_depth_mm;
        const double t = std::clamp((from_face - ring_.recess_depth_mm) / to_groove, 0.0, 1.0);
        return ring_.recess_mm / 2 + t * (split_mid_ - ring_.recess_mm / 2);
    }

private:
    const RingSection& ring_;
    double split_mid_;
};

void mesh_ring(SectionMesh& out, const RingSection& ring, double face_mm,
               const std::vector<Interval>& contact, const std::vector<double>& z_lines,
               const SectionFineness& fineness) {
    const RingOutline outline(ring);
    const auto first = std::lower_bound(z_lines.begin(), z_lines.end(), face_mm - same_mm);
    const auto last = std::upper_bound(z_lines.begin(), z_lines.end(), face_mm + ring.B_mm + same_mm);
    const std::vector<double> lines(first, last);
    const bool recessed = ring.recess_depth_mm > 0 && ring.recess_mm > ring.shoulder_mm + 0.02;
    // Rows are counted from the outside inward and graded; fewer, thicker ones away from the seat.
    const double outer_mm =
        recessed ? ring.D_mm / 2 - ring.recess_mm / 2 : (ring.D_mm - ring.shoulder_mm) / 2;
    const std::vector<double> outer = graded_lines(
        {0, outer_mm},
        {{{0, 2 * fineness.edge_mm}}, 1.3 * fineness.growth, fineness.largest_of_B * ring.B_mm, 0, outer_mm});
    const int outer_rows = static_cast<int>(outer.size()) - 1;
    const int inner_rows =
        recessed ? std::max(2, static_cast<int>(std::lround(0.16 / fineness.largest_of_B * 2))) : 0;
    GridMesher mesher([&](int i2, int j2) {
        const double z = line_at(lines, i2), x = std::clamp(z - face_mm, 0.0, ring.B_mm);
        const double top = outline.outside(x), low = outline.inside(x);
        const double split = recessed ? outline.split(x) : low;
        if (j2 <= 2 * outer_rows) return std::pair(z, top - (top - split) * line_at(outer, j2) / outer_mm);
        const double share = static_cast<double>(j2 - 2 * outer_rows) / (2 * inner_rows);
        return std::pair(z, split - (split - low) * share);
    });
    // Row 0 is outermost; cells are added with the lower radius first, so the j index runs inward and is flipped below.
    const int columns = static_cast<int>(lines.size()) - 1;
    for (int i = 0; i < columns; ++i) {
        const double x = line_at(lines, 2 * i + 1) - face_mm;
        const bool in_recess = std::min(x, ring.B_mm - x) < ring.recess_depth_mm;
        const int rows = outer_rows + (in_recess ? 0 : inner_rows);
        for (int j = 0; j < rows; ++j) mesher.add_cell(i, j);
        if (touches(contact, x + face_mm)) {
            out.ring_sides.push_back(
                {mesher.node(2 * i, 0), mesher.node(2 * i + 1, 0), mesher.node(2 * i + 2, 0)});
        }
        if (std::abs(lines[static_cast<std::size_t>(i)] - face_mm - ring.B_mm / 2) < same_mm) {
            out.groove_bottom = mesher.node(2 * i, 2 * (outer_rows + inner_rows));
        }
    }
    out.ring = mesher.take();
    for (Quad& q : out.ring.quads)
        q = {q[3], q[2], q[1], q[0], q[6], q[5], q[4], q[7]};  // counter-clockwise again
}

}  // namespace

SectionMesh section_mesh(const RingSection& ring, const HousingSection& housing, double slide_mm,
                         const SectionFineness& fineness) {
    const double face = housing.seat_from_mouth_mm - slide_mm, B = ring.B_mm, c = ring.chamfer_mm;
    const std::vector<Interval> contact = contact_of(housing, ring.D_mm, face + c, face + B - c);
    if (contact.empty()) throw Failure("The ring touches the housing nowhere.");
    SectionMesh out;
    std::vector<double> breaks;
    std::vector<FinePoint> fine;
    for (const Interval& part : contact) {
        out.engaged_mm += part.to_mm - part.from_mm;
        for (const double end : {part.from_mm, part.to_mm}) {
            breaks.push_back(end);
            fine.push_back({end, fineness.edge_mm});
        }
    }
    for (const double x : {0.0, c, ring.recess_depth_mm, B / 2 - ring.groove_half_width_mm, B / 2}) {
        breaks.push_back(face + x);
        breaks.push_back(face + B - x);
    }
    add_housing_breaks(housing, breaks);
    const std::vector<double> z_lines =
        graded_lines(sorted_unique(std::move(breaks)),
                     {std::move(fine), fineness.growth, fineness.largest_of_B * B, face, face + B});
    mesh_housing(out, housing, ring.D_mm, contact, z_lines, B, fineness);
    mesh_ring(out, ring, face, contact, z_lines, fineness);
    if (out.ring_sides.size() != out.housing_sides.size()) throw Failure("The seat's nodes do not pair up.");
    return out;
}

double engaged_mm(const RingSection& ring, const HousingSection& housing, double slide_mm) {
    const double face = housing.seat_from_mouth_mm - slide_mm;
    double sum = 0;
    for (const Interval& part :
         contact_of(housing, ring.D_mm, face + ring.chamfer_mm, face + ring.B_mm - ring.chamfer_mm)) {
        sum += part.to_mm - part.from_mm;
    }
    return sum;
}

double clear_travel_mm(const RingSection& ring, const HousingSection& housing) {
    double from = 0;
    for (const HousingStep& step : housing.steps) {
        if (step.bore_mm == ring.D_mm) break;  // the outermost bore of the ring's size is the last to let go
        from += step.length_mm;
    }
    return housing.seat_from_mouth_mm + ring.B_mm - ring.chamfer_mm - from;
}

}  // namespace halfturn::fit
