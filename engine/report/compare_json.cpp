// SPDX-License-Identifier: MIT
#include "engine/report/compare_json.h"

#include "engine/report/values.h"
#include "engine/telling/names.h"

#include <nlohmann/json.hpp>

#include <cmath>

namespace canebrake
{
namespace
{

using Json = nlohmann::ordered_json;

Json bands_json(const std::array<std::optional<double>, even_bands.size()>& bands)
{
    Json all = Json::array();
    for (const auto& band : bands)
        all.push_back(number_or_null(band));
    return all;
}

Json pitch_json(const std::string& name, double number)
{
    return {{"name", name}, {"number", rounded(number, 1e4)}};
}

/// The figures every object that tells of tone has, in this order.
void add_figures(Json& json, const ToneFigures& f)
{
    json["level_db"] = number_or_null(f.level_db, 100.0);
    json["loudness_lkfs"] = number_or_null(f.loudness_lkfs, 100.0);
    json["cents"] = number_or_null(f.cents, 100.0);
    json["speaking_ms"] = number_or_null(f.speaking_ms);
    json["centroid_hz"] = number_or_null(f.centroid_hz);
    json["odd_over_even_db"] = number_or_null(f.odd_over_even_db);
    json["even_over_neighbours_db"] = bands_json(f.even_over_neighbours_db);
    json["fundamental_share_db"] = number_or_null(f.fundamental_share_db);
    json["noise_db"] = number_or_null(f.noise_db);
}

Json measured_json(const ToneMeasure& heard, const ToneFigures& figures)
{
    Json json{
        {"in_register", heard.note.in_register},
        {"settled_hz", heard.note.settled_hz > 0.0 ? Json(rounded(heard.note.settled_hz, 1e3)) : Json()}};
    add_figures(json, figures);
    Json harmonics = Json::array();
    for (const auto& level : heard.tone.harmonic_db)
        harmonics.push_back(heard.tone.fundamental_hz > 0.0 ? number_or_null(level) : Json());
    json["harmonics_db"] = harmonics;
    return json;
}

template <class Words> Json words_json(const Words& words)
{
    Json all = Json::array();
    for (const auto& one : words)
        if constexpr (std::is_same_v<std::decay_t<decltype(one)>, Trait>)
            all.push_back(word(one));
        else
            all.push_back(one);
    return all;
}

void add_difference(Json& json, const ToneDifference& d)
{
    json["notes"] = d.notes;
    json["level_db"] = number_or_null(d.level_db, 100.0);
    json["loudness_lu"] = number_or_null(d.loudness_lu, 100.0);
    json["centroid_ratio"] = number_or_null(d.centroid_ratio, 1e3);
    json["cents"] = number_or_null(d.cents, 100.0);
    json["speaking_ms"] = number_or_null(d.speaking_ms);
    json["odd_over_even_db"] = number_or_null(d.odd_over_even_db);
    json["fundamental_share_db"] = number_or_null(d.fundamental_share_db);
    json["words"] = words_json(words_of(d));
}

Json instrument_json(const Instrument* instrument)
{
    return {{"instrument", instrument != nullptr ? Json(instrument->name) : Json()},
            {"title", instrument != nullptr ? Json(instrument->title) : Json()},
            {"transposition_semitones", instrument != nullptr ? Json(instrument->transposition) : Json()}};
}

Json heading(const char* kind, const RenderSettings& settings)
{
    return {{"schema", "canebrake-compare"},
            {"version", 1},
            {"kind", kind},
            {"a4_hz", settings.a4.value},
            {"temperature_c", settings.temperature.value}};
}

/// Where each sound starts when the side's tones are strung together, by note and dynamic.
class Clips
{
public:
    Clips(bool wanted, double rate) : wanted_(wanted), rate_(rate) {}
    void add(Json& tone, const ToneCell& cell)
    {
        if (!wanted_)
            return;
        const double end_s = at_s_ + double(cell.audio.size()) / rate_;
        tone["clip"] = {{"start_s", rounded(at_s_, 1e6)}, {"end_s", rounded(end_s, 1e6)}};
        at_s_ = end_s;
    }

private:
    bool wanted_;
    double rate_, at_s_ = 0.0;
};

Json tone_side_json(const ToneSide& side, bool clips, double rate)
{
    const Instrument& instrument = *side.map.instrument;
    Json json{{"name", side.name}};
    json.update(instrument_json(&instrument));
    json["player"] = player_name(side.map.player);
    std::vector<std::string> register_names(side.map.notes.size());
    Json registers = Json::array(), averages = Json::array(), notes = Json::array();
    for (const NotesOfRegister& part : side.registers) {
        registers.push_back({{"name", part.name},
                             {"from", pitch_name(side.map.notes[part.notes.front()].written.number)},
                             {"to", pitch_name(side.map.notes[part.notes.back()].written.number)}});
        for (const std::size_t note : part.notes)
            register_names[note] = part.name;
        for (std::size_t level = 0; level < side.map.levels.size(); ++level) {
            Json average{{"register", part.name},
                         {"dynamic", dynamic_name(side.map.levels[level])},
                         {"notes", part.notes.size()}};
            add_figures(average, mean_of(side.figures(part, level)));
            averages.push_back(average);
        }
    }
    Clips clip(clips, rate);
    for (std::size_t n = 0; n < side.map.notes.size(); ++n) {
        const ToneNote& note = side.map.notes[n];
        const bool on_instrument = !note.cells.empty();
        Json tones = Json::array();
        for (std::size_t level = 0; level < note.cells.size(); ++level) {
            const ToneCell& cell = note.cells[level];
            Json tone{{"dynamic", dynamic_name(cell.level)},
                      {"before_lip_cents", rounded(cell.before_lip_cents, 10.0)},
                      {"measured", measured_json(cell.heard, figures_of(cell.heard))},
                      {"words", words_json(side.traits[n][level])}};
            clip.add(tone, cell);
            tones.push_back(tone);
        }
        notes.push_back({{"written", pitch_json(pitch_name(note.written.number), note.written.number)},
                         {"sounding", pitch_json(pitch_name(int(std::lround(note.sounding.number))),
                                                 note.sounding.number)},
                         {"register", text_or_null(register_names[n])},
                         {"on_instrument", on_instrument},
                         {"fingering", on_instrument ? Json(note.fingering) : Json()},
                         {"tones", tones}});
    }
    json["registers"] = registers;
    json["notes"] = notes;
    json["averages"] = averages;
    return json;
}

Json compared_note_json(const ComparedNote& note)
{
    return {{"start_s", rounded(note.start_s, 1e6)},
            {"end_s", rounded(note.end_s, 1e6)},
            {"written", note.written ? pitch_json(note.written_name, note.written->number) : Json()},
            {"sounding", pitch_json(note.sounding_name, note.sounding)},
            {"register", text_or_null(note.register_name)},
            {"dynamic", note.level ? Json(dynamic_name(*note.level)) : Json()},
            {"fingering", note.written && !note.silent ? Json(note.fingering) : Json()},
            {"silent", note.silent},
            {"measured", note.silent ? Json() : measured_json(note.heard, note.figures())},
            {"words", words_json(note.traits)}};
}

} // namespace

Json compare_json(const TonesReport& report, bool clips)
{
    Json json = heading("tones", report.request.settings);
    json["pitch"] = report.request.pitch == PitchBasis::sounding ? "sounding" : "written";
    json["dynamics"] = Json::array();
    for (const double level : report.request.levels)
        json["dynamics"].push_back({{"name", dynamic_name(level)}, {"level", level}});
    json["sides"] = Json::array();
    for (const ToneSide& side : report.sides)
        json["sides"].push_back(tone_side_json(side, clips, report.request.settings.rate.value));
    json["differences"] = Json::array();
    for (const RegisterDifference& d : differences(report)) {
        Json one{{"side", d.side},
                 {"against", 0},
                 {"register", d.name},
                 {"dynamic", dynamic_name(report.request.levels[d.level])}};
        add_difference(one, d.difference);
        json["differences"].push_back(one);
    }
    return json;
}

Json compare_json(const LinesReport& report)
{
    const ComparisonRequest& request = report.request;
    const bool recordings = request.kind == ComparisonRequest::Kind::recordings;
    Json json = heading(recordings ? "recordings" : "lines", request.settings);
    if (!recordings)
        json["line"] = {{"file", request.phrase ? Json() : Json(request.line.string())},
                        {"phrase", request.phrase ? Json(*request.phrase) : Json()}};
    json["remarks"] = words_json(report.remarks);
    json["sides"] = Json::array();
    for (const LineSide& side : report.sides) {
        Json one{{"name", side.name}};
        one.update(instrument_json(side.instrument));
        one["player"] = side.player ? Json(player_name(*side.player)) : Json();
        one["file"] = text_or_null(side.file);
        one["duration_s"] = rounded(side.duration_s, 1e6);
        one["remarks"] = words_json(side.remarks);
        one["notes"] = Json::array();
        for (const ComparedNote& note : side.notes)
            one["notes"].push_back(compared_note_json(note));
        json["sides"].push_back(one);
    }
    json["rows"] = json["differences"] = json["summary"] = Json::array();
    for (std::size_t row = 0; row < report.rows.size(); ++row) {
        Json notes = Json::array();
        const ComparedNote* named = nullptr;
        for (std::size_t s = 0; s < report.sides.size(); ++s) {
            const auto& at = report.rows[row][s];
            notes.push_back(at ? Json(*at) : Json());
            if (at && named == nullptr)
                named = &report.sides[s].notes[*at];
            if (s == 0 || !at || !report.rows[row][0])
                continue;
            Json one{{"side", s}, {"against", 0}, {"row", row}};
            add_difference(one, report.difference(row, s));
            json["differences"].push_back(one);
        }
        const bool placed = named != nullptr && !named->bar.empty();
        json["rows"].push_back({{"bar", placed ? Json(named->bar) : Json()},
                                {"beat", placed ? Json(rounded(named->beat, 1e4)) : Json()},
                                {"notes", notes}});
    }
    for (std::size_t s = 1; s < report.sides.size(); ++s) {
        Json one{{"side", s}, {"against", 0}};
        add_difference(one, report.whole_difference(s));
        json["summary"].push_back(one);
    }
    return json;
}

} // namespace canebrake
