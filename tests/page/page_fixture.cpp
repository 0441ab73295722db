// SPDX-License-Identifier: MIT
#include "page_fixture.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <numbers>

namespace canebrake::test
{
namespace
{
using Json = nlohmann::ordered_json;

std::string name_of(int number)
{
    constexpr std::array names{"C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"};
    return names[std::size_t(number % 12)] + std::to_string(number / 12 - 1);
}

std::string register_of(int written)
{
    return written <= 66 ? "chalumeau" : written <= 70 ? "throat" : written <= 84 ? "clarion" : "altissimo";
}

double hz_of(double number)
{
    return 440.0 * std::exp2((number - 69.0) / 12.0);
}

struct Recipe {
    double hz;
    std::array<double, 16> harmonic_db;

    Recipe(double hz, double level_db, double tilt_db, double even_db) : hz(hz)
    {
        for (std::size_t h = 0; h < 16; ++h)
            harmonic_db[h] = level_db - tilt_db * double(h) + (h % 2 == 1 ? even_db : 0.0);
    }

    void add_to(std::vector<float>& sound, double from_s, double to_s) const
    {
        const auto first = std::size_t(from_s * fixture_rate), last = std::size_t(to_s * fixture_rate);
        if (sound.size() < last)
            sound.resize(last);
        std::vector<double> sum(last - first);
        for (std::size_t h = 0; h < 16 && hz * double(h + 1) < fixture_rate / 2; ++h) {
            // each harmonic turns as a complex number: no sine a sample
            const auto turn = std::polar(1.0, 2.0 * std::numbers::pi * hz * double(h + 1) / fixture_rate);
            std::complex<double> now = std::pow(10.0, harmonic_db[h] / 20);
            for (double& x : sum) {
                x += now.imag();
                now *= turn;
            }
        }
        for (std::size_t i = 0; i < sum.size(); ++i) {
            const double t = double(i) / fixture_rate, left = double(sum.size() - i) / fixture_rate;
            sound[first + i] = float(std::min({1.0, t / 0.02, left / 0.03}) * sum[i]);
        }
    }

