// SPDX-License-Identifier: MIT
#pragma once

#include "engine/listening/tone.h"
#include "engine/rendering/rendering.h"
#include "engine/threads/parallel_loop.h"

#include <functional>
#include <span>
#include <string>
#include <vector>

namespace canebrake
{

/// One note held at one dynamic, and what is heard of it.
struct ToneCell {
    double level = 4.0; ///< rung of the ladder, 0 ppp … 7 fff
    ToneMeasure heard;
    double before_lip_cents = 0.0; ///< how far the instrument itself would lie off
    std::vector<float> audio;      ///< with its tail; empty unless kept
};

struct ToneNote {
    WrittenPitch written;
    SoundingPitch sounding;
    std::string fingering;       ///< empty off the instrument, and for open G4
    std::vector<ToneCell> cells; ///< one a dynamic; none off the instrument
};

/// How an instrument in one player's hands sounds over pitch and dynamic.
struct ToneMap {
    const Instrument* instrument = nullptr;
    Player player = Player::studio;
    std::vector<double> levels;
    std::vector<ToneNote> notes;
};

struct ToneMapOptions {
    unsigned threads = machine_width();
    bool keep_audio = false;
    /// Called from the calling thread with the share that is done; false breaks off, and the map that comes
    /// back is not complete.
    std::function<bool(double)> go_on{};
};

/// How long a note is held, s: on the low clarinets, which take their time to speak, longer.
double held_s(const Instrument&);

/// Each note by itself, tongued, held for `held_s`, at each level: what `render` plays of a phrase of that
/// one note. Settings' player, A4, temperature, kit and seed count; its rate is the audio's.
ToneMap tone_map(const Instrument&, std::span<const WrittenPitch>, std::span<const double> levels,
                 const RenderSettings&, const ToneMapOptions& = {});

} // namespace canebrake
