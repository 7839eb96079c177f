#include "fit/section_solver.hpp"

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <set>

#include "core/failure.hpp"

namespace halfturn::fit {
namespace {

using Matrix = Eigen::SparseMatrix<double>;
using Vector = Eigen::VectorXd;
using Index = Eigen::Index;

struct Pair {
    std::size_t ring, housing;
    bool corner;
    double
        length_mm;  // of the seat that this node answers for, half of each neighbouring side (corners only)
    bool closed = true;
};

// Ring and housing as one system; a closed pair shares its radial unknown.
class Assembly {
public:
    Assembly(const SectionMesh& mesh, const Elastic& ring, const Elastic& housing) : mesh_(mesh) {
        const auto stiffness = [](const Mesh& body, const Elastic& elastic) {
            std::vector<QuadStiffness> all;
            all.reserve(body.quads.size());
            for (const Quad& quad : body.quads) all.push_back(quad_stiffness(body, quad, elastic));
            return all;
        };
        ring_ = stiffness(mesh.ring, ring);
        housing_ = stiffness(mesh.housing, housing);
        ring_nodes_ = mesh.ring.z_mm.size();
        std::map<std::size_t, std::size_t> known;
        const auto pair_of = [&](std::size_t r, std::size_t h, bool corner) {
            const auto [found, is_new] = known.try_emplace(r, pairs_.size());
            if (is_new) pairs_.push_back({r, h, corner, 0});
            return found->second;
        };
        for (std::size_t k = 0; k < mesh.ring_sides.size(); ++k) {
            const auto& r = mesh.ring_sides[k];
            const auto& h = mesh.housing_sides[k];
            const double half = 0.5 * (mesh.ring.z_mm[r[2]] - mesh.ring.z_mm[r[0]]);
            const std::size_t a = pair_of(r[0], h[0], true), m = pair_of(r[1], h[1], false),
                              b = pair_of(r[2], h[2], true);
            pairs_[a].length_mm += half;
            pairs_[b].length_mm += half;
            sides_.push_back({a, m, b});
        }
    }

    std::vector<Pair>& pairs() { return pairs_; }
    const std::vector<std::array<std::size_t, 3>>& sides() const { return sides_; }
    std::size_t unknowns() const { return ring_nodes_ * 2 + mesh_.housing.z_mm.size() * 2; }

    void factor() {
        number_unknowns();
        std::vector<Eigen::Triplet<double>> entries;
        entries.reserve((ring_.size() + housing_.size()) * 136);
        add(entries, mesh_.ring, ring_, 0);
        add(entries, mesh_.housing, housing_, ring_nodes_);
        Matrix K(count_, count_);
        K.setFromTriplets(entries.begin(), entries.end());
        solver_.compute(K);
        if (solver_.info() != Eigen::Success) throw Failure("The section's equations could not be solved.");
    }

    // Displacements of all nodes (ring first; axial, radial) for an overlap of the closed pairs and a radial force on
    // one ring node.
    Vector solve(double overlap_mm, std::size_t ring_node, double radial_N) const {
        Vector load = Vector::Zero(count_);
        if (radial_N != 0) load[at_[2 * ring_node + 1]] += radial_N;
        // A closed ring node moves with the housing's less the overlap: u = u_shared + offset.
        Vector offset = Vector::Zero(static_cast<Index>(unknowns()));
        for (const Pair& pair : pairs_) {
            if (pair.closed) offset[static_cast<Index>(2 * pair.ring + 1)] = -overlap_mm;
        }
        if (overlap_mm != 0) {
            const Vector held = internal_force(offset);
            for (std::size_t k = 0; k < 2 * ring_nodes_; ++k) {
                if (at_[k] >= 0) load[at_[k]] -= held[static_cast<Index>(k)];
            }
        }
        const Vector shared = solver_.solve(load);
        Vector all = offset;
        for (std::size_t k = 0; k < unknowns(); ++k) {
            if (at_[k] >= 0) all[static_cast<Index>(k)] += shared[at_[k]];
        }
        return all;
    }

