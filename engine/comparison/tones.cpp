// SPDX-License-Identifier: MIT
#include "engine/comparison/tones.h"

#include "engine/telling/names.h"
#include "models/instruments/family.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace canebrake
{
namespace
{

constexpr std::size_t most_cells = 20000;

/// From the lowest note of the lowest instrument to the highest professional top, in the common pitch.
std::vector<int> whole_compass(const std::vector<const Instrument*>& instruments, bool sounding)
{
    int low = 127, high = 0;
    for (const Instrument* instrument : instruments) {
        const int shift = sounding ? instrument->transposition : 0;
        low = std::min(low, instrument->lowest.number + shift);
        high = std::max(high, instrument->top_professional.number + shift);
    }
    std::vector<int> all;
    for (int number = low; number <= high; ++number)
        all.push_back(number);
    return all;
}

std::vector<NotesOfRegister> registers_of(const ToneMap& map)
{
    std::vector<NotesOfRegister> all;
    for (std::size_t i = 0; i < map.notes.size(); ++i) {
        if (map.notes[i].cells.empty())
            continue;
        const std::string name = register_of(*map.instrument, map.notes[i].written);
        if (all.empty() || all.back().name != name)
            all.push_back({name, {}});
        all.back().notes.push_back(i);
    }
    return all;
}

} // namespace

std::string side_name(const Instrument& instrument, Player player)
{
    return instrument.name + ' ' + player_name(player);
}

std::string register_of(const Instrument& instrument, WrittenPitch written)
{
    const FamilyMember* member = member_named(instrument.name);
    for (const RegisterTendency& part : member->registers)
        if (written <= part.to)
            return part.name;
    return member->registers.back().name;
}

std::vector<ToneFigures> ToneSide::figures(const NotesOfRegister& notes, std::size_t level) const
{
    std::vector<ToneFigures> all;
    for (const std::size_t note : notes.notes)
        all.push_back(figures_of(map.notes[note].cells[level].heard));
    return all;
}

TonesReport compare_tones(const ComparisonRequest& request, bool keep_audio, const Watch& watch)
{
    TonesReport report{request, {}};
    const bool sounding = request.pitch == PitchBasis::sounding;
    std::vector<const Instrument*> instruments;
    for (const std::string& name : request.instruments)
        instruments.push_back(&instrument_named(name));
    const std::vector<int> notes =
        request.notes.empty() ? whole_compass(instruments, sounding) : request.notes;
    const std::size_t sides = instruments.size() * request.players.size();
    if (const std::size_t cells = sides * notes.size() * request.levels.size(); cells > most_cells)
        throw InputError(fmt::format("found {} tones to compare, wanted at most {}", cells, most_cells),
                         Fault::usage);

    std::size_t played = 0;
    for (const Instrument* instrument : instruments)
        for (const Player player : request.players) {
            std::vector<WrittenPitch> written;
            for (const int number : notes)
                written.push_back({number - (sounding ? instrument->transposition : 0)});
            RenderSettings settings = request.settings;
            settings.player = settings.kit.level = player;
            ToneMapOptions options{2, keep_audio, [&](double share) {
                                       watch.tell(double(played) + share, double(sides));
                                       return !(watch.stop && watch.stop());
                                   }};
            ToneMap map = tone_map(*instrument, written, request.levels, settings, options);
            watch.check();
            ++played;
            ToneSide side{side_name(*instrument, player), std::move(map), {}, {}};
            side.traits = traits_of(side.map);
            side.registers = registers_of(side.map);
            if (side.registers.empty())
                throw InputError(
                    fmt::format("--notes: found nothing that the {} has, wanted some of {} to {}",
                                instrument->title, pitch_name(instrument->lowest.number),
                                pitch_name(instrument->top_extreme.number)),
                    Fault::off_range);
            report.sides.push_back(std::move(side));
        }
    return report;
}

std::vector<RegisterDifference> differences(const TonesReport& report)
{
    std::vector<RegisterDifference> all;
    const ToneSide& first = report.sides.front();
    for (std::size_t s = 1; s < report.sides.size(); ++s)
        for (const NotesOfRegister& part : first.registers) {
            const ToneSide& side = report.sides[s];
            NotesOfRegister both{part.name, {}};
            for (const std::size_t note : part.notes)
                if (!side.map.notes[note].cells.empty())
                    both.notes.push_back(note);
            if (both.notes.empty())
                continue;
            for (std::size_t level = 0; level < first.map.levels.size(); ++level)
                all.push_back({s, level, part.name,
                               mean_difference(side.figures(both, level), first.figures(both, level))});
        }
    return all;
}

} // namespace canebrake
