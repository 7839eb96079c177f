#include "command/review_answers.hpp"

#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <mutex>
#include <thread>

#include "command/certificates.hpp"
#include "command/job_text.hpp"
#include "command/query_string.hpp"
#include "command/readings_answer.hpp"
#include "command/review_text.hpp"
#include "command/reviewed_job.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "record/store_files.hpp"
#include "report/kept_certificates.hpp"
#include "review/finding.hpp"
#include "review/recorded_curve.hpp"
#include "review/search/job_index.hpp"
#include "review/trend_jobs.hpp"
#include "watch/rule.hpp"

namespace halfturn::command {
namespace {

using screen::Answer;

constexpr std::size_t usual_page = 50, largest_page = 500;
constexpr std::size_t links_at_once = 1000;  // what a list waits for; the rest is taken in between questions
constexpr std::int64_t most_unread = 1000;   // counted no further
constexpr auto busy_pause = std::chrono::seconds(2);

record::Store opened(const std::string& path) { return record::Store::open(path, record::Mode::read); }

Answer json_answer(std::string body) { return {200, "application/json", std::move(body)}; }

std::size_t count_of(const std::string& text, std::size_t most) {
    const auto number = parse_integer(text);
    if (!number || *number < 1) throw BadInput(shown(text) + " is not a number of jobs");
    return std::min(static_cast<std::size_t>(*number), most);
}

std::int64_t job_number(const std::string& text) {
    const auto number = parse_integer(text);
    if (!number || *number < 1) throw BadInput(shown(text) + " is not a job's number");
    return *number;
}

Answer compared(record::Store& store, const std::string& query) {
    review::Align align = review::Align::contact;
    std::vector<record::JobRow> jobs;
    for (const auto& [name, value] : query_pairs(query)) {
        if (name == "align") {
            const auto found = review::align_from_name(value);
            if (!found) throw BadInput("align must be contact or release, not " + shown(value));
            align = *found;
        } else if (name == "jobs") {
            for (const std::string& number : split_list(value)) {
                // Looked at before any curve is read, so that a long list costs nothing.
                if (jobs.size() >= review::most_compared)
                    throw BadInput("at most " + std::to_string(review::most_compared) + " jobs can be laid over one another");
                jobs.push_back(record::find_job(store, std::to_string(job_number(number))));
            }
        } else {
            throw BadInput("a comparison has no " + shown(name));
        }
    }
    std::vector<review::PullCurve> curves;
    for (const record::JobRow& job : jobs) curves.push_back(review::recorded_curve(store, job));
    return json_answer(compared_json(review::compare(curves, align), jobs));
}

Answer like(record::Store& store, const std::string& id, const std::string& query) {
    std::size_t most = 10;
    for (const auto& [name, value] : query_pairs(query))
        if (name == "most") most = count_of(value, 50);
    review::JobIndex index = review::JobIndex::beside(store);
    index.catch_up(store, links_at_once);
    return json_answer(like_json(jobs_like(index, store, job_number(id), most)));
}

Answer values(record::Store& store, const std::string& field, const std::string& query) {
    std::string begins;
    for (const auto& [name, value] : query_pairs(query))
        if (name == "begins") begins = value;
    review::JobIndex index = review::JobIndex::beside(store);
    JsonWriter json;
    json.array();
    for (const std::string& value : index.values(field, begins)) json.text(value);
    return json_answer(json.end().take());
}

Answer fields() {
    JsonWriter json;
    json.object().key("calls").array();
    for (const Call call : {Call::nothing_unusual, Call::look_closer, Call::cant_tell, Call::stop_and_inspect})
        json.object().put("id", call_id(call)).put("words", call_words(call)).end();
    json.end().key("warnings").array();
    for (const auto& rule : make_all_rules()) json.object().put("id", rule->info().id).put("call", call_id(rule->info().call)).end();
    json.end().key("findings").array();
    for (const auto& finding : review::make_all_findings())
        json.object().put("id", finding->info().id).put("words", finding->info().title).end();
    return json_answer(json.end().end().take());
}

Answer calibrations(record::Store& store) {
    const std::string today = today_utc();
    JsonWriter json;
    json.object().put("today", std::string_view(today)).key("certificates").array();
    for (const report::KeptCertificate& kept : report::read_kept_certificates(store)) {
        json.object().put("id", std::string_view(kept.id)).put("kind", std::string_view(kept.kind)).put("rig", std::string_view(kept.rig));
        json.put("channel", std::string_view(kept.channel))
            .put("configuration", std::string_view(kept.configuration))
            .put("made", std::string_view(kept.made));
        json.put("valid_until", std::string_view(kept.valid_until))
            .put("state", report::certificate_state(kept, today))
            .put("supersedes", std::string_view(kept.supersedes));
        json.put("superseded_by", std::string_view(kept.superseded_by)).put("page", certificate_page(kept, today)).end();
    }
    return json_answer(json.end().put("head", "sha256:" + store.head()).end().take());
}

Answer trend_fields() {
    JsonWriter json;
    json.object().key("charted").array();
    for (const review::ChartedInfo& info : review::all_charted()) {
        json.object().put("id", info.id).put("title", info.title).key("work");
        if (info.work) json.text(work_name(*info.work));
        else json.null();
        json.end();
    }
    json.end().key("by").array();
    for (const auto by : {review::By::rig, review::By::family, review::By::who, review::By::instrument, review::By::calibration})
        json.text(review::by_id(by));
    return json_answer(json.end().end().take());
}

Answer trends(record::Store& store, const std::string& query) {
    review::TrendQuestion question;
    question.chart.rules = review::usual_rules();
    review::TrendPick pick;
    for (const auto& [name, value] : query_pairs(query)) {
        if (name == "charted") {
            const auto& all = review::all_charted();
            const auto found = std::find_if(all.begin(), all.end(), [&](const review::ChartedInfo& info) { return info.id == value; });
            if (found == all.end()) throw BadInput("there is no figure " + shown(value) + " to chart");
            question.charted = found->charted;
        } else if (name == "by") {
            const auto by = review::by_from_id(value);
            if (!by) throw BadInput("jobs can't be charted by " + shown(value));
            question.by = *by;
        } else if (name == "work" && (value == "in" || value == "out")) {
            question.work = value == "in" ? Work::in : Work::out;
        } else if (name == "practice" && (value == "yes" || value == "no")) {
            pick.practice = value == "yes";
        } else {
            throw BadInput("a trend has no " + shown(name) + " of " + shown(value));
        }
    }
    const review::ChartedInfo& info = review::charted_info(question.charted);
    if (info.work && *info.work != question.work)
        throw BadInput("\"" + std::string(info.title) + "\" is no figure of bearings that are " +
                       (question.work == Work::in ? "put in" : "taken out"));
    const auto [trend, passed_over] = review::trend_of_store(store, question, pick);
    JsonWriter more;
    more.object().put("practice", pick.practice).put("passed_over", static_cast<std::int64_t>(passed_over));
    return json_answer(joined_objects(review::trend_json(trend), more.end().take()));
}

Answer photo(record::Store& store, const std::string& hash) {
    if (auto found = record::read_photo(store, hash)) return {200, std::move(found->media_type), std::move(found->bytes)};
    return {404, "", ""};
}

}  // namespace

// Reads curves for findings, one after the other, at the lowest priority, while nothing runs at the bench.
struct ReviewAnswers::CurveReader {
    CurveReader(std::string path, std::function<bool()> busy)
        : path_(std::move(path)), busy_(std::move(busy)), thread_([this] { work(); }) {}
    ~CurveReader() {
        {
            const std::lock_guard lock(mutex_);
            end_ = true;
        }
        some_.notify_all();
        thread_.join();
    }
    void wanted() {
        const std::lock_guard lock(mutex_);
        wanted_ = true;
        some_.notify_all();
    }

private:
    void work() {
        ::setpriority(PRIO_PROCESS, static_cast<id_t>(::syscall(SYS_gettid)), 19);
        std::unique_lock lock(mutex_);
        while (!end_) {
            some_.wait(lock, [&] { return end_ || wanted_; });
            wanted_ = false;
            lock.unlock();
            try {
                read_all();
            } catch (const std::exception&) {  // a store that is busy or gone: asked again with the next list
            }
            lock.lock();
        }
    }
    bool ending() {
        const std::lock_guard lock(mutex_);
        return end_;
    }
    void read_all() {
        record::Store store = opened(path_);
        review::JobIndex index = review::JobIndex::beside(store);
        while (!ending()) {
            if (busy_()) {
                std::unique_lock lock(mutex_);
                some_.wait_for(lock, busy_pause, [&] { return end_; });
                continue;
            }
            if (!index.catch_up(store, links_at_once)) continue;
            if (!index.look_at_one(store)) return;
        }
    }

