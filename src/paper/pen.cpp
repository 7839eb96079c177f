#include "paper/pen.hpp"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <cairo.h>
#include <pango/pangocairo.h>

#include <algorithm>
#include <cmath>
#include <cstring>

#include "core/calm_text.hpp"
#include "core/failure.hpp"

namespace halfturn::paper {

namespace {

constexpr double points_per_mm = 72 / 25.4;
constexpr const char* font = "Liberation Sans";

struct Unref {
    void operator()(void* object) const { g_object_unref(object); }
};

// Without hinting, letters stand where they stand on paper of any resolution.
PangoContext* text_context() {
    static const std::unique_ptr<PangoContext, Unref> context = [] {
        PangoFontMap* map = pango_cairo_font_map_get_default();
        pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(map), 72);
        std::unique_ptr<PangoContext, Unref> made(pango_font_map_create_context(map));
        cairo_font_options_t* options = cairo_font_options_create();
        cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
        cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
        cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
        pango_cairo_context_set_font_options(made.get(), options);
        cairo_font_options_destroy(options);
        pango_context_set_round_glyph_positions(made.get(), FALSE);
        pango_context_set_language(made.get(), pango_language_from_string("en"));
        return made;
    }();
    return context.get();
}

cairo_status_t append(void* into, const unsigned char* bytes, unsigned int count) {
    static_cast<std::string*>(into)->append(reinterpret_cast<const char*>(bytes), count);
    return CAIRO_STATUS_SUCCESS;
}

void check(cairo_status_t status, const char* doing) {
    if (status != CAIRO_STATUS_SUCCESS)
        throw Failure(std::string("the sheet could not be drawn (") + doing + "): " + cairo_status_to_string(status));
}

}  // namespace

struct Lines::Inside {
    std::unique_ptr<PangoLayout, Unref> layout;
};

