// halfturn serve: the page at the bench, from filling in a job to its end, one job after the other.
#include <unistd.h>

#include <atomic>
#include <condition_variable>
#include <cstdio>
#include <deque>
#include <memory>
#include <mutex>
#include <optional>

#include "command/command.hpp"
#include "command/examples.hpp"
#include "command/job_setup.hpp"
#include "command/page_family.hpp"
#include "command/page_plan.hpp"
#include "command/page_record.hpp"
#include "command/page_series.hpp"
#include "command/practice_list.hpp"
#include "command/review_answers.hpp"
#include "command/terminal/qr_square.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "fit/bearings.hpp"
#include "fit/materials.hpp"
#include "live/live_job.hpp"
#include "screen/desk.hpp"
#include "screen/job_form.hpp"
#include "screen/set_order.hpp"
#include "screen/server.hpp"
#include "screen/state_json.hpp"

namespace halfturn::command {
namespace {

constexpr int usual_port = 8437;  // always the same, so that a browser remembers the last form

struct ServeOptions {
    std::string rig, reference_rig, inventory, daily_log, store;
    std::int64_t seed = 1;
    double brisk = 1;
    int port = usual_port;
    bool lan = false, family = false, json = false;
};

// Acts for a bench without a job, and the wish to end.
class Wishes {
public:
    void put(const screen::PageAct& act) {
        const std::lock_guard lock(mutex_);
        if (acts_.size() < most_waiting) acts_.push_back(act);
        some_.notify_one();
    }
    void end() {
        const std::lock_guard lock(mutex_);
        ended_ = true;
        some_.notify_one();
    }
    // What was pressed twice must not start a second job after the first.
    void forget() {
        const std::lock_guard lock(mutex_);
        acts_.clear();
    }
    std::optional<screen::PageAct> take() {  // waits; nothing when it is time to end
        std::unique_lock lock(mutex_);
        some_.wait(lock, [&] { return ended_ || !acts_.empty(); });
        if (ended_) return {};
        const screen::PageAct act = acts_.front();
        acts_.pop_front();
        return act;
    }

private:
    std::mutex mutex_;
    std::condition_variable some_;
    static constexpr std::size_t most_waiting = 8;
    std::deque<screen::PageAct> acts_;
    bool ended_ = false;
};

std::string choices_json(const ServeOptions& options, const std::vector<PracticeJob>& practice) {
    JsonWriter json;
    json.object().key("bearings").array();
    for (const auto& name : fit::bearing_designations()) {
        const fit::Bearing b = fit::find_bearing(name);
        if (name == b.also) continue;  // stands there under its full number
        json.object()
            .put("designation", b.designation)
            .put("also", b.also)
            .put("d_mm", b.d_mm)
            .put("D_mm", b.D_mm)
            .put("B_mm", b.B_mm)
            .end();
    }
    json.end().key("materials").array();
    for (const auto& name : fit::material_names()) json.text(name);
    json.end().key("practice").array();
    for (const auto& job : practice) json.object().put("name", job.name).put("what", job.what).put("work", job.work).end();
    json.end()
        .put("rig", options.rig)
        .put("inventory", options.inventory)
        .put("reference_rig", options.reference_rig)
        .put("family", options.family);
    return json.end().take();
}

class Bench {
public:
    explicit Bench(const ServeOptions& options)
        : options_(options), practice_(practice_jobs()),
          plan_(options.inventory, options.rig, static_cast<std::uint64_t>(options.seed)),
          series_({options.rig, options.reference_rig, options.daily_log, store_or_usual(options.store),
                   static_cast<std::uint64_t>(options.seed)}),
          answers_(store_or_usual(options.store), [this] { return at_work_.load(); }),
          server_({.port = static_cast<unsigned short>(options.port), .lan = options.lan}, [this](const screen::PageAct& act) {
              if (!desk_.act(act) && !series_.act(act)) wishes_.put(act);
          }) {
        desk_.publish_to(server_);
        series_.publish_to(server_);
        server_.answer("review", [this](const screen::Question& question) { return answers_.answer(question); });
        server_.publish_data("choices", choices_json(options_, practice_));
        server_.publish(screen::idle_state_json(""));
        const std::string store = store_or_usual(options_.store);
        server_.answer("found", [store](const screen::Question& question) { return keep_found(store, question); });
        server_.answer("plan", [this](const screen::Question& question) { return plan_.answer(question); });
        server_.answer("family", [this, store](const screen::Question& question) {
            return family_answer(question, options_.rig, store, static_cast<std::uint64_t>(options_.seed));
        });
        server_.answer("set", [this, store](const screen::Question&) { return set_so_far(store, form()); });
        server_.on_signal([this] { wishes_.end(); });
    }

