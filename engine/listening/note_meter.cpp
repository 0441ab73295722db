// SPDX-License-Identifier: MIT
#include "engine/listening/note_meter.h"
#include "engine/listening/note_ends.h"

#include <algorithm>
#include <cmath>

namespace canebrake
{

NoteMeter::NoteMeter(std::vector<ToldNote> notes, SampleRate rate)
    : notes_(std::move(notes)), rate_(rate),
      longest_end_(std::size_t(std::lround(listening::note_end_s * rate.value)))
{
    measures_.reserve(notes_.size());
}

std::uint64_t NoteMeter::start_of(const ToldNote& note) const
{
    return std::uint64_t(std::llround(std::max(0.0, note.start_s) * rate_.value));
}

std::uint64_t NoteMeter::end_of(const ToldNote& note) const
{
    return std::max(start_of(note), std::uint64_t(std::llround(std::max(0.0, note.end_s) * rate_.value)));
}

void NoteMeter::push(std::span<const float> audio)
{
    while (measures_.size() < notes_.size()) {
        const ToldNote& note = notes_[measures_.size()];
        const std::uint64_t from = std::max(position_, start_of(note));
        const std::uint64_t to = std::min(position_ + audio.size(), end_of(note));
        if (to > from)
            keep(audio.subspan(std::size_t(from - position_), std::size_t(to - from)));
        if (end_of(note) > position_ + audio.size())
            break;
        close_note();
    }
    position_ += audio.size();
}

void NoteMeter::keep(std::span<const float> audio)
{
    const std::size_t to_head = std::min(audio.size(), longest_end_ - head_.size());
    head_.insert(head_.end(), audio.begin(), audio.begin() + std::ptrdiff_t(to_head));
    for (const float x : audio) { // the ring: sample n of the note lies at n modulo its size
        if (ring_.size() < longest_end_)
            ring_.push_back(x);
        else
            ring_[std::size_t(kept_ % longest_end_)] = x;
        ++kept_;
    }
}

void NoteMeter::close_note()
{
    if (kept_ > longest_end_)
        std::rotate(ring_.begin(), ring_.begin() + std::ptrdiff_t(kept_ % longest_end_), ring_.end());
    measures_.push_back(listening::measure_note_ends(head_, ring_, std::size_t(kept_), rate_,
                                                     notes_[measures_.size()].target_hz));
    head_.clear();
    ring_.clear();
    kept_ = 0;
}

std::vector<NoteMeasure> NoteMeter::finish()
{
    while (measures_.size() < notes_.size())
        close_note();
    return measures_;
}

} // namespace canebrake