    std::string path_;
    std::function<bool()> busy_;
    std::mutex mutex_;
    std::condition_variable some_;
    bool wanted_ = false, end_ = false;
    std::thread thread_;  // last: it looks at the others
};

ReviewAnswers::ReviewAnswers(std::string store_path, std::function<bool()> bench_at_work)
    : path_(std::move(store_path)), reader_(std::make_unique<CurveReader>(path_, std::move(bench_at_work))) {}
ReviewAnswers::~ReviewAnswers() = default;

Answer ReviewAnswers::jobs(const screen::Question& question) {
    review::JobQuery query;
    query.most = usual_page;
    for (const auto& [name, value] : query_pairs(question.query)) {
        if (value.empty()) continue;
        if (name == "before") query.before = job_number(value);
        else if (name == "most") query.most = count_of(value, largest_page);
        else review::narrow(query, name, value);
    }
    review::check_query(query);
    record::Store store = opened(path_);
    review::JobIndex index = review::JobIndex::beside(store);
    const bool complete = index.catch_up(store, links_at_once);
    const std::int64_t unread = index.not_looked_at(most_unread + 1);
    if (!complete || unread > 0) reader_->wanted();
    const review::Hits hits = index.find(query);
    JsonWriter more;
    more.object().put("complete", complete).put("curves_unread", std::min(unread, most_unread)).put("more_unread", unread > most_unread);
    return json_answer(joined_objects(list_json(review::read_hits(store, hits), hits, store), more.end().take()));
}

Answer ReviewAnswers::answer(const screen::Question& question) {
    if (question.post) return {405, "", ""};
    const auto slash = question.path.find('/');
    const std::string what = question.path.substr(0, slash), which = slash == std::string::npos ? "" : question.path.substr(slash + 1);
    if (what == "fields") return fields();
    if (what == "trends" && which == "fields") return trend_fields();
    if (record::file_size(path_) < 0) {
        // A bench on its first day: an empty list, not a fault.
        if (what == "jobs") return json_answer(R"({"total":0,"more":false,"jobs":[],"complete":true,"curves_unread":0,"more_unread":false})");
        if (what == "calibrations") return json_answer(R"({"certificates":[]})");
    }
    if (what == "jobs") return jobs(question);
    record::Store store = opened(path_);
    if (what == "job") return json_answer(reviewed_json(store, review_job(store, std::to_string(job_number(which))), true));
    if (what == "readings")
        return json_answer(readings_json(store, record::find_job(store, std::to_string(job_number(which))), question.query));
    if (what == "compare") return compared(store, question.query);
    if (what == "like") return like(store, which, question.query);
    if (what == "values") return values(store, which, question.query);
    if (what == "calibrations") return calibrations(store);
    if (what == "trends") return trends(store, question.query);
    if (what == "photo") return photo(store, which);
    return {404, "", ""};
}

}  // namespace halfturn::command
