// SPDX-License-Identifier: MIT
#include "engine/comparison/tone_map.h"

#include "engine/performance/part.h"
#include "engine/plan/trill.h"

#include <memory>

namespace canebrake
{
namespace
{

Line one_note(const Instrument& instrument, WrittenPitch written, double level)
{
    Line line;
    Note note;
    note.length_quarters = held_s(instrument);
    note.sounding = {double(written.number + instrument.transposition)};
    note.printed = written.number;
    line.notes = {note};
    line.bars = {{"1", 0.0, note.length_quarters, 4, 4, ""}};
    line.tempo = {{0.0, 60.0, false}};
    line.dynamics = {{0.0, level, false}};
    line.written_known = true;
    line.end_quarter = note.length_quarters;
    return line;
}

ToneCell heard_cell(TrillBook& book, ToneNote& note, double level, const RenderSettings& settings,
                    bool keep_audio)
{
    const Instrument& instrument = book.chart().instrument();
    const Line line = one_note(instrument, note.written, level);
    Part part = prepare_part(book, line, settings);
    const std::size_t blown_as = part.choices[0].blown_as;
    Rendering rendering(instrument, line, std::move(part), settings);
    const PlannedNote& planned = rendering.notes()[0];
    std::vector<float> audio(rendering.total_samples());
    rendering.process(audio);

    ToneCell cell{level, {}, 0.0, {}};
    const auto end = std::min(audio.size(), std::size_t(planned.end_s * settings.rate.value));
    cell.heard = measure_tone(std::span(audio).first(end), settings.rate, planned.target_hz);
    cell.before_lip_cents = instrument.blowing_at(blown_as, level).cents;
    note.fingering = planned.fingering;
    if (keep_audio)
        cell.audio = std::move(audio);
    return cell;
}

} // namespace

double held_s(const Instrument& instrument)
{
    return instrument.tongue_factor < 1.0 ? 1.6 : 1.0;
}

ToneMap tone_map(const Instrument& instrument, std::span<const WrittenPitch> notes,
                 std::span<const double> levels, const RenderSettings& settings,
                 const ToneMapOptions& options)
{
    ToneMap map{&instrument, settings.player, {levels.begin(), levels.end()}, {}};
    std::vector<std::size_t> on_instrument; // indices into map.notes
    for (const WrittenPitch written : notes) {
        if (instrument.primary(written) != nullptr)
            on_instrument.push_back(map.notes.size());
        map.notes.push_back({written, {double(written.number + instrument.transposition)}, "", {}});
    }

    LoopOptions loop{options.threads, {}};
    if (options.go_on)
        loop.go_on = [&](std::size_t done) {
            return options.go_on(double(done) / double(on_instrument.size()));
        };
    const auto listener = [&] {
        return [&, book = std::make_shared<TrillBook>(instrument, settings.kit)](std::size_t i) {
            ToneNote& note = map.notes[on_instrument[i]]; // at all its dynamics
            for (const double level : levels)
                note.cells.push_back(heard_cell(*book, note, level, settings, options.keep_audio));
        };
    };
    parallel_loop(on_instrument.size(), listener, loop);
    return map;
}

} // namespace canebrake
