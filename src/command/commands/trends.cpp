// halfturn trends: how the jobs go over time, charted by rig, family, person, instrument or calibration.
#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "command/command.hpp"
#include "command/job_text.hpp"
#include "command/store_option.hpp"
#include "core/failure.hpp"
#include "core/folded_text.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "review/trend_jobs.hpp"

namespace halfturn::command {
namespace {

struct TrendsOptions {
    std::string store, of = "break-loose", by = "rig", only;
    std::vector<std::string> rules;
    std::optional<double> low, high;
    double pause_days = 30;
    std::size_t most = 500, base = 0;
    bool in = false, practice = false, json = false;
};

std::vector<std::string> figure_ids() {
    std::vector<std::string> ids;
    for (const auto& info : review::all_charted()) ids.emplace_back(info.id);
    return ids;
}

std::vector<std::string> rule_ids() {
    std::vector<std::string> ids{"usual", "all"};
    for (const review::RunRule rule : review::all_rules().rules) ids.emplace_back(review::run_rule_id(rule));
    return ids;
}

review::RunRules rules_of(const std::vector<std::string>& ids) {
    if (ids.empty()) return review::usual_rules();
    review::RunRules rules;
    for (const std::string& id : ids) {
        if (id == "all") return review::all_rules();
        if (id == "usual")
            for (const review::RunRule rule : review::usual_rules().rules) rules.rules.push_back(rule);
        else rules.rules.push_back(review::run_rule_from_id(id).value());
    }
    return rules;
}

review::TrendQuestion question_of(const TrendsOptions& options) {
    review::TrendQuestion question;
    for (const auto& info : review::all_charted())
        if (info.id == options.of) question.charted = info.charted;
    const review::ChartedInfo& info = review::charted_info(question.charted);
    question.work = options.in || info.work == Work::in ? Work::in : Work::out;
    if (info.work && *info.work != question.work)
        throw BadInput(
            "\"" + options.of +
            "\" is a figure of bearings that come out; with --in there are interference, friction, contact and driving");
    question.by = review::by_from_id(options.by).value();
    question.chart.rules = rules_of(options.rules);
    question.chart.base = options.base;
    question.pause_days = options.pause_days;
    question.low = options.low;
    question.high = options.high;
    if (options.low && options.high && !(*options.low < *options.high))
        throw BadInput("--low " + number_text(*options.low) + " is not below --high " + number_text(*options.high));
    return question;
}

std::string alarms_text(const review::RunRules& rules) {
    const auto usual = review::usual_rules().rules;
    std::string text = "# marks a signal. ";
    if (rules.rules == usual)
        text += "Of jobs that are in order, chance makes one in about " + number_text(review::usual_false_alarm_every) + " signal.";
    else text += "More rules cry wolf more often: all eight together on one job in 74 that is in order.";
    return folded_text(text + " A signal says that something changed, not what: look before you act. A job known to be bad "
                              "is set aside with `halfturn set-aside`, and leaves the chart.", "", "");
}

void run(const TrendsOptions& options) {
    const review::TrendQuestion question = question_of(options);
    record::Store store = open_store(options.store, record::Mode::read);
    const auto [trend, passed_over] = review::trend_of_store(store, question, {options.most, options.practice, options.only});
    if (options.json) {
        JsonWriter more;
        more.object().put("practice", options.practice).put("passed_over", static_cast<std::int64_t>(passed_over));
        more.put("store", std::string_view(store.path())).put("head", "sha256:" + store.head());
        return print(joined_objects(review::trend_json(trend), more.end().take()) + "\n");
    }
    std::string text = review::trend_text(trend);
    if (passed_over > 0)
        text += "\n" + folded_text(options.practice
                                       ? std::to_string(passed_over) + " jobs that are no practice are not charted here."
                                       : std::to_string(passed_over) + " practice jobs are not charted; --practice charts them.",
                                   "", "");
    const bool limits = std::any_of(trend.charts.begin(), trend.charts.end(), [](const auto& one) { return one.chart.known; });
    if (limits) text += "\n" + alarms_text(question.chart.rules);
    print(text);
}

void add_trends(CLI::App* command, Status&) {
    auto options = std::make_shared<TrendsOptions>();
    add_store_option(*command, options->store);
    command->add_option("--of", options->of, "The figure that is charted")->check(CLI::IsMember(figure_ids()))->capture_default_str();
    command->add_option("--by", options->by, "What a chart's jobs share; a family is bearing, housing and seat class")
        ->check(CLI::IsMember({"rig", "family", "who", "instrument", "calibration"}))
        ->capture_default_str();
    command->add_option("--only", options->only, "Only this rig, family, …: its name as the list shows it");
    command->add_flag("--in", options->in, "Bearings pressed in, instead of those that came out");
    command->add_flag("--practice", options->practice, "Practice jobs, which are never charted with others");
    command->add_option("--rules", options->rules, "Run rules: usual, all, or some by name")->check(CLI::IsMember(rule_ids()));
    command->add_option("--base", options->base, "Work the limits out from the first so many jobs of a chart, instead of all");
    command->add_option("--low", options->low, "Lower limit for the capability, instead of what was expected");
    command->add_option("--high", options->high, "Upper limit for the capability");
    command->add_option("--pause-days", options->pause_days, "Jobs further apart than this are no neighbours")
        ->check(CLI::PositiveNumber)
        ->capture_default_str();
    command->add_option("--most", options->most, "Look at so many jobs of the store, the newest; 0: all")->capture_default_str();
    command->add_flag("--json", options->json, "Print JSON");
    command->footer("Jobs that were set aside, whose call is can't tell, or that have not the figure are left out and named.\n"
                    "interference, friction, over-sliding, loading-slope and driving are read from the curve, judged again from\n"
                    "the stored bytes.");
    command->callback([options] { run(*options); });
}

}  // namespace

extern const Command command_trends;
const Command command_trends{
    "trends", "How the jobs go over time: control charts by rig, family, person, instrument or calibration", add_trends};

}  // namespace halfturn::command
