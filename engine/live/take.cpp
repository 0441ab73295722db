// SPDX-License-Identifier: MIT
#include "engine/live/take.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace canebrake
{

namespace
{

constexpr double longest_lead_s = 0.35; // a note that is started at takes at most that long before it sounds
constexpr double turn_fade_s = 0.012;   // how the last round goes out
constexpr double shortest_loop_s = 0.25;
constexpr double at_once_s = 0.005; // a note that begins so near to a place begins there

} // namespace

Take::Take(Sequence sequence, const std::vector<TempoPoint>& tempo, SampleRate rate)
    : sequence_(std::move(sequence)), tempo_(tempo), rate_(rate)
{
    const auto samples = [&](double s) { return std::uint64_t(std::llround(std::max(0.0, s) * rate.value)); };
    for (std::size_t p = 0; p < sequence_.pieces().size(); ++p) {
        const Sequence::Piece& piece = sequence_.pieces()[p];
        const auto& notes = piece.rendering.notes();
        for (std::size_t n = 0; n < notes.size(); ++n)
            if (!notes[n].silent)
                notes_.push_back({p, n, samples(piece.offset_s + notes[n].start_s),
                                  samples(piece.offset_s + piece.rendering.sounding_end(n))});
    }
}

std::uint64_t Take::sample_at(double quarter) const
{
    return std::uint64_t(std::llround(std::max(0.0, tempo_.seconds_at(quarter)) * rate_.value));
}

void Take::go_to(double quarter)
{
    go_to_sample(sample_at(quarter), false);
}

void Take::take_over_at(double quarter)
{
    go_to_sample(sample_at(quarter), true);
}

void Take::go_to_sample(std::uint64_t place, bool exactly)
{
    turning_.clear();
    turning_at_ = 0;
    pad_ = 0;
    rests_ = false;
    const auto near = std::uint64_t(at_once_s * rate_.value);
    auto note = std::upper_bound(notes_.begin(), notes_.end(), place + near,
                                 [](std::uint64_t at, const Note& n) { return at < n.start; });
    if (note != notes_.begin()) {
        const auto before = std::prev(note);
        const bool begins = before->start + near >= place, held = before->end > place + near;
        exactly = exactly || (held && !begins);
        if (begins || held)
            note = before;
    }
    if (note == notes_.end()) { // only rests are left
        rests_ = true;
        pad_ = total_samples() - std::min(total_samples(), place);
        return;
    }
    sequence_.start_at(note->piece, note->note);
    const std::uint64_t from = sequence_.position();
    if (from >= place)
        pad_ = from - place;
    else if (exactly) {
        std::array<float, 1024> unheard;
        for (std::uint64_t left = place - from; left > 0;) {
            const std::size_t got =
                sequence_.process(std::span(unheard).first(std::min<std::uint64_t>(left, unheard.size())));
            if (got == 0)
                return;
            left -= got;
        }
    }
}

void Take::repeat(std::optional<std::pair<double, double>> stretch)
{
    loop_to_ = 0;
    if (!stretch)
        return;
    const std::uint64_t from = sample_at(stretch->first), to = sample_at(stretch->second);
    if (double(to) - double(from) < shortest_loop_s * rate_.value)
        return;
    const auto overlap = std::min(std::uint64_t(longest_lead_s * rate_.value), (to - from) / 2);
    loop_from_ = from;
    loop_to_ = to;
    turn_at_ = to - overlap;
}

std::uint64_t Take::position() const
{
    if (turning_at_ < turning_.size())
        return turning_at_ < before_ ? turning_from_ + turning_at_ : next_from_ + (turning_at_ - before_);
    return rests_ ? total_samples() - pad_ : sequence_.position() - pad_;
}

/// What comes without a stretch to repeat.
std::size_t Take::give(std::span<float> out)
{
    const auto silent = std::size_t(std::min<std::uint64_t>(pad_, out.size()));
    std::fill_n(out.begin(), silent, 0.0f);
    pad_ -= silent;
    return silent + (rests_ ? 0 : sequence_.process(out.subspan(silent)));
}

/// Makes the end of this round and the beginning of the next into one stretch of sound. The next round's
/// first note is begun before the stretch's end, as far as its lead goes, and the two add there.
void Take::turn()
{
    turning_from_ = position();
    const auto overlap = std::size_t(loop_to_ - std::min(loop_to_, turning_from_));
    const auto fade = std::size_t(turn_fade_s * rate_.value);
    std::vector<float> ending(overlap + fade, 0.0f);
    give(ending); // what is missing at the part's end stays silent
    for (std::size_t i = 0; i < fade; ++i)
        ending[overlap + i] *= 1.0f - float(i + 1) / float(fade);

    go_to_sample(loop_from_, false);
    std::size_t lead = std::size_t(loop_from_ - std::min(loop_from_, position()));
    std::vector<float> unheard(lead > overlap ? lead - overlap : 0);
    give(unheard);
    lead -= unheard.size();
    next_from_ = position();
    before_ = overlap - lead;
    std::vector<float> beginning(lead + fade, 0.0f);
    give(beginning);
    for (std::size_t i = 0; i < beginning.size(); ++i)
        ending[before_ + i] += beginning[i];
    turning_ = std::move(ending);
    turning_at_ = 0;
}

std::size_t Take::process(std::span<float> out)
{
    std::size_t done = 0;
    while (done < out.size()) {
        const std::span<float> left = out.subspan(done);
        if (turning_at_ < turning_.size()) {
            const std::size_t n = std::min(left.size(), turning_.size() - turning_at_);
            std::copy_n(turning_.begin() + std::ptrdiff_t(turning_at_), n, left.begin());
            turning_at_ += n;
            done += n;
            continue;
        }
        std::size_t n = left.size();
        if (loop_to_ > 0 && position() < loop_to_) { // beyond it, the music goes on
            if (position() >= turn_at_) {
                turn();
                continue;
            }
            n = std::size_t(std::min<std::uint64_t>(n, turn_at_ - position()));
        }
        const std::size_t got = give(left.first(n));
        done += got;
        if (got < n) {
            if (loop_to_ > 0 &&
                position() < loop_to_) { // the stretch's last bars are rests at the part's end
                turn();
                continue;
            }
            break;
        }
    }
    return done;
}

} // namespace canebrake
