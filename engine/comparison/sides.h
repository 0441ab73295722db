// SPDX-License-Identifier: MIT
#pragma once

#include "engine/comparison/request.h"
#include "engine/comparison/traits.h"

#include <optional>
#include <string>
#include <vector>

namespace canebrake
{

/// The notes of one register among those that are compared.
struct NotesOfRegister {
    std::string name;               ///< extension, chalumeau, throat, clarion, altissimo
    std::vector<std::size_t> notes; ///< indices, on the instrument
};

/// A clarinet in somebody's hands, and how it sounds.
struct ToneSide {
    std::string name; ///< "B♭ studio"
    ToneMap map;
    std::vector<std::vector<std::vector<Trait>>> traits; ///< [note][dynamic]
    std::vector<NotesOfRegister> registers;              ///< lowest first; those that have notes

    std::vector<ToneFigures> figures(const NotesOfRegister&, std::size_t level) const;
};

/// Held notes over pitch and dynamic; the same notes on every side, by written or by sounding pitch.
struct TonesReport {
    const ComparisonRequest& request;
    std::vector<ToneSide> sides;
};

/// One side against the first in one register at one dynamic; the notes that both have.
struct RegisterDifference {
    std::size_t side = 0, level = 0;
    std::string name;
    ToneDifference difference;
};
std::vector<RegisterDifference> differences(const TonesReport&);

/// A note of a line, or one that was found in a recording.
struct ComparedNote {
    double start_s = 0.0, end_s = 0.0;
    std::optional<WrittenPitch> written{}; ///< of a line
    std::string written_name{}, sounding_name{};
    double sounding = 0.0; ///< as asked for; of a recording the nearest semitone
    std::string register_name{}, fingering{}, bar{};
    double beat = 0.0;
    std::optional<double> level{}; ///< ladder
    bool silent = false;
    bool speaks = true; ///< begun by the tongue, and not swelling: else its speaking time says nothing
    ToneMeasure heard{};
    std::vector<Trait> traits{};

    ToneFigures figures() const
    {
        ToneFigures f = figures_of(heard);
        if (!speaks)
            f.speaking_ms.reset();
        return f;
    }
};

/// A line as one clarinet and player play it, or one recording of it.
struct LineSide {
    std::string name;
    const Instrument* instrument = nullptr; ///< of a line
    std::optional<Player> player{};
    std::string file{}; ///< of a recording
    double duration_s = 0.0;
    std::vector<ComparedNote> notes{};
    std::vector<std::string> remarks{};
    Audio audio{};
};

/// The same line side by side. In each row one note a side, or none; rows in playing order.
struct LinesReport {
    const ComparisonRequest& request;
    std::vector<LineSide> sides;
    std::vector<std::vector<std::optional<std::size_t>>> rows; ///< [row][side]
    std::vector<std::string> remarks;

    /// Of a side against the first; no notes if one of them is missing.
    ToneDifference difference(std::size_t row, std::size_t side) const;
    ToneDifference whole_difference(std::size_t side) const;
};

} // namespace canebrake
