// What really happened on the practice press, for tests that ask how early a warning came. No tool gets to see it.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "practice/press.hpp"
#include "practice/scenario.hpp"

namespace halfturn::practice {

struct Moment {
    double t_s = 0, turns = 0, screw_mm = 0, force_N = 0, slid_mm = 0;
};

class Truth {
public:
    // Follows the press; call it after every step, which should be short (0.5 ms).
    void watch(double t_s, const Press& press);
    void mishap(double t_s, const Press& press) { mishap_at = now(t_s, press); }

    std::optional<Moment> contact, release, clear, home, drift_slip, mishap_at;
    Moment peak, peak_before_release;

    // `ended_by`: how the hand came to its end; `end_s`: when everything was over.
    std::string json(const Scenario& scenario, std::string_view ended_by, double end_s) const;

private:
    static Moment now(double t_s, const Press& press);
};

}  // namespace halfturn::practice
