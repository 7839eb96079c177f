// The plan on the page: the answer, the section drawing and the set-up card of the job at hand, or of a form that is still
// being filled in.
//   PagePlan plan("drawer.toml", "rig.toml", 1);   plan.of_job(job, rig);
//   server.answer("plan", [&](const screen::Question& question) { return plan.answer(question); });
#pragma once

#include <cstdint>
#include <deque>
#include <mutex>
#include <optional>
#include <string>

#include "command/planned.hpp"
#include "screen/server.hpp"

namespace halfturn::command {

class PagePlan {
public:
    // Without an inventory file only practice jobs have a plan, made with the example's parts. Throws BadInput for a file that
    // can't be used.
    PagePlan(const std::string& inventory_file, std::string rig_file, std::uint64_t seed);

    // The job that the page shows from now on.
    void of_job(const JobFile& job, const RigFile& rig, bool practice);

    // On one thread at a time. Asked for "": the plan of the job at hand, null without parts to plan it with; told a form: its
    // plan. Either is {"number":N,"answer":"…","words":"…","card":{"document":…}}, with the figure's shapes left out, since
    // "drawing/N" draws them; "card/N" is the set-up card to print. Throws BadInput with what to mend.
    screen::Answer answer(const screen::Question& question);

private:
    struct AtHand {
        JobFile job;
        RigFile rig;
        bool practice = false;
    };
    struct Made {
        int number = 0;
        std::string drawing_json, card_json;
    };
    screen::Answer plan_of(const AtHand& at_hand);
    screen::Answer drawn(const std::string& path) const;

    std::optional<plan::Inventory> inventory_;
    std::string rig_file_;
    std::uint64_t seed_;
    std::mutex mutex_;                // guards what is at hand
    std::optional<AtHand> at_hand_;
    std::deque<Made> made_;           // the newest few; only the answering thread
    int numbers_ = 0;
};

}  // namespace halfturn::command
