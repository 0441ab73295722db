// SPDX-License-Identifier: MIT
#include "engine/report/instruments_json.h"

#include "engine/telling/names.h"

#include <nlohmann/json.hpp>

namespace canebrake
{
namespace
{

using Json = nlohmann::ordered_json;

Json written_and_sounding(const FamilyMember& m, WrittenPitch written)
{
    return {
        {"written", {{"name", written_name(written)}, {"number", written.number}}},
        {"sounding", {{"name", sounding_name(m, written)}, {"number", written.number + m.transposition}}}};
}

Json member_object(const FamilyMember& m)
{
    Json notations = Json::array(), registers = Json::array();
    for (const Notation& n : m.notations)
        notations.push_back({{"clef", n.clef}, {"semitones", n.transposition}});
    for (const RegisterTendency& r : m.registers)
        registers.push_back({{"name", r.name},
                             {"from", written_name(r.from)},
                             {"to", written_name(r.to)},
                             {"tone", r.tone},
                             {"pitch", r.pitch}});
    const ChangeTime time = change_time(nullptr, &m);
    static constexpr const char* supports[] = {"none", "strap", "peg"};
    return {{"name", m.name},
            {"title", m.title},
            {"aliases", m.aliases},
            {"transposition_semitones", m.transposition},
            {"notations", notations},
            {"lowest", written_and_sounding(m, m.lowest)},
            {"top_section", written_and_sounding(m, m.top_section)},
            {"top_professional", written_and_sounding(m, m.top_professional)},
            {"top_extreme", written_and_sounding(m, m.top_extreme)},
            {"has_model", has_model(m.name)},
            {"read_on", m.played_on.empty() ? Json() : Json(m.played_on)},
            {"registers", registers},
            {"reed", m.reed},
            {"mouthpiece", m.mouthpiece},
            {"support", supports[std::size_t(m.support)]},
            {"clarion_vents", m.clarion_vents},
            {"half_hole_altissimo", m.half_hole_altissimo},
            {"breath_factor", m.breath_factor},
            {"tongue_factor", m.tongue_factor},
            {"change", {{"risky_below_s", time.risky_below_s}, {"safe_from_s", time.safe_from_s}}},
            {"musicxml_sounds", m.sound_ids},
            {"midi_program", m.midi_program + 1}};
}

} // namespace

std::string family_json(const FamilyMember* member)
{
    Json all = Json::array();
    for (const FamilyMember& m : family())
        if (member == nullptr || member == &m)
            all.push_back(member_object(m));
    const Json json{{"schema", "canebrake-instruments"}, {"version", 1}, {"instruments", all}};
    return json.dump(2) + "\n";
}

} // namespace canebrake
