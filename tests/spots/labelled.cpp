// SPDX-License-Identifier: MIT
#include "tests/spots/labelled.h"

#include "engine/part/line_request.h"
#include "engine/part/part_to_play.h"
#include "engine/spots/judged_part.h"
#include "tests/support/asked_line.h"

#include <algorithm>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace canebrake
{
namespace
{

/// Fields of one line of comma-separated values (RFC 4180: quoted where they hold commas).
std::vector<std::string> fields_of(const std::string& line)
{
    std::vector<std::string> fields(1);
    bool quoted = false;
    for (const char c : line) {
        if (c == '"')
            quoted = !quoted;
        else if (c == ',' && !quoted)
            fields.emplace_back();
        else
            fields.back() += c;
    }
    return fields;
}

std::vector<std::string> words_in(const std::string& text)
{
    std::istringstream stream(text);
    std::vector<std::string> words;
    for (std::string word; stream >> word;)
        words.push_back(word);
    return words;
}

Grade grade_named(const std::string& name)
{
    for (const Grade grade : {Grade::easy, Grade::awkward, Grade::risky, Grade::unplayable})
        if (name == word(grade))
            return grade;
    throw std::runtime_error("labelled.csv: no grade " + name);
}

} // namespace

std::vector<LabelledLine> labelled_lines()
{
    std::ifstream file(CANEBRAKE_LABELLED);
    std::string text;
    std::getline(file, text); // the header
    std::vector<LabelledLine> lines;
    while (std::getline(file, text)) {
        const auto fields = fields_of(text);
        if (fields.size() != 9)
            throw std::runtime_error("labelled.csv: found " + std::to_string(fields.size()) +
                                     " fields, wanted 9: " + text);
        LabelledLine line{fields[0], fields[1], fields[4], fields[7], fields[8]};
        line.player = fields[2] == "learner" ? Player::learner : Player::studio;
        line.reading = fields[3] == "prepared"    ? Reading::prepared
                       : fields[3] == "rehearsed" ? Reading::rehearsed
                                                  : Reading::sight;
        if (fields[5] != "clean")
            for (const std::string& item : words_in(fields[5])) {
                const std::size_t colon = item.find(':');
                line.expect.emplace_back(item.substr(0, colon), grade_named(item.substr(colon + 1)));
            }
        line.allow = words_in(fields[6]);
        lines.push_back(std::move(line));
    }
    return lines;
}

Verdict verdict_on(const LabelledLine& line, bool listen)
{
    LineRequest request;
    request.phrase = line.phrase;
    request.pitch = PitchBasis::written;
    request.instrument = member_named(line.instrument)->name;
    request.settings.kit.level = request.settings.player = line.player;
    request.settings.kit.reading = line.reading;
    TrillBooks books(request.settings.kit);
    JudgeOptions options;
    options.listen = listen;
    options.ideal = false;
    options.threads = 1;
    const JudgedPart judged(part_to_play(test::asked_line(request), request, books), request.settings,
                            options);
    Verdict verdict;
    for (const auto& stretch : judged.stretches())
        for (const Spot& spot : stretch.spots)
            verdict.found.emplace_back(word(spot.cause), spot.grade);
    for (const auto& [cause, grade] : line.expect)
        if (std::none_of(verdict.found.begin(), verdict.found.end(),
                         [&cause = cause, &grade = grade](const auto& f) {
                             return f.first == cause && f.second >= grade;
                         }))
            verdict.missed.push_back(cause + ':' + word(grade));
    for (const auto& [cause, grade] : verdict.found) {
        const bool expected = std::any_of(line.expect.begin(), line.expect.end(),
                                          [&, cause = cause](const auto& e) { return e.first == cause; });
        if (!expected && std::find(line.allow.begin(), line.allow.end(), cause) == line.allow.end())
            verdict.false_alarms.push_back(cause + ':' + word(grade));
    }
    return verdict;
}

} // namespace canebrake
