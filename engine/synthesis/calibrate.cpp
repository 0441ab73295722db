// SPDX-License-Identifier: MIT
// Finds how each fingering is blown at each dynamic and writes an instrument's blowing.csv:
//   canebrake_calibrate models/instruments NAME [NOTE ...]
// With notes, only those are played, and the rest stays as it was compiled in. Each line is settled by
// playing: the tongue lets go at start_gamma, the breath sinks to gamma, and the sound is measured half a
// second later. The ladder asks for even steps of level down from ff; where the reed stops speaking first,
// the softest that holds is kept, so a soft altissimo is as soft as the note allows and no softer. Other
// instruments than the B-flat first try what the same fingering asks of that one, and search only where it
// does not speak; what they took over is then moved until the ladder is theirs too (ladder.h).
#include "engine/listening/listening.h"
#include "engine/synthesis/ladder.h"
#include "engine/synthesis/voice.h"
#include "models/air/air.h"
#include "models/bore/resonator.h"
#include "models/instruments/embedded.h"
#include "models/maker/maker.h"
#include "models/units/input_error.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <numbers>
#include <set>
#include <thread>
#include <vector>

using namespace canebrake;
using namespace canebrake::calibration;

namespace
{

constexpr double rate = 48000.0;
constexpr double unit = 1e-8; // of the voice's output, before the gain is known

/// How much more time a long bore is given: a period is longer, and so many of them a note takes to grow.
double patience(const Instrument& instrument)
{
    return std::max(1.0, instrument.geometry.length_m() / 0.9);
}

/// The tract's height over Zc is told for a soprano's bore; a mouth that did as much to a wide one would lead
/// it, and no longer lean on what the bore says.
double tract_share(const Resonator& bore)
{
    const double radius = bore.geometry().radius_at(0.3 * bore.geometry().length_m());
    return std::min(1.0, bore.reference_area_m2() / (std::numbers::pi * radius * radius));
}

/// Seed 0 leaves the breath noise out.
Trial play(const Instrument& instrument, const Resonator& bore, const Fingering& f, const ModeTable& table,
           const Blowing& b, double lip_cents = 0.0, std::uint64_t seed = 1)
{
    const double target = frequency({double(f.written.number + instrument.transposition)}, {440.0}).value;
    Voice voice;
    voice.prepare(instrument, bore.characteristic_impedance(), bore.air().density_kgpm3, rate, seed);
    voice.start_state(table);
    std::vector<float> audio;
    Trial trial;
    // A soft altissimo can hold for half a second and then drop, and a long bore takes its time: watch them
    // longer.
    const double short_s = f.register_number >= 3 ? 1.3 : 0.65;
    const double length_s = short_s * patience(instrument);
    for (int i = 0; i < int(length_s * rate / control_tick); ++i) {
        const double t = i * double(control_tick) / rate;
        Control c;
        c.gamma = b.gamma + start_breath(b, t) * (b.start_gamma - b.gamma);
        c.zeta = b.zeta;
        c.closing_pa = b.closing_pa;
        c.cents = lip_cents;
        c.breath_noise = seed == 0 ? 0.0 : 0.004;
        c.tongue = i < 3 ? 1.0 : 0.0;
        c.vent = f.vent;
        c.tract_hz = b.tract_ratio * target;
        c.tract_zc = b.tract_zc;
        std::array<double, control_tick> block;
        voice.process(c, block);
        for (const double x : block) {
            audio.push_back(float(x * unit));
            trial.peak = std::max(trial.peak, std::abs(x * unit));
        }
    }
    // However long the bore, a note of a second must have its pitch: an undertone may still ring there.
    const std::size_t heard = std::min(audio.size(), std::size_t(std::max(1.0, short_s) * rate));
    const auto m = measure_note(std::span(audio).first(heard), {rate}, target);
    const double late_s = std::max(0.2, 12.0 / target); // a dozen periods: the contrabass goes to 35 Hz
    const auto late = measure_note(std::span(audio).last(std::size_t(late_s * rate)), {rate}, target);
    trial.level_db = m.level_db;
    trial.cents = m.cents;
    trial.speaking_s = m.speaking_s;
    trial.centroid_hz = m.centroid_hz;
    trial.drift_db = late.level_db - m.level_db;
    double loudest = 0.0; // 20 ms of the first 0.3 s
    for (std::size_t at = 0; at + 960 <= std::size_t(0.3 * rate); at += 240) {
        double sum = 0.0;
        for (std::size_t k = at; k < at + 960; ++k)
            sum += double(audio[k]) * double(audio[k]);
        loudest = std::max(loudest, sum / 960.0);
    }
    trial.overshoot_db = std::max(0.0, 10.0 * std::log10(loudest + 1e-30) - m.level_db);
    trial.good =
        m.in_register && late.in_register && std::abs(late.level_db - m.level_db) < 2.5 && m.level_db > -75.0;
    return trial;
}

/// The deviation is what the lip must take out: a few steps, since a cent of lip moves 0.97 cent of pitch in
/// the bore and less where the tract, which stays, has its say.
void find_cents(Line& line, const Instrument& instrument, const Resonator& bore, const Fingering& f,
                const ModeTable& table)
{
    for (std::size_t d = 0; d < 8; ++d) {
        double lip = 0.0, off = 1.0;
        bool held = line.trial[d].good;
        for (int i = 0; i < 8 && held && std::abs(off) > 0.05; ++i) {
            off = play(instrument, bore, f, table, line.blowing[d], lip, 0).cents;
            lip -= off;
            held = std::abs(off) < 100.0; // farther: without breath noise the note fell into another register
        }
        line.blowing[d].cents = held ? -lip : line.trial[d].cents;
    }
}

/// As on another instrument, or with a little more or less breath than there.
Line as_before(const Instrument& instrument, const Resonator& bore, const Fingering& f,
               const std::array<Blowing, 8>& before)
{
    const auto table = find_modes(bore, f.holes, {.count = instrument.mode_count});
    const double soon_s = 0.2 * std::min(patience(instrument), 2.2); // no player waits longer than that
    Line line;
    for (int d = 7; d >= 0; --d) {
        const auto at = std::size_t(d);
        // Just over its threshold a long bore sounds forty decibels under ff: no dynamic is so far apart.
        const double floor_db = d >= 6 || !line.trial[6].good
                                    ? -200.0
                                    : line.trial[6].level_db - 5.0 * double(6 - d) + (d < 2 ? 3.0 : 0.0);
        // Soft notes that do not hold want more air, loud ones less.
        static constexpr std::array soft{0.0, 0.02, 0.04, 0.06, 0.09, 0.12, 0.15, 0.18, -0.02, -0.05};
        static constexpr std::array loud{0.0, -0.02, -0.04, -0.06, -0.09, -0.12, -0.15, 0.02, 0.04, 0.06};
        for (const double more : d >= 6 ? loud : soft) {
            Blowing b = before[at];
            b.tract_zc *= tract_share(bore);
            b.gamma += more;
            b.start_gamma = std::max(b.start_gamma + std::max(0.0, more), b.gamma);
            const Trial trial = play(instrument, bore, f, table, b);
            const auto again = [&](std::uint64_t seed, double lip) {
                return play(instrument, bore, f, table, b, lip, seed).good;
            };
            const bool in_order =
                d == 7 || !line.trial[at + 1].good || trial.level_db < line.trial[at + 1].level_db + 0.5;
            const bool asked = d == 6 || d == 4 || d == 1; // the ladder is judged by ff, mf and pp
            const bool sure = trial.good && in_order && trial.speaking_s < soon_s &&
                              trial.level_db > floor_db && (!asked || again(2, -0.75 * trial.cents)) &&
                              (d != 6 || again(3, 6.0));
            // What is not sure, as soon as it will and in order.
            const bool sooner = d < 6 && trial.speaking_s < line.trial[at].speaking_s;
            if (sure || (trial.good && in_order &&
                         (!line.trial[at].good || line.trial[at].level_db < floor_db || sooner))) {
                line.blowing[at] = b;
                line.trial[at] = trial;
            }
            if (sure)
                break;
        }
        const bool far_too_soft = line.trial[at].level_db < floor_db - 6.0;
        if ((!line.trial[at].good || far_too_soft) && d < 7) { // as soft as the note allows: the step above
            line.blowing[at] = line.blowing[at + 1];
            line.trial[at] = line.trial[at + 1];
        }
    }
    return line;
}

std::size_t good_levels(const Line& line)
{
    return std::size_t(
        std::count_if(line.trial.begin(), line.trial.end(), [](const Trial& t) { return t.good; }));
}

/// Above ff more breath alone brightens nothing: the lip opens, a little at ff and more at fff, where the
/// note holds.
void open_lip(Line& line, const Instrument& instrument, const Resonator& bore, const Fingering& f,
              const ModeTable& table)
{
    constexpr double at_ff = 0.004, at_fff = 0.016; // of embouchure
    const Blowing ff = line.blowing[6];
    for (const auto& [level, opening] :
         {std::pair{std::size_t{6}, at_ff}, std::pair{std::size_t{7}, at_fff}}) {
        Blowing b = ff;
        b.zeta += opening;
        b.closing_pa = line.blowing[level].closing_pa;
        const Trial trial = play(instrument, bore, f, table, b);
        bool sure = trial.good && trial.speaking_s < line.trial[6].speaking_s + 0.03;
        for (std::uint64_t seed = 2; seed <= 5 && sure; ++seed)
            sure = play(instrument, bore, f, table, b, -0.75 * trial.cents + 4.0 * double(seed) - 14.0, seed)
                       .good;
        if (!sure)
            continue;
        line.blowing[level] = b;
        line.trial[level] = trial;
    }
}

Line calibrate(const Instrument& instrument, const Resonator& bore, const Fingering& f)
{
    const auto table = find_modes(bore, f.holes, {.count = instrument.mode_count});
    const int w = f.written.number;
    Line line;
    // Lip: a little looser when loud; the top of the clarion drops out with a loose lip (voice stays at or
    // under 0.25).
    const auto zeta = [&](int d) { return w >= 81 ? 0.225 : 0.26 + (w >= 71 ? 0.0 : 0.004 * (d - 4)); };
    const auto closing = [&](int d) { return 4000.0 + 3000.0 * d / 7.0; };
    const auto try_gamma = [&](int d, double gamma, double start, double ratio, double zc) {
        Blowing b;
        b.gamma = gamma;
        b.start_gamma = std::max(start, gamma);
        b.start_hold_s = w >= 71 ? 0.07 : 0.02;
        b.zeta = zeta(d);
        b.closing_pa = closing(d);
        b.tract_ratio = ratio;
        b.tract_zc = zc;
        return std::pair{b, play(instrument, bore, f, table, b)};
    };

    double ratio = 0.0, zc = 0.0;
    if (f.register_number >= 3) { // the tract that holds the note best over the dynamics
        double best = 1e9;
        // Above B6 the bore has little to say: only a strong tract and much air hold the note.
        const double more = w >= 96 ? 0.12 : 0.0, stronger = (w >= 96 ? 2.2 : 1.0) * tract_share(bore);
        for (const double r : {1.06, 1.09, 1.12, 1.15, 1.18, 1.22, 1.28})
            for (const double z : {6.0, 9.0, 13.0}) {
                double cost = 0.0;
                for (const double g : {0.5, 0.56, 0.62, 0.7}) {
                    const auto [b, t] = try_gamma(4, g + more, 0.6 + more, r, z * stronger);
                    cost += t.good ? std::abs(t.cents) : 400.0;
                }
                if (cost < best) {
                    best = cost;
                    ratio = r;
                    zc = z * stronger;
                }
            }
    }
    // ff first: the loudest mouth pressure up to 0.72 (at the very top 0.84) that stays in its register.
    // A throat note through the register key is stuffy and jumps a register when forced.
    double loud = f.register_number == 1 && f.vent > 0.0 ? 0.62 : w >= 96 ? 0.84 : 0.72;
    std::pair<Blowing, Trial> ff;
    for (; loud > 0.45; loud -= 0.02) {
        ff = try_gamma(6, loud, loud, ratio, zc);
        bool sure = ff.second.good; // a start is partly luck: it must come off five times out of five
        for (std::uint64_t seed = 2; seed <= 5 && sure; ++seed)
            sure = play(instrument, bore, f, table, ff.first,
                        -0.75 * ff.second.cents + 4.0 * double(seed) - 14.0, seed)
                       .good;
        if (sure)
            break;
    }
    const Play once = [&](const Blowing& b, std::uint64_t seed, double lip) {
        return play(instrument, bore, f, table, b, lip, seed);
    };
    for (int d = 7; d >= 0; --d) {
        if (d >= 6) {
            const double g = d == 7 && loud >= 0.72 ? loud + 0.06 : loud;
            auto trial = try_gamma(d, g, g, ratio, zc);
            if (!trial.second.good)
                trial = try_gamma(d, loud, loud, ratio, zc);
            line.blowing[d] = trial.first;
            line.trial[d] = trial.second;
            continue;
        }
        if (d >= 4) { // where the reed beats, level hardly says how loud: mouth pressure does
            for (double g = d == 5 ? 0.61 : 0.54; g <= loud; g += 0.02) {
                auto trial = try_gamma(d, std::min(g, loud), std::min(g, loud), ratio, zc);
                line.blowing[std::size_t(d)] = trial.first;
                line.trial[std::size_t(d)] = trial.second;
                if (trial.second.good)
                    break;
            }
            if (!line.trial[std::size_t(d)].good) {
                line.blowing[std::size_t(d)] = line.blowing[std::size_t(d + 1)];
                line.trial[std::size_t(d)] = line.trial[std::size_t(d + 1)];
            }
            prompt_start(line, std::size_t(d), once);
            continue;
        }
        // From mf down in even steps to pp; ppp another.
        const double pp = ff.second.level_db - span_db(f);
        const double wanted = pp + (line.trial[4].level_db - pp) * (d - 1) / 3.0;
        // What the note needs at its start to speak within 90 ms, and never less than it is then held at.
        double low = 0.34, high = line.blowing[d + 1].gamma;
        std::pair<Blowing, Trial> best{line.blowing[d + 1], line.trial[d + 1]};
        best.first.zeta = zeta(d);
        best.first.closing_pa = closing(d);
        best = try_gamma(d, best.first.gamma, best.first.start_gamma, ratio, zc);
        const double start = w >= 85 ? 0.58 : w >= 71 ? 0.53 : 0.46;
        for (int i = 0; i < 11; ++i) {
            const double g = 0.5 * (low + high);
            auto trial = try_gamma(d, g, start, ratio, zc);
            if (trial.second.good && trial.second.level_db >= wanted) {
                best = trial;
                high = g;
            } else if (trial.second.good) {
                best = std::abs(trial.second.level_db - wanted) < std::abs(best.second.level_db - wanted)
                           ? trial
                           : best;
                low = g;
            } else {
                low = g;
            }
        }
        // Nothing softer held: as soft as the note allows, which is the step above.
        for (const double s : {0.0, 0.04, 0.08, 0.12})
            if (!best.second.good)
                best = try_gamma(d, line.blowing[d + 1].gamma, line.blowing[d + 1].gamma + s, ratio, zc);
        if (!best.second.good)
            best = {line.blowing[d + 1], line.trial[d + 1]};
        if (f.register_number >= 3 &&
            best.second.good) { // a breath over the edge, or it drops on a tired day
            auto safe = try_gamma(d, best.first.gamma + 0.015, best.first.start_gamma + 0.015, ratio, zc);
            best = safe.second.good ? safe : best;
        }
        line.blowing[d] = best.first;
        line.trial[d] = best.second;
        prompt_start(line, std::size_t(d), once);
    }
    open_lip(line, instrument, bore, f, table);
    return line;
}

/// The row of the B-flat's tables for the same fingers, if it has one.
const std::array<Blowing, 8>* on_b_flat(const Fingering& f)
{
    const Instrument& b_flat = b_flat_soprano();
    std::string keys = f.keys;
    if (const auto half = keys.find("H1 "); half != std::string::npos)
        keys.erase(half, 3);
    for (std::size_t i = 0; i < b_flat.fingerings.size(); ++i)
        if (b_flat.fingerings[i].written == f.written && b_flat.fingerings[i].keys == keys)
            return &b_flat.blowing[i];
    return nullptr;
}

Instrument unblown(const std::string& name)
{
    for (const InstrumentFacts& facts : instrument_facts())
        for (const embedded::Tables& tables : embedded::instruments)
            if (facts.name == name && facts.folder == tables.folder)
                return instrument_from(facts, tables.bore, tables.holes, embedded::fingerings);
    throw InputError("found '" + name + "', wanted an instrument of models.csv whose bore is made",
                     Fault::usage);
}

std::string folder_of(const std::string& name)
{
    for (const InstrumentFacts& facts : instrument_facts())
        if (facts.name == name)
            return facts.folder;
    return name;
}

/// As the same fingers are blown on the B-flat, or searched for where that does not speak.
Line first_try(const Instrument& instrument, const Resonator& bore, const Fingering& f)
{
    const auto* before = instrument.name == "B-flat" ? nullptr : on_b_flat(f);
    if (before == nullptr)
        return calibrate(instrument, bore, f);
    HoleState holes = f.holes;
    holes.open |= f.vent > 0.0 ? 1u << instrument.vents[f.vent_number] : 0u;
    const double target = frequency({double(f.written.number + instrument.transposition)}, {440.0}).value;
    const double hz =
        played_frequency(bore, holes, target, 100.0, reed_length(instrument.reed_hz, instrument.reed_window));
    if (hz <= 0.0)
        return {}; // another note, on this instrument
    Line line = as_before(instrument, bore, f, *before);
    if (f.primary && (good_levels(line) < 6 || !line.trial[6].good))
        line = calibrate(instrument, bore, f);
    for (const std::size_t loud : {std::size_t{6}, std::size_t{7}})
        if (!line.trial[loud].good) { // as loud as the note allows: the step below
            line.blowing[loud] = line.blowing[loud - 1];
            line.trial[loud] = line.trial[loud - 1];
        }
    return line;
}

/// The best a fingering can do here. Below the altissimo the soft rungs are then set to the ladder; a usual
/// fingering that stays off it is searched for afresh, and the better of the two is kept.
Line settle(const Instrument& instrument, const Resonator& bore, const Fingering& f)
{
    const auto table = find_modes(bore, f.holes, {.count = instrument.mode_count});
    const Play once = [&](const Blowing& b, std::uint64_t seed, double lip) {
        return play(instrument, bore, f, table, b, lip, seed);
    };
    const double soon_s = 0.09 * std::min(patience(instrument), 2.2);
    Line line = first_try(instrument, bore, f);
    if (f.register_number < 3) {
        brighten(line, once);
        hold_ladder(line, f, soon_s, once);
        if (f.primary && good_levels(line) > 0 && ladder_error_db(line, f) > 3.0) {
            Line other = calibrate(instrument, bore, f);
            brighten(other, once);
            hold_ladder(other, f, soon_s, once);
            if (good_levels(other) >= good_levels(line) &&
                other.trial[1].speaking_s < std::max(line.trial[1].speaking_s, soon_s) + 0.01 &&
                ladder_error_db(other, f) < ladder_error_db(line, f) - 0.5)
                line = other;
        }
    }
    find_cents(line, instrument, bore, f, table);
    return line;
}

} // namespace

