#include "command/certificates.hpp"

#include <algorithm>

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

const KeptCertificate& need_certificate(const std::vector<KeptCertificate>& all, const std::string& id, const std::string& key,
                                        const ChannelSetUp& channel, const RigFile& rig, const record::Store& store) {
    if (const KeptCertificate* found = report::find_certificate(all, id)) return *found;
    throw BadInput(rig.file + ": the " + std::string(measure_name(channel.measures)) + " channel's " + key + " \"" + id +
                   "\" is not kept in " + store.path() + "; `halfturn calibrate certificates` lists what is" +
                   (key == "calibration" ? ", or give the polynomial itself" : ""));
}

// What is not in order with it.
void put_marks(const KeptCertificate& found, const std::string& what, const RigFile& rig, const std::string& today,
               std::vector<std::string>& marks) {
    const std::string called = "the " + what + " certificate " + found.id, state = report::certificate_state(found, today);
    if (state == "superseded") marks.push_back(called + " was superseded by " + found.superseded_by);
    else if (state == "expired") marks.push_back(called + " expired on " + found.valid_until);
    else if (state == "due soon") marks.push_back(called + " is due on " + found.valid_until);
    if (!found.rig.empty() && found.rig != rig.name) marks.push_back(called + " was made for the rig \"" + found.rig + "\"");
}

void apply_curve(ChannelSetUp& channel, const KeptCertificate& found, const RigFile& rig, const std::string& today,
                 std::vector<std::string>& marks) {
    channel.coefficients = coefficients_of(found);
    if (channel.coefficients.size() < 2 || found.kind != "force")
        throw BadInput(rig.file + ": the certificate \"" + found.id + "\" holds no calibration curve (it is one of " + found.kind +
                       "); name one made by `halfturn calibrate force`");
    // A certificate's curve is over the indication with the channel's sign, a channel turns its sign last: for -1 the constant
    // and the square change theirs.
    if (channel.sign < 0)
        for (std::size_t i = 0; i < channel.coefficients.size(); i += 2) channel.coefficients[i] = -channel.coefficients[i];
    put_marks(found, std::string(measure_name(channel.measures)), rig, today, marks);
}

// A review counts on it, so one that no longer holds is as good as none; the mark says why.
void apply_eccentric(ChannelSetUp& channel, const KeptCertificate& found, const RigFile& rig, const std::string& today,
                     std::vector<std::string>& marks) {
    const auto per_mm = report::number_in(found.result, "percent_per_mm"), U = report::number_in(found.result, "U_percent_per_mm"),
               to_mm = report::number_in(found.result, "largest_offset_mm");
    if (found.kind != "eccentric" || !per_mm || !U || !to_mm)
        throw BadInput(rig.file + ": the certificate \"" + found.id + "\" says nothing about eccentric load (it is one of " + found.kind +
                       "); name one made by `halfturn calibrate eccentric`");
    put_marks(found, "eccentric-load", rig, today, marks);
    const std::string state = report::certificate_state(found, today);
    channel.eccentric_load_known = state == "valid" || state == "due soon";
    channel.eccentric_percent_per_mm = *per_mm + *U;
    channel.eccentric_to_mm = *to_mm;
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

bool names_certificates(const RigFile& rig) {
    return std::any_of(rig.channels.begin(), rig.channels.end(),
                       [](const ChannelSetUp& c) { return !c.calibration.empty() || !c.eccentric_calibration.empty(); });
}

std::vector<std::string> apply_certificates(RigFile& rig, record::Store& store, const std::string& today) {
    std::vector<std::string> marks;
    const auto all = report::read_kept_certificates(store);
    for (auto& channel : rig.channels) {
        if (!channel.calibration.empty())
            apply_curve(channel, need_certificate(all, channel.calibration, "calibration", channel, rig, store), rig, today,
                        marks);
        else if (channel.measures == Measure::force) marks.push_back("the force channel names no certificate");
        if (!channel.eccentric_calibration.empty())
            apply_eccentric(channel,
                            need_certificate(all, channel.eccentric_calibration, "eccentric_calibration", channel, rig, store),
                            rig, today, marks);
    }
    return marks;
}

}  // namespace halfturn::command