    Json measured() const
    {
        double energy = 0.0, amplitudes = 0.0, moment = 0.0;
        Json levels = Json::array();
        for (std::size_t h = 0; h < 16; ++h) {
            const double f = hz * double(h + 1), a = std::pow(10.0, harmonic_db[h] / 20);
            levels.push_back(f < fixture_rate / 2 ? Json(harmonic_db[h]) : Json());
            energy += a * a;
            amplitudes += f <= 10000 ? a : 0.0;
            moment += f <= 10000 ? a * f : 0.0;
        }
        const double level = 10 * std::log10(energy);
        const auto& d = harmonic_db;
        return {{"in_register", true},
                {"settled_hz", hz},
                {"cents", 1.5},
                {"level_db", level},
                {"loudness_lkfs", level - 3.0},
                {"speaking_ms", 20.0},
                {"centroid_hz", moment / amplitudes},
                {"harmonics_db", levels},
                {"odd_over_even_db", (d[0] + d[2] + d[4]) / 3 - (d[1] + d[3]) / 2},
                {"even_over_neighbours_db", {d[1] - (d[0] + d[2]) / 2, d[1] - (d[0] + d[2]) / 2, nullptr}},
                {"fundamental_share_db", d[0] - level},
                {"noise_db", -38.0}};
    }
};

Json pitch(int number)
{
    return {{"name", name_of(number)}, {"number", number}};
}

constexpr std::array dynamics{"pp", "mf", "ff"};
} // namespace

std::vector<PageSound> Compared::packed() const
{
    std::vector<PageSound> all;
    for (const auto& sound : sounds)
        all.push_back(packed_sound(sound, {fixture_rate}));
    return all;
}

Compared tones_fixture(const std::vector<std::string>& names, bool with_sound)
{
    Compared made;
    Json sides = Json::array();
    for (std::size_t s = 0; s < names.size(); ++s) {
        Json notes = Json::array(), averages = Json::array();
        std::vector<float> sound;
        double at_s = 0.0;
        for (int written = 52; written <= 91; ++written) {
            const int sounding = written - 2 - int(s);
            const bool on = s == 0 || written > 52;
            Json tones = Json::array();
            for (std::size_t d = 0; on && d < dynamics.size(); ++d) {
                const Recipe recipe(hz_of(sounding), -36.0 + 8.0 * double(d),
                                    5.0 - 1.2 * double(d) + 0.5 * double(s), written <= 70 ? -18.0 : -4.0);
                if (with_sound) {
                    recipe.add_to(sound, at_s + clip_start_s, at_s + clip_end_s);
                    sound.resize(std::size_t((at_s + clip_s) * fixture_rate));
                }
                Json measured = recipe.measured(), words = Json::array();
                measured["cents"] = double((written * 7 + int(d) * 5) % 19 - 9);
                measured["speaking_ms"] = 20.0 + double(written - 52) * 2.5 - 8.0 * double(d);
                if (measured["speaking_ms"] > 90)
                    words.push_back("late");
                if (std::abs(measured["cents"].get<double>()) > 7)
                    words.push_back(measured["cents"] > 0 ? "sharp" : "flat");
                if (written == 69 || written == 70)
                    words.push_back("dull");
                if (s == 1 && written == 91 && d == 0) {
                    measured["in_register"] = false;
                    words = {"not in register"};
                }
                tones.push_back({{"dynamic", dynamics[d]},
                                 {"before_lip_cents", double((written * 5) % 31 - 12)},
                                 {"measured", measured},
                                 {"words", words},
                                 {"clip", {{"start_s", at_s}, {"end_s", at_s + clip_s}}}});
                at_s += clip_s;
            }
            notes.push_back({{"written", pitch(written)},
                             {"sounding", pitch(sounding)},
                             {"register", register_of(written)},
                             {"on_instrument", on},
                             {"fingering", on ? Json("T L1 L2 L3") : Json()},
                             {"tones", tones}});
        }
        for (const char* name : {"chalumeau", "throat", "clarion", "altissimo"})
            for (const char* dynamic : dynamics)
                averages.push_back({{"register", name},
                                    {"dynamic", dynamic},
                                    {"notes", 10},
                                    {"level_db", -25.0},
                                    {"loudness_lkfs", -28.0},
                                    {"centroid_hz", 1200.0},
                                    {"cents", 0.4},
                                    {"speaking_ms", 50.0},
                                    {"odd_over_even_db", 14.0},
                                    {"even_over_neighbours_db", {-16.0, -6.0, nullptr}},
                                    {"fundamental_share_db", -2.0},
                                    {"noise_db", -40.0}});
        sides.push_back({{"name", names[s]},
                         {"instrument", s == 0 ? "B-flat" : "A"},
                         {"title", s == 0 ? "clarinet in B♭" : "clarinet in A"},
                         {"player", "studio"},
                         {"transposition_semitones", -2 - int(s)},
                         {"registers", Json::array()},
                         {"notes", notes},
                         {"averages", averages}});
        if (with_sound)
            made.sounds.push_back(std::move(sound));
    }
    Json differences = Json::array();
    for (const char* name : {"chalumeau", "throat", "clarion", "altissimo"})
        for (const char* dynamic : dynamics)
            differences.push_back({{"side", 1},
                                   {"against", 0},
                                   {"register", name},
                                   {"dynamic", dynamic},
                                   {"notes", 14},
                                   {"level_db", -0.6},
                                   {"loudness_lu", -0.5},
                                   {"centroid_ratio", 0.95},
                                   {"cents", 0.1},
                                   {"speaking_ms", 2.0},
                                   {"odd_over_even_db", 0.8},
                                   {"fundamental_share_db", 0.2},
                                   {"words", {"a shade darker"}}});
    Json levels = Json::array();
    for (std::size_t d = 0; d < dynamics.size(); ++d)
        levels.push_back({{"name", dynamics[d]}, {"level", 1 + 2 * int(d)}});
    made.comparison = {
        {"schema", "canebrake-compare"}, {"version", 1},       {"kind", "tones"},    {"a4_hz", 440},
        {"temperature_c", 25},           {"pitch", "written"}, {"dynamics", levels}, {"sides", sides},
        {"differences", differences}};
    return made;
}

Compared lines_fixture(std::size_t count, bool with_sound)
{
    constexpr std::array titles{"clarinet in B♭", "clarinet in A", "clarinet in C"};
    constexpr std::array names{"B-flat studio", "A studio", "C studio"};
    Compared made;
    Json sides = Json::array(), rows = Json::array(), differences = Json::array(), summary = Json::array();
    for (std::size_t s = 0; s < 3; ++s) {
        Json notes = Json::array();
        std::vector<float> sound;
        const double step_s = s == 1 ? 1.0 : 0.7;
        double at_s = 0.1;
        for (std::size_t n = 0; n < count; ++n, at_s += step_s) {
            const int sounding = 55 + int((n * 5) % 17), written = sounding + (s == 0 ? 2 : s == 1 ? 3 : 0);
            if (s == 2 && n == 3)
                continue;
            const Recipe recipe(hz_of(sounding), -22.0 - double(s) * 1.5, 4.0 + double((n + s) % 5) * 0.6,
                                -12.0);
            if (with_sound)
                recipe.add_to(sound, at_s, at_s + step_s * 0.95);
            Json measured = recipe.measured();
            measured["cents"] = double((n * 7 + s * 3) % 15) - 7.0;
            notes.push_back({{"start_s", at_s},
                             {"end_s", at_s + step_s * 0.95},
                             {"written", pitch(written)},
                             {"sounding", pitch(sounding)},
                             {"register", register_of(written)},
                             {"dynamic", "mf"},
                             {"fingering", "T L1"},
                             {"silent", false},
                             {"measured", measured},
                             {"words", n % 9 == 4 ? Json{"late"} : Json::array()}});
        }
        sides.push_back({{"name", names[s]},
                         {"instrument", s == 0   ? "B-flat"
                                        : s == 1 ? "A"
                                                 : "C"},
                         {"title", titles[s]},
                         {"player", "studio"},
                         {"file", nullptr},
                         {"duration_s", at_s + 0.2},
                         {"remarks", s == 1 ? Json{"two notes are short"} : Json::array()},
                         {"notes", notes}});
        if (with_sound) {
            sound.resize(std::size_t((at_s + 0.2) * fixture_rate));
            made.sounds.push_back(std::move(sound));
        }
    }
    for (std::size_t n = 0; n < count; ++n) {
        rows.push_back({{"bar", std::to_string(n / 4 + 1)},
                        {"beat", double(n % 4) + 1.0},
                        {"notes", {n, n, n == 3 ? Json() : Json(n < 3 ? n : n - 1)}}});
        for (int s = 1; s < 3; ++s)
            if (s != 2 || n != 3)
                differences.push_back({{"side", s},
                                       {"against", 0},
                                       {"row", n},
                                       {"level_db", -1.5 * s},
                                       {"loudness_lu", -1.4 * s},
                                       {"centroid_ratio", 1.0 - 0.02 * double((n * 3) % 11)},
                                       {"cents", double((n * 11) % 13) - 6.0},
                                       {"speaking_ms", 2.0},
                                       {"odd_over_even_db", 0.4},
                                       {"words", n % 3 == 0 ? Json{"darker", "softer"} : Json::array()}});
    }
    for (int s = 1; s < 3; ++s)
        summary.push_back({{"side", s},
                           {"against", 0},
                           {"notes", count},
                           {"level_db", -1.5 * s},
                           {"loudness_lu", -1.4 * s},
                           {"centroid_ratio", 0.93},
                           {"cents", 0.3},
                           {"speaking_ms", 2.0},
                           {"odd_over_even_db", 0.4},
                           {"words", {"softer", "a shade darker"}}});
    made.comparison = {{"schema", "canebrake-compare"},
                       {"version", 1},
                       {"kind", "lines"},
                       {"a4_hz", 440},
                       {"temperature_c", 25},
                       {"line", {{"file", "try.txt"}, {"phrase", nullptr}, {"part_name", nullptr}}},
                       {"remarks", {"a remark on all"}},
                       {"sides", sides},
                       {"rows", rows},
                       {"differences", differences},
                       {"summary", summary}};
    return made;
}

} // namespace canebrake::test
