// SPDX-License-Identifier: MIT
// canebrake_write_pages FOLDER: pages of both kinds from the fixtures, for the browser test and for looking
// at.
#include "page_fixture.h"

#include <exception>
#include <filesystem>
#include <fstream>
#include <iostream>

using namespace canebrake;
using namespace canebrake::test;

namespace
{
void write(const std::filesystem::path& path, const Compared& compared)
{
    const auto sounds = compared.packed();
    std::ofstream file(path, std::ios::binary);
    file << compare_page(compared.comparison, sounds);
    file.close();
    if (!file)
        throw std::runtime_error("cannot write " + path.string());
    std::cout << path.string() << ": " << std::filesystem::file_size(path) << " bytes\n";
}
} // namespace

int main(int argc, char** argv)
try {
    if (argc != 2) {
        std::cerr << "canebrake_write_pages FOLDER\n";
        return 2;
    }
    const std::filesystem::path folder = argv[1];
    std::filesystem::create_directories(folder);
    write(folder / "tones.html", tones_fixture());
    write(folder / "lines.html", lines_fixture(24, true));
    write(folder / "long.html", lines_fixture(2000, false));
    Compared broken =
        tones_fixture({"</script ><script >window.broken = 1</script >", "\"'<!--<img src=x>\x01"}, false);
    write(folder / "names.html", broken);
    Compared undecodable = lines_fixture(6, false);
    std::ofstream(folder / "undecodable.html", std::ios::binary)
        << compare_page(undecodable.comparison, std::vector<PageSound>(3, {"audio/mpeg", "not a sound"}));
} catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 1;
}
