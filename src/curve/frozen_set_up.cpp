#include "curve/frozen_set_up.hpp"

namespace halfturn::curve {

Frozen freeze(const JobFile& job, const RigFile& rig, std::uint64_t seed, const FamilyJobs* family) {
    Frozen out;
    out.facts = facts_from(job, &rig);
    out.expectation = expect(out.facts, seed, family);
    SetUp& s = out.set_up;
    s.work = job.work;
    s.access = job.access;
    s.rig = rig.name;
    s.ports = rig.ports;
    s.channels = rig.channels;
    s.lead_s = rig.press.lead_s;
    s.drift_reach_mm = job.drift.reach_mm.value_or(0);
    put_into(out.expectation, out.facts, s);
    s.item = job.item;
    s.seat = job.seat;
    s.set = job.set;
    s.who = job.who;
    s.designation = job.bearing.designation;
    s.job_text = job.text;
    s.rig_text = rig.text;
    return out;
}

}  // namespace halfturn::curve
