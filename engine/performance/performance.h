// SPDX-License-Identifier: MIT
#pragma once

#include "engine/performance/part.h"
#include "engine/synthesis/voice.h"

#include <random>
#include <vector>

namespace canebrake
{

/// Holes at an instant within a change of fingering.
struct StateChange {
    double time_s;
    HoleState holes;
    double fade_s;
    std::size_t vent_number = 0; ///< the register vent that is in play: Fingering::vent_number
};

/// A finger that comes to hold other keys, or none, at an instant of a change.
struct FingerEvent {
    double time_s;
    Finger finger;
    KeySet holds; ///< from then on
};

inline constexpr double slide_fade_s = 0.030; ///< a finger drawn off its hole

/// From notes to the player's hands and breath: control values at any tick, and the holes' changes in order.
/// Random finger times depend on the seed and the note alone, never on how the line is fetched.
class Performance
{
public:
    Performance(const Instrument&, const Line&, const RenderSettings&, Part);

    /// How a note is held at a time, without start, end or change: breath, lip, vent and tract for its
    /// dynamic.
    Control held(std::size_t note, double time_s) const;
    /// When the sound of a note stops being driven: before its written end if its marks say so.
    double sounding_end(std::size_t note) const;
    bool joined(std::size_t note) const { return part_.joined[note]; } ///< slurred to the next
    const Fingering& fingering(std::size_t note) const { return part_.choices[note].fingering; }
    double start_gamma(std::size_t note, double time_s) const;
    /// Begins again with this note, tongued, as if nothing came before it; then times may go on from there.
    void start_at(std::size_t note);
    /// Control at `time_s`; times must not go back. The note sounding or about to is followed inside.
    Control control(double time_s);
    /// Changes of holes due up to `time_s`, in order, each given once.
    std::vector<StateChange> changes_until(double time_s);
    const std::vector<PlannedNote>& notes() const { return part_.notes; }
    double end_s() const;
    StateChange first_state() const; ///< of the note it starts with, or the first after it that sounds

private:
    void hear_the_barrel();
    void speak(Control&, double time_s) const;
    void slur(Control&, double time_s) const;
    void let_go(Control&, double time_s) const;
    void make_changes(std::size_t into_note);
    void change_while_sounding(std::size_t from_note, std::size_t into_note);
    std::vector<FingerEvent> finger_events(std::size_t from_note, std::size_t into_note);
    std::size_t vent_in_play(std::size_t from_note, std::size_t into_note) const;
    bool slurred_into(std::size_t note) const { return note > first_ && part_.joined[note - 1]; }
    bool slides_into(std::size_t note) const; ///< reached by a continuous slide, in one register
    double bend_cents(std::size_t note, double time_s) const;
    double slide_cents(std::size_t note, double time_s) const;
    double flutter(std::size_t note, double time_s) const;
    bool begun_from_nothing(std::size_t note) const; ///< swells out of a niente
    Blowing blowing(std::size_t note, double time_s) const;
    double level_at(std::size_t note, double time_s) const;
    double natural_cents(const Blowing&) const;
    double correction(double natural) const;

    const Instrument& instrument_;
    const Line& line_;
    RenderSettings settings_;
    Skill skill_;
    TempoMap tempo_;
    Part part_;
    double tick_s_;                                 // from one control to the next
    std::vector<double> phrase_start_, phrase_end_; // of the slur each note belongs to
    double base_cents_;
    std::vector<double> barrel_cents_; // one a note; empty: the barrel is home
    std::size_t first_ = 0;            // note it starts with
    std::size_t at_ = 0;               // note the control follows
    std::size_t changes_made_ = 0;     // notes whose changes are queued
    std::vector<StateChange> queue_;
    std::size_t queue_at_ = 0;
    double vent_time_ = -1.0; // when the vent's finger moves in the present change
};

} // namespace canebrake
