// SPDX-License-Identifier: MIT
#include "engine/workbench/sounding.h"

#include "engine/part/choose_part.h"
#include "engine/report/events.h"
#include "engine/workbench/bench.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>

namespace canebrake
{
namespace
{

constexpr double longest_hours = 12.0; // a damaged file can ask for years
constexpr float of_two_players = 0.7f; // they add

} // namespace

Sounding::Sounding(const Bench& bench, const LineRequest& request)
    : request_(request), books_(request.settings.kit), sequence_(request.settings)
{
    parts_.push_back(part_to_play(choose_part(bench.score(), request.part), request, books_));
    const Line& line = parts_.front().line;
    const double hours = TempoMap(line.tempo).seconds_at(line.end_quarter) / 3600.0;
    if (!(hours <= longest_hours))
        throw InputError(fmt::format("found a line of {:.0f} hours, wanted at most {:.0f}: take some --bars",
                                     hours, longest_hours),
                         Fault::usage);
    add_stretches(parts_);
}

Sounding::Sounding(std::vector<PartToPlay> parts, const LineRequest& request)
    : request_(request), books_(request.settings.kit), parts_(std::move(parts)), sequence_(request.settings),
      gain_(parts_.size() > 1 ? of_two_players : 1.0f)
{
    add_stretches(parts_);
}

void Sounding::add_stretches(std::vector<PartToPlay>& parts)
{
    std::vector<PartToPlay::Stretch*> all;
    for (PartToPlay& part : parts)
        for (PartToPlay::Stretch& stretch : part.stretches)
            all.push_back(&stretch);
    std::stable_sort(all.begin(), all.end(),
                     [](const auto* a, const auto* b) { return a->offset_s < b->offset_s; });
    for (PartToPlay::Stretch* stretch : all)
        sequence_.add(*stretch->book, std::move(stretch->line), stretch->offset_s);
}

std::size_t Sounding::notes() const
{
    std::size_t count = 0;
    for (const Sequence::Piece& piece : sequence_.pieces())
        for (const PlannedNote& note : piece.rendering.notes())
            count += !note.silent;
    return count;
}

std::size_t Sounding::silent_notes() const
{
    std::size_t count = 0;
    for (const Sequence::Piece& piece : sequence_.pieces())
        for (const PlannedNote& note : piece.rendering.notes())
            count += note.silent;
    return count;
}

std::string Sounding::instruments() const
{
    std::string text;
    for (const Sequence::Piece& piece : sequence_.pieces())
        if (text.find(piece.instrument->title) == std::string::npos)
            text += (text.empty() ? "" : " and ") + piece.instrument->title;
    return text;
}

std::vector<std::string> Sounding::warnings() const
{
    std::vector<std::string> all;
    for (const Sequence::Piece& piece : sequence_.pieces())
        all.insert(all.end(), piece.rendering.remarks().begin(), piece.rendering.remarks().end());
    return all;
}

std::vector<std::string> Sounding::remarks() const
{
    std::vector<std::string> all;
    for (const PartToPlay& part : parts_)
        for (const std::string& remark : part.casting.remarks) // first: on what it is played
            all.push_back("remark: " + remark);
    for (const std::string& warning : warnings()) // then: these notes cannot be heard
        all.push_back("warning: " + warning);
    for (const PartToPlay& part : parts_)
        for (const std::string& remark : part.line.remarks)
            all.push_back("remark: " + remark);
    return all;
}

void Sounding::refuse_silent_notes() const
{
    const std::size_t silent = silent_notes();
    if (silent == 0)
        return;
    const std::vector<std::string> said = warnings();
    std::string text = said.empty() ? "" : ": " + said.front();
    text = text.substr(0, text.rfind("; left silent")); // here it is not
    if (silent > 1)
        text += fmt::format(" (and {} more)", silent - 1);
    throw InputError("found notes off the instrument, wanted none (--strict)" + text, Fault::off_range);
}

std::size_t Sounding::process(std::span<float> out)
{
    const std::uint64_t left = total_samples() - std::min(total_samples(), position());
    const auto wanted = std::size_t(std::min<std::uint64_t>(out.size(), left));
    const std::size_t got = std::min(wanted, sequence_.process(out.first(wanted)));
    if (gain_ != 1.0f)
        for (float& sample : out.first(got))
            sample *= gain_;
    if (meter_)
        meter_->push(out.first(got));
    return got;
}

std::vector<ToldNote> Sounding::told_notes() const
{
    std::vector<ToldNote> told;
    for (const Sequence::Piece& piece : sequence_.pieces()) {
        const auto& notes = piece.rendering.notes();
        for (std::size_t i = 0; i < notes.size(); ++i) {
            if (notes[i].silent)
                continue;
            const double start_s = piece.offset_s + notes[i].start_s;
            if (!told.empty())
                told.back().end_s = std::min(told.back().end_s, start_s);
            told.push_back({start_s,
                            piece.offset_s + std::min(notes[i].end_s, piece.rendering.sounding_end(i)),
                            notes[i].target_hz});
        }
    }
    return told;
}

void Sounding::measure()
{
    meter_.emplace(told_notes(), request_.settings.rate);
}

void Sounding::write_events(const std::string& sound_file, const std::string& bits,
                            const std::function<void(std::string_view)>& write)
{
    if (!meter_)
        throw InputError("nothing was measured, wanted a sound that is measured from its start",
                         Fault::usage);
    const PartToPlay& part = parts_.front();
    canebrake::write_events(
        {request_, sound_file, bits, part.line, part.casting, sequence_, meter_->finish()}, write);
}

} // namespace canebrake
