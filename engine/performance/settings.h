// SPDX-License-Identifier: MIT
#pragma once

#include "engine/plan/kit.h"
#include "engine/room/room.h"
#include "models/units/units.h"

#include <cstdint>
#include <filesystem>
#include <optional>

namespace canebrake
{

/// What a player brings to the same physics.
struct Skill {
    double finger_scatter_s; ///< standard deviation of a finger's instant in one change
    double correction;       ///< share of the instrument's own deviation taken out by lip and tract
    double correction_limit; ///< cents, at most
    double lean;             ///< damping of the mode being left, times
    double
        slur_gamma_up; ///< mouth pressure (over closing pressure) leaned into while a higher register forms
    double slur_gamma_down; ///< mouth pressure a slur down into a lower register sinks to; 0: left alone
    double slur_s;          ///< how long that help lasts
    double slur_tract_zc;   ///< tract resonance at the coming note while it forms, over Zc
    bool prepares;          ///< lays fingers down early
    bool even;              ///< tempered and even, the mock-up's promise
    double shaping;         ///< ladder steps of swell inside a slur that nobody wrote
    double slide_s = 0.0;   ///< how long a finger is between two keys it slides across
    double bend = 1.0;      ///< share of what lip and tract can bend that this player can
};
const Skill& skill(Player);

struct RenderSettings {
    Player player = Player::studio;
    Hertz a4{440.0};           ///< 380…500
    Celsius temperature{25.0}; ///< of the air in the instrument, 0…40
    std::uint64_t seed = 1;
    SampleRate rate{
        48000.0};         ///< of the output, 44100…192000; the voice runs at this rate times `oversampling`
    int oversampling = 1; ///< 1, 2 or 4
    double tempo_scale = 1.0;       ///< 2 plays twice as fast
    Room room = Room::none;         ///< its tail is added to the duration; the direct sound stays as it is
    double barrel_m = 0.0;          ///< how far the barrel is pulled out, 0…0.005
    std::optional<Skill> own_skill; ///< a player of the caller's own instead of `player`
    /// Where tables of the instrument are kept from one run to the next; empty: nowhere, no file is touched.
    std::optional<std::filesystem::path> tables_folder{};
    Kit kit; ///< keys, breath, tongue, for the planner; `player` is who plays, and `kit.level` is kept equal
};

} // namespace canebrake
