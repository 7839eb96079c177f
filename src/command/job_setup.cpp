#include "command/job_setup.hpp"

#include <algorithm>

#include "command/certificates.hpp"
#include "record/store.hpp"

namespace halfturn::command {

std::string store_or_usual(const std::string& given) { return given.empty() ? record::default_store_path() : given; }

curve::Frozen frozen_set_up(const JobFile& job, RigFile rig, const std::string& store_path, std::uint64_t seed) {
    std::vector<std::string> marks;
    const bool names_certificates = std::any_of(rig.channels.begin(), rig.channels.end(), [](const auto& c) { return !c.calibration.empty(); });
    if (names_certificates) {
        record::Store store = record::Store::open(store_or_usual(store_path), record::Mode::read);
        marks = apply_certificates(rig, store, today_utc());
    } else {
        marks.push_back("no calibration certificate is named in the rig file");
    }
    curve::Frozen frozen = curve::freeze(job, rig, seed);
    frozen.set_up.marks = std::move(marks);
    return frozen;
}

}  // namespace halfturn::command
