// halfturn calibrate line FILE: a polynomial calibration line, its uncertainty, prediction and inverse.
#include <cmath>
#include <memory>
#include <optional>
#include <string>

#include "calibrate/csv_readings.hpp"
#include "calibrate/line_fit.hpp"
#include "calibrate/probability.hpp"
#include "command/calibrate_commands.hpp"
#include "command/calibrate_report.hpp"
#include "command/command.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;

struct LineOptions {
    std::string file;
    int degree = 1;
    bool through_origin = false, json = false;
    std::optional<double> at, at_u, inverse, u;
};

struct LineAnswer {
    LineFit fit;
    std::optional<Prediction> prediction;
    std::optional<Inverse> inverse;
};

std::string as_json(const LineAnswer& answer) {
    const LineFit& fit = answer.fit;
    JsonWriter json;
    json.object()
        .put("degree", fit.degree)
        .put("through_origin", fit.through_origin)
        .put("first_power", fit.first_power);
    put_numbers(json, "coefficients", fit.coefficients);
    put_numbers(json, "standard_uncertainties", fit.standard_uncertainties);
    put_matrix(json, "covariance", fit.covariance);
    put_optional(json, "residual_sd", fit.residual_sd);
    json.put("dof", fit.dof);
    put_optional(json, "chi2", fit.chi2);
    if (fit.chi2 && fit.dof > 0) json.put("chi2_p", chi_squared_tail(*fit.chi2, fit.dof));
    json.key("lack_of_fit");
    if (fit.lack_of_fit) {
        json.object().put("F", fit.lack_of_fit->F).put("p", fit.lack_of_fit->p);
        json.put("dof_lack", fit.lack_of_fit->dof_lack).put("dof_pure", fit.lack_of_fit->dof_pure).end();
    } else {
        json.null();
    }
    json.put("r_squared", fit.r_squared);
    json.key("range").array().number(fit.x_low).number(fit.x_high).end();
    if (answer.prediction) {
        json.key("prediction").object().put("y", answer.prediction->y).put("u", answer.prediction->u);
        json.put("extrapolated", answer.prediction->extrapolated).end();
    }
    if (answer.inverse) {
        json.key("inverse").object().put("x", answer.inverse->x).put("u", answer.inverse->u);
        put_optional(json, "low", answer.inverse->low);
        put_optional(json, "high", answer.inverse->high);
        json.put("k", answer.inverse->k).put("extrapolated", answer.inverse->extrapolated).end();
    }
    return json.end().take() + "\n";
}

std::string as_text(const LineAnswer& answer) {
    const LineFit& fit = answer.fit;
    std::string out =
        "Line of degree " + std::to_string(fit.degree) + (fit.through_origin ? " through the origin" : "") +
        ", calibrated from x = " + number_text(fit.x_low) + " to " + number_text(fit.x_high) + "\n";
    for (std::size_t i = 0; i < fit.coefficients.size(); ++i)
        out += "  x^" + std::to_string(fit.first_power + static_cast<int>(i)) + ":  " +
               number_text(fit.coefficients[i]) + "   (standard uncertainty " +
               figures_text(fit.standard_uncertainties[i], 3) + ")\n";
    if (fit.residual_sd)
        out += "Residual standard deviation " + figures_text(*fit.residual_sd, 3) + " with " +
               std::to_string(fit.dof) + " degrees of freedom; R squared " + number_text(fit.r_squared) +
               "\n";
    if (fit.chi2 && fit.dof > 0) {
        const double p = chi_squared_tail(*fit.chi2, fit.dof);
        out += "Chi-squared " + figures_text(*fit.chi2, 4) + " for " + std::to_string(fit.dof) +
               " degrees of freedom: " +
               (p < 0.05 ? "the points scatter more than their stated uncertainties allow; don't use the "
                           "line as it is\n"
                         : "the line agrees with the stated uncertainties\n");
    }
    if (fit.lack_of_fit)
        out += "Lack of fit F = " + figures_text(fit.lack_of_fit->F, 3) +
               ", p = " + figures_text(fit.lack_of_fit->p, 2) +
               (fit.lack_of_fit->p < 0.05 ? ": the degree is too low for these readings\n"
                                          : ": the degree is enough\n");
    const std::string beyond = "   Outside the calibrated range: don't rely on it.";
    if (answer.prediction)
        out += "y = " + beside_u(answer.prediction->y, answer.prediction->u) + " (standard uncertainty " +
               figures_text(answer.prediction->u, 3) + ", of the line alone)" +
               (answer.prediction->extrapolated ? beyond : "") + "\n";
    if (answer.inverse) {
        const auto end = [&](const std::optional<double>& value) {
            return value ? beside_u(*value, answer.inverse->u) : std::string("without end");
        };
        out += "x = " + beside_u(answer.inverse->x, answer.inverse->u) + " (standard uncertainty " +
               figures_text(answer.inverse->u, 3) + "), 95 % interval " + end(answer.inverse->low) + " to " +
               end(answer.inverse->high) + (answer.inverse->extrapolated ? beyond : "") + "\n";
    }
    return out;
}