    // Nodal forces of the ring alone for given displacements; on a seat node that is what the housing does to it.
    Vector internal_force(const Vector& u) const {
        Vector force = Vector::Zero(static_cast<Index>(2 * ring_nodes_));
        for (std::size_t e = 0; e < ring_.size(); ++e) {
            const Quad& quad = mesh_.ring.quads[e];
            for (std::size_t i = 0; i < 16; ++i) {
                double sum = 0;
                for (std::size_t j = 0; j < 16; ++j) {
                    sum += ring_[e][i * 16 + j] * u[static_cast<Index>(2 * quad[j / 2] + j % 2)];
                }
                force[static_cast<Index>(2 * quad[i / 2] + i % 2)] += sum;
            }
        }
        return force;
    }

    double radial(const Vector& u, const Pair& pair, bool ring) const {
        return u[static_cast<Index>(2 * (ring ? pair.ring : ring_nodes_ + pair.housing) + 1)];
    }
    std::array<double, 16> of_quad(const Vector& u, const Quad& quad) const {
        std::array<double, 16> part{};
        for (std::size_t j = 0; j < 16; ++j)
            part[j] = u[static_cast<Index>(2 * (ring_nodes_ + quad[j / 2]) + j % 2)];
        return part;
    }

private:
    void number_unknowns() {
        at_.assign(unknowns(), 0);
        // One axial hold for each body: nothing else would stop it gliding away along the axis.
        at_[2 * mesh_.groove_bottom] = -1;
        at_[2 * (ring_nodes_ + mesh_.housing_sides.front()[0])] = -1;
        count_ = 0;
        for (const Pair& pair : pairs_) {
            if (pair.closed) at_[2 * pair.ring + 1] = -2;
        }
        for (Index& k : at_) {
            if (k == 0) k = count_++;
        }
        for (const Pair& pair : pairs_) {
            if (pair.closed) at_[2 * pair.ring + 1] = at_[2 * (ring_nodes_ + pair.housing) + 1];
        }
    }

    void add(std::vector<Eigen::Triplet<double>>& entries, const Mesh& mesh,
             const std::vector<QuadStiffness>& all, std::size_t first_node) const {
        for (std::size_t e = 0; e < all.size(); ++e) {
            std::array<Index, 16> at{};
            for (std::size_t j = 0; j < 16; ++j) at[j] = at_[2 * (first_node + mesh.quads[e][j / 2]) + j % 2];
            for (std::size_t i = 0; i < 16; ++i) {
                for (std::size_t j = 0; j < 16; ++j) {
                    if (at[j] >= 0 && at[i] >= at[j]) entries.emplace_back(at[i], at[j], all[e][i * 16 + j]);
                }
            }
        }
    }

