// SPDX-License-Identifier: MIT
#include "engine/report/events.h"

#include "engine/report/values.h"
#include "engine/telling/names.h"
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

Json note_event(const Sequence::Piece& piece, const PlannedNote& planned, const NoteMeasure* measure)
{
    const Note& note = piece.line.notes.at(planned.line_note);
    const double sounding = note.sounding.number;
    return {
        {"bar", note.source.bar},
        {"beat", rounded(note.source.beat, 1e4)},
        {"source", note.source.id},
        {"instrument", piece.instrument->name},
        {"written", {{"name", spelled(note, planned.written.number)}, {"number", planned.written.number}}},
        {"sounding",
         {{"name", spelled(note, int(std::lround(sounding)))}, {"number", rounded(sounding, 1e4)}}},
        {"fingering", planned.silent ? Json() : Json(planned.fingering)},
        {"start_s", rounded(piece.offset_s + planned.start_s, 1e6)},
        {"end_s", rounded(piece.offset_s + planned.end_s, 1e6)},
        {"dynamic", {{"name", dynamic_name(planned.dynamic)}, {"level", rounded(planned.dynamic, 1e3)}}},
        {"tongued", planned.tongued},
        {"breath_after_s", planned.breath_s},
        {"silent", planned.silent},
        {"measured", measure != nullptr ? measured(*measure) : Json()}};
}

/// What the part is printed for, stretch by stretch, and what it is played on.
Json stretches(const EventReport& report)
{
    const TempoMap tempo(report.line.tempo, report.request.settings.tempo_scale);
    Json all = Json::array();
    for (const Casting::Stretch& stretch : report.casting.stretches)
        all.push_back({{"start_s", rounded(tempo.seconds_at(stretch.from), 1e6)},
                       {"printed_for", stretch.printed != nullptr ? Json(stretch.printed->name) : Json()},
                       {"other", stretch.other.empty() ? Json() : Json(stretch.other)},
                       {"played_on", stretch.played_on.empty() ? Json() : Json(stretch.played_on)},
                       {"because", stretch.why.empty() ? Json() : Json(stretch.why)}});
    return all;
}

Json changes(const Casting& casting)
{
    Json all = Json::array();
    for (const InstrumentChange& change : casting.changes)
        all.push_back({{"bar", change.bar},
                       {"from", change.from},
                       {"to", change.to},
                       {"seconds", rounded(change.seconds, 1e3)},
                       {"risky_below_s", change.wanted.risky_below_s},
                       {"safe_from_s", change.wanted.safe_from_s},
                       {"shared_mouthpiece_s", change.wanted.shared_mouthpiece_s}});
    return all;
}

Json heading(const EventReport& report)
{
    const LineRequest& request = report.request;
    const RenderSettings& settings = request.settings;
    const Instrument& instrument = *report.sequence.pieces().front().instrument;
    return {
        {"schema", "canebrake-events"},
        {"version", 1},
        {"line",
         {{"file", request.phrase ? Json() : Json(request.line.string())},
          {"phrase", request.phrase ? Json(*request.phrase) : Json()},
          {"part_id", report.line.part_id},
          {"part_name", report.line.part_name}}},
        {"instrument", {{"name", instrument.name}, {"transposition_semitones", instrument.transposition}}},
        {"stretches", stretches(report)},
        {"changes", changes(report.casting)},
        {"player", player_name(settings.player)},
        {"seed", settings.seed},
        {"a4_hz", settings.a4.value},
        {"temperature_c", settings.temperature.value},
        {"audio",
         {{"file", text_or_null(report.sound_file)},
          {"rate_hz", settings.rate.value},
          {"bits", report.bits},
          {"duration_s", rounded(report.sequence.duration_s(), 1e6)}}}};
}

} // namespace

void write_events(const EventReport& report, const std::function<void(std::string_view)>& write)
{
    std::string head = dumped(heading(report));
    head.back() = ','; // the notes follow inside the same object
    write(head + "\n\"notes\":[");
    auto measure = report.measures.begin();
    const char* separator = "\n";
    for (const Sequence::Piece& piece : report.sequence.pieces())
        for (const PlannedNote& note : piece.rendering.notes()) {
            const bool heard = !note.silent && measure != report.measures.end();
            write(separator + dumped(note_event(piece, note, heard ? &*measure : nullptr)));
            if (heard)
                ++measure;
            separator = ",\n";
        }
    write("\n]}\n");
}

} // namespace canebrake
