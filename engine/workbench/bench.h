// SPDX-License-Identifier: MIT
#pragma once

#include "engine/comparison/sides.h"
#include "engine/line/line.h"
#include "engine/part/line_request.h"
#include "engine/part/watch.h"
#include "engine/telling/score_report.h"

#include <cstddef>
#include <string>
#include <vector>

namespace canebrake
{

/// A part of what was opened, for choosing one.
struct PartListing {
    std::string id, name;      ///< each is understood by LineRequest::part
    std::string instrument;    ///< title of the clarinet it is for; empty: none of ours, or not said
    std::size_t notes = 0;     ///< as played, repeats and all
    std::size_t bars = 0;      ///< as played
    bool for_clarinet = false; ///< `spots` judges it when no part is chosen
};

/// A line or a score that was opened: what came in, byte for byte, and what was read of it. Everything asked
/// of it leaves it as it is, so several threads may ask at once. Opens no file: whoever calls has the bytes.
///
/// Questions throw InputError, whose `fault` is the exit code, or BrokenOff out of their Watch.
class Bench
{
public:
    /// MusicXML, plain or compressed, or a Standard MIDI File, known by its content. `name` stands in
    /// messages and titles; UTF-8. InputError (Fault::unreadable).
    static Bench of_file(std::string bytes, std::string name);
    /// A typed phrase. InputError (Fault::usage) naming the word that makes no sense.
    static Bench of_phrase(std::string phrase);

    const std::string& bytes() const { return bytes_; } ///< of a phrase: its words
    const std::string& name() const { return name_; }   ///< of a phrase: empty
    bool typed() const { return typed_; }
    bool is_musicxml() const; ///< plain or compressed
    const Score& score() const { return score_; }
    std::string title() const; ///< the file's name without folder and ending, or "Phrase"

    std::vector<PartListing> parts() const;
    /// The rough places of one part, or of all for clarinets.
    SpotsReport spots(const LineRequest&, const Watch& = {}) const;
    /// The line on several clarinets or by several players. The report refers to the request.
    LinesReport compare(const ComparisonRequest&, const Watch& = {}) const;

    /// A part as MusicXML, as it is printed for who plays it. What could not be kept is in `remarks`.
    std::string part_as_musicxml(const LineRequest&, std::vector<std::string>& remarks) const;
    /// A part as a Standard MIDI File, at sounding pitch.
    std::string part_as_midi(const LineRequest&) const;

private:
    Bench(std::string bytes, std::string name, bool typed, Score score)
        : bytes_(std::move(bytes)), name_(std::move(name)), typed_(typed), score_(std::move(score))
    {
    }

    std::string bytes_, name_;
    bool typed_ = false;
    Score score_;
};

} // namespace canebrake