    void run() {
        tell_where();
        while (const auto wish = wishes_.take()) {
            try {
                carry_out(*wish);
            } catch (const BadInput& problem) {
                server_.publish(screen::idle_state_json(problem.what()));
            } catch (const Failure& problem) {
                server_.publish(screen::idle_state_json(problem.what()));
            }
        }
    }

private:
    void tell_where() {
        if (options_.json) {
            JsonWriter json;
            json.object().put("address", server_.address()).key("for_others").array();
            for (const auto& address : server_.addresses_for_others()) json.text(address);
            print(json.end().end().take() + "\n");
            return;
        }
        print("The page is at " + server_.address() + "   Ctrl-C ends.\n");
        if (options_.rig.empty()) print("No --rig was given: only practice jobs can be started.\n");
        if (!options_.lan) return;
        server_.on_new_key([this] { invite(); });
        invite();
        print("A tablet's browser keeps its screen awake only for pages of the tablet itself or over https. So set its screen time-out\n"
              "to the longest; \"Tablet and phone\" on the page's start says what else helps.\n");
    }

    // The one-time address, as text and to be scanned; once used, the next one.
    void invite() const {
        const std::vector<std::string> addresses = server_.addresses_for_others();
        if (addresses.empty()) return print("No network address was found for other devices.\n");
        std::string text = "One other device may come in by this address, then there is a new one:\n";
        if (::isatty(1) == 1) text += square_or_why_not(addresses.front());
        for (std::size_t i = 0; i < addresses.size(); ++i) text += (i ? "or  " : "    ") + addresses[i] + "\n";
        print(text);
    }

    static std::string square_or_why_not(const std::string& address) {
        try {
            return qr_square(address);
        } catch (const Failure& problem) {
            return std::string("(No code to scan: ") + problem.what() + ")\n";
        }
    }

    void carry_out(const screen::PageAct& wish) {
        if (wish.act == "start") {
            if (options_.rig.empty()) throw BadInput("this bench was started without --rig; end it and start `halfturn serve --rig FILE`");
            const JsonValue form = with_seat(wish.form);
            const JobFile job = read_job_text(screen::job_text_from_form(form), "the form");
            {
                const std::lock_guard lock(form_mutex_);
                form_ = form;
            }
            run_job(job, read_rig_file(options_.rig), "", lets_family_narrow(form, options_.family));
        } else if (wish.act == "practice") {
            const PracticeJob& job = find_practice_job(practice_, wish.text);
            const std::string_view kind = job.work == "in" ? "job-in" : "job";
            RigFile rig = options_.rig.empty() ? read_rig_text(std::string(find_example("rig")->text), "the example rig")
                                               : read_rig_file(options_.rig);
            run_job(read_job_text(std::string(find_example(kind)->text), "the example job"), std::move(rig), job.name, options_.family);
        } else if (wish.act == "calibrate") {
            series_.run(wish.form);
            wishes_.forget();
            server_.publish(screen::idle_state_json(""));
        } else if (wish.act == "next") {
            server_.publish(screen::idle_state_json(""));
        }
    }

