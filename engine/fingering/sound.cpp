// SPDX-License-Identifier: MIT
#include "engine/fingering/sound.h"

#include "engine/listening/listening.h"
#include "engine/synthesis/voice.h"
#include "models/air/air.h"
#include "models/modes/mode_table.h"
#include "models/units/pitch.h"

#include <array>
#include <vector>

namespace canebrake
{
namespace
{

constexpr double rate = 48000.0;
constexpr double mf = 4.0, pp = 1.0, ff = 6.0; // on the ladder

} // namespace

FingeringEar::FingeringEar(const Instrument& instrument)
    : instrument_(instrument), bore_(instrument.geometry, breath_air({25.0}), instrument.vent_index)
{
}

FingeringSound FingeringEar::hear(std::size_t row) const
{
    const Fingering& f = instrument_.fingerings[row];
    const Blowing blowing = instrument_.blowing_at(row, mf);
    const double target = frequency({double(f.written.number + instrument_.transposition)}, {440.0}).value;
    const ModeTable table = with_vent(find_modes(bore_, f.holes, {.count = instrument_.mode_count}),
                                      instrument_.vents[f.vent_number]);
    Voice voice;
    voice.prepare(instrument_, bore_.characteristic_impedance(), bore_.air().density_kgpm3, rate, 1);
    voice.start_state(table);

    Control control;
    control.zeta = blowing.zeta;
    control.closing_pa = blowing.closing_pa;
    control.breath_noise = 0.004;
    control.vent = f.vent;
    control.tract_hz = blowing.tract_ratio * target;
    control.tract_zc = blowing.tract_zc;
    const double length_s = f.register_number >= 3 ? 1.3 : 0.65;
    std::vector<float> audio;
    std::array<double, control_tick> block;
    for (int tick = 0; tick < int(length_s * rate / double(control_tick)); ++tick) {
        const double t = tick * double(control_tick) / rate;
        control.gamma = blowing.gamma + start_breath(blowing, t) * (blowing.start_gamma - blowing.gamma);
        control.tongue = tick < 3 ? 1.0 : 0.0;
        voice.process(control, block);
        for (const double x : block)
            audio.push_back(float(x * instrument_.gain));
    }
    const NoteMeasure heard = measure_note(audio, {rate}, target);
    FingeringSound sound;
    sound.speaks = heard.in_register;
    sound.soft_cents = instrument_.blowing_at(row, pp).cents;
    sound.cents = blowing.cents;
    sound.loud_cents = instrument_.blowing_at(row, ff).cents;
    sound.level_db = heard.level_db;
    sound.centroid_hz = heard.centroid_hz;
    return sound;
}

Colour colour_against(const FingeringSound& sound, const FingeringSound& reference)
{
    constexpr double told_apart = 1.125;
    if (sound.centroid_hz > told_apart * reference.centroid_hz)
        return Colour::brighter;
    return sound.centroid_hz * told_apart < reference.centroid_hz ? Colour::darker : Colour::same;
}

const char* word(Colour colour)
{
    constexpr const char* words[]{"about the same", "brighter", "darker"};
    return words[int(colour)];
}

} // namespace canebrake
