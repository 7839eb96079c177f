#include "practice/random.hpp"

namespace halfturn::practice {

Random::Random(std::uint64_t seed, std::string_view stream) {
    std::uint64_t mixed = 14695981039346656037ULL ^ (seed * 0x9E3779B97F4A7C15ULL);  // FNV-1a over the stream's name
    for (const char c : stream) mixed = (mixed ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
    engine_.seed(mixed);
}

double Random::between(double low, double high) {
    return low + (high - low) * (static_cast<double>(engine_() >> 11) * 0x1.0p-53);
}

int Random::pick(int low, int high) {
    const auto choices = static_cast<std::uint64_t>(high - low + 1);
    return low + static_cast<int>(engine_() % choices);
}

double Random::normal(double deviation) {
    double sum = -6;
    for (int i = 0; i < 12; ++i) sum += between(0, 1);
    return sum * deviation;
}

}  // namespace halfturn::practice
