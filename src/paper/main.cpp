// halfturn-paper: a sheet described in JSON on standard input becomes SVG, PDF or PNG on standard output, or a line of text the
// modules of a QR code. A program of its own, so that halfturn starts without a typesetter.
#include <CLI/CLI.hpp>
#include <cstdio>
#include <iostream>
#include <iterator>

#include "core/failure.hpp"
#include "paper/pages.hpp"
#include "paper/qr.hpp"

namespace {

using namespace halfturn;

std::string bytes_of(const std::string& json, paper::Output output, int page, double dpi) {
    const auto sheet = sheet::read_sheet(json, "standard input");
    if (const auto* drawing = std::get_if<sheet::Drawing>(&sheet)) return paper::drawing_bytes(*drawing, output, dpi);
    return paper::document_bytes(std::get<sheet::Document>(sheet), output, page, dpi);
}

int write(const std::string& bytes) {
    if (std::fwrite(bytes.data(), 1, bytes.size(), stdout) != bytes.size() || std::fflush(stdout) != 0)
        throw Failure("standard output took no more");
    return 0;
}

int run(const std::string& kind, int page, double dpi) {
    const std::string json{std::istreambuf_iterator<char>(std::cin), {}};
    if (kind == "qr") return write(paper::qr_modules(json));
    const auto output = kind == "pdf" ? paper::Output::pdf : kind == "svg" ? paper::Output::svg : paper::Output::png;
    if (!paper::font_is_there())
        std::fprintf(stderr,
                     "halfturn-paper: the font %s is not installed (Debian: fonts-liberation); another stands in for it, and "
                     "lines may break elsewhere.\n",
                     paper::font_name());
    const std::string bytes = bytes_of(json, output, page, dpi);
    return write(bytes);
}

}  // namespace

int main(int argc, char** argv) {
    CLI::App app("Draws sheets for halfturn: a drawing or document in JSON on standard input becomes SVG, PDF or PNG on standard output",
                 "halfturn-paper");
    app.set_version_flag("--version", HALFTURN_VERSION);
    std::string kind;
    int page = 1;
    double dpi = 200;
    app.add_option("kind", kind, "svg, pdf or png; qr for the modules of a QR code")
        ->required()
        ->check(CLI::IsMember({"svg", "pdf", "png", "qr"}));
    app.add_option("--page", page, "Page of a document that an SVG or PNG shows")->check(CLI::Range(1, 10000));
    app.add_option("--dpi", dpi, "Dots per inch of a PNG")->check(CLI::Range(30.0, 1200.0));
    try {
        app.parse(argc, argv);
        return run(kind, page, dpi);
    } catch (const CLI::ParseError& error) {
        const int status = app.exit(error);
        return status == 0 ? 0 : 2;
    } catch (const BadInput& error) {
        std::fprintf(stderr, "halfturn-paper: %s\n", error.what());
        return 2;
    } catch (const std::exception& error) {
        std::fprintf(stderr, "halfturn-paper: %s\n", error.what());
        return 1;
    }
}