    const SectionMesh& mesh_;
    std::vector<QuadStiffness> ring_, housing_;
    std::size_t ring_nodes_ = 0;
    std::vector<Pair> pairs_;
    std::vector<std::array<std::size_t, 3>> sides_;
    std::vector<Index> at_;
    Index count_ = 0;
    Eigen::SimplicialLDLT<Matrix, Eigen::Lower> solver_;
};

struct SeatForces {
    std::vector<double> node_N;    // of each pair, pushing the ring inward
    std::vector<double> corner_N;  // of each corner with its share of the neighbouring middles; 0 for middles
    double total_N = 0;
};

SeatForces seat_forces(Assembly& assembly, const Vector& u) {
    const Vector force = assembly.internal_force(u);
    SeatForces seat;
    for (const Pair& pair : assembly.pairs()) {
        seat.node_N.push_back(-force[static_cast<Index>(2 * pair.ring + 1)]);
        seat.total_N += seat.node_N.back();
    }
    seat.corner_N.assign(seat.node_N.size(), 0);
    for (std::size_t k = 0; k < assembly.pairs().size(); ++k) {
        if (assembly.pairs()[k].corner) seat.corner_N[k] = seat.node_N[k];
    }
    for (const auto& [a, m, b] : assembly.sides()) {
        seat.corner_N[a] += 0.5 * seat.node_N[m];
        seat.corner_N[b] += 0.5 * seat.node_N[m];
    }
    return seat;
}

// Opens what pulls and closes what overlaps; false when nothing had to change. A single corner's own force means little
// on quadratic elements (its sign may swing next to an edge), so a corner is judged with its halves of both sides.
bool adjust_contact(Assembly& assembly, const Vector& u, double overlap_mm) {
    const SeatForces seat = seat_forces(assembly, u);
    auto& pairs = assembly.pairs();
    const double slack_N = 1e-6 * std::abs(seat.total_N);
    bool changed = false;
    std::vector<bool> open(pairs.size(), false);
    for (std::size_t k = 0; k < pairs.size(); ++k) {
        const double gap =
            assembly.radial(u, pairs[k], false) - assembly.radial(u, pairs[k], true) - overlap_mm;
        open[k] = pairs[k].closed ? pairs[k].corner && seat.corner_N[k] < -slack_N : gap > -1e-9 * overlap_mm;
    }
    for (const auto& [a, m, b] : assembly.sides()) {
        if (pairs[m].closed) open[m] = open[a] && open[b] ? true : (open[a] || open[b]) && seat.node_N[m] < 0;
    }
    for (std::size_t k = 0; k < pairs.size(); ++k) {
        changed = changed || pairs[k].closed == open[k];
        pairs[k].closed = !open[k];
    }
    return changed;
}

// Pressure and hoop stress at every corner along the seat, with the length each corner answers for.
void fill_seat(SectionResult& result, Assembly& assembly, const SectionMesh& mesh, const Vector& u,
               const SeatForces& seat, const Elastic& metal, double face_mm, double D_mm) {
    const auto& pairs = assembly.pairs();
    std::vector<double> hoop_mm(pairs.size(), 0);  // hoop stress times length
    for (std::size_t k = 0; k < assembly.sides().size(); ++k) {
        const auto& [a, m, b] = assembly.sides()[k];
        const Quad& quad = mesh.housing.quads[mesh.housing_side_quads[k]];
        const std::array<double, 16> moved = assembly.of_quad(u, quad);
        const double half = 0.5 * (mesh.ring.z_mm[pairs[b].ring] - mesh.ring.z_mm[pairs[a].ring]);
        hoop_mm[a] += half * quad_hoop_MPa(mesh.housing, quad, metal, moved, -0.5, -1);
        hoop_mm[b] += half * quad_hoop_MPa(mesh.housing, quad, metal, moved, 0.5, -1);
    }
    double hoop_sum = 0;
    for (std::size_t k = 0; k < pairs.size(); ++k) {
        if (!pairs[k].corner) continue;
        const double length = pairs[k].length_mm;
        result.seat.push_back({mesh.ring.z_mm[pairs[k].ring] - face_mm, length,
                               seat.corner_N[k] / (std::numbers::pi * D_mm * length), hoop_mm[k] / length});
        hoop_sum += hoop_mm[k];
    }
    result.hoop_mean_MPa_per_um = hoop_sum / mesh.engaged_mm;
}

}  // namespace

SectionResult solve_section(const RingSection& ring, const HousingSection& housing,
                            const Elastic& housing_metal, double slide_mm, const SectionFineness& fineness) {
    const SectionMesh mesh = section_mesh(ring, housing, slide_mm, fineness);
    Assembly assembly(mesh, {ring.E_GPa * 1e3, ring.nu}, housing_metal);
    constexpr double overlap_mm = 0.5e-3;  // of the radius: 1 µm of diameter
    Vector u;
    SectionResult result;
    for (int round = 0;; ++round) {
        assembly.factor();
        u = assembly.solve(overlap_mm, 0, 0);
        if (round == 12 || !adjust_contact(assembly, u, overlap_mm)) break;
        result.opened = true;
    }
    const SeatForces seat = seat_forces(assembly, u);
    result.N_per_um = seat.total_N;
    result.unknowns = assembly.unknowns();
    result.engaged_mm = mesh.engaged_mm;
    result.raceway_um_per_um = -2e3 * u[static_cast<Index>(2 * mesh.groove_bottom + 1)];

    const Vector spread = assembly.solve(0, mesh.groove_bottom, 1.0);
    result.lambda = seat_forces(assembly, spread).total_N;

    fill_seat(result, assembly, mesh, u, seat, housing_metal, housing.seat_from_mouth_mm - slide_mm,
              ring.D_mm);
    return result;
}

}  // namespace halfturn::fit
