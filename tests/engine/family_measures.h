// SPDX-License-Identifier: MIT
#pragma once

#include "engine/files/phrase/read_phrase.h"
#include "engine/listening/balance.h"
#include "engine/listening/listening.h"
#include "engine/part/choose_part.h"
#include "engine/part/pitch_basis.h"
#include "engine/rendering/rendering.h"
#include "models/instruments/instrument.h"
#include "models/units/input_error.h"

#include <array>
#include <cmath>
#include <string>
#include <vector>

namespace canebrake
{

/// One note a second long on some instrument, and what is heard of it.
struct Sounded {
    NoteMeasure measure;
    Harmonics tone; ///< of 0.4 s in its middle
};

inline Sounded sounded(const Instrument& instrument, int written, const std::string& dynamic,
                       Player player = Player::studio)
{
    constexpr double rate = 48000.0;
    Line line = choose_part(read_phrase("tempo 60 " + dynamic + " 1/4 " + pitch_name(written)), "");
    set_pitch_basis(line, PitchBasis::written, instrument.transposition);
    RenderSettings settings;
    settings.player = player;
    Rendering rendering(instrument, line, settings);
    std::vector<float> audio(rendering.total_samples());
    rendering.process(audio);
    const PlannedNote& note = rendering.notes()[0];
    return {measure_note(std::span(audio).first(std::size_t(note.end_s * rate)), {rate}, note.target_hz),
            harmonics(std::span(audio).subspan(std::size_t(0.4 * rate), std::size_t(0.4 * rate)), {rate},
                      note.target_hz)};
}

/// Odd harmonics 1, 3, 5 over even ones 2, 4, mean levels, dB; not a number where they were not heard.
inline double odd_over_even(const Harmonics& h)
{
    return listening::odd_over_even(h.level_db).value_or(std::nan(""));
}

/// Energy of the harmonics between two frequencies over all of it, dB.
inline double band_db(const Harmonics& h, double low_hz, double high_hz)
{
    double band = 0.0, all = 0.0;
    for (std::size_t n = 0; n < h.level_db.size(); ++n) {
        const double energy = std::pow(10.0, h.level_db[n] / 10.0), hz = h.fundamental_hz * double(n + 1);
        all += energy;
        band += hz >= low_hz && hz < high_hz ? energy : 0.0;
    }
    return 10.0 * std::log10(band / all + 1e-12);
}

/// Members whose acoustic model is built in, by the names --instrument takes.
inline std::vector<std::string> members_with_models()
{
    std::vector<std::string> names;
    for (const InstrumentFacts& facts : instrument_facts())
        try {
            instrument_named(facts.name);
            names.push_back(facts.name);
        } catch (const InputError&) {
        }
    return names;
}

} // namespace canebrake
