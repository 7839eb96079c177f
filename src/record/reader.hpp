// Reads jobs back: the list, one job's set-up, its events exactly as they were recorded, what was made of it.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/event.hpp"
#include "core/set_up.hpp"
#include "record/store.hpp"

namespace halfturn::record {

enum class JobState : std::uint8_t { running, ended, cut_off };
std::string_view state_name(JobState state);  // "running", "ended", "cut-off"

struct JobRow {
    std::int64_t number = 0;
    std::string job_id;
    std::int64_t started_utc_ms = 0;
    std::optional<bool> clock_synchronised;
    Origin origin = Origin::live;
    std::string program;                       // version that recorded it
    Work work = Work::out;
    std::string item, seat, set, who, designation, rig;
    bool practice = false;
    JobState state = JobState::running;        // a job whose recorder died reads cut_off even before it is marked so
    std::optional<std::int64_t> ended_utc_ms;
    std::string ending;
    std::int64_t events = 0;
    double length_s = 0;                       // time of the last recorded event
    std::string call;                          // of the newest judgement; empty when there is none
};

struct JobFilter {
    std::string item, seat, set;               // empty: any
    std::size_t most = 0;                      // 0: all
    std::int64_t before = 0;                   // only numbers below this; 0: all. For pages of a long list
};
std::vector<JobRow> list_jobs(Store& store, const JobFilter& filter = {});  // newest first

// By number ("17"), full id, or the beginning of an id that fits only one job. Throws BadInput saying what there is.
JobRow find_job(Store& store, std::string_view id);

std::string read_set_up_json(Store& store, std::int64_t job);
SetUp read_set_up(Store& store, std::int64_t job);

// Calls `sink` for each event in order until it answers false. Throws Failure naming the block that can't be read.
void for_each_event(Store& store, std::int64_t job, const std::function<bool(const Event&)>& sink);
std::vector<Event> read_events(Store& store, std::int64_t job);

struct JudgedRow {
    std::int64_t id = 0, made_utc_ms = 0;
    Judged judged;
};
std::vector<JudgedRow> read_judgements(Store& store, std::int64_t job);  // oldest first

struct EntryRow {
    std::int64_t id = 0, made_utc_ms = 0;
    std::optional<std::int64_t> job;
    std::string kind, who, item, seat, json;
};
std::optional<EntryRow> find_entry(Store& store, std::int64_t id);
std::vector<EntryRow> read_entries(Store& store, std::int64_t job);
std::vector<EntryRow> read_entries_of_seat(Store& store, std::string_view item, std::string_view seat);

struct PhotoRow {
    std::string media_type, bytes;
};
// By the 64 hex digits of its SHA-256; nothing when the store keeps no such photo.
std::optional<PhotoRow> read_photo(Store& store, std::string_view sha256_hex);

struct CertificateRow {
    std::int64_t id = 0, made_utc_ms = 0;
    std::string certificate_id, json;
};
std::vector<CertificateRow> read_certificates(Store& store);  // newest first

}  // namespace halfturn::record
