// SPDX-License-Identifier: MIT
#pragma once

#include "engine/live/take.h"
#include "engine/part/part_to_play.h"

#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

namespace canebrake
{

/// What can change while a part plays.
struct Manner {
    Player player = Player::studio;
    std::string on;     ///< as LineRequest::on
    double tempo = 1.0; ///< times as written
    friend bool operator==(const Manner&, const Manner&) = default;
};

/// A take in words, for the transport line.
struct TakeView {
    struct Note {
        double start_s = 0.0;
        std::string written, fingering;
    };
    Manner manner;
    std::vector<Note> notes; ///< that sound, by start
    Line line;               ///< the whole: its bars and tempo
    std::string instrument;  ///< name of the first that plays
    std::string title;
    std::vector<std::string> remarks;

    const Note* at(double seconds) const; ///< the last one begun; nullptr before the first
};

/// Makes takes of one chosen part, the same that `render` would play, as often as somebody wants another
/// player, clarinet or tempo. `make` belongs to one thread at a time, `view` to any.
class PlayedPart
{
public:
    PlayedPart(Line chosen, LineRequest, SampleRate);

    std::unique_ptr<Take> make(const Manner&);
    /// What `make` plays, for whoever wants to look at it; any thread, once the first take is made.
    LineRequest request(const Manner&) const;
    PartToPlay written_out(const Manner&, TrillBooks&) const;
    /// Of the takes made so far, counted from 0.
    std::shared_ptr<const TakeView> view(std::size_t take) const;
    std::size_t made() const;
    Manner first_manner() const { return {request_.settings.player, request_.on, 1.0}; }
    /// Clarinets that go low and high enough for the part's sounding notes, highest first.
    const std::vector<std::string>& fitting() const { return fitting_; }

    static constexpr double slowest = 0.25, quickest = 2.0; ///< times as written

private:
    LineRequest request_;
    Line chosen_;
    double first_tempo_ = 0.0; ///< quarters a minute as asked for or written
    std::vector<std::string> fitting_;
    std::map<Player, TrillBooks> books_; ///< one set a player: a kit has its level
    mutable std::mutex mutex_;           // of views_
    std::vector<std::shared_ptr<const TakeView>> views_;
};

} // namespace canebrake
