// SPDX-License-Identifier: MIT
#pragma once

// Typed lines, judged: what the tests of the judge ask and look for.
#include "engine/part/line_request.h"
#include "engine/part/part_to_play.h"
#include "engine/spots/judged_part.h"
#include "tests/support/asked_line.h"

#include <algorithm>
#include <cstdio>
#include <optional>
#include <string>
#include <utility>

namespace canebrake
{

/// Who plays a typed line, on what, and how it is judged.
struct Asked {
    std::string phrase{};
    std::string instrument = "B-flat"; ///< printed for
    std::string on{};                  ///< what the player brings; empty: the same
    Kit kit{};
    std::optional<double> tempo{}; ///< quarters a minute at the start, instead of the typed one
    JudgeOptions options{.listen = true, .ideal = false, .threads = 1};
    PitchBasis pitch = PitchBasis::written;
};

/// A line and what is found in it. Judged when constructed.
class Judging
{
public:
    explicit Judging(const Asked& asked)
        : books_(asked.kit),
          part_(part_to_play(test::asked_line(request_of(asked)), request_of(asked), books_),
                request_of(asked).settings, asked.options)
    {
    }
    /// Of a line that was made or read by something else.
    Judging(Line line, const Asked& asked)
        : books_(asked.kit), part_(part_to_play(std::move(line), request_of(asked), books_),
                                   request_of(asked).settings, asked.options)
    {
    }

    const JudgedPart& part() const { return part_; }
    const JudgedPart::Stretch& stretch() const { return part_.stretches().front(); }
    const std::vector<Spot>& spots() const { return stretch().spots; }
    Performed performed() const { return part_.performed(stretch()); }

    /// Quarters a minute at the start.
    double tempo() const { return TempoMap(part_.played().line.tempo).tempo_at(0.0); }

    /// The hardest spot of this cause; nullptr: none.
    const Spot* find(Cause cause) const
    {
        const Spot* hardest = nullptr;
        for (const Spot& spot : spots())
            if (spot.cause == cause && (hardest == nullptr || spot.grade > hardest->grade))
                hardest = &spot;
        return hardest;
    }
    /// "crossing:awkward 5-6, …", for messages.
    std::string told() const
    {
        std::string text;
        for (const Spot& spot : spots())
            text += (text.empty() ? "" : ", ") + std::string(word(spot.cause)) + ':' + word(spot.grade) +
                    ' ' + std::to_string(spot.from) + '-' + std::to_string(spot.to);
        return text.empty() ? "nothing" : text;
    }

private:
    static LineRequest request_of(const Asked& asked)
    {
        LineRequest request;
        request.phrase = asked.phrase;
        request.pitch = asked.pitch;
        request.instrument = asked.instrument;
        request.on = asked.on;
        request.settings.kit = asked.kit;
        request.settings.player = asked.kit.level;
        request.tempo = asked.tempo;
        return request;
    }

    TrillBooks books_;
    JudgedPart part_;
};

inline std::string figures(const Heard& h)
{
    std::string text;
    for (const auto& figure : {h.dip_db, h.settle_ms, h.speech_ms, h.cents, h.jump_db, h.tone_change}) {
        char number[40];
        std::snprintf(number, sizeof number, "%a ", figure.value_or(-999.0)); // every bit of it
        text += number;
    }
    return text + (h.arrived ? "arrived" : "not arrived");
}

/// All that is said of a spot, to the last bit.
inline std::string in_full(const Spot& spot)
{
    std::string text = std::string(word(spot.cause)) + ' ' + word(spot.grade) + ' ' +
                       std::to_string(spot.from) + ' ' + std::to_string(spot.to) + ' ' + figures(spot.heard);
    if (spot.ideal)
        text += " ideal " + figures(*spot.ideal);
    if (spot.pace)
        text += " at " + std::to_string(spot.pace->rate) + " of " + std::to_string(spot.pace->limits[0]);
    text += " safe " + std::to_string(spot.safe_at) + " lost " + std::to_string(spot.lost) + " again";
    for (const std::size_t place : spot.again)
        text += ' ' + std::to_string(place);
    return text;
}

} // namespace canebrake
