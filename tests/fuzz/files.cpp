// Files that people write and set-ups that jobs keep: whatever they hold, they are read or refused as BadInput; what was read
// once is read the same again, and what is written back is as it was.
// Input: a first line "rig", "job", "inventory", "description", "set-up", "model", "readings" or "form", then the file.
#include <optional>

#include "calibrate/csv_readings.hpp"
#include "calibrate/expression.hpp"
#include "core/failure.hpp"
#include "drivers/shared/description.hpp"
#include "files/job_file.hpp"
#include "files/rig_file.hpp"
#include "files/set_up_json.hpp"
#include "fuzz/frame/fuzz.hpp"
#include "plan/inventory.hpp"
#include "screen/job_form.hpp"

namespace halfturn::fuzz {
namespace {

void set_up(const std::string& text) {
    const std::string once = set_up_json(set_up_from_json(text, "set-up"));
    std::string twice;
    try {
        twice = set_up_json(set_up_from_json(once, "written"));
    } catch (const BadInput& error) {
        broken(std::string("a set-up that was written can't be read: ") + error.what());
    }
    if (twice != once) broken("a set-up came back otherwise\n" + once + "\nbecame\n" + twice);
}

void form(const std::string& text) {
    const std::string job = screen::job_text_from_form(JsonValue::parse(text, "form"));
    try {
        read_job_text(job, "form");
    } catch (const BadInput& error) {
        // The page's words may be wrong for a job, but whatever they are they must not break out of their quotes.
        if (std::string_view(error.what()).find("not valid TOML") != std::string_view::npos)
            broken("a form became no TOML: " + job + "\n" + error.what());
    }
}

void model(const std::string& text) {
    const auto expression = calibrate::Expression::parse(text, {"x", "y"});
    const std::vector<double> at = {0.75, -2.5};
    const double value = expression.value(at), other = expression.gradient(at).value;
    if (value != other && (value == value || other == other)) broken("value and gradient disagree on " + text);
}

void readings(const std::string& text) {
    const auto table = calibrate::CsvReadings::from_text(text, "readings");
    table.numbers_if("x");
    if (table.texts("x").size() != table.rows()) broken("a column is not as long as the table");
}

}  // namespace

void try_files(std::string_view bytes) {
    const std::string_view kind = take_line(bytes);
    const std::string text(bytes);
    try {
        if (kind == "rig") {
            const RigFile rig = read_rig_text(text, "rig.toml");
            if (rig.text != text) broken("the rig's text is not the file's");
            for (const ChannelSetUp& channel : rig.channels)
                if (channel.port >= rig.ports.size()) broken("a channel has no port");
            pitch_of(rig);
        } else if (kind == "job") {
            if (read_job_text(text, "job.toml").text != text) broken("the job's text is not the file's");
        } else if (kind == "inventory") plan::read_inventory_text(text, "drawer.toml");
        else if (kind == "description") read_description(text, "mine.toml");
        else if (kind == "set-up") set_up(text);
        else if (kind == "form") form(text);
        else if (kind == "model") model(text);
        else if (kind == "readings") readings(text);
    } catch (const BadInput& error) {
        if (std::string_view(error.what()).empty()) broken("refused without a word");
    }
}

}  // namespace halfturn::fuzz
