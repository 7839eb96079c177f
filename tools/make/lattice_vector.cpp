// Makes the generating vector of src/curve/lattice.cpp: component by component, the rank-1 lattice with the smallest
// worst-case error in the Korobov space of smoothness 2 with product weights 1/j^2 (Nuyens & Cools, Math. Comp. 75, 2006).
//   g++ -O2 -std=c++20 tools/make/lattice_vector.cpp -o lattice_vector && ./lattice_vector
#include <cstdio>
#include <numbers>
#include <vector>

int main() {
    constexpr unsigned points = 1u << 16, dimensions = 16;
    std::vector<double> omega(points), product(points, 1.0);
    for (unsigned i = 0; i < points; ++i) {
        const double x = i / double(points);
        omega[i] = 2 * std::numbers::pi * std::numbers::pi * (x * x - x + 1.0 / 6);
    }
    std::vector<unsigned> vector;
    for (unsigned j = 1; j <= dimensions; ++j) {
        unsigned best = 1;
        double least = 1e300;
        for (unsigned z = 1; z < points / 2; z += 2) {
            bool used = false;
            for (unsigned v : vector) used = used || v == z;
            if (used || (j == 1 && z > 1)) continue;
            double error = 0;
            for (unsigned i = 0, k = 0; i < points; ++i, k = (k + z) % points) error += omega[k] * product[i];
            if (error < least) { least = error; best = z; }
        }
        vector.push_back(best);
        for (unsigned i = 0, k = 0; i < points; ++i, k = (k + best) % points) product[i] *= 1 + omega[k] / (j * j);
        std::printf("%u, ", best);
    }
    std::puts("");
}