Lines::Lines(const std::string& given, const Type& type, double width_mm) : inside_(std::make_unique<Inside>()) {
    const std::string text = calm_lines(given);
    inside_->layout.reset(pango_layout_new(text_context()));
    PangoLayout* layout = inside_->layout.get();
    PangoFontDescription* description = pango_font_description_new();
    pango_font_description_set_family_static(description, font);
    pango_font_description_set_weight(description, type.strong ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_absolute_size(description, type.points * PANGO_SCALE);
    pango_layout_set_font_description(layout, description);
    pango_font_description_free(description);
    pango_layout_set_text(layout, text.data(), static_cast<int>(text.size()));
    pango_layout_set_line_spacing(layout, static_cast<float>(type.spacing));
    if (width_mm > 0) {
        pango_layout_set_width(layout, static_cast<int>(width_mm * points_per_mm * PANGO_SCALE));
        pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    }
    pango_layout_set_alignment(layout, type.align == sheet::Align::left     ? PANGO_ALIGN_LEFT
                                       : type.align == sheet::Align::centre ? PANGO_ALIGN_CENTER
                                                                            : PANGO_ALIGN_RIGHT);
    if (type.grey > 0) {
        PangoAttrList* list = pango_attr_list_new();
        const auto level = static_cast<guint16>(type.grey * 65535);
        pango_attr_list_insert(list, pango_attr_foreground_new(level, level, level));
        pango_layout_set_attributes(layout, list);
        pango_attr_list_unref(list);
    }
}

Lines::~Lines() = default;
Lines::Lines(Lines&&) noexcept = default;

double Lines::width_mm() const {
    PangoRectangle logical;
    pango_layout_get_extents(inside_->layout.get(), nullptr, &logical);
    return logical.width / points_per_mm / PANGO_SCALE;
}

double Lines::height_mm() const {
    PangoRectangle logical;
    pango_layout_get_extents(inside_->layout.get(), nullptr, &logical);
    return logical.height / points_per_mm / PANGO_SCALE;
}

std::vector<std::string> Lines::parts(double most_mm) const {
    PangoLayout* layout = inside_->layout.get();
    const std::string text = pango_layout_get_text(layout);
    const int lines = pango_layout_get_line_count(layout);
    const int each = std::max(1, static_cast<int>(most_mm / (height_mm() / lines)));
    std::vector<std::string> parts;
    for (int first = 0; first < lines; first += each) {
        const auto from = static_cast<std::size_t>(pango_layout_get_line_readonly(layout, first)->start_index);
        const auto to = first + each < lines
                            ? static_cast<std::size_t>(pango_layout_get_line_readonly(layout, first + each)->start_index)
                            : text.size();
        parts.push_back(text.substr(from, to - from));
        if (to < text.size() && parts.back().ends_with('\n')) parts.back().pop_back();
    }
    return parts;
}

double Lines::baseline_mm() const { return pango_layout_get_baseline(inside_->layout.get()) / points_per_mm / PANGO_SCALE; }

void Lines::draw(cairo_t* cairo, double x_mm, double y_mm, double clear_mm) const {
    cairo_save(cairo);
    cairo_translate(cairo, x_mm, y_mm);
    cairo_scale(cairo, 1 / points_per_mm, 1 / points_per_mm);
    if (clear_mm > 0) {
        PangoRectangle ink;
        pango_layout_get_extents(inside_->layout.get(), &ink, nullptr);
        const double more = clear_mm * points_per_mm;
        cairo_rectangle(cairo, static_cast<double>(ink.x) / PANGO_SCALE - more, static_cast<double>(ink.y) / PANGO_SCALE - more,
                        static_cast<double>(ink.width) / PANGO_SCALE + 2 * more, static_cast<double>(ink.height) / PANGO_SCALE + 2 * more);
        cairo_set_source_rgb(cairo, 1, 1, 1);
        cairo_fill(cairo);
    }
    cairo_move_to(cairo, 0, 0);
    cairo_set_source_rgb(cairo, 0, 0, 0);
    pango_cairo_show_layout(cairo, inside_->layout.get());
    cairo_restore(cairo);
}

const char* font_name() { return font; }

bool font_is_there() {
    PangoFontFamily** families = nullptr;
    int count = 0;
    pango_font_map_list_families(pango_cairo_font_map_get_default(), &families, &count);
    bool found = false;
    for (int i = 0; i < count; ++i) found = found || std::strcmp(pango_font_family_get_name(families[i]), font) == 0;
    g_free(families);
    return found;
}

struct Pen::Inside {
    Output output = Output::pdf;
    std::string bytes;
    cairo_surface_t* surface = nullptr;
    cairo_t* cairo = nullptr;
    ~Inside() {
        cairo_destroy(cairo);
        cairo_surface_destroy(surface);
    }
};

Pen::Pen(Output output, double width_mm, double height_mm, const std::string& title, double png_dpi) : inside_(std::make_unique<Inside>()) {
    inside_->output = output;
    const double width = width_mm * points_per_mm, height = height_mm * points_per_mm;
    double per_mm = points_per_mm;
    switch (output) {
        case Output::pdf:
            inside_->surface = cairo_pdf_surface_create_for_stream(append, &inside_->bytes, width, height);
            cairo_pdf_surface_set_metadata(inside_->surface, CAIRO_PDF_METADATA_TITLE, title.c_str());
            // Cairo would write the time of day; an empty date leaves it out, and the same sheet gives the same bytes.
            cairo_pdf_surface_set_metadata(inside_->surface, CAIRO_PDF_METADATA_CREATE_DATE, "");
            break;
        case Output::svg:
            inside_->surface = cairo_svg_surface_create_for_stream(append, &inside_->bytes, width, height);
            break;
        case Output::png:
            per_mm = png_dpi / 25.4;
            inside_->surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(std::ceil(width_mm * per_mm)),
                                                          static_cast<int>(std::ceil(height_mm * per_mm)));
            break;
    }
    check(cairo_surface_status(inside_->surface), "begin");
    inside_->cairo = cairo_create(inside_->surface);
    cairo_scale(inside_->cairo, per_mm, per_mm);
    if (output == Output::png) {
        cairo_set_source_rgb(inside_->cairo, 1, 1, 1);
        cairo_paint(inside_->cairo);
    }
}

Pen::~Pen() = default;

cairo_t* Pen::cairo() const { return inside_->cairo; }

void Pen::next_page() { cairo_show_page(inside_->cairo); }

std::string Pen::finish() {
    check(cairo_status(inside_->cairo), "draw");
    if (inside_->output == Output::png) check(cairo_surface_write_to_png_stream(inside_->surface, append, &inside_->bytes), "write PNG");
    cairo_surface_finish(inside_->surface);
    check(cairo_surface_status(inside_->surface), "finish");
    return std::move(inside_->bytes);
}

}  // namespace halfturn::paper
