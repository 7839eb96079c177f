// Cairo and Pango behind a few calls: a sheet of given size as PDF, SVG or PNG; text measured and set the same in all three.
//   Pen pen(Output::pdf, 210, 297, "Set-up card");  pen.text({…});  pen.next_page();  const std::string bytes = pen.finish();
//
// Units are millimetres; type sizes are points. The bytes depend on what is drawn and on the libraries, never on the day.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "sheet/drawing.hpp"

typedef struct _cairo cairo_t;

namespace halfturn::paper {

enum class Output : std::uint8_t { pdf, svg, png };

struct Type {
    double points = 9.5;
    bool strong = false;
    double grey = 0;
    sheet::Align align = sheet::Align::left;
    double spacing = 1.12;  // of the lines
};

// Text broken to a width; 0: one line, as long as it takes.
class Lines {
public:
    Lines(const std::string& text, const Type& type, double width_mm);
    ~Lines();
    Lines(Lines&&) noexcept;
    double width_mm() const;
    double height_mm() const;
    double baseline_mm() const;  // of the first line, below the top
    // The text cut between its lines into parts no taller than this; a text that fits is one part.
    std::vector<std::string> parts(double height_mm) const;
    // Its upper left corner. clear_mm: white behind and around it, over what is there.
    void draw(cairo_t* cairo, double x_mm, double y_mm, double clear_mm = 0) const;

private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

// The font every sheet is set in, and whether this machine has it.
const char* font_name();
bool font_is_there();

class Pen {
public:
    Pen(Output output, double width_mm, double height_mm, const std::string& title, double png_dpi = 200);
    ~Pen();
    Pen(const Pen&) = delete;
    Pen& operator=(const Pen&) = delete;

    cairo_t* cairo() const;  // its units are millimetres
    void next_page();        // of a PDF
    std::string finish();    // throws Failure

private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
};

}  // namespace halfturn::paper
