#include "curve/widest_input.hpp"

#include <cmath>
#include <functional>
#include <vector>

#include "core/number_text.hpp"
#include "curve/band.hpp"
#include "curve/draws.hpp"

namespace halfturn::curve {

namespace {

constexpr std::uint32_t grips_compared = 1u << 10;
constexpr std::uint32_t frictions_compared = 4;

double band_width_N(const SeatFacts& facts, std::uint64_t seed) {
    auto forces = break_loose_forces_N(facts, draw_grips(facts, grips_compared, seed), frictions_compared);
    const Band band = band_of(forces);
    return band.high - band.low;
}

const fit::Source frozen_source{fit::Basis::assumed, "taken as known"};

Doubt frozen(const Doubt& doubt) { return exactly(doubt.middle(), frozen_source); }

struct Candidate {
    std::string what;    // "The seat's bore"
    std::string action;  // "measuring it to 3 µm"
    std::function<void(SeatFacts&)> freeze;
    std::function<void(SeatFacts&)> improve;
};

// A diameter, by its deviation in um: limits become a measurement, a measurement a three times better one.
Candidate diameter(const std::string& what, Doubt SeatFacts::*which, const SeatFacts& facts) {
    const Doubt& now = facts.*which;
    const double u_um = now.spread == Spread::normal && now.b <= 4 ? now.b / 3 : 3;
    const bool again = now.spread == Spread::normal;
    return {
        what,
        std::string(again ? "measuring it again, to " : "measuring it to ") + figures_text(u_um, 1) + " µm",
        [which](SeatFacts& f) { f.*which = frozen(f.*which); },
        [which, u_um](SeatFacts& f) { f.*which = normal((f.*which).middle(), u_um, frozen_source); }};
}

std::vector<Candidate> candidates(const SeatFacts& facts) {
    std::vector<Candidate> list;
    list.push_back(diameter("The seat's bore", &SeatFacts::bore_um, facts));
    list.push_back(diameter("The outer ring's diameter", &SeatFacts::ring_um, facts));
    list.push_back({"Friction",
                    facts.surface == Surface::unknown
                        ? "saying whether the seat is dry or oiled, and a few recorded jobs of this kind,"
                        : "a few recorded jobs of this kind (friction to 15 %)",
                    [](SeatFacts& f) { f.friction = frozen(f.friction); },
                    [](SeatFacts& f) {
                        const double middle = f.friction.middle();
                        f.friction = log_range(middle / 1.15, middle * 1.15, frozen_source);
                    }});
    const bool shapeless = facts.shape == HousingShape::unknown && !facts.has_section;
    list.push_back({shapeless ? "The housing's shape" : "The grip of this ring and housing",
                    shapeless ? "saying what lies behind the seat" : "giving the housing's section",
                    [](SeatFacts& f) { f.grip_model = frozen(f.grip_model); },
                    [](SeatFacts& f) { f.grip_model = normal(1, 0.03, frozen_source); }});
    list.push_back({"The housing's wall", "measuring its outside diameter",
                    [](SeatFacts& f) { f.hub_outside_mm = frozen(f.hub_outside_mm); },
                    [](SeatFacts& f) { f.hub_outside_mm = frozen(f.hub_outside_mm); }});
    list.push_back({"The housing's material", "naming it",
                    [](SeatFacts& f) { f.hub_E_GPa = frozen(f.hub_E_GPa); },
                    [](SeatFacts& f) { f.hub_E_GPa = frozen(f.hub_E_GPa); }});
    list.push_back({"The way the pull reaches the ring", "pushing on the outer ring, in the axis,",
                    [](SeatFacts& f) {
                        f.lambda = frozen(f.lambda);
                        f.off_axis_mm = frozen(f.off_axis_mm);
                    },
                    [](SeatFacts& f) {
                        f.lambda = exactly(0, frozen_source);
                        f.off_axis_mm = exactly(0, frozen_source);
                    }});
    if (facts.bond_MPa)
        list.push_back({"The strength of the bond", "knowing the compound (its shear strength to 20 %)",
                        [](SeatFacts& f) { f.bond_MPa = frozen(*f.bond_MPa); },
                        [](SeatFacts& f) {
                            const double middle = f.bond_MPa->middle();
                            f.bond_MPa = log_range(middle / 1.2, middle * 1.2, frozen_source);
                        }});
    return list;
}

std::string brings(double ratio) {
    if (ratio > 0.90) return "would change little: the rest of the doubt is spread over many inputs";
    if (ratio > 0.79) return "would take a sixth off this band";
    if (ratio > 0.71) return "would take a quarter off this band";
    if (ratio > 0.58) return "would take a third off this band";
    if (ratio > 0.42) return "would halve this band";
    if (ratio > 0.29) return "would cut this band to a third";
    return "would cut this band to a quarter or less";
}

}  // namespace

std::string widest_input(const SeatFacts& facts, std::uint64_t seed) {
    const double now = band_width_N(facts, seed);
    if (!(now > 0)) return "Nothing widens this band: no force is expected.";
    const auto list = candidates(facts);
    const Candidate* widest = nullptr;
    double narrowest = now;
    for (const auto& candidate : list) {
        SeatFacts changed = facts;
        candidate.freeze(changed);
        const double width = band_width_N(changed, seed);
        if (width < narrowest) {
            narrowest = width;
            widest = &candidate;
        }
    }
    if (widest == nullptr) return "No single input widens this band much.";
    SeatFacts better = facts;
    widest->improve(better);
    return widest->what + ": " + widest->action + " " + brings(band_width_N(better, seed) / now) + ".";
}

}  // namespace halfturn::curve
