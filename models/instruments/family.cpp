// SPDX-License-Identifier: MIT
#include "models/instruments/family.h"

#include "models/instruments/family_tables.h"
#include "models/instruments/instrument.h"
#include "models/instruments/tables.h"
#include "models/units/input_error.h"

#include <algorithm>
#include <cctype>

namespace canebrake
{
namespace
{

std::vector<std::string> listed(const std::string& cell)
{
    std::vector<std::string> items;
    for (std::size_t start = 0; start < cell.size();) {
        const auto end = std::min(cell.find('|', start), cell.size());
        items.push_back(cell.substr(start, end - start));
        start = end + 1;
    }
    return items;
}

[[noreturn]] void refuse(const CsvTable& table, std::size_t row, const std::string& column,
                         const std::string& wanted)
{
    throw InputError("family.csv, row " + std::to_string(row + 1) + ", column " + column + ": found '" +
                     table.text(row, column) + "', wanted " + wanted);
}

WrittenPitch pitch_in(const CsvTable& table, std::size_t row, const std::string& column)
{
    const auto number = pitch_number(table.text(row, column));
    if (!number)
        refuse(table, row, column, "a pitch such as C#6");
    return {*number};
}

Support support_in(const CsvTable& table, std::size_t row)
{
    const std::string& word = table.text(row, "support");
    if (word == "none")
        return Support::none;
    if (word == "strap")
        return Support::strap;
    if (word == "peg")
        return Support::peg;
    refuse(table, row, "support", "none, strap or peg");
}

std::vector<Notation> notations_in(const CsvTable& table, std::size_t row)
{
    std::vector<Notation> notations;
    for (const std::string& item : listed(table.text(row, "notations"))) {
        const auto blank = item.find(' ');
        const std::string clef = item.substr(0, blank);
        if (blank == std::string::npos || (clef != "treble" && clef != "bass"))
            refuse(table, row, "notations", "clefs and semitones such as treble -14|bass -2");
        notations.push_back({clef, std::stoi(item.substr(blank + 1))});
    }
    return notations;
}

std::vector<RegisterTendency> registers_of(const std::string& kind, WrittenPitch lowest, WrittenPitch top)
{
    const CsvTable table(embedded::family_registers, "family_registers.csv");
    std::vector<RegisterTendency> registers;
    for (std::size_t i = 0; i < table.rows(); ++i) {
        if (table.text(i, "registers") != kind)
            continue;
        const auto from = table.text(i, "from").empty() ? lowest : pitch_in(table, i, "from");
        const auto to = table.text(i, "to").empty() ? top : std::min(top, pitch_in(table, i, "to"));
        if (from <= to) // the contrabass ends with its clarion
            registers.push_back(
                {table.text(i, "register"), from, to, table.text(i, "tone"), table.text(i, "pitch")});
    }
    return registers;
}

std::vector<FamilyMember> read_family()
{
    const CsvTable table(embedded::family, "family.csv");
    std::vector<FamilyMember> members;
    for (std::size_t i = 0; i < table.rows(); ++i) {
        FamilyMember m;
        m.name = table.text(i, "name");
        m.title = table.text(i, "title");
        m.aliases = listed(table.text(i, "aliases"));
        m.transposition = int(table.number(i, "transposition"));
        m.notations = notations_in(table, i);
        m.lowest = pitch_in(table, i, "lowest");
        m.top_section = pitch_in(table, i, "top_section");
        m.top_professional = pitch_in(table, i, "top_professional");
        m.top_extreme = pitch_in(table, i, "top_extreme");
        m.sound_ids = listed(table.text(i, "sound_ids"));
        m.midi_program = int(table.number(i, "midi_program"));
        m.breath_factor = table.number(i, "breath_factor");
        m.tongue_factor = table.number(i, "tongue_factor");
        m.mouthpiece_group = table.text(i, "mouthpiece_group");
        m.support = support_in(table, i);
        m.clarion_vents = int(table.number(i, "clarion_vents"));
        m.half_hole_altissimo = table.text(i, "half_hole_altissimo") == "yes";
        m.played_on = table.text(i, "played_on");
        m.registers = registers_of(table.text(i, "registers"), m.lowest, m.top_extreme);
        m.reed = table.text(i, "reed");
        m.mouthpiece = table.text(i, "mouthpiece");
        members.push_back(std::move(m));
    }
    return members;
}

bool same_word(std::string_view a, std::string_view b)
{
    return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                      [](unsigned char x, unsigned char y) { return std::tolower(x) == std::tolower(y); });
}

/// "a, b or c".
std::string one_of_these(const std::vector<std::string>& names)
{
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i)
        text += (i == 0 ? "" : i + 1 == names.size() ? " or " : ", ") + names[i];
    return text;
}

} // namespace

bool FamilyMember::written_at(int semitones) const
{
    return std::any_of(notations.begin(), notations.end(),
                       [&](const Notation& n) { return n.transposition == semitones; });
}

std::span<const FamilyMember> family()
{
    static const std::vector<FamilyMember> members = read_family();
    return members;
}

const FamilyMember* member_named(std::string_view name)
{
    for (const FamilyMember& member : family())
        if (same_word(member.name, name))
            return &member;
    for (const FamilyMember& member : family())
        for (const std::string& alias : member.aliases)
            if (same_word(alias, name))
                return &member;
    return nullptr;
}

std::string family_names()
{
    std::vector<std::string> names;
    for (const FamilyMember& member : family())
        names.push_back(member.name);
    return one_of_these(names);
}

bool has_model(const std::string& name)
{
    try {
        instrument_named(name);
        return true;
    } catch (const InputError&) {
        return false;
    }
}

std::string names_with_model()
{
    std::vector<std::string> names;
    for (const FamilyMember& member : family())
        if (has_model(member.name))
            names.push_back(member.name);
    return one_of_these(names);
}

ChangeTime change_time(const FamilyMember* from, const FamilyMember* to)
{
    constexpr double strap_or_peg_s = 3.0, mouthpiece_s = 4.0; // judged as 3 to 5 s
    ChangeTime time;
    if (to != nullptr && to->support != Support::none) {
        time.risky_below_s += strap_or_peg_s;
        time.safe_from_s += strap_or_peg_s;
    }
    if (from != nullptr && to != nullptr && from->mouthpiece_group == to->mouthpiece_group)
        time.shared_mouthpiece_s = mouthpiece_s;
    return time;
}

} // namespace canebrake
