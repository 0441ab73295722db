// SPDX-License-Identifier: MIT
// Makes the bore and holes of an instrument:
//   canebrake_make_instrument models/instruments NAME
// B-flat: places the holes of b_flat/design.csv in b_flat/bore.csv. Any other: scales that bore and those
// holes to the dimensions of its row in recipes.csv, lengthens the bore below the little-finger pads for
// notes under E3, finds the length that tunes its lowest note, and places every hole afresh. Writes bore.csv
// and holes.csv into the instrument's folder and prints how each fingering comes out.
#include "models/instruments/instrument.h"
#include "models/instruments/mechanism.h"
#include "models/instruments/tables.h"
#include "models/maker/maker.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <numeric>
#include <sstream>

using namespace canebrake;

namespace
{

constexpr double flare_start_m = 0.438; // in the B♭ bore: what is longer below E3 is put in here
constexpr double bell_top_m = 0.574;
constexpr double b_flat_bore_mm = 7.32;
// Where two vents lie, on the B♭'s scale: tried on the bass until every clarion note from B4 to C6 held. At
// 130 and 172 mm, the twelfths' own nodes, D♯5, B5 and C6 fell back.
constexpr double upper_vent_m = 0.118, lower_vent_m = 0.156;

std::string slurp(const std::string& path)
{
    std::ifstream in(path);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

struct Recipe {
    double bore_mm = b_flat_bore_mm;
    double top_keeps_m =
        0.0; ///< mouthpiece (and barrel) shared with a neighbour: this much from the tip scales by…
    double top_ratio = 1.0;
    double bell_ratio = 1.0, hole_ratio = 1.0, chimney_ratio = 1.0;
    double vent_m = 1.6e-3;
    int vents = 1;
    double vent_place = 1.0; ///< of a single vent or the lower one, against the B♭'s on the same scale
};

Recipe recipe_of(const std::string& recipes, const std::string& folder)
{
    const CsvTable table(recipes, "recipes.csv");
    for (std::size_t i = 0; i < table.rows(); ++i)
        if (table.text(i, "folder") == folder)
            return {table.number(i, "bore_mm"),        table.number(i, "top_keeps_mm") * 1e-3,
                    table.number(i, "top_ratio"),      table.number(i, "bell_ratio"),
                    table.number(i, "hole_ratio"),     table.number(i, "chimney_ratio"),
                    table.number(i, "vent_mm") * 1e-3, int(table.number(i, "vents")),
                    table.number(i, "vent_place")};
    throw std::runtime_error("no recipe for " + folder);
}

/// The B♭ instrument's places on another: the top scales by itself, the rest by `k`.
struct Scale {
    Recipe recipe;
    double k = 1.0;
    double extra_m = 0.0; ///< more bore under the little-finger pads

    double place(double x) const
    {
        const double top = std::min(x, recipe.top_keeps_m);
        return top * recipe.top_ratio + (x - top) * k;
    }
    double radius(double x, double r) const
    {
        const double bore = recipe.bore_mm / b_flat_bore_mm;
        return r * (x <= recipe.top_keeps_m ? std::min(bore, recipe.top_ratio)
                    : x >= bell_top_m       ? bore * recipe.bell_ratio / std::max(1.0, std::pow(bore, 0.6))
                                            : bore);
    }
    std::vector<BorePoint> bore(const std::vector<BorePoint>& b_flat) const
    {
        std::vector<BorePoint> result;
        for (const auto& p : b_flat)
            result.push_back(
                {place(p.x_m) + (p.x_m >= flare_start_m ? extra_m : 0.0), radius(p.x_m, p.radius_m)});
        if (extra_m > 0.0) {
            const auto flare = std::find_if(result.begin(), result.end(), [&](const BorePoint& p) {
                return p.x_m >= place(flare_start_m) + extra_m - 1e-9;
            });
            const double r = flare->radius_m;
            result.insert(flare, {place(flare_start_m), r});
        }
        return result;
    }
};

std::vector<ToneHole> scaled_holes(const std::vector<ToneHole>& b_flat, const Scale& scale, int low_notes)
{
    std::vector<ToneHole> holes;
    const bool plates = scale.recipe.bore_mm > 11.0; // fingers no longer reach the holes
    for (ToneHole h : b_flat) {
        const bool vent = h.name == "vent";
        h.x_m = scale.place(vent && scale.recipe.vents == 2 ? upper_vent_m
                            : vent                          ? h.x_m * scale.recipe.vent_place
                                                            : h.x_m);
        h.radius_m = vent ? scale.recipe.vent_m : h.radius_m * scale.recipe.hole_ratio;
        h.chimney_m *= scale.recipe.chimney_ratio;
        h.pad_lift_m *= scale.recipe.hole_ratio;
        if (plates && h.cover == HoleCover::finger) {
            h.cover = HoleCover::pad;
            h.pad_lift_m = 0.8 * h.radius_m;
        }
        holes.push_back(h);
    }
    if (scale.recipe.vents == 2) {
        ToneHole lower = holes.front();
        lower.name = "lower_vent";
        lower.x_m = scale.place(lower_vent_m * scale.recipe.vent_place);
        holes.push_back(lower);
    }
    const char* const names[] = {"low_e_flat_pad", "low_d_pad", "low_c_sharp_pad", "low_c_pad"};
    ToneHole low = holes[23];
    for (int i = 0; i < low_notes; ++i) {
        low.name = names[i];
        low.x_m *= std::exp2(1.0 / 12.0);
        holes.push_back(low);
    }
    std::sort(holes.begin(), holes.end(), [](const ToneHole& a, const ToneHole& b) { return a.x_m < b.x_m; });
    return holes;
}

/// A hole and the notes that place it; the clarion note counts half as much again, since its ear-splitting
/// errors are the ones a section hears.
std::vector<HoleTargets> wishes(const Instrument& instrument)
{
    struct Wish {
        const char* hole;
        std::vector<std::pair<const char*, const char*>> notes;
    };
    static const std::vector<Wish> all{
        {"low_c_pad", {{"T L1 L2 L3 R1 R2 R3 lCs", "C#3"}}},
        {"low_c_sharp_pad", {{"T L1 L2 L3 R1 R2 R3 lD", "D3"}}},
        {"low_d_pad", {{"T L1 L2 L3 R1 R2 R3 lEb", "D#3"}}},
        {"low_e_flat_pad", {{"T L1 L2 L3 R1 R2 R3 E", "E3"}, {"R T L1 L2 L3 R1 R2 R3 E", "B4"}}},
        {"e_b_pad", {{"T L1 L2 L3 R1 R2 R3 F", "F3"}, {"R T L1 L2 L3 R1 R2 R3 F", "C5"}}},
        {"f_sharp_c_sharp", {{"T L1 L2 L3 R1 R2 R3 FS", "F#3"}, {"R T L1 L2 L3 R1 R2 R3 FS", "C#5"}}},
        {"f_c_pad", {{"T L1 L2 L3 R1 R2 R3", "G3"}, {"R T L1 L2 L3 R1 R2 R3", "D5"}}},
        {"a_flat_e_flat", {{"T L1 L2 L3 R1 R2 R3 AE", "G#3"}, {"R T L1 L2 L3 R1 R2 R3 AE", "D#5"}}},
        {"right3", {{"T L1 L2 L3 R1 R2", "A3"}, {"R T L1 L2 L3 R1 R2", "E5"}}},
        {"right2", {{"T L1 L2 L3 R1", "A#3"}, {"R T L1 L2 L3 R1", "F5"}}},
        {"right_sliver", {{"T L1 L2 L3 R1 RS", "B3"}, {"R T L1 L2 L3 R1 RS", "F#5"}}},
        {"right1", {{"T L1 L2 L3 R2", "B3"}, {"R T L1 L2 L3 R2", "F#5"}}},
        {"right_ring_pad", {{"T L1 L2 L3", "C4"}, {"R T L1 L2 L3", "G5"}}},
        {"c_sharp", {{"T L1 L2 L3 CS", "C#4"}, {"R T L1 L2 L3 CS", "G#5"}}},
        {"left3", {{"T L1 L2", "D4"}, {"R T L1 L2", "A5"}}},
        {"side1", {{"T L1 L2 S1", "D#4"}, {"R T L1 L2 S1", "A#5"}}},
        {"left_sliver", {{"T L1 L2 SL", "D#4"}, {"R T L1 L2 SL", "A#5"}}},
        {"left2", {{"T L1", "E4"}, {"R T L1", "B5"}}},
        {"left1", {{"T", "F4"}, {"R T", "C6"}}},
        {"side2", {{"T S1 S2", "F#4"}}},
        {"thumb", {{"L1", "F#4"}}},
        {"upper_pad", {{"", "G4"}}},
        {"throat_a_flat", {{"Ab", "G#4"}}},
        {"throat_a", {{"A", "A4"}}},
        {"side3", {{"A S3", "A#4"}}},
        {"side4", {{"A S4", "B4"}}}};
    std::vector<HoleTargets> result;
    for (const Wish& wish : all) {
        const auto& holes = instrument.geometry.holes;
        const auto at =
            std::find_if(holes.begin(), holes.end(), [&](const ToneHole& h) { return h.name == wish.hole; });
        if (at == holes.end())
            continue;
        HoleTargets targets{std::size_t(at - holes.begin()), {}};
        for (const auto& [keys, written] : wish.notes)
            targets.targets.push_back(
                {boehm_holes(keys, instrument.mechanism),
                 frequency({double(*pitch_number(written) + instrument.transposition)}, {440.0}).value,
                 std::string(keys)[0] == 'R' ? 1.2 : 1.0});
        result.push_back(targets);
    }
    return result;
}

void set_keywork(Instrument& instrument)
{
    instrument.mechanism.holes = hole_rules(instrument.geometry);
    instrument.vents = instrument.mechanism.vents();
    instrument.vent_index = instrument.vents.front();
}

double reed_m(const Instrument& instrument)
{
    return reed_length(instrument.reed_hz, instrument.reed_window);
}

/// Factor of the bore's length that brings the note with everything shut to pitch.
void solve_length(Instrument& instrument, Scale& scale, const Geometry& b_flat, const Air& air)
{
    const int low_notes = 52 - instrument.lowest.number;
    const double target =
        frequency({double(instrument.lowest.number + instrument.transposition)}, {440.0}).value;
    scale.k = std::exp2((-2.0 - instrument.transposition) / 12.0);
    for (int i = 0; i < 12; ++i) {
        scale.extra_m = low_notes == 0 ? 0.0 : 0.62 * scale.k * (std::exp2(low_notes / 12.0) - 1.0);
        instrument.geometry.bore = scale.bore(b_flat.bore);
        instrument.geometry.holes = scaled_holes(b_flat.holes, scale, low_notes);
        const Resonator bore(instrument.geometry, air, 0);
        const double played = played_frequency(bore, HoleState{}, target, 600.0, reed_m(instrument));
        if (played <= 0.0)
            throw std::runtime_error("the bore is far from its pitch");
        scale.k *= played / target / std::exp2(5.0 / 1200.0); // a low note 5 cents high sinks when it is loud
    }
    set_keywork(instrument);
}

/// Where order along the tube pins a hole, a maker reams it or fills it: sizes of the holes whose notes stay
/// off, and of the vent if the throat B♭ it makes is far too high.
void ream(Instrument& instrument, const Air& air)
{
    const auto place = [&] {
        instrument.geometry = place_holes(std::move(instrument.geometry), air, instrument.vent_index,
                                          wishes(instrument), 4, reed_m(instrument));
    };
    place();
    for (int round = 0; round < 30; ++round) {
        const Resonator bore(instrument.geometry, air, instrument.vent_index);
        bool changed = false;
        for (const HoleTargets& wish : wishes(instrument)) {
            double off = 0.0;
            for (const TuningTarget& t : wish.targets) {
                const double hz = played_frequency(bore, t.holes, t.frequency_hz, 350.0, reed_m(instrument));
                off += hz > 0.0 ? cents_between({hz}, {t.frequency_hz}).value / double(wish.targets.size())
                                : 0.0;
            }
            if (std::abs(off) > 5.0) {
                instrument.geometry.holes[wish.hole].radius_m *= off > 0.0 ? 0.96 : 1.04;
                changed = true;
            }
        }
        const double b_flat = frequency({double(70 + instrument.transposition)}, {440.0}).value;
        const double hz = played_frequency(bore, boehm_holes("R A", instrument.mechanism), b_flat, 350.0,
                                           reed_m(instrument));
        // Two vents are made for the clarion; the throat B♭ then comes from the side key.
        if (instrument.vents.size() == 1 && hz > 0.0 && cents_between({hz}, {b_flat}).value > 20.0) {
            for (const std::size_t vent : instrument.vents)
                instrument.geometry.holes[vent].radius_m *= 0.95;
            changed = true;
        }
        if (!changed)
            break;
        place();
    }
}

void write_tables(const Geometry& geometry, const std::string& folder, bool with_bore,
                  const std::string& design)
{
    char row[160];
    if (with_bore) {
        std::ofstream out(folder + "/bore.csv");
        out << "# made by models/maker/make_instrument.cpp from b_flat/bore.csv and "
               "recipes.csv\nx_mm,radius_mm\n";
        for (const auto& p : geometry.bore) {
            std::snprintf(row, sizeof row, "%.2f,%.3f\n", p.x_m * 1e3, p.radius_m * 1e3);
            out << row;
        }
    }
    std::ofstream out(folder + "/holes.csv");
    out << "# made by models/maker/make_instrument.cpp from " << design
        << "\nname,x_mm,radius_mm,chimney_mm,cover,lift_mm\n";
    for (const auto& h : geometry.holes) {
        std::snprintf(row, sizeof row, "%s,%.2f,%.3f,%.2f,%s,%.2f\n", h.name.c_str(), h.x_m * 1e3,
                      h.radius_m * 1e3, h.chimney_m * 1e3, h.cover == HoleCover::pad ? "pad" : "finger",
                      h.pad_lift_m * 1e3);
        out << row;
    }
}

void report(const Instrument& instrument, const Air& air)
{
    const Resonator bore(instrument.geometry, air, instrument.vent_index);
    for (const Fingering& f : instrument.fingerings) {
        if (f.use == FingeringUse::trill)
            continue;
        HoleState holes = f.holes;
        holes.open |= f.vent > 0.0 ? 1u << instrument.vents[f.vent_number] : 0u;
        const double target = frequency({double(f.written.number + instrument.transposition)}, {440.0}).value;
        const double played = played_frequency(bore, holes, target, 350.0, reed_m(instrument));
        std::printf("%-4s %-32s %7.1f Hz %+6.1f c\n", pitch_name(f.written.number).c_str(), f.keys.c_str(),
                    target, played > 0.0 ? cents_between({played}, {target}).value : 999.0);
    }
}

} // namespace

int main(int argc, char** argv)
{
    if (argc < 3) {
        std::cerr << "canebrake_make_instrument models/instruments NAME\n";
        return 2;
    }
    const std::string root = argv[1], name = argv[2];
    const auto facts = instrument_facts();
    const auto at = std::find_if(facts.begin(), facts.end(), [&](const auto& f) { return f.name == name; });
    if (at == facts.end()) {
        std::cerr << "no such row in models.csv: " << name << '\n';
        return 2;
    }
    const Air air = breath_air({25.0});
    const std::string design = slurp(root + "/b_flat/design.csv"), folder = root + "/" + at->folder;
    const Geometry b_flat = read_geometry(slurp(root + "/b_flat/bore.csv"), design, "start_x_mm");
    const std::string chart = slurp(root + "/fingerings.csv");
    Instrument instrument;
    instrument.transposition = at->transposition;
    instrument.lowest = at->lowest;
    instrument.mechanism.half_hole = at->half_hole;
    instrument.reed_hz = at->reed_hz;
    instrument.reed_window = at->reed_window;
    const bool ours = at->folder == "b_flat";
    if (ours) {
        instrument.geometry = b_flat;
        set_keywork(instrument);
    } else {
        std::filesystem::create_directories(folder);
        Scale scale{recipe_of(slurp(root + "/recipes.csv"), at->folder)};
        solve_length(instrument, scale, b_flat, air);
    }
    if (ours)
        instrument.geometry =
            place_holes(std::move(instrument.geometry), air, instrument.vent_index, wishes(instrument));
    else
        ream(instrument, air);
    write_tables(instrument.geometry, folder, !ours,
                 ours ? "bore.csv and design.csv" : "b_flat/design.csv and recipes.csv");
    instrument.fingerings = read_fingerings(chart, instrument);
    report(instrument, air);
}
