// SPDX-License-Identifier: MIT
// Makes models/instruments/b_flat_soprano/holes.csv from bore.csv and design.csv there:
//   canebrake_make_b_flat FOLDER
#include "models/instruments/instrument.h"
#include "models/instruments/mechanism.h"
#include "models/instruments/tables.h"
#include "models/maker/maker.h"

#include <cstdio>
#include <fstream>
#include <iostream>
#include <sstream>

using namespace canebrake;

namespace
{

std::string slurp(const std::string& path)
{
    std::ifstream in(path);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

double sounding_hz(const char* written)
{
    return frequency({double(pitch_number(written).value() - 2)}, {440.0}).value;
}

/// A hole and the notes that place it; the clarion note counts half as much again, since its ear-splitting
/// errors are the ones a section hears.
HoleTargets place(std::size_t hole, std::initializer_list<std::pair<const char*, const char*>> notes)
{
    HoleTargets result{hole, {}};
    for (const auto& [keys, written] : notes)
        result.targets.push_back(
            {boehm_holes(keys), sounding_hz(written), std::string(keys)[0] == 'R' ? 1.2 : 1.0});
    return result;
}

} // namespace

int main(int argc, char** argv)
{
    const std::string folder = argc > 1 ? argv[1] : "models/instruments/b_flat_soprano";
    const std::string design = slurp(folder + "/design.csv");
    Geometry geometry = read_geometry(slurp(folder + "/bore.csv"), design, "start_x_mm");
    const Air air = breath_air({25.0});
    const std::vector<HoleTargets> wishes{
        place(23, {{"T L1 L2 L3 R1 R2 R3 F", "F3"}, {"R T L1 L2 L3 R1 R2 R3 F", "C5"}}),
        place(22, {{"T L1 L2 L3 R1 R2 R3 FS", "F#3"}, {"R T L1 L2 L3 R1 R2 R3 FS", "C#5"}}),
        place(21, {{"T L1 L2 L3 R1 R2 R3", "G3"}, {"R T L1 L2 L3 R1 R2 R3", "D5"}}),
        place(20, {{"T L1 L2 L3 R1 R2 R3 AE", "G#3"}, {"R T L1 L2 L3 R1 R2 R3 AE", "D#5"}}),
        place(19, {{"T L1 L2 L3 R1 R2", "A3"}, {"R T L1 L2 L3 R1 R2", "E5"}}),
        place(18, {{"T L1 L2 L3 R1", "A#3"}, {"R T L1 L2 L3 R1", "F5"}}),
        place(17, {{"T L1 L2 L3 R1 RS", "B3"}, {"R T L1 L2 L3 R1 RS", "F#5"}}),
        place(16, {{"T L1 L2 L3 R2", "B3"}, {"R T L1 L2 L3 R2", "F#5"}}),
        place(15, {{"T L1 L2 L3", "C4"}, {"R T L1 L2 L3", "G5"}}),
        place(14, {{"T L1 L2 L3 CS", "C#4"}, {"R T L1 L2 L3 CS", "G#5"}}),
        place(13, {{"T L1 L2", "D4"}, {"R T L1 L2", "A5"}}),
        place(12, {{"T L1 L2 S1", "D#4"}, {"R T L1 L2 S1", "A#5"}}),
        place(11, {{"T L1 L2 SL", "D#4"}, {"R T L1 L2 SL", "A#5"}}),
        place(10, {{"T L1", "E4"}, {"R T L1", "B5"}}),
        place(8, {{"T", "F4"}, {"R T", "C6"}}),
        place(7, {{"T S1 S2", "F#4"}}),
        place(6, {{"L1", "F#4"}}),
        place(5, {{"", "G4"}}),
        place(4, {{"Ab", "G#4"}}),
        place(3, {{"A", "A4"}}),
        place(2, {{"A S3", "A#4"}}),
        place(1, {{"A S4", "B4"}}),
    };
    geometry = place_holes(std::move(geometry), air, boehm_vent, wishes);

    std::ofstream out(folder + "/holes.csv");
    out << "# made by models/maker/make_b_flat.cpp from bore.csv and design.csv\n"
        << "name,x_mm,radius_mm,chimney_mm,cover,lift_mm,key\n";
    const CsvTable table(design, "design.csv");
    char x[32];
    for (std::size_t i = 0; i < table.rows(); ++i) {
        std::snprintf(x, sizeof x, "%.2f", geometry.holes[i].x_m * 1e3);
        out << table.text(i, "name") << ',' << x;
        for (const char* column : {"radius_mm", "chimney_mm", "cover", "lift_mm", "key"})
            out << ',' << table.text(i, column);
        out << '\n';
    }
    const Resonator bore(geometry, air, boehm_vent);
    for (const auto& f : read_fingerings(slurp(folder + "/fingerings.csv"))) {
        HoleState holes = f.holes;
        holes.open |= f.vent > 0.0 ? 1u << boehm_vent : 0u;
        const double target = frequency({f.written.number - 2.0}, {440.0}).value;
        const double played = played_frequency(bore, holes, target);
        std::printf("%-4s %-32s %7.1f Hz %+6.1f c\n", pitch_name(f.written.number).c_str(), f.keys.c_str(),
                    target, played > 0.0 ? cents_between({played}, {target}).value : 999.0);
    }
}
