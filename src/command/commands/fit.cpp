// halfturn fit FILE: the engineer's calculator of an interference fit, from a small TOML file to numbers.
#include <memory>
#include <string>

#include "command/command.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "files/checked_table.hpp"
#include "fit/interference_fit.hpp"

namespace halfturn::command {

namespace {

struct FitOptions {
    std::string file;
    bool json = false;
    bool text = false;
};

fit::FitInput read_fit(const CheckedTable& table) {
    fit::FitInput in;
    auto& b = in.bodies;
    b.inner_bore_mm = table.number_if("inner_bore_mm", 0, 1e4).value_or(0);
    b.interface_mm = table.number("interface_mm", 0.1, 1e4);
    b.outer_mm = table.number("outer_mm", 0.1, 1e5);
    if (b.inner_bore_mm >= b.interface_mm)
        throw table.error("inner_bore_mm",
                          "must be smaller than interface_mm (" + number_text(b.interface_mm) + ")");
    if (b.outer_mm <= b.interface_mm)
        throw table.error("outer_mm",
                          "must be larger than interface_mm (" + number_text(b.interface_mm) + ")");
    b.inner_E_GPa = table.number("inner_E_GPa", 0.01, 2000);
    b.inner_nu = table.number("inner_nu", 0, 0.499);
    b.outer_E_GPa = table.number("outer_E_GPa", 0.01, 2000);
    b.outer_nu = table.number("outer_nu", 0, 0.499);

    in.interference_diametral_um = table.number_if("interference_diametral_um", -1e5, 1e5);
    const auto radial_um = table.number_if("interference_radial_um", -1e5, 1e5);
    in.pressure_MPa = table.number_if("pressure_MPa", 0, 1e5);
    const int given =
        in.interference_diametral_um.has_value() + radial_um.has_value() + in.pressure_MPa.has_value();
    if (given != 1)
        throw table.error(
            given == 0  ? "interference_diametral_um"
            : radial_um ? "interference_radial_um"
                        : "pressure_MPa",
            "is one of three: give exactly one of interference_diametral_um, interference_radial_um or "
            "pressure_MPa");
    if (radial_um) in.interference_diametral_um = 2 * *radial_um;

    in.length_mm = table.number_if("length_mm", 0.001, 1e5);
    in.friction = table.number_if("friction", 0, 2);
    in.inner_roughness_Rz_um = table.number_if("inner_roughness_Rz_um", 0, 1000).value_or(0);
    in.outer_roughness_Rz_um = table.number_if("outer_roughness_Rz_um", 0, 1000).value_or(0);
    in.smoothing_factor = table.number_if("smoothing_factor", 0, 2).value_or(fit::default_smoothing_factor);
    in.temperature_C = table.number_if("temperature_C", -273, 1500).value_or(20);
    const auto inner_alpha = table.number_if("inner_alpha_per_K", -1e-3, 1e-3);
    const auto outer_alpha = table.number_if("outer_alpha_per_K", -1e-3, 1e-3);
    if (in.temperature_C != 20 && !(inner_alpha && outer_alpha))
        throw table.error("temperature_C",
                          "needs inner_alpha_per_K and outer_alpha_per_K beside it (steel about 12e-6, "
                          "aluminium about 23.5e-6)");
    in.inner_alpha_per_K = inner_alpha.value_or(0);
    in.outer_alpha_per_K = outer_alpha.value_or(0);
    in.inner_yield_MPa = table.number_if("inner_yield_MPa", 0.1, 1e5);
    in.outer_yield_MPa = table.number_if("outer_yield_MPa", 0.1, 1e5);
    table.refuse_unknown_keys();
    return in;
}

// Writes JSON and, beside it, a sheet for people, line by line.
class Sheet {
public:
    explicit Sheet(int indent) : json_(indent) { json_.object(); }
    void number(const char* key, const char* label, double value, const char* unit) {
        json_.put(key, value);
        line(label, figures_text(value, 5) + (*unit ? " " : "") + unit);
    }
    void number_if(const char* key, const char* label, const std::optional<double>& value, const char* unit) {
        if (value) return number(key, label, *value, unit);
        json_.key(key).null();
    }
    void answer_if(const char* key, const std::optional<bool>& value) {
        json_.key(key);
        if (value)
            json_.boolean(*value);
        else
            json_.null();
    }
    void line(const std::string& label, const std::string& value) {
        text_ += "  " + label + std::string(columns(label) < 36 ? 36 - columns(label) : 1, ' ') + value + "\n";
    }
    JsonWriter& json() { return json_; }
    std::string take_json() { return json_.end().take() + "\n"; }
    const std::string& text() const { return text_; }

private:
    JsonWriter json_;
    std::string text_;
};

void write(Sheet& sheet, const fit::FitInput& in, const fit::FitResult& r) {
    sheet.number("pressure_MPa", "contact pressure", r.pressure_MPa, "MPa");
    sheet.number("interference_diametral_um", "interference on diameter, 20 °C", r.interference_diametral_um,
                 "µm");
    sheet.number("effective_interference_um", "  of which presses", r.effective_interference_um, "µm");
    sheet.number("smoothing_loss_um", "  smoothed away", r.smoothing_loss_um, "µm");
    sheet.number("thermal_change_um", "  gained by temperature", r.thermal_change_um, "µm");
    sheet.number_if("axial_force_N", "axial force to slide", r.axial_force_N, "N");
    sheet.number_if("torque_Nm", "torque to turn", r.torque_Nm, "Nm");
    sheet.number("inner_hoop_at_bore_MPa", "inner body, hoop at bore", r.inner_hoop_at_bore_MPa, "MPa");
    sheet.number("inner_hoop_at_interface_MPa", "inner body, hoop at interface",
                 r.inner_hoop_at_interface_MPa, "MPa");
    sheet.number("outer_hoop_at_interface_MPa", "outer body, hoop at interface",
                 r.outer_hoop_at_interface_MPa, "MPa");
    sheet.number("outer_hoop_at_outside_MPa", "outer body, hoop at outside", r.outer_hoop_at_outside_MPa,
                 "MPa");
    sheet.number("inner_von_mises_max_MPa", "inner body, von Mises largest", r.inner_von_mises_max_MPa,
                 "MPa");
    sheet.number("outer_von_mises_max_MPa", "outer body, von Mises largest", r.outer_von_mises_max_MPa,
                 "MPa");
    sheet.number("inner_von_mises_at_interface_MPa", "inner body, von Mises at interface",
                 r.inner_von_mises_at_interface_MPa, "MPa");
    sheet.number("outer_von_mises_at_outside_MPa", "outer body, von Mises at outside",
                 r.outer_von_mises_at_outside_MPa, "MPa");
    sheet.number("inner_bore_change_um", "change of bore diameter", r.inner_bore_change_um, "µm");
    sheet.number("interface_change_inner_um", "change of interface, inner body", r.interface_change_inner_um,
                 "µm");
    sheet.number("interface_change_outer_um", "change of interface, outer body", r.interface_change_outer_um,
                 "µm");
    sheet.number("outer_change_um", "change of outside diameter", r.outer_change_um, "µm");
    std::optional<bool> yields;
    if (r.inner_yields || r.outer_yields)
        yields = r.inner_yields.value_or(false) || r.outer_yields.value_or(false);
    sheet.answer_if("yields", yields);
    sheet.answer_if("inner_yields", r.inner_yields);
    sheet.answer_if("outer_yields", r.outer_yields);
    sheet.json().put("loose", r.loose);
    sheet.line("yield", !yields   ? "not checked, no yield was given"
                        : *yields ? std::string("EXCEEDED in the ") +
                                        (r.inner_yields.value_or(false) ? "inner" : "outer") +
                                        " body: the elastic numbers above no longer hold"
                                  : "not reached");
    if (r.loose) sheet.line("fit", "loose: nothing presses");
    const std::string smoothing = in.inner_roughness_Rz_um + in.outer_roughness_Rz_um > 0
                                      ? "smoothing factor " + number_text(in.smoothing_factor) +
                                            " of the two Rz (DIN 7190-1 has 0.8, from memory, not "
                                            "looked up; other sources use 0.4)"
                                      : "no roughness given, so no smoothing loss";
    const std::string method =
        "Lame thick cylinders, plane stress, open ends, elastic (Shigley, sec. 3-14 to 3-16)";
    sheet.json().put("method", method).put("smoothing", smoothing);
    sheet.line("method", method);
    sheet.line("smoothing", smoothing);
}

void run(const FitOptions& options) {
    const auto input = read_fit(CheckedTable::from_file(options.file));
    const auto result = fit::solve_fit(input);
    Sheet sheet(options.json ? 0 : 2);
    write(sheet, input, result);
    print(options.text ? "Interference fit, " + options.file + "\n" + sheet.text() : sheet.take_json());
}

void add_fit(CLI::App* command, Status&) {
    auto options = std::make_shared<FitOptions>();
    command
        ->add_option("file", options->file,
                     "TOML file: diameters, elastic constants and the interference or the pressure")
        ->required();
    auto* json = command->add_flag("--json", options->json,
                                   "Print JSON on one line (without it, JSON over several lines)");
    command->add_flag("--text", options->text, "Print a sheet for people instead of JSON")->excludes(json);
    command->callback([options] { run(*options); });
}

}  // namespace

extern const Command command_fit;
const Command command_fit{
    "fit", "Pressure, stresses, changes of size, force and torque of an interference fit, from a TOML file to JSON", add_fit};

}  // namespace halfturn::command
