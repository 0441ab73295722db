// SPDX-License-Identifier: MIT
// Prints the figures this project is held to, as measured on the rendered sound: canebrake_figures [SHARED
// FOLDER]. It asserts nothing; the tests do. The SHARC table (G. Sandell, public domain) is read from the
// reference folder.
#include "engine/files/phrase/read_phrase.h"
#include "engine/listening/listening.h"
#include "engine/part/choose_part.h"
#include "engine/part/pitch_basis.h"
#include "engine/performance/performance.h"
#include "engine/synthesis/state_tables.h"
#include "tests/bench/family_report.h"
#include "tests/bench/published_report.h"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <fstream>
#include <map>
#include <sstream>
#include <thread>

using namespace canebrake;

namespace
{

constexpr double rate = 48000.0;
constexpr const char* dynamics[] = {"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"};

std::vector<float> render(const std::string& phrase, const RenderSettings& settings,
                          std::vector<PlannedNote>& notes)
{
    Line line = choose_part(read_phrase(phrase), "");
    set_pitch_basis(line, PitchBasis::written, -2);
    Rendering rendering(b_flat_soprano(), line, settings);
    std::vector<float> audio(rendering.total_samples());
    rendering.process(audio);
    notes = rendering.notes();
    return audio;
}

NoteMeasure one_note(int written, const char* dynamic, Player player, int oversampling = 1)
{
    RenderSettings settings;
    settings.player = player;
    settings.oversampling = oversampling;
    std::vector<PlannedNote> notes;
    const auto audio =
        render("tempo 60 " + std::string(dynamic) + " 1/4 " + pitch_name(written), settings, notes);
    return measure_note(std::span(audio).first(std::size_t(notes[0].end_s * rate)), {rate},
                        notes[0].target_hz);
}

Harmonics tone(int written, const char* dynamic)
{
    std::vector<PlannedNote> notes;
    const auto audio = render("tempo 60 " + std::string(dynamic) + " 1/4 " + pitch_name(written), {}, notes);
    return harmonics(std::span(audio).subspan(std::size_t(0.4 * rate), std::size_t(0.4 * rate)), {rate},
                     notes[0].target_hz);
}

double median(std::vector<double> values)
{
    if (values.empty())
        return 0.0;
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

void notes_report()
{
    for (const Player player : {Player::ideal, Player::studio, Player::learner}) {
        int settled = 0, all = 0;
        double worst_low = 0.0, worst_high = 0.0, slowest_to_b5 = 0.0;
        std::string lost, far;
        for (int w = 52; w <= 91; ++w)
            for (const char* d : {"pp", "mf", "ff"}) {
                const auto m = one_note(w, d, player);
                ++all;
                settled += m.in_register;
                if (!m.in_register) {
                    lost += " " + pitch_name(w) + d;
                    continue;
                }
                double& worst = w <= 84 ? worst_low : worst_high;
                if (std::abs(m.cents) > (w <= 84 ? 12.0 : 20.0))
                    far += " " + pitch_name(w) + d + ":" + std::to_string(int(std::lround(m.cents)));
                worst = std::max(worst, std::abs(m.cents));
                if (w <= 83)
                    slowest_to_b5 = std::max(slowest_to_b5, m.speaking_s);
            }
        const char* name = player == Player::ideal    ? "ideal"
                           : player == Player::studio ? "studio"
                                                      : "learner";
        std::printf(
            "%-8s E3-G6 at pp mf ff: %d of %d settle in their register; worst %.1f c to C6, %.1f c above; "
            "slowest to B5 %.0f ms; lost:%s; beyond:%s\n",
            name, settled, all, worst_low, worst_high, slowest_to_b5 * 1e3, lost.c_str(), far.c_str());
    }
}

void tone_report(const std::string& shared)
{
    std::map<int, std::vector<double>> sharc;
    std::ifstream facts(shared + "/facts.md");
    bool inside = false;
    for (std::string row; std::getline(facts, row);) {
        if (row.rfind("| written | sounding f0 Hz | H2", 0) == 0)
            inside = true;
        else if (inside && row.rfind("|", 0) != 0)
            inside = false;
        else if (inside) {
            std::istringstream cells(row.substr(1));
            std::string name, f0, cell;
            std::getline(cells, name, '|');
            std::getline(cells, f0, '|');
            name.erase(std::remove(name.begin(), name.end(), ' '), name.end());
            if (const auto number = pitch_number(name))
                for (int h = 2; h <= 9 && std::getline(cells, cell, '|'); ++h)
                    sharc[*number].push_back(std::atof(cell.c_str()));
        }
    }
    std::vector<double> distances;
    std::printf("note   H2-mean(H1,H3)  H3  odd-even  odd-even 1.2-2k  centroid  to SHARC | H1..H10 at mf\n");
    for (int w = 52; w <= 88; ++w) {
        const auto h = tone(w, "mf");
        const auto level = [&](std::size_t n) { return h.level_db[n - 1] - h.level_db[0]; };
        const double odd = (0.0 + level(3) + level(5)) / 3.0, even = (level(2) + level(4)) / 2.0;
        std::vector<double> odds, evens;
        for (std::size_t n = 1; n <= 20; ++n) {
            const double hz = h.fundamental_hz * double(n);
            if (hz > 1200.0 && hz < 2000.0)
                (n % 2 ? odds : evens).push_back(level(n));
        }
        const auto mean = [](const std::vector<double>& v) {
            double sum = 0.0;
            for (const double x : v)
                sum += x;
            return sum / double(std::max<std::size_t>(1, v.size()));
        };
        double distance = -1.0;
        if (sharc.count(w)) {
            double sum = 0.0;
            std::size_t n = 0;
            for (const double theirs : sharc[w]) {
                const double ours = std::max(-60.0, level(n + 2));
                sum += (ours - std::max(-60.0, theirs)) * (ours - std::max(-60.0, theirs));
                ++n;
            }
            distance = std::sqrt(sum / double(n));
            distances.push_back(distance);
        }
        std::printf("%-5s %8.1f %8.1f %8.1f %8.1f %12.0f %8.1f |", pitch_name(w).c_str(),
                    level(2) - 0.5 * level(3), level(3), odd - even,
                    odds.empty() || evens.empty() ? 0.0 : mean(odds) - mean(evens), h.centroid_hz, distance);
        for (std::size_t n = 1; n <= 10; ++n)
            std::printf(" %.0f", level(n));
        std::printf("\n");
    }
    std::printf("median distance to SHARC over H2-H9: %.1f dB\n", median(distances));
}

void loudness_report()
{
    double least_chalumeau = 99.0, least_low = 99.0, least_top = 99.0, least_growth = 99.0;
    for (int w = 52; w <= 84; ++w) {
        const auto soft = one_note(w, "pp", Player::studio), loud = one_note(w, "ff", Player::studio);
        const double span = loud.level_db - soft.level_db;
        double& least = w <= 69 ? least_chalumeau : w <= 76 ? least_low : least_top;
        if (w != 70)
            least = std::min(least, span);
        if (w <= 66)
            least_growth = std::min(least_growth, loud.centroid_hz / soft.centroid_hz);
    }
    std::printf("pp-ff span at least: %.1f dB E3-A4, %.1f B4-E5, %.1f F5-C6; centroid grows at least %.2f "
                "times E3-F#4\n",
                least_chalumeau, least_low, least_top, least_growth);
}

/// The ladder ppp … fff on each comfortable note: does every step sound louder and brighter?
void ladder_report()
{
    int level_even = 0, bright_even = 0, both = 0, all = 0;
    double least_step = 99.0, least_growth = 99.0;
    std::string steps_back;
    for (int w = 52; w <= 88; ++w) {
        std::string levels, centroids;
        double last_level = -200.0, last_hz = 0.0;
        bool louder = true, brighter = true;
        for (const char* d : dynamics) {
            const auto m = one_note(w, d, Player::studio);
            char text[32];
            std::snprintf(text, sizeof text, " %6.1f", m.level_db);
            levels += text;
            std::snprintf(text, sizeof text, " %5.0f", m.centroid_hz);
            centroids += text;
            if (last_hz > 0.0) {
                least_step = std::min(least_step, m.level_db - last_level);
                least_growth = std::min(least_growth, m.centroid_hz / last_hz);
                if (m.level_db <= last_level)
                    louder = false, steps_back += " " + pitch_name(w) + d + ":level";
                if (m.centroid_hz <= last_hz)
                    brighter = false, steps_back += " " + pitch_name(w) + d + ":centroid";
            }
            last_level = m.level_db;
            last_hz = m.centroid_hz;
        }
        ++all;
        level_even += louder;
        bright_even += brighter;
        both += louder && brighter;
        std::printf("%-4s dB%s | Hz%s%s\n", pitch_name(w).c_str(), levels.c_str(), centroids.c_str(),
                    louder && brighter ? "" : " *");
    }
    std::printf("ladder ppp-fff, E3-E6, studio: %d of %d notes grow louder at every step, %d brighter, %d "
                "both; least "
                "step %.2f dB, %.3f times; back:%s\n",
                level_even, all, bright_even, both, least_step, least_growth, steps_back.c_str());
}

void rate_report()
{
    for (const int w : {52, 60, 69, 71, 79, 84}) {
        const auto one = one_note(w, "mf", Player::studio);
        for (const int factor : {2, 4}) {
            const auto other = one_note(w, "mf", Player::studio, factor);
            std::printf("rate x%d %-4s %+.2f c %+.2f dB\n", factor, pitch_name(w).c_str(),
                        other.cents - one.cents, other.level_db - one.level_db);
        }
    }
}

/// The fourteen twelfths at five mouth pressures and three opening phases: the register key alone, then a
/// player's help.
void twelfths_report()
{
    const Instrument& instrument = b_flat_soprano();
    StateTables tables(instrument);
    for (const bool up : {true, false})
        for (const Player player : {Player::studio, Player::learner}) {
            const Skill& s = skill(player);
            int arrived = 0, all = 0;
            std::string misses;
            for (int low = 52; low <= 65; ++low)
                for (const double gamma : {0.4, 0.5, 0.6, 0.7, 0.8})
                    for (int phase = 0; phase < 3; ++phase) {
                        const Fingering* from = instrument.primary({up ? low : low + 19});
                        const Fingering* to = instrument.primary({up ? low + 19 : low});
                        const double target = frequency({double(to->written.number - 2)}, {440.0}).value;
                        Voice voice;
                        voice.prepare(instrument, tables.bore().characteristic_impedance(),
                                      tables.bore().air().density_kgpm3, rate, 1);
                        voice.start_state(tables.table(from->holes));
                        std::vector<float> audio;
                        const double change = 0.5 + phase / 3.0 / target;
                        for (int i = 0; i < int(1.2 * rate / control_tick); ++i) {
                            const double t = i * double(control_tick) / rate;
                            const double since = t - change;
                            Control c;
                            c.gamma = t < 0.1 ? std::max(gamma, 0.5) : gamma;
                            c.zeta = low + 19 >= 81 ? 0.225 : 0.25;
                            c.tongue = 0.0;
                            const double moved = std::clamp(since / 0.006, 0.0, 1.0);
                            c.vent = from->vent + moved * (to->vent - from->vent);
                            if (since > 0.0 && since < s.slur_s + 0.04) {
                                const double hold = 1.0 - std::clamp((since - s.slur_s) / 0.04, 0.0, 1.0);
                                c.lean_mode = from->register_number - 1;
                                c.lean = 1.0 + (s.lean - 1.0) * hold;
                                if (up && s.slur_gamma_up > 0.0)
                                    c.gamma += hold * s.slur_gamma_up;
                                if (s.slur_tract_zc > 0.0) {
                                    c.tract_hz = 1.02 * target;
                                    c.tract_zc = s.slur_tract_zc * hold;
                                }
                            }
                            std::array<double, control_tick> block;
                            voice.process(c, block);
                            for (const double x : block)
                                audio.push_back(float(x * instrument.gain));
                        }
                        const auto m =
                            measure_note(std::span(audio).last(std::size_t(0.4 * rate)), {rate}, target);
                        ++all;
                        arrived += m.in_register;
                        if (!m.in_register)
                            misses += " " + pitch_name(from->written.number) + "@" +
                                      std::to_string(gamma).substr(0, 3);
                    }
            std::printf("twelfths %s, %s: %d of %d arrive; misses:%s\n", up ? "up" : "down",
                        player == Player::studio ? "studio" : "learner", arrived, all, misses.c_str());
        }
}

void slur_report()
{
    for (const Player player : {Player::ideal, Player::studio, Player::learner})
        for (const char* tempo : {"72", "160"})
            for (const char* pair : {"A4_B4", "Bb4_C5", "G4_C5", "B4_A4", "C4_D4", "E4_F4", "D5_E5", "C5_C6",
                                     "C6_C5", "B4_E3", "D5_G3", "G5_C4", "B5_E4", "C6_F4"}) {
                std::vector<double> dips, settles;
                int arrived = 0;
                for (int seed = 1; seed <= 8; ++seed) {
                    RenderSettings settings;
                    settings.player = player;
                    settings.seed = std::uint64_t(seed);
                    std::vector<PlannedNote> notes;
                    const bool hurried = tempo[0] == '1';
                    const auto audio =
                        render("tempo " + std::string(tempo) + (hurried ? " mf 1/16 " : " mf 1/4 ") + pair,
                               settings, notes);
                    const auto m =
                        measure_slur(std::span(audio).first(std::size_t(notes[1].end_s * rate)), {rate},
                                     notes[1].start_s - 0.004, notes[0].target_hz, notes[1].target_hz);
                    dips.push_back(m.dip_db);
                    settles.push_back(m.settle_s * 1e3);
                    arrived += m.arrived;
                }
                std::printf("%-8s tempo %-3s %-7s dip %4.1f dB (worst %4.1f), settles %3.0f ms (worst "
                            "%3.0f), %d of 8 "
                            "arrive\n",
                            player == Player::ideal    ? "ideal"
                            : player == Player::studio ? "studio"
                                                       : "learner",
                            tempo, pair, median(dips), *std::max_element(dips.begin(), dips.end()),
                            median(settles), *std::max_element(settles.begin(), settles.end()), arrived);
            }
}

double seconds(const std::chrono::steady_clock::time_point& since)
{
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - since).count();
}

void speed_report()
{
    const Instrument& instrument = b_flat_soprano();
    auto start = std::chrono::steady_clock::now();
    StateTables tables(instrument);
    for (const auto& f : instrument.fingerings)
        tables.table(f.holes);
    std::printf("cold tables, %zu fingerings: %.2f s, one core\n", instrument.fingerings.size(),
                seconds(start));
    std::string phrase = "tempo 80 mf 1/2 ";
    for (int i = 0; i < 20; ++i)
        phrase += "C4_D4_E4_G4_E4_D4_";
    phrase += "C4";
    Line line = choose_part(read_phrase(phrase), "");
    set_pitch_basis(line, PitchBasis::written, -2);
    Rendering rendering(instrument, line, {});
    std::vector<float> audio(rendering.total_samples());
    start = std::chrono::steady_clock::now();
    rendering.process(audio);
    const double s = seconds(start);
    std::printf("sustained legato line: %.0f s of sound in %.2f s, %.0f x real time\n",
                rendering.duration_s(), s, rendering.duration_s() / s);
}

} // namespace

int main(int argc, char** argv)
{
    const std::string shared = argc > 1 ? argv[1] : CANEBRAKE_SOURCE_DIR "/../shared";
    const std::string only = argc > 2 ? argv[2] : "";
    const std::string member = argc > 3 ? argv[3] : ""; // of the family, for its two reports
    const auto wanted = [&](const char* name) { return only.empty() || only == name; };
    if (wanted("speed"))
        speed_report();
    if (wanted("notes"))
        notes_report();
    if (wanted("tone"))
        tone_report(shared);
    if (wanted("loudness"))
        loudness_report();
    if (wanted("ladder"))
        ladder_report();
    if (wanted("rate"))
        rate_report();
    if (wanted("twelfths"))
        twelfths_report();
    if (wanted("slurs"))
        slur_report();
    if (wanted("family"))
        family_report(member);
    if (wanted("family-slurs"))
        family_slurs_report(member);
    if (wanted("family-ladder"))
        family_ladder_report(member);
    if (wanted("published"))
        published_report();
}
