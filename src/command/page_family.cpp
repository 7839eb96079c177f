#include "command/page_family.hpp"

#include "command/job_setup.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "record/store_files.hpp"
#include "review/past_job.hpp"
#include "screen/job_form.hpp"

namespace halfturn::command {
namespace {

void put_force(JsonWriter& json, const char* key, const Band& band) {
    json.key(key).object().put("low", band.low).put("mid", band.mid).put("high", band.high).end();
}

}  // namespace

bool lets_family_narrow(const JsonValue& form, bool usual) {
    const JsonValue* value = form.find(screen::family_key);
    const std::string text = value ? screen::trimmed(value->text()) : std::string();
    if (!text.empty() && text != "yes" && text != "no")
        throw BadInput("whether earlier jobs narrow the expected force: expected yes or no");
    return text.empty() ? usual : text == "yes";
}

curve::FamilyJobs family_so_far(const JobFile& job, const std::string& store_path, bool practice) {
    if (record::file_size(store_or_usual(store_path)) >= 0) return family_of(job, store_path, practice);
    curve::FamilyJobs none;
    none.name = review::family_name(job);
    return none;
}

screen::Answer family_answer(const screen::Question& question, const std::string& rig_file, const std::string& store_path,
                             std::uint64_t seed) {
    if (!question.post) return {405, "", ""};
    if (rig_file.empty()) throw BadInput("this bench was started without --rig, so it can't start jobs that could learn");
    const JobFile job = read_job_text(screen::job_text_from_form(JsonValue::parse(question.body, "the form")), "the form");
    const curve::FamilyJobs family = family_so_far(job, store_path, false);
    const curve::Frozen frozen = frozen_set_up(job, read_rig_file(rig_file), store_path, seed, &family);
    const curve::FamilyLearned& learned = *frozen.expectation.family;
    JsonWriter json;
    json.object().put("name", std::string_view(learned.name)).put("jobs", learned.jobs).put("used", learned.used).key("left_out").array();
    for (const auto& left : learned.left_out) json.object().put("number", left.number).put("because", std::string_view(left.because)).end();
    json.end();
    put_force(json, "prior", learned.prior.break_loose_N);
    put_force(json, "posterior", learned.used > 0 ? learned.posterior.break_loose_N : learned.prior.break_loose_N);
    return {200, "application/json", json.end().take()};
}

}  // namespace halfturn::command
