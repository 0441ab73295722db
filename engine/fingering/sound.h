// SPDX-License-Identifier: MIT
#pragma once

#include "models/bore/resonator.h"
#include "models/instruments/instrument.h"

#include <string>

namespace canebrake
{

/// How a fingering sounds when it is held at mf.
struct FingeringSound {
    bool speaks = false;      ///< settled within 80 cents of its note
    double soft_cents = 0.0;  ///< pp, from the instrument's own table
    double cents = 0.0;       ///< mf, likewise: distance from equal temperament before lip or ear correct it
    double loud_cents = 0.0;  ///< ff
    double level_db = -120.0; ///< measured, re full scale
    double centroid_hz = 0.0; ///< measured
};

/// Plays fingerings one at a time on the model and listens: a note of 0.65 s (1.3 s in the altissimo), blown
/// as the instrument's table says, in air of 25 °C at A4 = 440 Hz. About 20 ms each.
class FingeringEar
{
public:
    explicit FingeringEar(const Instrument&);
    FingeringSound hear(std::size_t fingering) const; ///< row of Instrument::fingerings

private:
    const Instrument& instrument_;
    Resonator bore_;
};

enum class Colour { same, brighter, darker };

/// Against another fingering of the note. A centroid an eighth higher is brighter: timbre that differs by so
/// much is told apart at once (proposed, common practice, no source).
Colour colour_against(const FingeringSound&, const FingeringSound& reference);
const char* word(Colour); ///< "about the same", "brighter", "darker"

} // namespace canebrake
