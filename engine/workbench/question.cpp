// SPDX-License-Identifier: MIT
#include "engine/workbench/question.h"

#include "engine/files/kit_file.h"
#include "engine/telling/names.h"
#include "engine/workbench/fields.h"
#include "models/instruments/family.h"
#include "models/units/pitch.h"

#include <algorithm>
#include <charconv>
#include <set>

namespace canebrake
{
namespace
{

constexpr int most_spots = 100000, most_remedies = 12;
constexpr int lowest_note = 12, highest_note = 127;
constexpr int highest_level = 7; // fff

const Fields::Choices<Player> players{
    {"ideal", Player::ideal}, {"studio", Player::studio}, {"learner", Player::learner}};

/// As the family names it: programs ask, so there is one name for each, as the schema has it.
std::string family_name(Fields& fields, const char* field, const std::string& name)
{
    const FamilyMember* member = member_named(name);
    if (member == nullptr || member->name != name)
        fields.refuse(field, family_names());
    return name;
}

std::string family_name(Fields& fields, const char* field)
{
    const auto name = fields.text(field);
    return name && !name->empty() ? family_name(fields, field, *name) : "";
}

void read_player(Fields& fields, RenderSettings& settings)
{
    if (const auto kit = fields.text("kit"))
        settings.kit = read_kit(*kit, "kit");
    if (const auto player = fields.one_of<Player>("player", players))
        settings.kit.level = *player;
    settings.player = settings.kit.level;
}

void read_settings(Fields& fields, RenderSettings& settings)
{
    read_player(fields, settings);
    settings.a4.value = fields.number("a4", 380, 500, "hertz").value_or(settings.a4.value);
    settings.temperature.value =
        fields.number("temperature", 0, 40, "degrees Celsius").value_or(settings.temperature.value);
    settings.barrel_m = 1e-3 * fields.number("barrel_mm", 0, 5, "millimetres").value_or(0.0);
    settings.seed = std::uint64_t(fields.whole("seed", 0, INT64_MAX).value_or(1));
    settings.rate.value = double(fields.whole("rate", 44100, 192000).value_or(48000));
}

void read_line_request(Fields& fields, LineRequest& request)
{
    request.part = fields.text("part").value_or("");
    const auto first = fields.whole("from_bar", 0, most_spots), last = fields.whole("to_bar", 0, most_spots);
    if (first || last)
        request.bars = std::pair(int(first.value_or(0)), int(last.value_or(most_spots)));
    if (request.bars && request.bars->second < request.bars->first)
        fields.refuse("to_bar", "a bar that is not before from_bar");
    if (const auto pitch = fields.one_of<PitchBasis>("pitch", {{"as file", PitchBasis::as_file},
                                                               {"written", PitchBasis::written},
                                                               {"sounding", PitchBasis::sounding}}))
        request.pitch = *pitch;
    request.tempo = fields.number("tempo", 10, 400, "quarter notes a minute");
    read_settings(fields, request.settings);
}

RemedyNumber remedy_number(Fields& fields, const std::string& text)
{
    RemedyNumber number;
    const char* const end = text.data() + text.size();
    const auto spot = std::from_chars(text.data(), end, number.spot);
    if (spot.ec == std::errc() && spot.ptr != end && *spot.ptr == '.') {
        const auto remedy = std::from_chars(spot.ptr + 1, end, number.remedy);
        const bool in_range = number.spot >= 1 && number.spot <= most_spots && number.remedy >= 1 &&
                              number.remedy <= most_remedies;
        if (remedy.ec == std::errc() && in_range &&
            text == std::to_string(number.spot) + '.' + std::to_string(number.remedy))
            return number;
    }
    fields.refuse("take", "remedies' numbers as they are told, such as \"2.1\"");
}

std::vector<int> notes_in(Fields& fields)
{
    std::set<int> all;
    for (const std::string& name : fields.texts("notes").value_or(std::vector<std::string>{})) {
        const auto number = pitch_number(name);
        if (!number || *number < lowest_note || *number > highest_note)
            fields.refuse("notes", "names of notes, such as \"A4\" or \"Bb3\"");
        all.insert(*number);
    }
    return {all.begin(), all.end()};
}

/// What is compared: clarinets and players, each once.
void read_sides(Fields& fields, ComparisonRequest& request)
{
    const auto add = [&](const char* field, auto& all, const auto& one) {
        if (std::find(all.begin(), all.end(), one) != all.end())
            fields.refuse(field, "each of them once");
        all.push_back(one);
    };
    for (const std::string& name : fields.texts("instruments").value_or(std::vector<std::string>{}))
        add("instruments", request.instruments, family_name(fields, "instruments", name));
    for (const std::string& name : fields.texts("players").value_or(std::vector<std::string>{})) {
        const auto known = std::find_if(players.begin(), players.end(),
                                        [&](const auto& player) { return player.first == name; });
        if (known == players.end())
            fields.refuse("players", "some of ideal, studio, learner");
        add("players", request.players, known->second);
    }
}

std::vector<double> levels_in(Fields& fields)
{
    std::set<double> all;
    for (const std::string& word : fields.texts("dynamics").value_or(std::vector<std::string>{})) {
        int level = 0;
        while (level <= highest_level && dynamic_name(level) != word)
            ++level;
        if (level > highest_level)
            fields.refuse("dynamics", "some of ppp, pp, p, mp, mf, f, ff, fff");
        all.insert(level);
    }
    return {all.begin(), all.end()};
}

} // namespace

Question question_of(std::string_view json)
{
    Fields fields(json);
    Question question;
    read_line_request(fields, question);
    question.instrument = family_name(fields, "instrument");
    question.on = family_name(fields, "on");
    if (const auto reading = fields.one_of<Reading>(
            "reading",
            {{"sight", Reading::sight}, {"rehearsed", Reading::rehearsed}, {"prepared", Reading::prepared}}))
        question.settings.kit.reading = *reading;
    question.least = fields
                         .one_of<Grade>("least", {{"awkward", Grade::awkward},
                                                  {"risky", Grade::risky},
                                                  {"unplayable", Grade::unplayable}})
                         .value_or(Grade::awkward);
    question.spot = int(fields.whole("spot", 0, most_spots).value_or(0));
    question.most = std::size_t(fields.whole("most", 1, most_remedies).value_or(3));
    for (const std::string& text : fields.texts("take").value_or(std::vector<std::string>{}))
        question.take.push_back(remedy_number(fields, text));
    if (const auto waived = fields.object("waived"))
        question.waived.emplace(*waived, "waived");
    question.format = fields
                          .one_of<Question::Format>("format", {{"musicxml", Question::Format::musicxml},
                                                               {"midi", Question::Format::midi},
                                                               {"marked", Question::Format::marked}})
                          .value_or(Question::Format::musicxml);
    question.for_player = fields.yes("for_player").value_or(false);
    question.packed = fields.yes("packed").value_or(false);
    question.measure = fields.yes("measure").value_or(false);
    fields.finish();
    return question;
}

ComparisonRequest comparison_question_of(std::string_view json, bool of_a_line)
{
    Fields fields(json);
    ComparisonRequest request;
    request.kind = of_a_line ? ComparisonRequest::Kind::line : ComparisonRequest::Kind::tones;
    if (of_a_line) {
        read_line_request(fields, request);
    } else {
        read_settings(fields, request.settings);
        if (const auto pitch = fields.one_of<PitchBasis>(
                "pitch", {{"written", PitchBasis::written}, {"sounding", PitchBasis::sounding}}))
            request.pitch = *pitch;
        request.notes = notes_in(fields);
        request.levels = levels_in(fields);
    }
    read_sides(fields, request);
    fields.finish();
    fill_defaults(request);
    return request;
}

FingeringQuestion fingering_question_of(std::string_view json)
{
    Fields fields(json);
    FingeringQuestion question;
    question.notes = fields.texts("notes").value_or(std::vector<std::string>{});
    if (question.notes.empty() || question.notes.size() > 2)
        fields.refuse("notes", "one note, or two for a slur or a trill");
    for (const std::string& note : question.notes)
        if (!pitch_number(note))
            fields.refuse("notes", "names of notes, such as \"C5\", \"F#4\" or \"Bb3\"");
    question.trill = fields.yes("trill").value_or(false);
    if (question.trill && question.notes.size() != 2)
        fields.refuse("trill", "two notes with it");
    if (const std::string name = family_name(fields, "instrument"); !name.empty())
        question.instrument = name;
    RenderSettings settings;
    read_player(fields, settings);
    question.kit = settings.kit;
    question.sounding =
        fields.one_of<bool>("pitch", {{"written", false}, {"sounding", true}}).value_or(false);
    fields.finish();
    return question;
}

const FamilyMember* instruments_question_of(std::string_view json)
{
    Fields fields(json);
    const std::string name = family_name(fields, "instrument");
    fields.finish();
    return name.empty() ? nullptr : member_named(name);
}

} // namespace canebrake
