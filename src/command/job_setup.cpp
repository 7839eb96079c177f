#include "command/job_setup.hpp"

#include <filesystem>

#include "command/certificates.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "record/store.hpp"
#include "review/family_jobs.hpp"
#include "review/past_job.hpp"

namespace halfturn::command {
namespace {

std::string newtons_to(const Band& band) { return fixed_text(band.low, 0) + " to " + fixed_text(band.high, 0) + " N"; }

}  // namespace

std::string store_or_usual(const std::string& given) { return given.empty() ? record::default_store_path() : given; }

curve::Frozen frozen_set_up(const JobFile& job, RigFile rig, const std::string& store_path, std::uint64_t seed,
                            const curve::FamilyJobs* family) {
    std::vector<std::string> marks;
    if (names_certificates(rig)) {
        record::Store store = record::Store::open(store_or_usual(store_path), record::Mode::read);
        marks = apply_certificates(rig, store, today_utc());
    } else {
        marks.push_back("no calibration certificate is named in the rig file");
    }
    curve::Frozen frozen = curve::freeze(job, rig, seed, family);
    if (const auto& learned = frozen.expectation.family; learned && learned->used > 0)
        marks.push_back("the expected force is learned from " + std::to_string(learned->used) +
                        (learned->used == 1 ? " earlier job" : " earlier jobs") +
                        " of the family: " + newtons_to(learned->posterior.break_loose_N) + ", without " +
                        (learned->used == 1 ? "it " : "them ") + newtons_to(learned->prior.break_loose_N));
    frozen.set_up.marks = std::move(marks);
    return frozen;
}

void add_family_option(CLI::App& command, bool& family) {
    command.add_flag("--family", family, "Learn from the store's earlier jobs of the same bearing, housing and seat class");
}

curve::FamilyJobs family_of(const JobFile& job, const std::string& store_path, bool practice) {
    const std::string path = store_or_usual(store_path);
    if (!std::filesystem::exists(path)) {
        if (!store_path.empty()) throw BadInput("there is no store " + path + ": --family learns from the jobs kept in one");
        curve::FamilyJobs none;
        none.name = review::family_name(job);
        return none;
    }
    record::Store store = record::Store::open(path, record::Mode::read);
    return review::family_jobs(store, job, {.practice = practice});
}

}  // namespace halfturn::command
