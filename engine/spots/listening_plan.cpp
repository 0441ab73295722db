// SPDX-License-Identifier: MIT
#include "engine/spots/listening_plan.h"

#include "engine/threads/parallel_loop.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <string>

namespace canebrake
{
namespace
{

enum class Listens { not_at_all, to_the_change, to_the_note, beside };

Listens listens(Cause cause)
{
    if (of_a_change(cause))
        return Listens::to_the_change;
    switch (cause) {
    case Cause::entrance:
    case Cause::speech:
    case Cause::pitch:
    case Cause::height:
    case Cause::colour:
    case Cause::flutter:
        return Listens::to_the_note;
    case Cause::throat:
        return Listens::beside;
    default:
        return Listens::not_at_all;
    }
}

/// Lengths that sound alike: steps of a third of an octave, up to where nobody listens any more.
int length_step(double seconds)
{
    return int(std::lround(3.0 * std::log2(std::clamp(seconds, 0.02, 1.0))));
}

/// One place to listen to, and what tells it from others.
struct Place {
    Listens how{};
    std::size_t note = 0, other = 0;
    std::string alike;
};

Place place_of(const Performed& p, const Part& part, const Spot& spot)
{
    Place place{listens(spot.cause), spot.to, spot.from, {}};
    if (place.how == Listens::not_at_all)
        return place;
    if (place.how == Listens::to_the_change) {
        // Of a run, its first change; the ear would find any other as good.
        place.note = spot.from + 1;
        // Of rocking, a crossing, slurred if there is one.
        const auto crosses = [&](std::size_t i) {
            return part.choices[i].fingering.register_number != part.choices[i - 1].fingering.register_number;
        };
        if (spot.cause == Cause::rocking)
            for (const bool slurred : {false, true})
                for (std::size_t i = spot.to; i > spot.from; --i)
                    if (crosses(i) && (!slurred || part.joined[i - 1]))
                        place.note = i;
        place.other = place.note - 1;
    } else if (place.how == Listens::beside && !in_throat(p.note(place.note).written)) {
        std::swap(place.note, place.other);
    } else if (place.how == Listens::to_the_note) {
        place.note = place.other = spot.from;
    }
    const auto add = [&](std::size_t i) {
        const PlannedNote& note = part.notes[i];
        place.alike += part.choices[i].fingering.keys + (note.tongued ? " t" : " s") + ' ' +
                       std::to_string(note.written.number) + ' ' +
                       std::to_string(std::lround(2.0 * note.dynamic)) + ' ' +
                       std::to_string(length_step(note.end_s - note.start_s)) + ' ' +
                       std::to_string(p.printed(i).articulations) + ';';
    };
    place.alike = std::to_string(int(place.how)) + ' ';
    add(place.other);
    if (place.note != place.other)
        add(place.note);
    return place;
}

Heard listen(Ear& ear, const Place& place, const Part& part)
{
    if (place.how == Listens::to_the_note)
        return ear.note(place.note);
    if (place.how == Listens::beside)
        return ear.beside(place.note, place.other);
    if (part.joined[place.other])
        return ear.change_into(place.note);
    return ear.note(place.note); // behind the tongue there is no change to hear
}

} // namespace

void listen_to(const Performed& p, const Part& part, const RenderSettings& settings, std::span<Spot> spots,
               unsigned threads)
{
    std::vector<Place> places;
    std::map<std::string, std::size_t> known; // place by what it sounds like
    std::vector<std::optional<std::size_t>> place_of_spot;
    for (const Spot& spot : spots) {
        Place place = place_of(p, part, spot);
        place_of_spot.emplace_back();
        if (place.how == Listens::not_at_all || part.notes[place.note].silent ||
            part.notes[place.other].silent)
            continue;
        const auto [at, fresh] = known.try_emplace(place.alike, places.size());
        place_of_spot.back() = at->second;
        if (fresh)
            places.push_back(std::move(place));
    }
    if (places.empty())
        return;
    std::vector<Heard> heard(places.size());
    const auto listener = [&] {
        return [&, ear = std::make_shared<Ear>(p.instrument(), p.line, part, settings)](std::size_t i) {
            heard[i] = listen(*ear, places[i], part);
        };
    };
    parallel_loop(places.size(), listener, {threads, {}});
    for (std::size_t i = 0; i < spots.size(); ++i)
        if (place_of_spot[i])
            spots[i].heard = heard[*place_of_spot[i]];
}

} // namespace canebrake