void run(const LineOptions& options) {
    for (const auto& given : {options.at, options.at_u, options.inverse, options.u})
        if (given && !std::isfinite(*given))
            throw BadInput("--at, --at-u, --inverse and --u must be finite numbers");
    const CsvReadings table = CsvReadings::from_file(options.file);
    LineData data{table.numbers("x"), table.numbers("y"), table.numbers_if("u_x"), table.numbers_if("u_y")};
    for (std::size_t i = 0; i < data.u_y.size(); ++i)
        if (!(data.u_y[i] > 0)) throw table.error_in_row(i, "u_y must be a standard uncertainty above zero");
    for (std::size_t i = 0; i < data.u_x.size(); ++i)
        if (!(data.u_x[i] >= 0))
            throw table.error_in_row(i, "u_x must be a standard uncertainty of zero or more");
    LineAnswer answer;
    try {
        answer.fit = fit_line(data, options.degree, options.through_origin);
        if (options.at) answer.prediction = predict(answer.fit, *options.at, options.at_u.value_or(0));
        if (options.inverse) answer.inverse = invert(answer.fit, *options.inverse, options.u);
    } catch (const BadInput& error) {
        throw table.error(error.what());
    }
    print(options.json ? as_json(answer) : as_text(answer));
}

}  // namespace

void add_calibrate_line(CLI::App& calibrate) {
    add_subcommand(calibrate, "line",
        "Fit a polynomial calibration line.\n"
        "FILE is CSV with the columns x,y and optionally u_y and u_x (standard uncertainties). Without them "
        "the scatter\n"
        "about the line gives the uncertainty; with u_y the line is weighted; with u_x and u_y both count\n"
        "(ISO/TS 28037). The interval of --inverse is 95 %: with --u it is x ± k u; without, it is for one "
        "new\n"
        "observation that scatters like the calibration's (Fieller's interval).",
        [](CLI::App& line) {
            auto options = std::make_shared<LineOptions>();
            line.add_option("FILE", options->file, "CSV file with x,y[,u_x,u_y]")->required();
            line.add_option("--degree", options->degree, "degree of the polynomial (default 1)");
            line.add_flag("--through-origin", options->through_origin, "no constant term");
            line.add_option("--at", options->at, "give y and its standard uncertainty at this x");
            line.add_option("--at-u", options->at_u, "standard uncertainty of that x (default 0)")->needs("--at");
            line.add_option("--inverse", options->inverse, "give the x that belongs to this y");
            line.add_option("--u", options->u, "standard uncertainty of that y")->needs("--inverse");
            line.add_flag("--json", options->json, "print one JSON object");
            line.callback([options] { run(*options); });
        });
}

}  // namespace halfturn::command
