#include "command/certificates.hpp"

#include <algorithm>
#include <boost/json.hpp>

#include "calibrate/certificate.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "record/reader.hpp"
#include "record/wall_clock.hpp"

namespace halfturn::command {
namespace {

using calibrate::Validity;

std::string text_of(const boost::json::object& object, const char* key) {
    const auto* value = object.if_contains(key);
    return value && value->is_string() ? std::string(value->as_string()) : std::string();
}

// The curve of a force certificate; nothing when the certificate has none.
std::vector<double> coefficients_of(const KeptCertificate& kept) {
    std::vector<double> out;
    boost::system::error_code error;
    const auto parsed = boost::json::parse(kept.json, error);
    if (error) return out;
    const auto* found = parsed.find_pointer("/result/coefficients", error);
    if (error || !found || !found->is_array()) return out;
    for (const auto& value : found->as_array())
        if (value.is_number()) out.push_back(value.to_number<double>());
    return out;
}

}  // namespace

std::vector<KeptCertificate> read_kept_certificates(record::Store& store) {
    std::vector<KeptCertificate> out;
    for (const auto& row : record::read_certificates(store)) {
        KeptCertificate kept;
        kept.id = row.certificate_id;
        kept.json = row.json;
        boost::system::error_code error;
        const auto parsed = boost::json::parse(row.json, error);
        if (!error && parsed.is_object()) {
            const auto& object = parsed.as_object();
            kept.kind = text_of(object, "kind");
            kept.rig = text_of(object, "rig");
            kept.channel = text_of(object, "channel");
            kept.configuration = text_of(object, "configuration");
            kept.made = text_of(object, "made");
            kept.valid_until = text_of(object, "valid_until");
            kept.supersedes = text_of(object, "supersedes");
        }
        out.push_back(std::move(kept));
    }
    for (auto& kept : out)
        for (const auto& other : out)
            if (!other.supersedes.empty() && other.supersedes == kept.id) kept.superseded_by = other.id;
    return out;
}

std::string certificate_state(const KeptCertificate& kept, const std::string& today) {
    if (!kept.superseded_by.empty()) return "superseded";
    if (!calibrate::is_date(kept.valid_until)) return "no date";
    switch (calibrate::validity_on(kept.valid_until, today)) {
        case Validity::valid:
            return "valid";
        case Validity::due_soon:
            return "due soon";
        default:
            return "expired";
    }
}

std::string certificate_page(const KeptCertificate& kept, const std::string& today) {
    std::string text = kept.id + " (" + certificate_state(kept, today) + ")\n";
    boost::system::error_code error;
    const auto parsed = boost::json::parse(kept.json, error);
    if (error || !parsed.is_object()) return text + kept.json + "\n";
    const auto& object = parsed.as_object();
    for (const char* key : {"kind", "rig", "channel", "serial", "configuration", "who", "made", "valid_until",
                            "reference", "reference_certificate", "supersedes"})
        if (const std::string value = text_of(object, key); !value.empty())
            text += std::string(key) + ": " + value + "\n";
    if (!kept.superseded_by.empty()) text += "superseded_by: " + kept.superseded_by + "\n";
    if (const auto* temperature = object.if_contains("temperature_C");
        temperature && temperature->is_number())
        text += "temperature_C: " + number_text(temperature->to_number<double>()) + "\n";
    return text + "\nReadings as given:\n" + text_of(object, "readings");
}

std::string today_utc() { return record::utc_text(record::now_utc_ms()).substr(0, 10); }

std::vector<std::string> apply_certificates(RigFile& rig, record::Store& store, const std::string& today) {
    std::vector<std::string> marks;
    const auto all = read_kept_certificates(store);
    for (auto& channel : rig.channels) {
        const std::string what(measure_name(channel.measures));
        if (channel.calibration.empty()) {
            if (channel.measures == Measure::force) marks.push_back("the force channel names no certificate");
            continue;
        }
        const auto found = std::find_if(all.begin(), all.end(),
                                        [&](const auto& kept) { return kept.id == channel.calibration; });
        if (found == all.end())
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
        const std::string state = certificate_state(*found, today);
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
