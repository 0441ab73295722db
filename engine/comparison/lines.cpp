// SPDX-License-Identifier: MIT
#include "engine/comparison/lines.h"

#include "engine/comparison/tones.h"
#include "engine/part/choose_part.h"
#include "engine/part/part_to_play.h"
#include "engine/rendering/sequence.h"
#include "engine/spots/ear.h"
#include "engine/telling/names.h"
#include "models/units/input_error.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

namespace canebrake
{
namespace
{

constexpr std::size_t block_samples = 4096;
constexpr double most_swell = 0.5; // rungs of the ladder within a note

std::vector<float> sound_of(Sequence& sequence, double done_share, double share, const Watch& watch)
{
    std::vector<float> audio(sequence.total_samples());
    for (std::size_t at = 0; at < audio.size();) {
        watch.check();
        const std::size_t got =
            sequence.process(std::span(audio).subspan(at, std::min(block_samples, audio.size() - at)));
        if (got == 0)
            break;
        at += got;
        watch.tell(done_share + share * double(at) / double(audio.size()), 1.0);
    }
    return audio;
}

/// As the line spells it, but a plain note stays plain: an A clarinet's page says B where the interval up
/// from a B-flat would be a C-flat.
std::string named(const Note& printed, int number)
{
    std::string name = spelled(printed, number);
    const std::string_view letter_and_sign = std::string_view(name).substr(0, 2);
    const bool odd =
        letter_and_sign == "Cb" || letter_and_sign == "Fb" || letter_and_sign == "E#" ||
        letter_and_sign == "B#" ||
        std::count_if(name.begin() + 1, name.end(), [](char c) { return c == '#' || c == 'b'; }) > 1;
    const bool as_printed = number == printed.printed; // the composer's own
    return odd && !as_printed ? pitch_name(number, printed.printed_alter < 0) : name;
}

ComparedNote compared(const Sequence::Piece& piece, std::size_t at, const Audio& audio)
{
    const PlannedNote& planned = piece.rendering.notes()[at];
    const Note& printed = piece.line.notes.at(planned.line_note);
    ComparedNote note;
    note.start_s = piece.offset_s + planned.start_s;
    note.end_s = piece.offset_s + planned.end_s;
    note.written = planned.written;
    note.written_name = named(printed, planned.written.number);
    note.sounding = printed.sounding.number;
    note.sounding_name = named(printed, int(std::lround(note.sounding)));
    note.register_name = register_of(*piece.instrument, planned.written);
    note.fingering = planned.fingering;
    note.bar = printed.source.bar;
    note.beat = printed.source.beat;
    note.level = planned.dynamic;
    note.silent = planned.silent;
    if (note.silent)
        return note;
    const double end_s = piece.offset_s + std::min(planned.end_s, piece.rendering.sounding_end(at));
    note.heard = measure_tone(between(audio, note.start_s, end_s), audio.rate, planned.target_hz);
    const auto level = [&](double quarter) { return dynamic_at(piece.line.dynamics, quarter); };
    const double swell =
        level(printed.start_quarter + printed.length_quarters) - level(printed.start_quarter);
    note.speaks = planned.tongued && std::abs(swell) < most_swell;
    note.traits =
        traits_of(note.heard, planned.dynamic,
                  note.speaks ? late_speech_ms(*piece.instrument) : std::numeric_limits<double>::infinity());
    return note;
}

/// What tells a note of the line from the others on every side: where in the playing order, which printed
/// note, and which of the small notes it was written out into.
using Key = std::tuple<int, std::string, std::size_t>;

std::vector<Key> keys_of(const Sequence& sequence)
{
    std::vector<Key> keys;
    std::map<std::pair<int, std::string>, std::size_t> met;
    for (const Sequence::Piece& piece : sequence.pieces())
        for (const PlannedNote& planned : piece.rendering.notes()) {
            const Source& source = piece.line.notes.at(planned.line_note).source;
            keys.emplace_back(source.bar_index, source.id, met[{source.bar_index, source.id}]++);
        }
    return keys;
}

std::vector<std::vector<std::optional<std::size_t>>> rows_of(const std::vector<std::vector<Key>>& keys)
{
    std::vector<std::vector<std::optional<std::size_t>>> rows;
    std::map<Key, std::size_t> row_of;
    for (std::size_t note = 0; note < keys[0].size(); ++note) {
        row_of.emplace(keys[0][note], rows.size());
        rows.emplace_back(keys.size()).front() = note;
    }
    // Small notes of an ornament that only another side is quick enough for have no row.
    for (std::size_t side = 1; side < keys.size(); ++side)
        for (std::size_t note = 0; note < keys[side].size(); ++note)
            if (const auto found = row_of.find(keys[side][note]); found != row_of.end())
                rows[found->second][side] = note;
    return rows;
}

/// The line's own sides, or each clarinet in each player's hands.
std::vector<LineRequest> requests_for(const ComparisonRequest& request)
{
    std::vector<LineRequest> all;
    std::vector<std::string> on = request.instruments;
    if (on.empty())
        on.push_back("");
    for (const std::string& instrument : on)
        for (const Player player : request.players) {
            LineRequest one = request;
            one.on = instrument;
            // A phrase says nothing of what it is written for: it is for the first of the clarinets.
            if (request.phrase && !instrument.empty())
                one.instrument = request.instruments.front();
            one.settings.player = one.settings.kit.level = player;
            all.push_back(std::move(one));
        }
    return all;
}

} // namespace

std::span<const float> between(const Audio& audio, double from_s, double to_s)
{
    const auto sample = [&](double time_s) {
        return std::min(audio.samples.size(),
                        std::size_t(std::llround(std::max(0.0, time_s) * audio.rate.value)));
    };
    const std::size_t from = sample(from_s), to = std::max(from, sample(to_s));
    return std::span(audio.samples).subspan(from, to - from);
}

LinesReport compare_lines(const Score& score, const ComparisonRequest& request, const Watch& watch)
{
    LinesReport report{request, {}, {}, {}};
    const Line chosen = choose_part(score, request.part);
    const std::vector<LineRequest> requests = requests_for(request);
    std::vector<std::vector<Key>> keys;
    for (std::size_t i = 0; i < requests.size(); ++i) {
        TrillBooks books(requests[i].settings.kit);
        PartToPlay part = part_to_play(chosen, requests[i], books);
        const double seconds = TempoMap(part.line.tempo).seconds_at(part.line.end_quarter);
        if (!(seconds <= longest_compared_s))
            throw InputError(
                fmt::format(
                    "found a line of {:.0f} minutes, wanted at most {:.0f} to compare: take some --bars",
                    seconds / 60.0, longest_compared_s / 60.0),
                Fault::usage);
        Sequence sequence(requests[i].settings);
        for (PartToPlay::Stretch& stretch : part.stretches)
            sequence.add(*stretch.book, std::move(stretch.line), stretch.offset_s);

        LineSide side;
        side.instrument = sequence.pieces().front().instrument;
        side.player = requests[i].settings.player;
        side.name = side_name(*side.instrument, *side.player);
        side.duration_s = sequence.duration_s();
        const double share = 1.0 / double(requests.size());
        side.audio = {sound_of(sequence, double(i) * share, share, watch), requests[i].settings.rate};
        for (const Sequence::Piece& piece : sequence.pieces()) {
            for (std::size_t n = 0; n < piece.rendering.notes().size(); ++n)
                side.notes.push_back(compared(piece, n, side.audio));
            side.remarks.insert(side.remarks.end(), piece.rendering.remarks().begin(),
                                piece.rendering.remarks().end());
        }
        if (i == 0) {
            report.remarks = part.casting.remarks;
            report.remarks.insert(report.remarks.end(), part.line.remarks.begin(), part.line.remarks.end());
        }
        keys.push_back(keys_of(sequence));
        report.sides.push_back(std::move(side));
    }
    report.rows = rows_of(keys);
    return report;
}

ToneDifference LinesReport::difference(std::size_t row, std::size_t side) const
{
    const auto &first = rows[row][0], &other = rows[row][side];
    if (!first || !other || sides[0].notes[*first].silent || sides[side].notes[*other].silent)
        return {};
    return canebrake::difference(sides[side].notes[*other].figures(), sides[0].notes[*first].figures());
}

ToneDifference LinesReport::whole_difference(std::size_t side) const
{
    std::vector<ToneFigures> of, against;
    for (const auto& row : rows) {
        if (!row[0] || !row[side])
            continue;
        const ComparedNote &first = sides[0].notes[*row[0]], &other = sides[side].notes[*row[side]];
        if (first.silent || other.silent)
            continue;
        of.push_back(other.figures());
        against.push_back(first.figures());
    }
    return mean_difference(of, against);
}

} // namespace canebrake
