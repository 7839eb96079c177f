#include "fit/axisymmetric.hpp"

#include <cmath>
#include <numbers>

#include "core/failure.hpp"

namespace halfturn::fit {
namespace {

constexpr std::array<double, 4> corner_xi{-1, 1, 1, -1};
constexpr std::array<double, 4> corner_eta{-1, -1, 1, 1};

struct Shapes {
    std::array<double, 8> n, by_z, by_r;
    double r_mm, area;  // area: determinant of the Jacobian
};

Shapes shapes_at(const Mesh& mesh, const Quad& quad, double xi, double eta) {
    std::array<double, 8> n{}, by_xi{}, by_eta{};
    for (std::size_t k = 0; k < 4; ++k) {
        const double a = corner_xi[k], b = corner_eta[k];
        n[k] = 0.25 * (1 + a * xi) * (1 + b * eta) * (a * xi + b * eta - 1);
        by_xi[k] = 0.25 * a * (1 + b * eta) * (2 * a * xi + b * eta);
        by_eta[k] = 0.25 * b * (1 + a * xi) * (2 * b * eta + a * xi);
    }
    for (const std::size_t k : {std::size_t{4}, std::size_t{6}}) {  // sides along xi
        const double b = k == 4 ? -1 : 1;
        n[k] = 0.5 * (1 - xi * xi) * (1 + b * eta);
        by_xi[k] = -xi * (1 + b * eta);
        by_eta[k] = 0.5 * b * (1 - xi * xi);
    }
    for (const std::size_t k : {std::size_t{5}, std::size_t{7}}) {  // sides along eta
        const double a = k == 7 ? -1 : 1;
        n[k] = 0.5 * (1 - eta * eta) * (1 + a * xi);
        by_xi[k] = 0.5 * a * (1 - eta * eta);
        by_eta[k] = -eta * (1 + a * xi);
    }
    double z_xi = 0, z_eta = 0, r_xi = 0, r_eta = 0;
    Shapes s{};
    for (std::size_t k = 0; k < 8; ++k) {
        const double z = mesh.z_mm[quad[k]], r = mesh.r_mm[quad[k]];
        z_xi += by_xi[k] * z;
        z_eta += by_eta[k] * z;
        r_xi += by_xi[k] * r;
        r_eta += by_eta[k] * r;
        s.r_mm += n[k] * r;
    }
    s.area = z_xi * r_eta - z_eta * r_xi;
    if (!(s.area > 0) || !(s.r_mm > 0))
        throw Failure("The section could not be meshed: an element is inside out.");
    s.n = n;
    for (std::size_t k = 0; k < 8; ++k) {
        s.by_z[k] = (by_xi[k] * r_eta - by_eta[k] * r_xi) / s.area;
        s.by_r[k] = (by_eta[k] * z_xi - by_xi[k] * z_eta) / s.area;
    }
    return s;
}

struct Moduli {
    double lambda, mu;
};

Moduli moduli(const Elastic& e) {
    return {e.E_MPa * e.nu / ((1 + e.nu) * (1 - 2 * e.nu)), e.E_MPa / (2 * (1 + e.nu))};
}

}  // namespace

QuadStiffness quad_stiffness(const Mesh& mesh, const Quad& quad, const Elastic& elastic) {
    const auto [lambda, mu] = moduli(elastic);
    const double p = std::sqrt(0.6);
    const std::array<double, 3> point{-p, 0, p}, weight{5.0 / 9, 8.0 / 9, 5.0 / 9};
    QuadStiffness K{};
    for (std::size_t a = 0; a < 3; ++a) {
        for (std::size_t b = 0; b < 3; ++b) {
            const Shapes s = shapes_at(mesh, quad, point[a], point[b]);
            const double volume = 2 * std::numbers::pi * s.r_mm * s.area * weight[a] * weight[b];
            for (std::size_t i = 0; i < 8; ++i) {
                const double zi = s.by_z[i], ri = s.by_r[i], hi = s.n[i] / s.r_mm;
                for (std::size_t j = 0; j <= i; ++j) {
                    const double zj = s.by_z[j], rj = s.by_r[j], hj = s.n[j] / s.r_mm;
                    // Strain energy: lambda (div u)² + 2 mu (ez² + er² + eh²) + mu gamma².
                    K[(2 * i) * 16 + 2 * j] += volume * ((lambda + 2 * mu) * zi * zj + mu * ri * rj);
                    K[(2 * i) * 16 + 2 * j + 1] += volume * (lambda * zi * (rj + hj) + mu * ri * zj);
                    K[(2 * i + 1) * 16 + 2 * j] += volume * (lambda * (ri + hi) * zj + mu * zi * rj);
                    K[(2 * i + 1) * 16 + 2 * j + 1] += volume * (lambda * (ri + hi) * (rj + hj) +
                                                                 2 * mu * (ri * rj + hi * hj) + mu * zi * zj);
                }
            }
        }
    }
    for (std::size_t i = 0; i < 8; ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            for (const std::size_t a : {0u, 1u}) {
                for (const std::size_t b : {0u, 1u})
                    K[(2 * j + b) * 16 + 2 * i + a] = K[(2 * i + a) * 16 + 2 * j + b];
            }
        }
    }
    return K;
}

double quad_hoop_MPa(const Mesh& mesh, const Quad& quad, const Elastic& elastic,
                     const std::array<double, 16>& displacement_mm, double xi, double eta) {
    const auto [lambda, mu] = moduli(elastic);
    const Shapes s = shapes_at(mesh, quad, xi, eta);
    double e_z = 0, e_r = 0, e_hoop = 0;
    for (std::size_t k = 0; k < 8; ++k) {
        e_z += s.by_z[k] * displacement_mm[2 * k];
        e_r += s.by_r[k] * displacement_mm[2 * k + 1];
        e_hoop += s.n[k] * displacement_mm[2 * k + 1] / s.r_mm;
    }
    return lambda * (e_z + e_r + e_hoop) + 2 * mu * e_hoop;
}

}  // namespace halfturn::fit
