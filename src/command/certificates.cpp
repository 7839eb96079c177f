#include "command/certificates.hpp"

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "record/wall_clock.hpp"

namespace halfturn::command {
namespace {

using report::KeptCertificate;

// The curve of a force certificate; nothing when the certificate has none.
std::vector<double> coefficients_of(const KeptCertificate& kept) {
    std::vector<double> out;
    const JsonValue* found = kept.result.find("coefficients");
    if (!found || found->kind() != JsonValue::Kind::array) return out;
    for (const JsonValue& value : found->items())
        if (value.kind() == JsonValue::Kind::number) out.push_back(value.number());
    return out;
}

}  // namespace

std::string certificate_page(const KeptCertificate& kept, const std::string& today) {
    std::string text = kept.id + " (" + report::certificate_state(kept, today) + ")\n";
    const auto line = [&](const char* key, const std::string& value) {
        if (!value.empty()) text += std::string(key) + ": " + value + "\n";
    };
    line("kind", kept.kind);
    line("rig", kept.rig);
    line("channel", kept.channel);
    line("serial", kept.serial);
    line("configuration", kept.configuration);
    line("who", kept.who);
    line("made", kept.made);
    line("valid_until", kept.valid_until);
    line("reference", kept.reference);
    line("reference_certificate", kept.reference_certificate);
    line("supersedes", kept.supersedes);
    line("superseded_by", kept.superseded_by);
    if (kept.temperature_C) line("temperature_C", number_text(*kept.temperature_C));
    return text + "\nReadings as given:\n" + kept.readings;
}

std::string today_utc() { return record::utc_text(record::now_utc_ms()).substr(0, 10); }

std::vector<std::string> apply_certificates(RigFile& rig, record::Store& store, const std::string& today) {
    std::vector<std::string> marks;
    const auto all = report::read_kept_certificates(store);
    for (auto& channel : rig.channels) {
        const std::string what(measure_name(channel.measures));
        if (channel.calibration.empty()) {
            if (channel.measures == Measure::force) marks.push_back("the force channel names no certificate");
            continue;
        }
        const KeptCertificate* found = report::find_certificate(all, channel.calibration);
        if (!found)
            throw BadInput(
                rig.file + ": the " + what + " channel's calibration \"" + channel.calibration +
                "\" is not kept in " + store.path() +
                "; `halfturn calibrate certificates` lists what is, or give the polynomial itself");
        channel.coefficients = coefficients_of(*found);
        if (channel.coefficients.size() < 2 || found->kind != "force")
            throw BadInput(rig.file + ": the certificate \"" + found->id +
                           "\" holds no calibration curve (it is one of " + found->kind +
                           "); name one made by `halfturn calibrate force`");
        // A certificate's curve is over the indication with the channel's sign, a channel turns its sign
        // last: for -1 the constant and the square change theirs.
        if (channel.sign < 0)
            for (std::size_t i = 0; i < channel.coefficients.size(); i += 2)
                channel.coefficients[i] = -channel.coefficients[i];
        const std::string state = report::certificate_state(*found, today);
        if (state == "superseded")
            marks.push_back("the " + what + " certificate " + found->id + " was superseded by " +
                            found->superseded_by);
        else if (state == "expired")
            marks.push_back("the " + what + " certificate " + found->id + " expired on " +
                            found->valid_until);
        else if (state == "due soon")
            marks.push_back("the " + what + " certificate " + found->id + " is due on " + found->valid_until);
        if (!found->rig.empty() && found->rig != rig.name)
            marks.push_back("the " + what + " certificate " + found->id + " was made for the rig \"" +
                            found->rig + "\"");
    }
    return marks;
}

}  // namespace halfturn::command
