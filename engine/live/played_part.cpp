// SPDX-License-Identifier: MIT
#include "engine/live/played_part.h"

#include "engine/telling/names.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace canebrake
{

namespace
{

constexpr double longest_hours = 12.0; // as render: a damaged file can ask for years

std::vector<std::string> clarinets_for(const std::vector<Note>& notes)
{
    double low = std::numeric_limits<double>::max(), high = -low;
    for (const Note& note : notes) {
        low = std::min(low, note.sounding.number);
        high = std::max(high, note.sounding.number);
    }
    std::vector<std::string> names;
    for (const FamilyMember& member : family())
        if (has_model(member.name) && std::lround(low) - member.transposition >= member.lowest.number &&
            std::lround(high) - member.transposition <= member.top_extreme.number)
            names.push_back(member.name);
    return names;
}

} // namespace

const TakeView::Note* TakeView::at(double seconds) const
{
    const auto next = std::upper_bound(notes.begin(), notes.end(), seconds,
                                       [](double s, const Note& note) { return s < note.start_s; });
    return next == notes.begin() ? nullptr : &*std::prev(next);
}

PlayedPart::PlayedPart(Line chosen, LineRequest request, SampleRate rate)
    : request_(std::move(request)), chosen_(std::move(chosen))
{
    request_.settings.rate = rate;
}

LineRequest PlayedPart::request(const Manner& manner) const
{
    LineRequest request = request_;
    request.on = manner.on;
    request.settings.player = request.settings.kit.level = manner.player;
    if (manner.tempo != 1.0)
        request.tempo = first_tempo_ * manner.tempo;
    return request;
}

PartToPlay PlayedPart::written_out(const Manner& manner, TrillBooks& books) const
{
    return part_to_play(chosen_, request(manner), books);
}

std::unique_ptr<Take> PlayedPart::make(const Manner& manner)
{
    const LineRequest request = this->request(manner);
    TrillBooks& books = books_.try_emplace(manner.player, request.settings.kit).first->second;
    PartToPlay part = written_out(manner, books);
    const double hours = TempoMap(part.line.tempo).seconds_at(part.line.end_quarter) / 3600.0;
    if (!(hours <= longest_hours))
        throw InputError(fmt::format("found a line of {:.0f} hours, wanted at most {:.0f}: take some --bars",
                                     hours, longest_hours),
                         Fault::usage);
    if (first_tempo_ == 0.0) { // the first take
        first_tempo_ = part.line.tempo.empty() ? TempoPoint{}.quarters_per_minute
                                               : part.line.tempo.front().quarters_per_minute;
        fitting_ = clarinets_for(part.line.notes);
    }

    auto view = std::make_shared<TakeView>();
    view->manner = manner;
    view->instrument = part.stretches.front().book->chart().instrument().name;
    view->remarks = part.casting.remarks;
    Sequence sequence(request.settings);
    for (PartToPlay::Stretch& stretch : part.stretches)
        sequence.add(*stretch.book, std::move(stretch.line), stretch.offset_s);
    for (const Sequence::Piece& piece : sequence.pieces()) {
        if (view->title.find(piece.instrument->title) == std::string::npos)
            view->title += (view->title.empty() ? "" : " and ") + piece.instrument->title;
        view->remarks.insert(view->remarks.end(), piece.rendering.remarks().begin(),
                             piece.rendering.remarks().end());
        for (const PlannedNote& note : piece.rendering.notes())
            if (!note.silent)
                view->notes.push_back({piece.offset_s + note.start_s,
                                       spelled(piece.line.notes[note.line_note], note.written.number),
                                       note.fingering.empty() ? "open" : note.fingering});
    }
    view->remarks.insert(view->remarks.end(), part.line.remarks.begin(), part.line.remarks.end());
    view->line = std::move(part.line);
    auto take = std::make_unique<Take>(std::move(sequence), view->line.tempo, request.settings.rate);
    const std::lock_guard lock(mutex_);
    views_.push_back(std::move(view));
    return take;
}

std::shared_ptr<const TakeView> PlayedPart::view(std::size_t take) const
{
    const std::lock_guard lock(mutex_);
    return views_.at(std::min(take, views_.size() - 1));
}

std::size_t PlayedPart::made() const
{
    const std::lock_guard lock(mutex_);
    return views_.size();
}

} // namespace canebrake
