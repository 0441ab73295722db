// SPDX-License-Identifier: MIT
// How the fingers get from one note to the next.
#include "engine/performance/performance.h"

#include "models/instruments/mechanism.h"

#include <algorithm>
#include <cmath>
#include <random>

namespace canebrake
{

namespace
{

constexpr double key_fade_s = 0.012; // a key travels 10–16 ms (Almeida et al. 2009, abstract, flute)

std::uint64_t note_seed(std::uint64_t seed, std::size_t note)
{
    return seed * 1000003ull + note * 7919ull + 17ull;
}

} // namespace

/// Fingers of the change into a note, one at a time, as they come and go; the holes follow from the keys.
void Performance::make_changes(std::size_t into)
{
    const auto& notes = part_.notes;
    if (notes[into].silent || into == 0)
        return;
    std::size_t from = into - 1;
    while (from > 0 && notes[from].silent)
        --from;
    if (notes[from].silent)
        return;
    const bool follows = from + 1 == into && notes[into].start_s - notes[from].end_s < 0.03;
    const bool late_tongue = follows && notes[into].tongued && notes[into].stroke_s > notes[into].start_s;
    const bool joined = from + 1 == into && (part_.joined[from] || late_tongue);
    const double at = notes[into].start_s;
    vent_time_ = at;
    if (fingering(from).holes == fingering(into).holes) {
        const std::size_t vent_number = vent_in_play(from, into);
        if (vent_number != fingering(from).vent_number) // one vent for the other
            queue_.push_back({at, fingering(into).holes, key_fade_s, vent_number});
    } else if (!joined) { // behind the tongue
        queue_.push_back({at - 0.010, fingering(into).holes, 0.004, fingering(into).vent_number});
    } else {
        change_while_sounding(from, into);
    }
}

/// A vent that shuts stays in play until it is shut.
std::size_t Performance::vent_in_play(std::size_t from, std::size_t into) const
{
    return fingering(into).vent > 0.0 ? fingering(into).vent_number : fingering(from).vent_number;
}

/// When each finger of a change gets where it goes, in order; sets when the vent's does.
std::vector<FingerEvent> Performance::finger_events(std::size_t from, std::size_t into)
{
    const auto& notes = part_.notes;
    const double at = notes[into].start_s;
    // Hurried fingers spread wider: up to 2.5 times when the shorter of the two notes lasts 50 ms.
    const double shorter = std::min(notes[from].end_s - notes[from].start_s, notes[into].end_s - at);
    const double spread =
        skill_.finger_scatter_s * (1.0 + 1.5 * std::clamp((0.2 - shorter) / 0.15, 0.0, 1.0));
    std::mt19937_64 random(note_seed(settings_.seed, into));
    // A sum of uniforms stands for the normal: the library's own distribution differs between makers.
    const auto scatter = [&] {
        double sum = 0.0;
        for (int i = 0; i < 6; ++i)
            sum += double(random() >> 11) * 0x1p-53 - 0.5;
        return sum * std::sqrt(2.0) * spread;
    };
    std::vector<FingerEvent> events;
    const Transition moves(part_.choices[from].hands, part_.choices[into].hands);
    for (const FingerMove& move : moves.moves()) {
        const double time = at + scatter();
        if (move.motion == Motion::slides) { // off one key, across, onto the other
            events.push_back({time - 0.5 * skill_.slide_s, move.finger, 0});
            events.push_back({time + 0.5 * skill_.slide_s, move.finger, move.to});
        } else {
            events.push_back({time, move.finger, move.to});
        }
        if (move.finger == Finger::left_thumb)
            vent_time_ = time;
    }
    std::sort(events.begin(), events.end(), [](const FingerEvent& x, const FingerEvent& y) {
        return x.time_s != y.time_s ? x.time_s < y.time_s : x.finger < y.finger;
    });
    return events;
}

/// Fingers that move within 3 ms of each other move together; at most six states.
void Performance::change_while_sounding(std::size_t from, std::size_t into)
{
    const std::vector<FingerEvent> events = finger_events(from, into);
    const Mechanism mechanism = keywork(instrument_, settings_.kit);
    const double fade = slides_into(into) ? slide_fade_s : key_fade_s;
    const double together = std::max(0.003, (events.back().time_s - events.front().time_s) / 5.0);
    Hands hands = part_.choices[from].hands;
    HoleState state = fingering(from).holes;
    std::size_t groups = 0;
    for (std::size_t i = 0; i < events.size();) {
        const double start = events[i].time_s;
        double sum = 0.0;
        std::size_t count = 0;
        while (i < events.size() && (events[i].time_s - start < together || groups >= 5)) {
            hands[events[i].finger] = events[i].holds;
            sum += events[i].time_s;
            ++count;
            ++i;
        }
        HoleState next = boehm_holes(hands.keys(), mechanism);
        for (const std::size_t vent : instrument_.vents)
            next.open &= ~(1u << vent);
        if (i == events.size())
            next = fingering(into).holes;
        if (next == state)
            continue;
        state = next;
        ++groups;
        queue_.push_back({sum / double(count), state, fade, vent_in_play(from, into)});
    }
}

std::vector<StateChange> Performance::changes_until(double time_s)
{
    while (changes_made_ < part_.notes.size() && part_.notes[changes_made_].start_s - 0.06 <= time_s)
        make_changes(changes_made_++);
    std::vector<StateChange> due;
    while (queue_at_ < queue_.size() && queue_[queue_at_].time_s <= time_s)
        due.push_back(queue_[queue_at_++]);
    if (queue_at_ == queue_.size()) {
        queue_.clear();
        queue_at_ = 0;
    }
    return due;
}

} // namespace canebrake
