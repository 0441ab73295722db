// SPDX-License-Identifier: MIT
#include "engine/report/fingering_json.h"
#include "engine/fingering/diagram.h"
#include "engine/report/values.h"
#include "engine/telling/finger_words.h"
#include "engine/telling/names.h"

#include <nlohmann/json.hpp>

#include <cmath>

namespace canebrake
{
namespace
{

using Json = nlohmann::ordered_json;

const char* use_name(FingeringUse use)
{
    constexpr const char* names[]{"primary", "alternate", "resonance", "trill"};
    return names[int(use)];
}

Json hole_names(const Geometry& geometry, std::uint32_t holes)
{
    Json names = Json::array();
    for (std::size_t h = 0; h < geometry.holes.size(); ++h)
        if (holes >> h & 1u)
            names.push_back(geometry.holes[h].name);
    return names;
}

Json note_json(const AskedNote& note)
{
    return {{"written", {{"name", note.written_name}, {"number", note.written.number}}},
            {"sounding", {{"name", note.sounding_name}, {"number", note.sounding}}}};
}

/// What is fingered, without how it sounds.
Json state_json(const Instrument& instrument, const Fingering& f, const Hands& hands)
{
    return {{"keys", hands.keys()},
            {"words", keys_in_words(hands)},
            {"name", f.name},
            {"use", use_name(f.use)},
            {"open", hole_names(instrument.geometry, open_holes(instrument, f))}};
}

Json way_json(const NoteWay& way, const NoteWay& primary, const Instrument& instrument)
{
    Json json = state_json(instrument, way.fingering, way.hands.front());
    json["words"] = keys_in_words(way.hands);
    Json hands = Json::array();
    for (const Hands& h : way.hands)
        hands.push_back(h.keys());
    json["hands"] = hands;
    json["when"] = way.when;
    json["register"] = way.fingering.register_number;
    const FingeringSound& sound = way.sound;
    json["sound"] = sound.speaks ? Json{{"cents", rounded(sound.cents, 10)},
                                        {"cents_pp", rounded(sound.soft_cents, 10)},
                                        {"cents_ff", rounded(sound.loud_cents, 10)},
                                        {"level_db", rounded(sound.level_db, 10)},
                                        {"centroid_hz", rounded(sound.centroid_hz, 1)},
                                        {"colour", word(colour_against(sound, primary.sound))}}
                                 : Json();
    return json;
}

Json moves_json(const Transition& moves)
{
    constexpr const char* motions[]{"stays", "presses", "lifts", "rolls", "slides"};
    const auto keys_of = [](const FingerMove& m, KeySet set) {
        Hands hands;
        hands[m.finger] = set;
        return hands.keys();
    };
    Json json = Json::array();
    for (const FingerMove& m : moves.moves())
        json.push_back({{"finger", name(m.finger)},
                        {"motion", motions[int(m.motion)]},
                        {"from", keys_of(m, m.from)},
                        {"to", keys_of(m, m.to)},
                        {"words", move_in_words(m)}});
    return json;
}

Json speed_json(double easy, double awkward)
{
    return {{"easy_notes_per_s", rounded(easy, 100)},
            {"awkward_notes_per_s", rounded(awkward, 100)},
            {"easy_quarter_tempo", rounded(tempo_in_sixteenths(easy), 1)},
            {"awkward_quarter_tempo", rounded(tempo_in_sixteenths(awkward), 1)}};
}

Json slur_json(const SlurWay& way, const Instrument& instrument)
{
    Json json{{"from", state_json(instrument, way.from.fingering, way.from.hands)},
              {"to", state_json(instrument, way.to.fingering, way.to.hands)},
              {"moves", moves_json(way.moves)},
              {"effort", rounded(way.moves.effort(), 100)},
              {"contrary_in_a_hand", way.moves.same_hand_contrary()},
              {"contrary_between_hands", way.moves.hands_contrary()},
              {"little_finger_slide", way.moves.little_finger_slide()},
              {"speed", speed_json(way.speed.easy, way.speed.awkward)}};
    json["speed"]["limit"] =
        way.speed.limit == SlurLimit::fingers ? Json() : Json(limit_in_words(way.speed.limit));
    return json;
}

Json trill_json(const TrillWay& way, const Instrument& instrument)
{
    const Transition moves(way.lower.hands, way.upper.hands);
    return {{"lower", state_json(instrument, way.lower.fingering, way.lower.hands)},
            {"upper", state_json(instrument, way.upper.fingering, way.upper.hands)},
            {"moves", moves_json(moves)},
            {"words", trilled_in_words(moves)},
            {"error_cents", rounded(way.error_cents, 10)},
            {"notes_per_s", rounded(way.notes_per_s, 10)},
            {"learner_notes_per_s", rounded(learner_share * way.notes_per_s, 10)},
            {"effort", rounded(way.effort, 100)},
            {"grade", word(way.grade)},
            {"reasons", reasons(way)}};
}

void add_answer(Json& json, const NoteAnswer& answer, const Instrument& instrument)
{
    json["question"] = "note";
    json["notes"] = Json::array({note_json(answer.note)});
    Json ways = Json::array();
    for (const NoteWay& way : answer.ways)
        ways.push_back(way_json(way, answer.ways.front(), instrument));
    json["fingerings"] = ways;
}

void add_answer(Json& json, const SlurAnswer& answer, const Instrument& instrument)
{
    json["question"] = "slur";
    json["notes"] = Json::array({note_json(answer.from), note_json(answer.to)});
    Json better = Json::array();
    for (const SlurWay& way : answer.better)
        better.push_back(slur_json(way, instrument));
    json["slur"] = slur_json(answer.usual, instrument);
    json["slur"]["over_the_break"] = answer.over_the_break;
    json["slur"]["other_register"] = answer.other_register;
    json["less_work"] = better;
    Json slips = Json::array();
    for (const Stray& slip : answer.slips)
        slips.push_back({{"finger", name(slip.finger)},
                         {"early", slip.early},
                         {"keys", slip.keys},
                         {"written", pitch_name(slip.written)},
                         {"cents", rounded(slip.cents, 1)}});
    json["slips"] = slips;
    json["with_left_a_flat_lever"] = answer.with_lever ? slur_json(*answer.with_lever, instrument) : Json();
    json["to_and_fro"] = answer.rocking.empty() ? Json() : trill_json(answer.rocking.front(), instrument);
}

void add_answer(Json& json, const TrillAnswer& answer, const Instrument& instrument)
{
    json["question"] = "trill";
    json["notes"] = Json::array({note_json(answer.lower), note_json(answer.upper)});
    Json ways = Json::array();
    for (const TrillWay& way : answer.ways)
        ways.push_back(trill_json(way, instrument));
    json["trills"] = ways;
    json["with_articulated_c_sharp"] =
        answer.articulated ? trill_json(*answer.articulated, instrument) : Json();
}

} // namespace

std::string fingering_json(const FingeringAnswer& answer, const Instrument& instrument,
                           const FingeringQuestion& request)
{
    Json holes = Json::array();
    for (const ToneHole& hole : instrument.geometry.holes)
        holes.push_back({{"name", hole.name},
                         {"words", hole_in_words(hole.name)},
                         {"x_mm", rounded(1e3 * hole.x_m, 100)}});
    Json json{
        {"schema", "canebrake-fingering"},
        {"version", 1},
        {"instrument", {{"name", instrument.name}, {"transposition_semitones", instrument.transposition}}},
        {"kit",
         {{"level", player_name(request.kit.level)},
          {"articulated_c_sharp", request.kit.articulated_c_sharp},
          {"left_a_flat_lever", request.kit.left_a_flat_lever}}},
        {"asked_in", request.sounding ? "sounding" : "written"}};
    std::visit([&](const auto& found) { add_answer(json, found, instrument); }, answer);
    json["holes"] = holes;
    return json.dump(1) + "\n";
}

} // namespace canebrake
