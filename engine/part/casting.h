// SPDX-License-Identifier: MIT
#pragma once

#include "engine/line/line.h"
#include "models/instruments/family.h"

#include <string>
#include <vector>

namespace canebrake
{

/// A change of instrument inside a part, with the time the player has for it.
struct InstrumentChange {
    std::string bar;      ///< where the new one begins
    std::string from, to; ///< titles, or another instrument's name
    double seconds = 0.0; ///< from the last note on the old to the first on the new
    ChangeTime wanted;
    std::string why; ///< what said so
    Source source;   ///< of the first note on the new one
    double quarter = 0.0;
};

/// Who plays what of a part: what each stretch is printed for, and what it is played on.
struct Casting {
    struct Stretch {
        double from = 0.0;                     ///< quarter; to the next one's
        const FamilyMember* printed = nullptr; ///< nullptr: no clarinet, left out
        std::string other;                     ///< then: what it is
        std::string played_on;                 ///< name of an instrument with a model
        std::string why;
    };
    std::vector<Stretch> stretches; ///< the first from 0
    std::vector<InstrumentChange> changes;
    std::vector<std::string> remarks;

    const Stretch& at(double quarter) const;
};

/// `instrument`: what the part is printed for, whatever it says itself; `on`: what the player brings for all
/// of it. Empty: not said. Without either the part is followed; where it names nobody, or nobody we have a
/// model of, the B♭ clarinet plays at the same sounding pitch, and a remark says so. InputError
/// (Fault::usage) for a name that is not in the family, or that was asked for and has no model.
Casting cast(const Line&, const std::string& instrument, const std::string& on);

} // namespace canebrake