    // A form that names the seats in their order and none of them begins with the first.
    static JsonValue with_seat(const JsonValue& form) {
        const JsonValue* seat = form.find("seat");
        if (seat && !screen::trimmed(seat->text()).empty()) return form;
        const auto first = screen::next_form_of_set(form, {});
        return first ? JsonValue::parse(*first, "the form") : form;
    }

    JsonValue form() {
        const std::lock_guard lock(form_mutex_);
        return form_;
    }

    void run_job(const JobFile& job, RigFile rig, const std::string& practice, bool learn) {
        plan_.of_job(job, rig, !practice.empty());
        std::optional<curve::FamilyJobs> family;
        if (learn) family = family_so_far(job, options_.store, !practice.empty());
        curve::Frozen frozen = frozen_set_up(job, std::move(rig), options_.store, static_cast<std::uint64_t>(options_.seed),
                                             family ? &*family : nullptr);
        frozen.set_up.practice = !practice.empty();
        live::Options how;
        how.store_path = store_or_usual(options_.store);
        how.practice = practice;
        how.seed = static_cast<std::uint64_t>(options_.seed);
        how.brisk = options_.brisk;
        live::LiveJob live_job(std::move(frozen.set_up), how);
        const auto shown = desk_.show(live_job);
        const AtWork at_work(at_work_);
        live_job.on_change = [this] { desk_.changed(); };
        live_job.run();
        wishes_.forget();
        desk_.changed();
        for (const auto& remark : live_job.recorder_remarks()) std::fprintf(stderr, "halfturn: %s\n", remark.c_str());
        if (!options_.json)
            print("Job " + live_job.job_id() + ", " + live_job.ending() +
                  (live_job.stage() == live::Stage::ended ? ": " + std::string(call_words(live_job.judge().judgement().call))
                                                          : "") +
                  ".\n");
    }

    struct AtWork {
        std::atomic<bool>& flag;
        explicit AtWork(std::atomic<bool>& f) : flag(f) { flag = true; }
        ~AtWork() { flag = false; }
    };

    ServeOptions options_;
    std::vector<PracticeJob> practice_;
    PagePlan plan_;
    PageSeries series_;
    std::mutex form_mutex_;  // guards what was filled in last, for whoever answers the page
    JsonValue form_;
    Wishes wishes_;
    screen::Desk desk_;
    std::atomic<bool> at_work_{false};
    ReviewAnswers answers_;
    screen::Server server_;  // last: its thread calls into the others
};

void add_serve(CLI::App* command, Status& status) {
    auto options = std::make_shared<ServeOptions>();
    command->add_option("--rig", options->rig, "Rig file (TOML); without it only practice jobs can be started");
    command->add_option("--reference-rig", options->reference_rig,
                        "Rig file (TOML) of a reference cell, for a force series; without it, its reading is typed");
    command->add_option("--inventory", options->inventory, "The parts this bench owns (TOML), for the plan on the page");
    add_family_option(*command, options->family);
    command->add_option("--daily-log", options->daily_log,
                        "CSV of the daily checks (`halfturn calibrate daily --help`), to which the page adds today's line");
    command->add_option("--store", options->store, "Store file, instead of the usual one");
    command->add_option("--port", options->port, "Port on this machine, 8437 when not given; 0 takes any free one")
        ->check(CLI::Range(0, 65535));
    command->add_flag("--lan", options->lan, "Let other devices look on, each let in by a one-time address");
    command->add_option("--seed", options->seed, "Seed of the expectation and of practice jobs")->check(CLI::NonNegativeNumber);
    command->add_option("--brisk", options->brisk, "Practice: factor on the hand's speed once the ring moves")
        ->check(CLI::Range(0.05, 5.0));
    command->add_flag("--json", options->json, "Print the addresses as JSON and nothing else");
    command->callback([options, &status] {
        Bench(*options).run();
        status.code = 0;
    });
}

}  // namespace

extern const Command command_serve;
const Command command_serve{"serve", "Serve the page at the bench: start jobs, watch them, practise", add_serve};

}  // namespace halfturn::command
