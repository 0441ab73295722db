// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "engine/plan/kit.h"
#include "engine/room/room.h"
#include "models/instruments/instrument.h"

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace canebrake
{

class TrillBook;
struct Part;

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
    Kit kit; ///< keys, breath, tongue, for the planner; `player` is who plays, and `kit.level` is kept equal
};

/// A note as it will be played.
struct PlannedNote {
    std::size_t line_note = 0; ///< index into Line::notes
    WrittenPitch written;      ///< on the instrument that plays
    std::string fingering;     ///< keys and fingers, `R T L1 L2 L3 R1 R2 R3 E`
    double start_s = 0.0, end_s = 0.0;
    double stroke_s = 0.0;  ///< when the tongue lets go: the start, or later where it cannot keep up
    double breath_s = 0.0;  ///< how long the breath after it is; 0: none
    double target_hz = 0.0; ///< equal temperament at the chosen A4
    double dynamic = 4.0;   ///< ladder level at its start
    bool tongued = true;
    bool silent = false; ///< off the instrument
};

/// Line → plan → performance → sound, as a stream. The same line, settings and seed give the same samples
/// however they are fetched. Construction plans the whole line; tables are worked out when first needed.
class Rendering
{
public:
    Rendering(const Instrument&, const Line&, const RenderSettings&);
    /// With a trill book that is there already (same instrument and kit); it may be dropped afterwards.
    Rendering(TrillBook&, const Line&, const RenderSettings&);
    /// Of a line that is planned already, by `prepare_part` with the same settings.
    Rendering(const Instrument&, const Line&, Part, const RenderSettings&);
    ~Rendering();
    Rendering(Rendering&&) noexcept;
    Rendering& operator=(Rendering&&) noexcept;

    const std::vector<PlannedNote>& notes() const;
    /// One line for each note that is off the instrument: bar, beat, note, range.
    const std::vector<std::string>& remarks() const;
    double sounding_end(std::size_t note) const; ///< s; a staccato note ends before the next begins
    double duration_s() const;                   ///< with the last note's tail, and the room's
    std::uint64_t total_samples() const;
    /// Goes to a note, forwards or back, and starts there as from silence: the note is tongued, whatever came
    /// before it. Fingers and breath are those of the whole line. Sound begins a little before the note.
    void start_at(std::size_t note);
    double position_s() const; ///< of the next sample
    /// Fills `out` from where the last call stopped; returns how many samples were left to give (0 at the
    /// end).
    std::size_t process(std::span<float> out);

private:
    struct State;
    std::unique_ptr<State> state_;
};

} // namespace canebrake
