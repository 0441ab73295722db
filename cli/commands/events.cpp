// SPDX-License-Identifier: MIT
#include "cli/commands/events.h"

#include "models/units/pitch.h"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>

namespace canebrake
{
namespace
{

using Json = nlohmann::ordered_json;

/// Text out of a file may be in any encoding; what is no UTF-8 is marked, not fatal.
std::string dumped(const Json& json)
{
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

double rounded(double value, double steps_per_unit)
{
    return std::round(value * steps_per_unit) / steps_per_unit + 0.0; // never "-0.0"
}

const char* bits_name(SampleFormat format)
{
    return format == SampleFormat::pcm16 ? "16" : format == SampleFormat::pcm24 ? "24" : "float";
}

Json measured(const NoteMeasure& measure)
{
    const bool settled = measure.settled_hz > 0.0;
    return {{"settled_hz", settled ? Json(rounded(measure.settled_hz, 1e3)) : Json()},
            {"cents", settled ? Json(rounded(measure.cents, 1e2)) : Json()},
            {"level_db", rounded(measure.level_db, 1e2)},
            {"speaking_ms", rounded(measure.speaking_s * 1e3, 1e1)},
            {"centroid_hz", settled ? Json(rounded(measure.centroid_hz, 1e1)) : Json()},
            {"in_register", measure.in_register}};
}

Json note_event(const Line& line, const PlannedNote& planned, const NoteMeasure* measure)
{
    const Note& note = line.notes.at(planned.line_note);
    const double sounding = note.sounding.number;
    return {
        {"bar", note.source.bar},
        {"beat", rounded(note.source.beat, 1e4)},
        {"source", note.source.id},
        {"written", {{"name", spelled(note, planned.written.number)}, {"number", planned.written.number}}},
        {"sounding",
         {{"name", spelled(note, int(std::lround(sounding)))}, {"number", rounded(sounding, 1e4)}}},
        {"fingering", planned.silent ? Json() : Json(planned.fingering)},
        {"start_s", rounded(planned.start_s, 1e6)},
        {"end_s", rounded(planned.end_s, 1e6)},
        {"dynamic", {{"name", dynamic_name(planned.dynamic)}, {"level", rounded(planned.dynamic, 1e3)}}},
        {"tongued", planned.tongued},
        {"breath_after_s", planned.breath_s},
        {"silent", planned.silent},
        {"measured", measure != nullptr ? measured(*measure) : Json()}};
}

Json heading(const EventReport& report)
{
    const RenderRequest& request = report.request;
    const RenderSettings& settings = request.settings;
    return {
        {"schema", "canebrake-events"},
        {"version", 1},
        {"line",
         {{"file", request.phrase ? Json() : Json(request.line.string())},
          {"phrase", request.phrase ? Json(*request.phrase) : Json()},
          {"part_id", report.line.part_id},
          {"part_name", report.line.part_name}}},
        {"instrument",
         {{"name", report.instrument.name}, {"transposition_semitones", report.instrument.transposition}}},
        {"player", player_name(settings.player)},
        {"seed", settings.seed},
        {"a4_hz", settings.a4.value},
        {"temperature_c", settings.temperature.value},
        {"audio",
         {{"file", request.destination.string()},
          {"rate_hz", settings.rate.value},
          {"bits", bits_name(request.format)},
          {"duration_s", rounded(report.rendering.duration_s(), 1e6)}}}};
}

} // namespace

std::string player_name(Player player)
{
    return player == Player::ideal ? "ideal" : player == Player::studio ? "studio" : "learner";
}

std::string dynamic_name(double level)
{
    static constexpr std::array<const char*, 8> ladder{"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"};
    const long rung = std::lround(level);
    return rung < 0 ? "niente" : ladder[std::size_t(std::min(rung, 7L))];
}

std::string spelled(const Note& note, int number)
{
    static constexpr std::array<int, 7> natural{0, 2, 4, 5, 7, 9, 11};
    static constexpr std::string_view letters = "CDEFGAB";
    const long moved = note.printed_step + std::lround((number - note.printed) * 7.0 / 12.0);
    const auto step = std::size_t(((moved % 7) + 7) % 7);
    const int up = ((number - natural[step]) % 12 + 12) % 12; // semitones over a natural of that letter
    const int alter = up > 6 ? up - 12 : up;
    if (std::abs(alter) > 2)
        return pitch_name(number);
    const int octave = (number - alter - natural[step]) / 12 - 1;
    return letters[step] + std::string(std::size_t(std::abs(alter)), alter < 0 ? 'b' : '#') +
           std::to_string(octave);
}

void write_events(const EventReport& report, WholeFile& file)
{
    std::string head = dumped(heading(report));
    head.back() = ','; // the notes follow inside the same object
    file.write(head + "\n\"notes\":[");
    auto measure = report.measures.begin();
    const char* separator = "\n";
    for (const PlannedNote& note : report.rendering.notes()) {
        const bool heard = !note.silent && measure != report.measures.end();
        file.write(separator + dumped(note_event(report.line, note, heard ? &*measure : nullptr)));
        if (heard)
            ++measure;
        separator = ",\n";
    }
    file.write("\n]}\n");
}

} // namespace canebrake
