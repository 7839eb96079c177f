#include "plan/plan.hpp"
#include "plan/words.hpp"

namespace halfturn::plan {

namespace {

template <class Part>
std::string named(const Choice<Part>& choice, const char* what) {
    return choice.chosen ? choice.chosen->name : std::string("a ") + what + " that suits";
}

std::string torque_words(const Plan& plan) {
    if (!plan.torque) return "";
    return " Wrench at " + newton_metres(plan.torque->set_Nm) + ".";
}

void pull_steps(std::vector<std::string>& steps, const Plan& plan) {
    const Band& force = plan.expectation.break_loose_N;
    steps.push_back("Snug the nut by hand with the force zeroed while the stack is loose; look that the screw stands straight.");
    steps.push_back("Turn a sixth of a turn, pause, read; again until it lets go, between " + newtons(force.low) + " and " +
                    newtons(force.high) + "." + torque_words(plan) + " Stop there" +
                    (plan.limit_N ? ", and at " + newtons(*plan.limit_N) + " in any case." : "."));
    steps.push_back("Then turn slowly until the ring is clear, one hand away from the screw's line.");
}

void out_of_pair(std::vector<std::string>& steps, const Plan& plan) {
    steps.push_back("First bearing, off the axis: push the spacer aside, pass " + named(plan.parts.drift, "drift with a reach") +
                    " through the bore and let it stand behind the inner ring, all of its edge on the ring.");
    steps.push_back("Set " + named(plan.parts.support, "support") + " on the housing round that bearing, clear of rings, seals "
                    "and threads; " + named(plan.parts.screw, "screw") + " through it, then the nut.");
    pull_steps(steps, plan);
    steps.push_back("Take the spacer out and measure its length.");
    steps.push_back("Second bearing, straight through: a drift that pushes on its ring all round, the way being free now; plan it "
                    "as a job of its own, with access = \"through\".");
}

void into_seat(std::vector<std::string>& steps, const Plan& plan, const JobFile& job) {
    const Band& force = plan.expectation.break_loose_N;
    steps.push_back("Bearing to its seat, square, with " + named(plan.parts.plug, "centring plug") + " in its bore and " +
                    named(plan.parts.drift, "drift") + " on its " +
                    (plan.parts.push.on == Push::On::outer_ring ? "outer" : "inner") + " ring; " +
                    named(plan.parts.support, "support") + " on the far side.");
    steps.push_back("Turn slowly. The force should rise to " + newtons(force.low) + " to " + newtons(force.high) +
                    " and then steeply as the ring comes home: stop there." + torque_words(plan));
    if (job.spacer) {
        steps.push_back("Spacer in, on the inner ring. Then the second bearing, both rings of the first supported on its far "
                        "side and both rings of the second pushed, so that nothing goes through the balls.");
    }
    steps.push_back("Turn each bearing by hand: it must run free. With the axle clamped, turn it again: a spacer that is too "
                    "short or too long loads the balls.");
}

}  // namespace

std::vector<std::string> order_of_work(const Plan& plan, const JobFile& job) {
    std::vector<std::string> steps;
    if (plan.answer == Answer::not_this_way) {
        steps.push_back("Do not start: first mend what stands under \"not this way\".");
        return steps;
    }
    steps.push_back("Eye protection on. Clean screw and nut, grease them, look for bends and worn threads.");
    if (plan.facts.work == Work::in) {
        steps.push_back("Clean and look over the seat: no burrs, no old compound, bore measured at three places.");
        into_seat(steps, plan, job);
        return steps;
    }
    if (plan.facts.access == Access::past_spacer) {
        out_of_pair(steps, plan);
    } else {
        steps.push_back("Drift: " + named(plan.parts.drift, "drift") + " on the " +
                        (plan.parts.push.on == Push::On::outer_ring ? "outer" : "inner") + " ring from inside, " +
                        named(plan.parts.support, "support") + " outside on the housing, " + named(plan.parts.screw, "screw") +
                        " through both, then the nut.");
        pull_steps(steps, plan);
    }
    steps.push_back("Check the seat: scratches, shine of creep, bore measured at three places; keep the job's review.");
    if (plan.facts.access == Access::past_spacer || job.spacer)
        steps.push_back("In again: first bearing on its outer ring, spacer, second bearing with both rings of the first supported; "
                        "compare the spacer's length with the distance of the shoulders. Plan that with work = \"in\".");
    return steps;
}

}  // namespace halfturn::plan
