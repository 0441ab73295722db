// SPDX-License-Identifier: MIT
#include "engine/calibration/blown_note.h"

#include "engine/listening/listening.h"
#include "engine/synthesis/voice.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <span>
#include <vector>

namespace canebrake::calibration
{

namespace
{

constexpr double rate = 48000.0;

/// Mean square of the loudest 20 ms of the first 0.3 s.
double loudest_start(std::span<const float> audio)
{
    double loudest = 0.0;
    for (std::size_t at = 0; at + 960 <= std::size_t(0.3 * rate); at += 240) {
        double sum = 0.0;
        for (std::size_t k = at; k < at + 960; ++k)
            sum += double(audio[k]) * double(audio[k]);
        loudest = std::max(loudest, sum / 960.0);
    }
    return loudest;
}

} // namespace

BlownNote::BlownNote(const Instrument& instrument, const Resonator& bore, const Fingering& fingering)
    : instrument_(instrument), bore_(bore), fingering_(fingering),
      table_(find_modes(bore, fingering.holes, {.count = instrument.mode_count}))
{
}

double BlownNote::target_hz() const
{
    return frequency({double(fingering_.written.number + instrument_.transposition)}, {440.0}).value;
}

double BlownNote::patience() const
{
    return std::max(1.0, instrument_.geometry.length_m() / 0.9);
}

double BlownNote::tract_share() const
{
    const double radius = bore_.geometry().radius_at(0.3 * bore_.geometry().length_m());
    return std::min(1.0, bore_.reference_area_m2() / (std::numbers::pi * radius * radius));
}

Trial BlownNote::play(const Blowing& b, std::uint64_t seed, double lip_cents) const
{
    const double target = target_hz();
    Voice voice;
    voice.prepare(instrument_, bore_.characteristic_impedance(), bore_.air().density_kgpm3, rate, seed);
    voice.start_state(table_);
    std::vector<float> audio;
    Trial trial;
    // A soft altissimo can hold for half a second and then drop, and a long bore takes its time: watch them
    // longer.
    const double short_s = fingering_.register_number >= 3 ? 1.3 : 0.65;
    for (int i = 0; i < int(short_s * patience() * rate / control_tick); ++i) {
        const double t = i * double(control_tick) / rate;
        Control c;
        c.gamma = b.gamma + start_breath(b, t) * (b.start_gamma - b.gamma);
        c.zeta = b.zeta;
        c.closing_pa = b.closing_pa;
        c.cents = lip_cents;
        c.breath_noise = seed == 0 ? 0.0 : 0.004;
        c.tongue = i < 3 ? 1.0 : 0.0;
        c.vent = fingering_.vent;
        c.tract_hz = b.tract_ratio * target;
        c.tract_zc = b.tract_zc;
        std::array<double, control_tick> block;
        voice.process(c, block);
        for (const double x : block) {
            audio.push_back(float(x * unit_gain));
            trial.peak = std::max(trial.peak, std::abs(x * unit_gain));
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
    trial.overshoot_db = std::max(0.0, 10.0 * std::log10(loudest_start(audio) + 1e-30) - m.level_db);
    trial.good =
        m.in_register && late.in_register && std::abs(late.level_db - m.level_db) < 2.5 && m.level_db > -75.0;
    return trial;
}

bool BlownNote::sure(const Blowing& b, const Trial& first) const
{
    for (std::uint64_t seed = 2; seed <= 5; ++seed)
        if (!play(b, seed, -lip_share * first.cents + 4.0 * double(seed) - 14.0).good)
            return false;
    return true;
}

Play BlownNote::player() const
{
    return [this](const Blowing& b, std::uint64_t seed, double lip) { return play(b, seed, lip); };
}

} // namespace canebrake::calibration
