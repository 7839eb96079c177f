#include "curve/grip_table.hpp"

namespace halfturn::curve {

double GripTable::at(double mu) const {
    if (mu <= friction.front()) return N_per_um.front() * mu / friction.front();
    for (std::size_t i = 1; i < friction.size(); ++i)
        if (mu <= friction[i])
            return N_per_um[i - 1] +
                   (N_per_um[i] - N_per_um[i - 1]) * (mu - friction[i - 1]) / (friction[i] - friction[i - 1]);
    return N_per_um.back() * mu / friction.back();
}

}  // namespace halfturn::curve
