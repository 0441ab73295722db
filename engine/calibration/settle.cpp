// SPDX-License-Identifier: MIT
#include "engine/calibration/settle.h"

#include "engine/calibration/search.h"
#include "models/maker/maker.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <string>

namespace canebrake::calibration
{

namespace
{

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

/// Just over its threshold a long bore sounds forty decibels under ff: no dynamic is so far apart.
double floor_db(const Line& line, std::size_t rung)
{
    if (rung >= 6 || !line.trial[6].good)
        return -200.0;
    return line.trial[6].level_db - 5.0 * double(6 - int(rung)) + (rung < 2 ? 3.0 : 0.0);
}

/// One rung as on another instrument, or with a little more or less breath than there: what is sure, else
/// what sounds as soon as it will and in order.
void take_over(Line& line, std::size_t rung, const Blowing& before, const BlownNote& note)
{
    // Soft notes that do not hold want more air, loud ones less.
    static constexpr std::array soft{0.0, 0.02, 0.04, 0.06, 0.09, 0.12, 0.15, 0.18, -0.02, -0.05};
    static constexpr std::array loud{0.0, -0.02, -0.04, -0.06, -0.09, -0.12, -0.15, 0.02, 0.04, 0.06};
    const double soon_s = 0.2 * std::min(note.patience(), 2.2); // no player waits longer than that
    const double floor = floor_db(line, rung);
    for (const double more : rung >= 6 ? loud : soft) {
        Blowing b = before;
        b.tract_zc *= note.tract_share();
        b.gamma += more;
        b.start_gamma = std::max(b.start_gamma + std::max(0.0, more), b.gamma);
        const Trial trial = note.play(b);
        const bool in_order =
            rung == 7 || !line.trial[rung + 1].good || trial.level_db < line.trial[rung + 1].level_db + 0.5;
        if (!trial.good || !in_order)
            continue;
        const bool asked = rung == 6 || rung == 4 || rung == 1; // the ladder is judged by ff, mf and pp
        const bool sure = trial.speaking_s < soon_s && trial.level_db > floor &&
                          (!asked || note.play(b, 2, -lip_share * trial.cents).good) &&
                          (rung != 6 || note.play(b, 3, 6.0).good);
        const Trial& kept = line.trial[rung];
        const bool sooner = rung < 6 && trial.speaking_s < kept.speaking_s;
        if (sure || !kept.good || kept.level_db < floor || sooner) {
            line.blowing[rung] = b;
            line.trial[rung] = trial;
        }
        if (sure)
            break;
    }
}

Line as_before(const BlownNote& note, const std::array<Blowing, 8>& before)
{
    Line line;
    for (std::size_t rung = 8; rung-- > 0;) {
        take_over(line, rung, before[rung], note);
        const bool far_too_soft = line.trial[rung].level_db < floor_db(line, rung) - 6.0;
        if ((!line.trial[rung].good || far_too_soft) &&
            rung < 7) { // as soft as the note allows: the step above
            line.blowing[rung] = line.blowing[rung + 1];
            line.trial[rung] = line.trial[rung + 1];
        }
    }
    return line;
}

/// Whether the fingering sounds its note on this bore.
bool resonates(const BlownNote& note)
{
    const Instrument& instrument = note.instrument();
    const Fingering& f = note.fingering();
    HoleState holes = f.holes;
    holes.open |= f.vent > 0.0 ? 1u << instrument.vents[f.vent_number] : 0u;
    return played_frequency(note.bore(), holes, note.target_hz(), 100.0,
                            reed_length(instrument.reed_hz, instrument.reed_window)) > 0.0;
}

/// As the same fingers are blown on the B-flat, or searched for where that does not speak.
Line first_try(const BlownNote& note)
{
    const auto* before = note.instrument().name == "B-flat" ? nullptr : on_b_flat(note.fingering());
    if (before == nullptr)
        return search_line(note);
    if (!resonates(note))
        return {};
    Line line = as_before(note, *before);
    if (note.fingering().primary && (good_levels(line) < 6 || !line.trial[6].good))
        line = search_line(note);
    for (const std::size_t loud : {std::size_t{6}, std::size_t{7}})
        if (!line.trial[loud].good) { // as loud as the note allows: the step below
            line.blowing[loud] = line.blowing[loud - 1];
            line.trial[loud] = line.trial[loud - 1];
        }
    return line;
}

/// The deviation is what the lip must take out: a few steps, since a cent of lip moves 0.97 cent of pitch in
/// the bore and less where the tract, which stays, has its say.
void find_cents(Line& line, const BlownNote& note)
{
    for (std::size_t d = 0; d < 8; ++d) {
        double lip = 0.0, off = 1.0;
        bool held = line.trial[d].good;
        for (int i = 0; i < 8 && held && std::abs(off) > 0.05; ++i) {
            off = note.play(line.blowing[d], 0, lip).cents;
            lip -= off;
            held = std::abs(off) < 100.0; // farther: without breath noise the note fell into another register
        }
        line.blowing[d].cents = held ? -lip : line.trial[d].cents;
    }
}

} // namespace

Line settle(const BlownNote& note)
{
    const Fingering& f = note.fingering();
    const double soon_s = 0.09 * std::min(note.patience(), 2.2);
    Line line = first_try(note);
    if (f.register_number < 3) {
        brighten(line, note.player());
        hold_ladder(line, f, soon_s, note.player());
        if (f.primary && good_levels(line) > 0 && ladder_error_db(line, f) > 3.0) {
            Line other = search_line(note);
            brighten(other, note.player());
            hold_ladder(other, f, soon_s, note.player());
            if (good_levels(other) >= good_levels(line) &&
                other.trial[1].speaking_s < std::max(line.trial[1].speaking_s, soon_s) + 0.01 &&
                ladder_error_db(other, f) < ladder_error_db(line, f) - 0.5)
                line = other;
        }
    }
    find_cents(line, note);
    return line;
}

} // namespace canebrake::calibration