int main(int argc, char** argv)
{
    if (argc < 3) {
        std::fprintf(stderr, "canebrake_calibrate models/instruments NAME [NOTE ...]\n");
        return 2;
    }
    const std::string name = argv[2];
    const std::string path = std::string(argv[1]) + "/" + folder_of(name) + "/blowing.csv";
    const Instrument instrument = unblown(name);
    std::set<int> only;
    for (int i = 3; i < argc; ++i)
        only.insert(pitch_number(argv[i]).value());
    const Instrument* compiled = only.empty() ? nullptr : &instrument_named(name);
    std::vector<Resonator> bores; // one a vent
    for (const std::size_t vent : instrument.vents)
        bores.emplace_back(instrument.geometry, breath_air({25.0}), vent);
    const auto& fingerings = instrument.fingerings;
    const auto wanted = [&](const Fingering& f) {
        return only.empty() ? f.written.number <= instrument.top_extreme.number + (name == "B-flat" ? 1 : 0)
                            : only.count(f.written.number) > 0;
    };

    // Keys that leave the holes as they are (a little finger held for the trill to come) are played once.
    std::vector<std::size_t> same(fingerings.size());
    for (std::size_t i = 0; i < same.size(); ++i)
        same[i] = std::size_t(std::find_if(fingerings.begin(), fingerings.end(),
                                           [&](const Fingering& f) {
                                               return f.written == fingerings[i].written &&
                                                      f.holes == fingerings[i].holes &&
                                                      f.vent == fingerings[i].vent;
                                           }) -
                              fingerings.begin());
    std::vector<Line> lines(fingerings.size());
    std::atomic<std::size_t> next{0};
    std::vector<std::thread> workers;
    for (unsigned worker = 0; worker < 2; ++worker)
        workers.emplace_back([&] {
            for (std::size_t i; (i = next++) < lines.size();)
                if (same[i] == i && wanted(fingerings[i]))
                    lines[i] = settle(instrument, bores[fingerings[i].vent_number], fingerings[i]);
        });
    for (auto& worker : workers)
        worker.join();
    for (std::size_t i = 0; i < lines.size(); ++i)
        lines[i] = lines[same[i]];

    // The loudest attack of what a player holds: an alternate or a trill key must not turn the instrument
    // down.
    double peak = 0.0;
    for (std::size_t i = 0; i < lines.size(); ++i)
        for (int d = 0; d <= 6; ++d)
            if (fingerings[i].primary && fingerings[i].written.number <= instrument.top_professional.number)
                peak = std::max(peak, lines[i].trial[std::size_t(d)].peak);
    // That at −5.4 dBFS: a throat note with fingers laid down is 2.3 dB louder, and accents want room.
    const double gain = only.empty() ? unit * 0.54 / peak : compiled->gain;
    const double gain_db = 20.0 * std::log10(gain / unit);

    std::ofstream out(path);
    out << "# made by engine/synthesis/calibrate.cpp from bore.csv, holes.csv and fingerings.csv\n"
        << "written,keys,level,gamma,zeta,closing_pa,cents,level_db,start_gamma,start_hold_s,tract_ratio,"
           "tract_zc,gain\n";
    const auto write = [&](const Fingering& f, std::size_t d, const Blowing& b, double level_db) {
        char row[200];
        std::snprintf(row, sizeof row, "%s,%s,%zu,%.4f,%.4f,%.0f,%.2f,%.2f,%.4f,%.3f,%.3f,%.2f,%.5g\n",
                      pitch_name(f.written.number).c_str(), f.keys.c_str(), d, b.gamma, b.zeta, b.closing_pa,
                      b.cents, level_db, b.start_gamma, b.start_hold_s, b.tract_ratio, b.tract_zc, gain);
        out << row;
    };
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const auto& f = fingerings[i];
        if (!wanted(f)) {
            for (std::size_t k = 0; compiled != nullptr && k < compiled->fingerings.size(); ++k)
                if (compiled->fingerings[k].written == f.written && compiled->fingerings[k].keys == f.keys)
                    for (std::size_t d = 0; d < 8; ++d)
                        write(f, d, compiled->blowing[k][d], compiled->blowing[k][d].level_db);
            continue;
        }
        std::printf("%-4s %-32s", pitch_name(f.written.number).c_str(), f.keys.c_str());
        const auto good = good_levels(lines[i]);
        // A primary is kept whatever it does, so that the note is there; others must earn their place.
        const bool kept = good >= 6 || (f.primary && good > 0);
        for (std::size_t d = 0; d < 8; ++d) {
            const auto& b = lines[i].blowing[d];
            const auto& t = lines[i].trial[d];
            if (kept)
                write(f, d, b, t.level_db + gain_db);
            if (d == 1 || d == 4 || d == 6)
                std::printf("| g%.3f s%.2f h%.3f %5.1fdB %+5.1fc %3.0fms +%.1f%s ", b.gamma, b.start_gamma,
                            b.start_hold_s, t.level_db + gain_db, b.cents, t.speaking_s * 1e3, t.overshoot_db,
                            t.good ? "" : " BAD");
        }
        std::printf("| %zu of 8 good%s\n", good, kept ? "" : ", left out");
    }
    std::printf("gain %.4g\n", gain);
}
