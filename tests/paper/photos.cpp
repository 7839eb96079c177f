// Photos on paper: a JPEG goes into the PDF as its own bytes, and lies as the camera noted, looked at through poppler's eyes.
#include <catch2/catch.hpp>
#include <fstream>

#include "paper/made_jpeg.hpp"
#include "run_halfturn.hpp"
#include "sheet/document.hpp"

using namespace halfturn;
using namespace halfturn::test;

namespace {

constexpr Rgb red{230, 30, 30}, green{30, 180, 30}, blue{40, 60, 230}, yellow{240, 220, 20};
const std::vector<std::vector<Rgb>> corners = {{red, green}, {red, green}, {blue, yellow}};

std::string file_text(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

struct Raster {
    int width = 0, height = 0;
    std::string pixels;
    Rgb at(int x, int y) const {
        const auto i = 3 * static_cast<std::size_t>(y * width + x);
        const auto byte = [&](std::size_t k) { return static_cast<int>(static_cast<unsigned char>(pixels[k])); };
        return {byte(i), byte(i + 1), byte(i + 2)};
    }
};

struct OnPaper {
    Bench bench;
    std::string bytes, path = (bench.folder / "photo").string();
    explicit OnPaper(const std::string& photo, const std::string& kind = "pdf") {
        sheet::Document document{"A photo", "", "", sheet::Paper::a4, false, {}};
        document.blocks = {{sheet::Photo{"image/jpeg", photo, "below it"}}};
        const auto in = bench.file("photo.json", document_json(document));
        REQUIRE(std::system(("'" HALFTURN_BUILD_DIR "/halfturn-paper' " + kind + " --dpi 60 < '" + in + "' > '" + path + "." + kind + "'").c_str()) == 0);
        bytes = file_text(path + "." + kind);
    }
    Raster page() const {
        Raster page;
        REQUIRE(std::system(("pdftoppm -r 60 -singlefile '" + path + ".pdf' '" + path + "'").c_str()) == 0);
        const std::string ppm = file_text(path + ".ppm");
        int most = 0, end = 0;
        REQUIRE(std::sscanf(ppm.c_str(), "P6 %d %d %d%n", &page.width, &page.height, &most, &end) == 3);
        page.pixels = ppm.substr(static_cast<std::size_t>(end) + 1);
        return page;
    }
};

// Where the page has colour: the photo, as nothing else has any.
struct Box {
    int left = 1 << 20, top = 1 << 20, right = -1, bottom = -1;
};
Box coloured(const Raster& page) {
    Box box;
    for (int y = 0; y < page.height; ++y)
        for (int x = 0; x < page.width; ++x) {
            const Rgb c = page.at(x, y);
            if (std::max({c.r, c.g, c.b}) - std::min({c.r, c.g, c.b}) < 90) continue;
            box = {std::min(box.left, x), std::min(box.top, y), std::max(box.right, x), std::max(box.bottom, y)};
        }
    return box;
}

bool alike(const Rgb& a, const Rgb& b) { return std::abs(a.r - b.r) < 25 && std::abs(a.g - b.g) < 25 && std::abs(a.b - b.b) < 25; }

// Exif: where the file's first row and first column belong in what is seen.
struct Lies {
    int orientation;
    const char *first_row, *first_column;
};
constexpr Lies all_ways[] = {{0, "top", "left"}, {1, "top", "left"}, {2, "top", "right"}, {3, "bottom", "right"}, {4, "bottom", "left"},
                             {5, "left", "top"}, {6, "right", "top"}, {7, "right", "bottom"}, {8, "left", "bottom"}};

}  // namespace

TEST_CASE("A JPEG goes into the PDF byte for byte, upright whichever way it lies in its file") {
    for (const Lies& lies : all_ways) {
        const bool low_first = lies.orientation % 2 == 0;
        INFO("orientation " << lies.orientation << (low_first ? ", low byte first" : ", high byte first"));
        const std::string jpeg = MadeJpeg::of(corners, 4, lies.orientation, low_first);
        const OnPaper seen(jpeg);
        CHECK(seen.bytes.find(jpeg) != std::string::npos);
        const Raster page = seen.page();
        const Box box = coloured(page);
        REQUIRE(box.right > box.left + 40);
        const double ratio = static_cast<double>(box.right - box.left) / (box.bottom - box.top);
        CHECK(ratio == Approx(lies.orientation > 4 ? 1.5 : 2.0 / 3).epsilon(0.05));
        for (const std::string down : {"top", "bottom"})
            for (const std::string across : {"left", "right"}) {
                const auto first = [&](const char* side) { return down == side || across == side; };
                const Rgb wanted = corners[first(lies.first_row) ? 0 : 2][first(lies.first_column) ? 0 : 1];
                const Rgb got = page.at(across == "left" ? box.left + 5 : box.right - 5, down == "top" ? box.top + 5 : box.bottom - 5);
                INFO(down << " " << across << ": " << got.r << " " << got.g << " " << got.b);
                CHECK(alike(got, wanted));
            }
    }
}

TEST_CASE("A page made of pixels can't show a JPEG, says so, and shows no black square") {
    // Drawn in any way, the two would differ in size.
    CHECK(OnPaper(MadeJpeg::of(corners, 4, 1), "png").bytes == OnPaper(MadeJpeg::of({{red, blue}}, 2, 1), "png").bytes);
}

TEST_CASE("A photo that is not what it says leaves its caption, and a damaged note of how it lies harms nothing") {
    for (const std::string& broken : {std::string("no photo"), MadeJpeg::of(corners, 1, 6).substr(0, 30)})
        CHECK(coloured(OnPaper(broken).page()).right < 0);
    const std::string whole = MadeJpeg::of(corners, 1, 6);
    for (const std::size_t at : {7u, 15u, 21u, 23u, 36u, 42u}) {
        std::string damaged = whole;
        damaged[at] = static_cast<char>(damaged[at] ^ 0xFF);
        INFO("byte " << at);
        CHECK(OnPaper(damaged).bytes.starts_with("%PDF-"));
    }
}
