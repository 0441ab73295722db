// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"

#include <array>
#include <vector>

namespace canebrake
{

/// Durations by pitch class in windows of so many quarters, of a part and of all others.
class Windows
{
public:
    Windows(double width, double end);
    void add_own(const Note& note, int number) { add(own_, note, number); }
    void add_other(const Note& note, int number) { add(others_, note, number); }
    /// Windows in which both have something to say.
    int both() const;
    /// Mean correlation with the part `semitones` higher, each window by the time the part plays in it.
    double agreement(int semitones) const;

private:
    using Twelve = std::array<double, 12>;
    void add(std::vector<Twelve>& windows, const Note&, int number) const;

    double width_;
    std::vector<Twelve> own_, others_;
};

/// The part beside the others, twice: by the quarter, so that a passing harmony does not agree with the next
/// one's notes, and by four quarters, so that two voices that are rarely on one tone can be compared at all.
/// The mean of both counts.
class Harmony
{
public:
    explicit Harmony(double end) : fine_(1.0, end), coarse_(4.0, end) {}
    void add_own(const Note& note, int number)
    {
        fine_.add_own(note, number);
        coarse_.add_own(note, number);
    }
    void add_other(const Note& note)
    {
        fine_.add_other(note, heard(note));
        coarse_.add_other(note, heard(note));
    }
    /// Quarters in which both play.
    int quarters() const { return fine_.both(); }
    /// −1 … +1, with the part that much higher.
    double agreement(int semitones) const
    {
        return 0.5 * (fine_.agreement(semitones) + coarse_.agreement(semitones));
    }

private:
    static int heard(const Note&);

    Windows fine_, coarse_;
};

} // namespace canebrake
